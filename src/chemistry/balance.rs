//! The charge balance of a mixture in a medium that is held still: one equation in the activity of hydrogen ions,
//! which only rises with it.

use super::activity::{Activity, Medium};
use super::forms::{each_state, in_medium, in_solvent, protons_lost, saturated};
use super::interaction;
use super::limit::Limit;
use super::metals::{Metals, Start, State};
use super::mixture::{AcidFamily, Mixture, Solvent, WATER_KG_PER_MOL};
use super::settled::Settled;

/// The negative logarithm of the ion product of water at 25 °C.
pub const PKW: f64 = 13.995;
/// How much each mol of solute per kg takes off the activity of water.
const WATER_ACTIVITY: f64 = 0.017;
/// The activity of water is not let below this, where solutes crowd it out and the rule above has no meaning left.
const DRIEST: f64 = 0.05;
/// The pH is looked for between these.
const LEAST_PH: f64 = -14.0;
const MOST_PH: f64 = 28.0;
/// A step of Newton's as small as this leaves nothing but rounding behind it.
const SMALL_STEP: f64 = 1e-8;
/// No step is let go farther.
const FAR: f64 = 3.0;
/// A bracket as narrow as this is a root.
const NARROW: f64 = 1e-13;

/// A mixture in a medium.
pub struct Balance<'m> {
    mixture: &'m Mixture,
    model: Activity,
    /// For each family, for each proton, its constant in this medium.
    constants: Vec<f64>,
    /// The coefficients of hydrogen and hydroxide.
    hydrogen: f64,
    hydroxide: f64,
    /// The net charge of the bare ions, in mol.
    fixed: f64,
    /// All that is dissolved, in mol.
    solutes: f64,
    /// The water if no hydroxide were free, in kg.
    water: f64,
    /// Its metals, where something holds them or they may fall out; boxed, since most mixtures have none.
    metals: Option<Box<Metals>>,
    medium: Medium,
}

/// A form of a family with a metal that it holds.
#[derive(Clone, Copy, Debug)]
pub struct Complex {
    /// Which of the mixture's families the metal is.
    pub metal: usize,
    /// Which of them holds it.
    pub holder: usize,
    /// The charge of both together.
    pub charge: f64,
    /// How much there is, in mol/kg of water.
    pub molality: f64,
}

/// The balance at one activity of hydrogen ions.
#[derive(Clone, Copy, Debug)]
pub struct Point {
    /// The net charge, in mol.
    pub charge: f64,
    /// How fast it grows with the natural logarithm of the activity.
    pub slope: f64,
    /// The water, in kg.
    pub water: f64,
    /// The molalities of hydrogen and hydroxide.
    pub hydrogen: f64,
    /// That of hydroxide.
    pub hydroxide: f64,
}

impl<'m> Balance<'m> {
    /// Puts a mixture into a medium.
    pub fn new(mixture: &'m Mixture, medium: &Medium, model: Activity) -> Balance<'m> {
        let mut balance = Balance {
            mixture,
            model,
            constants: Vec::with_capacity(2 * mixture.families.len()),
            hydrogen: 1.0,
            hydroxide: 1.0,
            fixed: mixture.ions.iter().map(|ion| ion.charge * ion.moles).sum(),
            solutes: mixture.families.iter().map(|family| family.moles).sum::<f64>()
                + mixture.ions.iter().map(|ion| ion.moles).sum::<f64>(),
            water: mixture.water_kg + WATER_KG_PER_MOL * mixture.hydroxide,
            metals: Metals::of(mixture, medium, model).map(Box::new),
            medium: *medium,
        };
        balance.reckon_constants();
        balance
    }

    /// Moves it into another medium.
    pub fn put_into(&mut self, medium: &Medium) {
        if *medium != self.medium {
            self.medium = *medium;
            self.reckon_constants();
            if let Some(metals) = &mut self.metals {
                metals.put_into(self.mixture, medium, self.model);
            }
        }
    }

    fn reckon_constants(&mut self) {
        let (medium, model) = (&self.medium, self.model);
        self.hydrogen = 10f64.powf(medium.hydrogen_ion(model));
        self.hydroxide = 10f64.powf(-PKW - medium.anion(-1.0, interaction::HYDROXIDE, model));
        self.constants.clear();
        for family in &self.mixture.families {
            in_medium(&family.constants, medium, model, self.hydrogen, &mut self.constants);
        }
        if self.mixture.solvent != Solvent::default() {
            in_solvent(self.mixture, &mut self.constants);
        }
    }

    /// The balance at a pH, given as the natural logarithm of the activity of hydrogen ions.
    pub fn at(&self, ln_activity: f64) -> Point {
        let activity = ln_activity.exp();
        let (mut charge, mut slope) = (self.fixed, 0.0);
        let (hydrogen, hydroxide, water) = match &self.metals {
            None => self.water_ions(activity, self.solutes),
            Some(metals) => {
                let (ions, of_metals) = self.with_metals(metals, ln_activity);
                charge += of_metals.0;
                slope += of_metals.1;
                ions
            }
        };
        charge += water * (hydrogen - hydroxide);
        slope += water * (hydrogen + hydroxide);
        let mut constants = self.constants.as_slice();
        for (number, family) in self.mixture.families.iter().enumerate() {
            let (own, others) = constants.split_at(family.constants.pka().len().min(constants.len()));
            constants = others;
            if self.metals.as_ref().is_some_and(|metals| metals.has(number)) {
                continue;
            }
            let (mean, variance) = protons_lost(own, 1.0 / activity);
            match self.dissolved(family, own, 1.0 / activity) {
                None => {
                    charge += family.moles * (family.constants.top_charge() - mean);
                    slope += family.moles * variance;
                }
                // More uncharged than dissolves: that much is held, and every other form beside it follows.
                Some(dissolved) => {
                    let net = family.constants.top_charge() - mean;
                    charge += dissolved * net;
                    slope += dissolved * (variance + net * net);
                }
            }
        }
        Point { charge, slope, water, hydrogen, hydroxide }
    }

    /// The molalities of hydrogen and hydroxide and the water at an activity, with the charge of metals and of what may
    /// hold them, and how fast that grows.
    fn with_metals(&self, metals: &Metals, ln_activity: f64) -> ((f64, f64, f64), (f64, f64)) {
        /// Where the slope is not known it is a difference.
        const BESIDE: f64 = 1e-6;
        metals.with_state(|state| {
            let ions = self.settle(metals, ln_activity, state);
            let (charge, slope) = metals.charge(state);
            if !state.was_in_turn() {
                return (ions, (charge, slope));
            }
            self.settle(metals, ln_activity + BESIDE, state);
            (ions, (charge, (metals.charge(state).0 - charge) / BESIDE))
        })
    }

    /// How metals stand at an activity, with hydrogen, hydroxide and the water there is: hydroxide that fell out is no
    /// water, and what is not dissolved leaves water alone.
    fn settle(&self, metals: &Metals, ln_activity: f64, state: &mut State) -> (f64, f64, f64) {
        let activity = ln_activity.exp();
        let ions = |(hydroxide, lies): (f64, f64)| {
            let (hydrogen, free, whole) = self.water_ions(activity, self.solutes - lies);
            (hydrogen, free, (whole - WATER_KG_PER_MOL * hydroxide).max(DRIEST * whole))
        };
        let mut lies = state.lies(metals);
        let mut found = ions(lies);
        let (mut of_hydroxide, mut of_all) = (Limit::from(lies.0), Limit::from(lies.1));
        for _ in 0..20 {
            // What hydroxide falls short of by the activity of water.
            let short = found.1 * activity / self.hydroxide;
            metals.settle(state, self.mixture, &self.constants, (ln_activity, activity), (found.2, short));
            let next = state.lies(metals);
            if next == lies {
                break;
            }
            lies = (of_hydroxide.after(next.0), of_all.after(next.1));
            let before = found.2;
            found = ions(lies);
            if (found.2 - before).abs() <= 1e-15 * found.2 {
                break;
            }
        }
        found
    }

    /// How its metals stand at an activity, where it has any, and the water there is.
    fn settled(&self, ln_activity: f64) -> Option<(f64, Settled)> {
        let metals = self.metals.as_ref()?;
        Some(metals.with_state(|state| {
            let (_, _, water) = self.settle(metals, ln_activity, state);
            (water, metals.settled(state))
        }))
    }

    /// How its metals stand, for the balance of another mixture of the same families to start from; it starts anew itself.
    pub fn start(&self) -> Start {
        self.metals.as_ref().and_then(|metals| metals.start())
    }

    /// Has its metals looked for from where those of another balance stood.
    pub fn start_at(&self, start: Start) {
        if let Some(metals) = &self.metals {
            metals.start_at(start);
        }
    }

    /// The charge at a point that another mixture of the same families, in the same order, would add.
    pub fn charge_of(&self, other: &Mixture, ln_activity: f64, point: &Point) -> f64 {
        if self.metals.is_some() {
            // What metals hold is no straight line: its slope, by a little of the other.
            const LITTLE: f64 = 1e-6;
            let more = self.mixture.plus(other, LITTLE);
            let with_more = Balance::new(&more, &self.medium, self.model);
            with_more.start_at(self.start());
            let charge = with_more.at(ln_activity).charge;
            self.start_at(with_more.start());
            return (charge - point.charge) / LITTLE;
        }
        let water = other.water_kg + WATER_KG_PER_MOL * other.hydroxide;
        let mut charge: f64 = other.ions.iter().map(|ion| ion.charge * ion.moles).sum();
        charge += water / (1.0 + WATER_KG_PER_MOL * point.hydroxide) * (point.hydrogen - point.hydroxide);
        let per_activity = (-ln_activity).exp();
        let mut constants = self.constants.as_slice();
        for family in &other.families {
            let (own, others) = constants.split_at(family.constants.pka().len().min(constants.len()));
            constants = others;
            let net = family.constants.top_charge() - protons_lost(own, per_activity).0;
            let here = self.mixture.families.binary_search_by_key(&family.id, |known| known.id).ok();
            let here = here.and_then(|at| self.mixture.families.get(at));
            charge += match here.is_some_and(|here| self.dissolved(here, own, per_activity).is_some()) {
                false => family.moles * net,
                // Of what lies undissolved more changes nothing: only what takes it up does.
                true => {
                    saturated(&family.constants, own, per_activity, water, family.taken_elsewhere).unwrap_or(0.0) * net
                }
            };
        }
        charge
    }

    /// How much of a family is dissolved where its uncharged form is more than dissolves, in mol; none where all of it
    /// is.
    fn dissolved(&self, family: &AcidFamily, constants: &[f64], per_activity: f64) -> Option<f64> {
        saturated(&family.constants, constants, per_activity, self.water, family.taken_elsewhere)
            .filter(|most| *most < family.moles)
    }

    /// The molalities of hydrogen and hydroxide, and the water there is: what free hydroxide holds is no water. The
    /// activity of water falls with all that is dissolved, hydroxide too.
    fn water_ions(&self, activity: f64, solutes: f64) -> (f64, f64, f64) {
        let hydrogen = activity / self.hydrogen;
        let free = self.hydroxide / activity;
        let per_kg = solutes / self.water;
        let hydroxide = match self.model {
            Activity::Ideal => free,
            _ => {
                let without = 1.0 - WATER_ACTIVITY * (per_kg + hydrogen);
                let share = free * WATER_ACTIVITY * (1.0 + WATER_KG_PER_MOL * per_kg);
                (free * without / (1.0 + share)).max(free * DRIEST / (1.0 + share))
            }
        };
        (hydrogen, hydroxide, self.water / (1.0 + WATER_KG_PER_MOL * hydroxide))
    }

    /// The natural logarithm of the activity of hydrogen ions at which nothing is left over: Newton's steps within a
    /// bracket that only narrows, so that it always ends.
    pub fn solve(&self, guess: f64) -> f64 {
        let (mut low, mut high) = (-MOST_PH * std::f64::consts::LN_10, -LEAST_PH * std::f64::consts::LN_10);
        let mut at = guess.clamp(low, high);
        for _ in 0..200 {
            let point = self.at(at);
            if point.charge > 0.0 {
                high = at;
            } else {
                low = at;
            }
            let step = -point.charge / point.slope;
            if step.abs() < SMALL_STEP || high - low < NARROW {
                return (at + step).clamp(low, high);
            }
            // Far from the root the balance bends like an exponential, and a step of Newton's may lead anywhere.
            let next = at + step.clamp(-FAR, FAR);
            at = if next > low && next < high { next } else { f64::midpoint(low, high) };
        }
        at
    }

    /// What the medium turns out to be at a solution.
    pub fn medium(&self, ln_activity: f64) -> Medium {
        self.medium_at(ln_activity, &self.at(ln_activity))
    }

    /// The same, where the balance there is known already.
    pub fn medium_at(&self, ln_activity: f64, point: &Point) -> Medium {
        let per_activity = (-ln_activity).exp();
        let mut medium = Medium { hydrogen: point.hydrogen, ..Medium::default() };
        let mut doubled = point.hydrogen + point.hydroxide;
        medium.anions = point.hydroxide;
        medium.pull = interaction::HYDROXIDE * point.hydroxide;
        let mut add = |charge: f64, molality: f64, epsilon: f64| {
            doubled += charge * charge * molality;
            if charge < 0.0 {
                medium.anions += molality;
                medium.pull += epsilon * molality;
            } else if charge > 0.0 {
                medium.cations += molality;
            }
        };
        for ion in &self.mixture.ions {
            let epsilon = if ion.charge == -1.0 { interaction::CHLORIDE } else { interaction::usual(ion.charge) };
            add(ion.charge, ion.moles / point.water, epsilon);
        }
        if let Some(metals) = &self.metals {
            metals.with_state(|state| {
                self.settle(metals, ln_activity, state);
                metals.each_form(state, |charge, moles, family, holds| {
                    let family = self.mixture.families.get(family).filter(|_| !holds);
                    let epsilon = family.map_or(interaction::usual(charge), |family| family.constants.pull(charge));
                    add(charge, moles / point.water, epsilon);
                });
            });
        }
        let mut constants = self.constants.as_slice();
        for (number, family) in self.mixture.families.iter().enumerate() {
            let (own, others) = constants.split_at(family.constants.pka().len().min(constants.len()));
            constants = others;
            if self.metals.as_ref().is_some_and(|metals| metals.has(number)) {
                continue;
            }
            let dissolved = self.dissolved(family, own, per_activity).unwrap_or(family.moles);
            each_state(own, per_activity, |lost, share| {
                let charge = family.constants.top_charge() - f64::from(lost);
                add(charge, dissolved * share / point.water, family.constants.pull(charge));
            });
        }
        medium.ionic_strength = 0.5 * doubled;
        medium
    }

    /// What holds which metal at a point.
    pub fn complexes(&self, ln_activity: f64) -> Vec<Complex> {
        let Some((water, settled)) = self.settled(ln_activity) else {
            return Vec::new();
        };
        let each = settled.holders.iter().flat_map(|held| {
            let top = self.mixture.families.get(held.family).map_or(0.0, |family| family.constants.top_charge());
            held.bound.iter().map(move |of| Complex {
                metal: of.metal,
                holder: held.family,
                charge: top - f64::from(of.lost) + of.charge,
                molality: of.moles / water,
            })
        });
        each.collect()
    }

    /// The forms of each family at a point, as charge and mol from the one with every proton on: those that no metal is
    /// held by; and how much of it is not dissolved, in mol.
    pub fn forms(&self, ln_activity: f64) -> Vec<(Vec<(f64, f64)>, f64)> {
        let per_activity = (-ln_activity).exp();
        let settled = self.settled(ln_activity);
        let mut constants = self.constants.as_slice();
        let families = self.mixture.families.iter().enumerate();
        families
            .map(|(number, family)| {
                let (own, others) = constants.split_at(family.constants.pka().len().min(constants.len()));
                constants = others;
                let top = family.constants.top_charge();
                let charge = |lost: u32| top - f64::from(lost);
                if let Some((_, settled)) = &settled {
                    if let Some(metal) = settled.metals.iter().find(|of| of.family == number) {
                        return (vec![(metal.charge, metal.free)], metal.fallen);
                    }
                    if let Some(held) = settled.holders.iter().find(|held| held.family == number) {
                        let free = held.free.iter().map(|(lost, moles)| (charge(*lost), *moles)).collect();
                        return (free, family.moles - held.dissolved);
                    }
                }
                let dissolved = self.dissolved(family, own, per_activity).unwrap_or(family.moles);
                let mut forms = Vec::with_capacity(own.len() + 1);
                each_state(own, per_activity, |lost, share| forms.push((charge(lost), dissolved * share)));
                (forms, family.moles - dissolved)
            })
            .collect()
    }
}
