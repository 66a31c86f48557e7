//! Metals in water: what acids hold of them, and what falls out as hydroxide or with an acid.
//!
//! A metal that an acid holds keeps its protons off: so calcium makes citric acid stronger. How much is held follows from
//! stability constants, one for each form of the acid, and from how much of each there is. An acid holds one metal at a
//! time. Each metal has a balance of its own, which only rises with what is free of it; each is solved by steps of
//! Newton's from below, which never go too far, since the balance bends down; and of several all in turn. What falls out
//! with an acid takes as much of the one as of the other, until what is left of both is what the solubility product lets.

use super::activity::{Activity, Medium};
use super::balance::PKW;
use super::forms::each_state;
use super::interaction;
use super::mixture::{Constants, Mixture};
use super::settled::{Bound, Held, Settled, Standing};

/// Rounds over several metals, and steps within one.
const ROUNDS: usize = 300;
/// What is free of a metal is found when a step moves it by less than this share.
const FOUND: f64 = 1e-15;

/// The metals of a mixture in a medium, and the families that hold them.
pub struct Metals {
    metals: Vec<Metal>,
    holders: Vec<Holder>,
    solids: Vec<Solid>,
}

/// A salt of a metal and the bare form of a holder that falls out.
struct Solid {
    metal: usize,
    holder: usize,
    /// The natural logarithm of the product of both molalities over it.
    product: f64,
}

struct Metal {
    /// The number of its family.
    family: usize,
    charge: f64,
    /// The natural logarithm of its molality over its hydroxide where the activity of hydrogen is 1.
    over_hydroxide: Option<f64>,
}

struct Holder {
    /// The number of its family.
    family: usize,
    /// Where its constants begin.
    constants: usize,
    pairs: Vec<Pair>,
}

/// A family and a metal that it holds.
struct Pair {
    /// Which of the metals.
    metal: usize,
    /// The constants in the medium: of the form without protons, of that with one, and so on.
    by_protons: Vec<f64>,
}

/// All there is of metals and holders at an activity, in so much water.
#[derive(Clone)]
struct Whole {
    /// Of each metal, in mol.
    totals: Vec<f64>,
    ready: Vec<Ready>,
    /// The natural logarithm of the activity of hydrogen over that of water.
    over_hydroxide: f64,
    water: f64,
}

/// A holder at an activity: its shares without metal, how strongly it holds each metal, and what limits it.
#[derive(Clone)]
struct Ready {
    shares: Vec<f64>,
    /// By pair: how much is held for each that is free, at a molality of 1.
    strengths: Vec<f64>,
    moles: f64,
    /// How much of it there is without metal where more is uncharged than dissolves.
    saturated: f64,
}

impl Ready {
    /// How much of it is dissolved, for so much more than without metal.
    fn dissolved(&self, all: f64) -> f64 {
        self.moles.min(self.saturated * all)
    }
}

impl Metals {
    /// The metals of a mixture that are held or may fall out; none where there are none.
    pub fn of(mixture: &Mixture, medium: &Medium, model: Activity) -> Option<Metals> {
        let families = &mixture.families;
        let is_held = |id: u64| families.iter().any(|by| by.constants.binds().iter().any(|of| of.metal == id));
        let mut metals = Vec::new();
        for (number, family) in families.iter().enumerate() {
            let falls_out = family.constants.hydroxide().is_some() || !family.constants.falls_out_with().is_empty();
            if family.constants.pka().is_empty() && (falls_out || is_held(family.id)) {
                let charge = family.constants.top_charge();
                let over_hydroxide = family.constants.hydroxide().map(|pksp| {
                    let logarithm = charge * PKW - pksp - medium.cation(charge, model);
                    logarithm * std::f64::consts::LN_10
                });
                metals.push((family.id, Metal { family: number, charge, over_hydroxide }));
            }
        }
        if metals.is_empty() {
            return None;
        }
        let (mut holders, mut solids) = (Vec::new(), Vec::new());
        let mut before = 0;
        for (number, family) in families.iter().enumerate() {
            let pairs: Vec<Pair> = (0..)
                .zip(&metals)
                .filter_map(|(at, (id, metal))| {
                    let binding = family.constants.binds().iter().find(|of| of.metal == *id)?;
                    let by_protons = in_medium(&family.constants, &binding.log_k, metal.charge, medium, model);
                    Some(Pair { metal: at, by_protons })
                })
                .collect();
            let solid = |(at, (_, metal)): (usize, &(u64, Metal))| {
                let known = &families.get(metal.family)?.constants;
                let (_, pksp) = known.falls_out_with().iter().find(|(with, _)| *with == family.id)?;
                let bare = family.constants.top_charge() - family.constants.pka().len() as f64;
                let both = medium.cation(metal.charge, model) + coefficient(&family.constants, bare, medium, model);
                let product = -(pksp + both) * std::f64::consts::LN_10;
                Some(Solid { metal: at, holder: holders.len(), product })
            };
            let own: Vec<Solid> = metals.iter().enumerate().filter_map(solid).collect();
            if !pairs.is_empty() || !own.is_empty() {
                solids.extend(own);
                holders.push(Holder { family: number, constants: before, pairs });
            }
            before += family.constants.pka().len();
        }
        Some(Metals { metals: metals.into_iter().map(|(_, metal)| metal).collect(), holders, solids })
    }

    /// Whether a family is one of the metals, or may hold them.
    pub fn has(&self, family: usize) -> bool {
        self.metals.iter().any(|of| of.family == family) || self.holders.iter().any(|of| of.family == family)
    }

    /// How they stand at an activity, in so much water and at its activity, where all families have these constants.
    pub fn settle(
        &self,
        mixture: &Mixture,
        constants: &[f64],
        ln_activity: f64,
        (water, activity): (f64, f64),
    ) -> Settled {
        let moles = |family: usize| mixture.families.get(family).map_or(0.0, |family| family.moles.max(0.0));
        let totals: Vec<f64> = self.metals.iter().map(|metal| moles(metal.family)).collect();
        let ready = self.holders.iter().map(|holder| holder.ready(mixture, constants, ln_activity, water)).collect();
        let whole = Whole { totals, ready, over_hydroxide: ln_activity - activity.ln(), water };
        let mut taken = vec![0.0; self.solids.len()];
        for _ in 0..ROUNDS {
            let mut moved = 0.0_f64;
            for number in 0..self.solids.len() {
                let found = self.fallen_with(number, &whole, &taken);
                if let Some(known) = taken.get_mut(number) {
                    moved = moved.max((found - *known).abs() / found.max(f64::MIN_POSITIVE));
                    *known = found;
                }
            }
            if self.solids.len() <= 1 || moved <= 1e-12 {
                break;
            }
        }
        let left = self.left(&whole, &taken);
        let (free, fallen) = self.all_free(&left);
        let metals = self.metals.iter().enumerate().zip(free.iter().zip(fallen));
        let of_solids = |metal: usize| {
            let of = self.solids.iter().zip(&taken).filter(|(solid, _)| solid.metal == metal);
            of.map(|(_, taken)| taken).sum::<f64>()
        };
        let stands = |((number, of), (free, as_hydroxide)): ((usize, &Metal), (&f64, f64))| Standing {
            family: of.family,
            charge: of.charge,
            free: free * water,
            fallen: as_hydroxide + of_solids(number),
            as_hydroxide,
        };
        Settled {
            metals: metals.map(stands).collect(),
            holders: self.holders.iter().zip(&left.ready).map(|(of, ready)| self.held(of, ready, &free)).collect(),
        }
    }

    /// What is left once so much of each solid has fallen out.
    fn left(&self, whole: &Whole, taken: &[f64]) -> Whole {
        let mut left = whole.clone();
        for (solid, taken) in self.solids.iter().zip(taken) {
            if let (Some(metal), Some(holder)) = (left.totals.get_mut(solid.metal), left.ready.get_mut(solid.holder)) {
                *metal = (*metal - taken).max(0.0);
                holder.moles = (holder.moles - taken).max(0.0);
            }
        }
        left
    }

    /// How much of a solid falls out where so much of the others has, in mol: what is left of the scarcer of the two is
    /// looked for by its logarithm, in which the product is nearly a straight line.
    fn fallen_with(&self, number: usize, whole: &Whole, taken: &[f64]) -> f64 {
        const LEAST: f64 = -60.0;
        let Some(solid) = self.solids.get(number) else { return 0.0 };
        let mut taken = taken.to_vec();
        let mut set = |of: f64| {
            if let Some(known) = taken.get_mut(number) {
                *known = of;
            }
            self.left(whole, &taken)
        };
        let there = set(0.0);
        let ends = there.totals.get(solid.metal).zip(there.ready.get(solid.holder));
        let Some(most) = ends.map(|(metal, holder)| metal.min(holder.moles)).filter(|most| *most > 0.0) else {
            return 0.0;
        };
        let mut over = |logarithm: f64| self.over(solid, &set(-most * logarithm.exp_m1()));
        let (mut low, mut high) = (LEAST, 0.0);
        let (mut at_low, mut at_high) = (over(low), over(high));
        if at_high.is_nan() || at_high <= 0.0 {
            return 0.0;
        }
        if at_low >= 0.0 || at_low.is_nan() {
            return most;
        }
        for _ in 0..ROUNDS {
            // The secant, with half of the weight of an end that stays (Illinois).
            let next = if at_low.is_finite() { (low * at_high - high * at_low) / (at_high - at_low) } else { f64::NAN };
            let next = if next > low && next < high { next } else { f64::midpoint(low, high) };
            let found = over(next);
            if found > 0.0 {
                (high, at_high) = (next, found);
                at_low /= 2.0;
            } else {
                (low, at_low) = (next, found);
                at_high /= 2.0;
            }
            if found.abs() < 1e-13 || high - low < 1e-14 {
                return -most * next.exp_m1();
            }
        }
        -most * f64::midpoint(low, high).exp_m1()
    }

    /// How far the product of a metal and the bare form of a holder is over what the solid lets, as a logarithm.
    fn over(&self, solid: &Solid, left: &Whole) -> f64 {
        let (free, _) = self.all_free(left);
        let held = self.holders.get(solid.holder).zip(left.ready.get(solid.holder));
        let held = held.map(|(holder, ready)| self.held(holder, ready, &free));
        let bare = held.and_then(|held| held.free.last().map(|(_, moles)| moles / left.water)).unwrap_or(0.0);
        let metal = free.get(solid.metal).copied().unwrap_or(0.0);
        metal.ln() + bare.ln() - solid.product
    }

    /// How much of each metal is free, as molality, and how much of it falls out as hydroxide, in mol.
    fn all_free(&self, whole: &Whole) -> (Vec<f64>, Vec<f64>) {
        let mut free = vec![0.0; self.metals.len()];
        let mut fallen = vec![0.0; self.metals.len()];
        for _ in 0..ROUNDS {
            let mut moved = 0.0_f64;
            for number in 0..self.metals.len() {
                let (found, over) = self.free(number, whole, &free);
                if let (Some(known), Some(out)) = (free.get_mut(number), fallen.get_mut(number)) {
                    moved = moved.max((found - *known).abs() / found.max(f64::MIN_POSITIVE));
                    (*known, *out) = (found, over);
                }
            }
            if self.metals.len() == 1 || moved <= 4.0 * FOUND {
                break;
            }
        }
        (free, fallen)
    }

    /// How much of a metal is free, as molality, and how much of it falls out, in mol, where so much of the others is free.
    fn free(&self, number: usize, whole: &Whole, free: &[f64]) -> (f64, f64) {
        let Some(metal) = self.metals.get(number) else { return (0.0, 0.0) };
        let (all, water) = (whole.totals.get(number).copied().unwrap_or(0.0), whole.water);
        if all <= 0.0 {
            return (0.0, 0.0);
        }
        let holders: Vec<(&Ready, f64, f64)> = self
            .holders
            .iter()
            .zip(&whole.ready)
            .filter_map(|(holder, ready)| {
                let own = holder.pairs.iter().position(|pair| pair.metal == number)?;
                let pairs = holder.pairs.iter().zip(&ready.strengths).filter(|(pair, _)| pair.metal != number);
                let others = pairs.map(|(pair, strength)| strength * free.get(pair.metal).copied().unwrap_or(0.0));
                Some((ready, *ready.strengths.get(own)?, 1.0 + others.sum::<f64>()))
            })
            .collect();
        // What is free and held beyond all there is, and how fast it grows.
        let beyond = |at: f64| {
            let mut sum = (water * at - all, water);
            for (ready, strength, others) in &holders {
                let with = others + strength * at;
                if ready.saturated * with < ready.moles {
                    sum.0 += ready.saturated * strength * at;
                    sum.1 += ready.saturated * strength;
                } else {
                    sum.0 += ready.moles * (strength * at / with);
                    sum.1 += ready.moles * (strength / with) * (others / with);
                }
            }
            sum
        };
        if let Some(most) = metal.over_hydroxide.map(|over| (over + metal.charge * whole.over_hydroxide).exp())
            && most * water < all
        {
            let (left, _) = beyond(most);
            if left <= 0.0 {
                return (most, -left);
            }
        }
        // From above one step leads below, where the others only go up.
        let mut at = free.get(number).copied().unwrap_or(0.0);
        for round in 0..ROUNDS {
            let (left, slope) = beyond(at);
            let step = -left / slope;
            if !step.is_finite() || round > 0 && step <= FOUND * at {
                break;
            }
            at = (at + step).max(0.0);
        }
        (at, 0.0)
    }

    fn held(&self, holder: &Holder, ready: &Ready, free: &[f64]) -> Held {
        let there = |pair: &Pair| free.get(pair.metal).copied().unwrap_or(0.0);
        let with = holder.pairs.iter().zip(&ready.strengths).map(|(pair, strength)| strength * there(pair));
        let all = 1.0 + with.sum::<f64>();
        let dissolved = ready.dissolved(all);
        let each = dissolved / all;
        let forms = || (0_u32..).zip(&ready.shares);
        let mut bound = Vec::new();
        for pair in &holder.pairs {
            let Some(metal) = self.metals.get(pair.metal) else { continue };
            let forms = forms().collect::<Vec<_>>().into_iter().rev();
            bound.extend(pair.by_protons.iter().zip(forms).map(|(constant, (lost, share))| Bound {
                metal: metal.family,
                lost,
                charge: metal.charge,
                moles: each * constant * share * there(pair),
            }));
        }
        Held {
            family: holder.family,
            dissolved,
            free: forms().map(|(lost, share)| (lost, each * share)).collect(),
            bound,
        }
    }
}

impl Holder {
    fn ready(&self, mixture: &Mixture, constants: &[f64], ln_activity: f64, water: f64) -> Ready {
        let Some(family) = mixture.families.get(self.family) else {
            return Ready { shares: Vec::new(), strengths: Vec::new(), moles: 0.0, saturated: f64::INFINITY };
        };
        let known = &family.constants;
        let own = constants.get(self.constants..self.constants + known.pka().len()).unwrap_or_default();
        let mut shares = Vec::with_capacity(own.len() + 1);
        each_state(own, (-ln_activity).exp(), |_, share| shares.push(share));
        let strength = |pair: &Pair| {
            pair.by_protons.iter().zip(shares.iter().rev()).map(|(constant, share)| constant * share).sum()
        };
        let most = known.saturation().map(|most| most.mul_add(water, family.taken_elsewhere));
        let uncharged = known.uncharged().and_then(|number| shares.get(number));
        let saturated = most.zip(uncharged).map_or(f64::INFINITY, |(most, share)| most / share);
        let strengths = self.pairs.iter().map(strength).collect();
        Ready { strengths, moles: family.moles.max(0.0), saturated, shares }
    }
}

/// The stability constants of a family's forms with a metal in a medium.
fn in_medium(known: &Constants, log_k: &[f64], metal: f64, medium: &Medium, model: Activity) -> Vec<f64> {
    let bare = known.top_charge() - known.pka().len() as f64;
    let forms = (0_u32..).zip(log_k).take(known.pka().len() + 1);
    forms
        .map(|(protons, log_k)| {
            let charge = bare + f64::from(protons);
            let both = charge + metal;
            let apart = coefficient(known, charge, medium, model) + medium.cation(metal, model);
            let together = match both {
                both if both < 0.0 => medium.anion(both, interaction::usual(both), model),
                both if both > 0.0 => medium.cation(both, model),
                _ => 0.0,
            };
            10f64.powf(log_k + apart - together)
        })
        .collect()
}

/// The logarithm of the activity coefficient of a form of a family.
fn coefficient(known: &Constants, charge: f64, medium: &Medium, model: Activity) -> f64 {
    match charge {
        charge if charge < 0.0 => medium.anion(charge, known.pull(charge), model),
        charge if charge > 0.0 => medium.cation(charge, model),
        _ => 0.0,
    }
}
