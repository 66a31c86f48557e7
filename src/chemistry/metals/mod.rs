//! Metals in water: what acids hold of them, and what falls out as hydroxide or with an acid.
//!
//! A metal that an acid holds keeps its protons off: so calcium makes citric acid stronger. How much is held follows from
//! stability constants, one for each form of the acid, and from how much of each there is. An acid holds one metal at a
//! time. What falls out with an acid takes as much of the one as of the other, until what is left of both is what the
//! solubility product lets. All metals are solved for at once, from where they stood before (`joint`); where that does not
//! settle, in turn, from nothing (`in_turn`).

mod at;
mod in_turn;
mod joint;
mod linear;
#[cfg(test)]
mod tests;

use super::activity::{Activity, Medium};
use super::balance::PKW;
use super::interaction;
use super::mixture::{Constants, Mixture};
use super::settled::{Bound, Held, Settled, Standing};
pub use at::State;
use std::cell::Cell;
use std::f64::consts::LN_10;

/// The metals of a mixture in a medium, and the families that hold them.
pub struct Metals {
    metals: Vec<Metal>,
    holders: Vec<Holder>,
    solids: Vec<Solid>,
    /// How they stood where they were asked for last.
    state: Cell<Start>,
}

/// How metals stood somewhere, to be looked for from there.
pub type Start = Option<Box<State>>;

/// A salt of a metal and the bare form of a holder that falls out.
struct Solid {
    metal: usize,
    holder: usize,
    pksp: f64,
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
    /// The charge of its form with every proton on, and of that with none.
    top: f64,
    bare: f64,
    pairs: Vec<Pair>,
}

/// A family and a metal that it holds.
struct Pair {
    /// Which of the metals.
    metal: usize,
    /// Which of the family's bindings.
    binding: usize,
    /// The constants in the medium: of the form without protons, of that with one, and so on.
    by_protons: Vec<f64>,
}

impl Metals {
    /// The metals of a mixture that are held or may fall out; none where there are none.
    pub fn of(mixture: &Mixture, medium: &Medium, model: Activity) -> Option<Metals> {
        let families = &mixture.families;
        let is_held = |id: u64| families.iter().any(|by| by.constants.binds().iter().any(|of| of.metal == id));
        let is_metal = |known: &Constants, id: u64| {
            let falls_out = known.hydroxide().is_some() || !known.falls_out_with().is_empty();
            known.pka().is_empty() && (falls_out || is_held(id))
        };
        let numbered = families.iter().enumerate().filter(|(_, family)| is_metal(&family.constants, family.id));
        let metals: Vec<Metal> = numbered
            .map(|(family, of)| Metal { family, charge: of.constants.top_charge(), over_hydroxide: None })
            .collect();
        if metals.is_empty() {
            return None;
        }
        let mut found = Metals { metals, holders: Vec::new(), solids: Vec::new(), state: Cell::default() };
        found.find_holders(mixture);
        found.put_into(mixture, medium, model);
        Some(found)
    }

    fn find_holders(&mut self, mixture: &Mixture) {
        let mut constants = 0;
        for (number, family) in mixture.families.iter().enumerate() {
            let known = &family.constants;
            let (mut pairs, solids) = (Vec::new(), self.solids.len());
            for (at, metal) in self.metals.iter().enumerate() {
                let Some(of) = mixture.families.get(metal.family) else { continue };
                if let Some(binding) = known.binds().iter().position(|binding| binding.metal == of.id) {
                    pairs.push(Pair { metal: at, binding, by_protons: Vec::new() });
                }
                let with = of.constants.falls_out_with().iter().find(|(with, _)| *with == family.id);
                let solid = |(_, pksp): &(u64, f64)| Solid {
                    metal: at,
                    holder: self.holders.len(),
                    pksp: *pksp,
                    product: f64::INFINITY,
                };
                self.solids.extend(with.map(solid));
            }
            if !pairs.is_empty() || self.solids.len() > solids {
                let top = known.top_charge();
                let bare = top - known.pka().len() as f64;
                self.holders.push(Holder { family: number, constants, top, bare, pairs });
            }
            constants += known.pka().len();
        }
    }

    /// Moves them into a medium. Where they stood before stays where they are looked for first.
    pub fn put_into(&mut self, mixture: &Mixture, medium: &Medium, model: Activity) {
        let known = |family: usize| mixture.families.get(family).map(|family| &*family.constants);
        for metal in &mut self.metals {
            let pksp = known(metal.family).and_then(Constants::hydroxide);
            let logarithm = |pksp: f64| metal.charge * PKW - pksp - medium.cation(metal.charge, model);
            metal.over_hydroxide = pksp.map(|pksp| logarithm(pksp) * LN_10);
        }
        for holder in &mut self.holders {
            let Some(known) = known(holder.family) else { continue };
            for pair in &mut holder.pairs {
                let charge = self.metals.get(pair.metal).map_or(0.0, |metal| metal.charge);
                in_medium(known, pair.binding, charge, medium, model, &mut pair.by_protons);
            }
        }
        for solid in &mut self.solids {
            let (Some(metal), Some(holder)) = (self.metals.get(solid.metal), self.holders.get(solid.holder)) else {
                continue;
            };
            let Some(known) = known(holder.family) else { continue };
            let both = medium.cation(metal.charge, model) + coefficient(known, holder.bare, medium, model);
            solid.product = -(solid.pksp + both) * LN_10;
        }
        if let Some(state) = self.state.get_mut() {
            state.forget();
        }
    }

    /// Does something with how they stood last, which is kept.
    pub fn with_state<Found>(&self, work: impl FnOnce(&mut State) -> Found) -> Found {
        let mut state = self.state.take().unwrap_or_default();
        let found = work(&mut state);
        self.state.set(Some(state));
        found
    }

    /// Takes away how they stand.
    pub fn start(&self) -> Start {
        self.state.take()
    }

    /// Has them looked for from there.
    pub fn start_at(&self, start: Start) {
        let parts = (self.metals.len(), self.holders.len(), self.solids.len());
        let mut start = start.filter(|state| state.parts() == parts);
        if let Some(state) = &mut start {
            state.forget();
        }
        self.state.set(start);
    }

    /// Whether a family is one of the metals, or may hold them.
    pub fn has(&self, family: usize) -> bool {
        self.metals.iter().any(|of| of.family == family) || self.holders.iter().any(|of| of.family == family)
    }

    /// Tells every dissolved form of the metals and of what may hold them: the charge of it, how much, in mol, the family
    /// it is of, and whether a holder holds a metal in it.
    pub fn each_form(&self, state: &State, mut tell: impl FnMut(f64, f64, usize, bool)) {
        for (metal, free) in self.metals.iter().zip(&state.free) {
            tell(metal.charge, free * state.water, metal.family, false);
        }
        for (holder, ready) in self.holders.iter().zip(&state.ready) {
            for (lost, share) in (0_u32..).zip(&ready.shares) {
                tell(holder.top - f64::from(lost), ready.free * share, holder.family, false);
            }
            for pair in &holder.pairs {
                let (Some(metal), Some(free)) = (self.metals.get(pair.metal), state.free.get(pair.metal)) else {
                    continue;
                };
                for (protons, (constant, share)) in (0_u32..).zip(pair.by_protons.iter().zip(ready.shares.iter().rev()))
                {
                    let charge = holder.bare + f64::from(protons) + metal.charge;
                    tell(charge, ready.free * constant * share * free, holder.family, true);
                }
            }
        }
    }

    /// All of it as a list.
    pub fn settled(&self, state: &State) -> Settled {
        let numbers = self.metals.iter().enumerate().zip(state.free.iter().zip(&state.fallen));
        let metals = numbers.map(|((number, of), (free, as_hydroxide))| {
            let solids = self.solids.iter().zip(&state.taken).filter(|(solid, _)| solid.metal == number);
            let fallen = as_hydroxide + solids.map(|(_, taken)| taken).sum::<f64>();
            Standing { family: of.family, charge: of.charge, free: free * state.water, fallen }
        });
        let holders = self.holders.iter().zip(&state.ready).map(|(holder, ready)| {
            let forms = (0_u32..).zip(&ready.shares);
            let bound = |pair: &Pair| {
                let metal = self.metals.get(pair.metal)?;
                let each = ready.free * state.free.get(pair.metal)?;
                let forms =
                    pair.by_protons.iter().zip(ready.shares.iter().rev()).zip((0_u32..ready.shares.len() as u32).rev());
                let bound = forms.map(move |((constant, share), lost)| Bound {
                    metal: metal.family,
                    lost,
                    charge: metal.charge,
                    moles: each * constant * share,
                });
                Some(bound.collect::<Vec<_>>())
            };
            Held {
                family: holder.family,
                dissolved: ready.dissolved,
                free: forms.map(|(lost, share)| (lost, ready.free * share)).collect(),
                bound: holder.pairs.iter().filter_map(bound).flatten().collect(),
            }
        });
        Settled { metals: metals.collect(), holders: holders.collect() }
    }
}

/// The stability constants of a family's forms with a metal in a medium.
fn in_medium(
    known: &Constants,
    binding: usize,
    metal: f64,
    medium: &Medium,
    model: Activity,
    constants: &mut Vec<f64>,
) {
    constants.clear();
    let Some(log_k) = known.binds().get(binding).map(|of| &of.log_k) else { return };
    let bare = known.top_charge() - known.pka().len() as f64;
    let of_metal = medium.cation(metal, model);
    let forms = (0_u32..).zip(log_k).take(known.pka().len() + 1);
    constants.extend(forms.map(|(protons, log_k)| {
        let charge = bare + f64::from(protons);
        let both = charge + metal;
        let together = match both {
            both if both < 0.0 => medium.anion(both, interaction::usual(both), model),
            both if both > 0.0 => medium.cation(both, model),
            _ => 0.0,
        };
        ((log_k + coefficient(known, charge, medium, model) + of_metal - together) * LN_10).exp()
    }));
}

/// The logarithm of the activity coefficient of a form of a family.
fn coefficient(known: &Constants, charge: f64, medium: &Medium, model: Activity) -> f64 {
    match charge {
        charge if charge < 0.0 => medium.anion(charge, known.pull(charge), model),
        charge if charge > 0.0 => medium.cation(charge, model),
        _ => 0.0,
    }
}
