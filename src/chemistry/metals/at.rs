//! Metals and holders at one activity of hydrogen ions: what is known before how much is free is.

use super::super::forms::each_state;
use super::super::mixture::Mixture;
use super::linear::{reduce, solve};
use super::{Holder, Metals};

/// How metals stand at an activity, in so much water. Its parts go by the metals, the holders and the solids; amounts in
/// mol. It is filled again at the next activity, so that nothing is allocated twice.
#[derive(Default)]
pub struct State {
    /// The natural logarithm of the activity of hydrogen, and the water and its activity, that it holds for.
    pub(super) ln_activity: f64,
    pub(super) water: f64,
    pub(super) activity: f64,
    /// Whether it holds for them; whether there is anywhere to start from; whether it was found in turn.
    pub(super) holds: bool,
    pub(super) started: bool,
    pub(super) in_turn: bool,
    /// Of each metal.
    pub(super) totals: Vec<f64>,
    /// The natural logarithm of the most that is free of each over its hydroxide.
    pub(super) most: Vec<f64>,
    /// The natural logarithm of the molality that is free, and that itself.
    pub(super) ln_free: Vec<f64>,
    pub(super) free: Vec<f64>,
    /// How fast the logarithm goes with that of the activity.
    pub(super) drift: Vec<f64>,
    /// Whether so much of it is free as its hydroxide lets, and how much of that has fallen out.
    pub(super) full: Vec<bool>,
    pub(super) fallen: Vec<f64>,
    /// Of a metal that lies with a holder with which another lies that leads: its own solid, and that of the leader.
    pub(super) follows: Vec<Option<(usize, usize)>>,
    /// How much of each solid has fallen out.
    pub(super) taken: Vec<f64>,
    pub(super) ready: Vec<Ready>,
    /// The equations, row after row and reduced, and their right sides; how fast the charge goes with what is free.
    pub(super) rows: Vec<f64>,
    pub(super) right: Vec<f64>,
    pub(super) pulls: Vec<f64>,
}

/// Sums over the forms of a holder, each times its stability constant where it holds a metal: of how many there are for
/// each of the holder without metal (at a molality of 1), of their charges without the metal's, and of the squares.
#[derive(Clone, Copy, Debug, Default)]
pub struct Sums {
    pub count: f64,
    pub charge: f64,
    pub squares: f64,
}

/// What says how much of a holder is without metal.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum How {
    /// All of it is dissolved.
    #[default]
    Dissolved,
    /// So much as dissolves.
    Saturated,
    /// The solid of it and of a metal.
    Lies(usize),
}

/// A holder at an activity.
#[derive(Clone, Debug, Default)]
pub struct Ready {
    /// The shares of its forms without metal.
    pub shares: Vec<f64>,
    /// Over those.
    pub own: Sums,
    /// By metal.
    pub with: Vec<Sums>,
    pub moles: f64,
    /// How much of it there is without metal where more is uncharged than dissolves.
    pub saturated: f64,
    /// The charge of its form without protons.
    pub bare: f64,
    /// Which solid of it lies there.
    pub solid: Option<usize>,
    pub how: How,
    /// How much of it is without metal, and how much dissolved.
    pub free: f64,
    pub dissolved: f64,
}

impl State {
    /// Whether it was found in turn, and with it no slope.
    pub fn was_in_turn(&self) -> bool {
        self.in_turn
    }

    /// How many metals, holders and solids it is of.
    pub(super) fn parts(&self) -> (usize, usize, usize) {
        (self.free.len(), self.ready.len(), self.taken.len())
    }

    /// It holds no longer, but is where to start from.
    pub fn forget(&mut self) {
        self.holds = false;
    }

    /// Reduces the equations, of which that of a metal says where it stands where that is known beforehand, or that it goes
    /// as its leader.
    pub(super) fn reduce(&mut self, leaders: impl Iterator<Item = (usize, usize)>) {
        let metals = self.free.len().max(1);
        let rows = self.rows.chunks_exact_mut(metals).zip(self.full.iter().zip(&self.totals));
        for (number, (row, (full, all))) in rows.enumerate() {
            if *full || *all <= 0.0 {
                row.iter_mut().enumerate().for_each(|(other, cell)| *cell = f64::from(u8::from(other == number)));
            }
        }
        for (number, leader) in leaders {
            let row = self.rows.chunks_exact_mut(metals).nth(number).unwrap_or_default();
            for (other, cell) in row.iter_mut().enumerate() {
                *cell = f64::from(u8::from(other == number)) - f64::from(u8::from(other == leader));
            }
        }
        reduce(&mut self.rows, metals);
    }

    /// Solves the reduced equations, where metals of which so much is free as their hydroxide lets go so.
    pub(super) fn solve(&mut self, goes: impl Fn(usize) -> f64) {
        let known = self.right.iter_mut().zip(self.full.iter().zip(&self.totals)).enumerate();
        for (number, (right, (full, all))) in known {
            *right = match (*full, *all > 0.0) {
                (true, _) => goes(number),
                (false, true) => -*right,
                (false, false) => 0.0,
            };
        }
        let followers = self.right.iter_mut().zip(&self.follows).filter(|(_, follows)| follows.is_some());
        followers.for_each(|(right, _)| *right = 0.0);
        solve(&self.rows, &mut self.right);
    }

    /// What lies at the bottom: the hydroxide in it, and all of it, in mol.
    pub fn lies(&self, metals: &Metals) -> (f64, f64) {
        let hydroxide = metals.metals.iter().zip(&self.fallen).map(|(metal, fallen)| metal.charge * fallen).sum();
        let of_metals = self.fallen.iter().sum::<f64>() + self.taken.iter().sum::<f64>();
        let of_holders: f64 = self.ready.iter().map(|ready| ready.moles - ready.dissolved).sum();
        (hydroxide, of_metals + of_holders)
    }
}

impl Metals {
    /// Fills in what does not depend on how much is free.
    pub(super) fn fill(&self, state: &mut State, mixture: &Mixture, constants: &[f64], per_activity: f64) {
        let moles = |family: usize| mixture.families.get(family).map_or(0.0, |family| family.moles.max(0.0));
        state.totals.clear();
        state.totals.extend(self.metals.iter().map(|metal| moles(metal.family)));
        state.most.clear();
        state.most.extend(self.metals.iter().map(|metal| {
            let over_water = |over: f64| over + metal.charge * (state.ln_activity - state.activity.ln());
            metal.over_hydroxide.map_or(f64::INFINITY, over_water)
        }));
        state.ready.resize_with(self.holders.len(), Ready::default);
        for (holder, ready) in self.holders.iter().zip(&mut state.ready) {
            ready.fill(holder, mixture, constants, per_activity, (state.water, self.metals.len()));
        }
    }
}

impl Ready {
    fn fill(
        &mut self,
        holder: &Holder,
        mixture: &Mixture,
        constants: &[f64],
        per_activity: f64,
        (water, metals): (f64, usize),
    ) {
        let Some(family) = mixture.families.get(holder.family) else { return };
        let known = &family.constants;
        let own = constants.get(holder.constants..holder.constants + known.pka().len()).unwrap_or_default();
        self.shares.clear();
        each_state(own, per_activity, |_, share| self.shares.push(share));
        let bare_first = || (0_u32..).zip(self.shares.iter().rev()).map(|(protons, share)| (protons, *share));
        self.bare = holder.bare;
        self.own = Sums::over(holder.bare, bare_first());
        self.with.clear();
        self.with.resize(metals, Sums::default());
        for pair in &holder.pairs {
            if let Some(with) = self.with.get_mut(pair.metal) {
                let held = bare_first().zip(&pair.by_protons);
                *with = Sums::over(holder.bare, held.map(|((protons, share), constant)| (protons, constant * share)));
            }
        }
        self.moles = family.moles.max(0.0);
        let most = known.saturation().map(|most| most.mul_add(water, family.taken_elsewhere));
        let uncharged = known.uncharged().and_then(|number| self.shares.get(number));
        self.saturated = most.zip(uncharged).map_or(f64::INFINITY, |(most, share)| most / share);
    }
}

impl Ready {
    /// How many of it there are for each without metal, where so much of the metals is free.
    pub fn all(&self, free: &[f64]) -> f64 {
        1.0 + self.with.iter().zip(free).map(|(with, free)| with.count * free).sum::<f64>()
    }

    /// How many hold a metal for each without.
    pub fn count(&self, metal: usize, free: &[f64]) -> f64 {
        self.with.get(metal).zip(free.get(metal)).map_or(0.0, |(with, free)| with.count * free)
    }

    /// Over all its forms, for each without metal.
    pub fn sums(&self, free: &[f64]) -> Sums {
        let with = self.with.iter().zip(free);
        with.fold(Sums { count: 1.0, ..self.own }, |sums, (with, free)| Sums {
            count: sums.count + free * with.count,
            charge: sums.charge + free * with.charge,
            squares: sums.squares + free * with.squares,
        })
    }

    /// The natural logarithm of the share of the bare form.
    pub fn ln_bare(&self) -> f64 {
        self.shares.last().copied().unwrap_or(1.0).ln()
    }

    /// How the logarithm of what is without metal goes with that of what is free of a metal, of which so many are held, of
    /// so many in all.
    pub fn goes_with(&self, metal: usize, count: f64, all: f64) -> f64 {
        match self.how {
            How::Dissolved => -count / all,
            How::Saturated => 0.0,
            How::Lies(with) => -f64::from(u8::from(with == metal)),
        }
    }

    /// How it goes with the logarithm of the activity of hydrogen, where so much of the metals is free.
    pub fn goes_with_activity(&self, sums: &Sums) -> f64 {
        match self.how {
            How::Dissolved => self.own.charge - sums.charge / sums.count,
            How::Saturated => self.own.charge,
            How::Lies(_) => self.own.charge - self.bare,
        }
    }
}

impl Sums {
    fn over(bare: f64, forms: impl Iterator<Item = (u32, f64)>) -> Sums {
        forms.fold(Sums::default(), |sums, (protons, weight)| {
            let charge = bare + f64::from(protons);
            let charges = charge * weight;
            Sums { count: sums.count + weight, charge: sums.charge + charges, squares: sums.squares + charge * charges }
        })
    }
}
