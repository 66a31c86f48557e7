//! All metals at once: Newton's steps in the logarithms of what is free of each.
//!
//! In those the balances are the slopes of one function that bends up everywhere, so that there is one answer. Which metals
//! lie as hydroxide, and which holders with a metal, is supposed as it was at the activity before, and turned where the
//! answer says otherwise.

use super::super::mixture::Mixture;
use super::at::{How, Ready, State};
use super::{Metals, Solid};

/// Steps until what is free is found, and turns of what lies at the bottom.
const STEPS: usize = 60;
const TURNS: usize = 16;
/// A step of Newton's as small as this leaves a share of 1e-12 behind it, and nothing where the activity hardly moves.
const SMALL_STEP: f64 = 1e-6;
/// No step is let go farther.
const FAR: f64 = 4.0;
/// What rounding may be off.
const ROUNDING: f64 = 1e-12;

/// Adds one figure of a list to another.
fn add(list: &mut [f64], from: usize, to: usize) {
    let more = list.get(from).copied().unwrap_or(0.0);
    list.iter_mut().skip(to).take(1).for_each(|figure| *figure += more);
}

impl Metals {
    /// How they stand at an activity, given with its logarithm first, in so much water and at its activity, where all
    /// families have these constants.
    pub fn settle(
        &self,
        state: &mut State,
        mixture: &Mixture,
        constants: &[f64],
        (ln_activity, hydrogen): (f64, f64),
        (water, activity): (f64, f64),
    ) {
        if state.holds && (state.ln_activity, state.water, state.activity) == (ln_activity, water, activity) {
            return;
        }
        let moved = ln_activity - state.ln_activity;
        (state.ln_activity, state.water, state.activity, state.holds) = (ln_activity, water, activity, true);
        self.fill(state, mixture, constants, 1.0 / hydrogen);
        if state.started {
            for (logarithm, drift) in state.ln_free.iter_mut().zip(&state.drift) {
                *logarithm += (drift * moved).clamp(-FAR, FAR);
            }
        }
        state.in_turn = !(state.started && self.jointly(state) || self.begin(state) && self.jointly(state));
        if state.in_turn {
            self.in_turn(state);
        }
        state.started = !state.in_turn;
    }

    fn jointly(&self, state: &mut State) -> bool {
        for _ in 0..TURNS {
            if !self.newton(state) {
                return false;
            }
            match self.turn(state) {
                Some(true) => {}
                Some(false) => return true,
                None => return false,
            }
        }
        false
    }

    /// Newton's steps, where so much lies at the bottom.
    fn newton(&self, state: &mut State) -> bool {
        for (logarithm, (full, most)) in state.ln_free.iter_mut().zip(state.full.iter().zip(&state.most)) {
            if *full {
                *logarithm = *most;
            }
        }
        for number in 0..self.metals.len() {
            let led = state.follows.get(number).copied().flatten().and_then(|of| self.led(of, &state.ln_free));
            if let (Some(logarithm), Some(led)) = (state.ln_free.get_mut(number), led) {
                *logarithm = led;
            }
        }
        self.hold(state);
        for _ in 0..STEPS {
            self.equations(state);
            self.reduce(state);
            state.solve(|_| 0.0);
            let mut moved = 0.0_f64;
            for (logarithm, step) in state.ln_free.iter_mut().zip(&state.right) {
                if !step.is_finite() {
                    return false;
                }
                moved = moved.max(step.abs());
                *logarithm += step.clamp(-FAR, FAR);
            }
            self.hold(state);
            if moved < SMALL_STEP {
                return true;
            }
        }
        false
    }

    /// The logarithm of what is free of a metal that follows another.
    fn led(&self, (own, leader): (usize, usize), ln_free: &[f64]) -> Option<f64> {
        let (own, leader) = (self.solids.get(own)?, self.solids.get(leader)?);
        Some(ln_free.get(leader.metal)? + own.product - leader.product)
    }

    /// Which metals follow, and which lead them.
    fn followers(&self, follows: &[Option<(usize, usize)>]) -> impl Iterator<Item = (usize, usize)> {
        follows.iter().enumerate().filter_map(|(metal, follows)| Some((metal, self.solids.get((*follows)?.1)?.metal)))
    }

    fn reduce(&self, state: &mut State) {
        let follows = std::mem::take(&mut state.follows);
        state.reduce(self.followers(&follows));
        state.follows = follows;
    }

    /// How much of each holder is without metal, where so much of the metals is free.
    fn hold(&self, state: &mut State) {
        for (free, logarithm) in state.free.iter_mut().zip(&state.ln_free) {
            *free = logarithm.exp();
        }
        for ready in &mut state.ready {
            let solid = ready.solid.and_then(|number| self.solids.get(number));
            let all = ready.all(&state.free);
            (ready.how, ready.free) = match solid {
                Some(solid) => {
                    let metal = state.ln_free.get(solid.metal).copied().unwrap_or(f64::NAN);
                    (How::Lies(solid.metal), (solid.product + state.water.ln() - ready.ln_bare() - metal).exp())
                }
                None if ready.saturated * all < ready.moles => (How::Saturated, ready.saturated),
                None => (How::Dissolved, ready.moles / all),
            };
            ready.dissolved = if ready.how == How::Dissolved { ready.moles } else { ready.free * all };
        }
    }

    /// How far what is free, held and fallen out of each metal is over all there is, on the right; and how fast that goes
    /// with the logarithm of what is free of each.
    fn equations(&self, state: &mut State) {
        let metals = self.metals.len();
        let State { rows, right, free, totals, ready, water, follows, .. } = state;
        rows.clear();
        rows.resize(metals * metals, 0.0);
        right.clear();
        right.extend(free.iter().zip(&*totals).map(|(free, all)| *water * free - all));
        for (own, free) in rows.iter_mut().step_by(metals + 1).zip(&*free) {
            *own = *water * free;
        }
        for ready in ready.iter() {
            let all = ready.all(free);
            for (number, (row, right)) in rows.chunks_exact_mut(metals).zip(right.iter_mut()).enumerate() {
                let bound = ready.free * ready.count(number, free);
                let lies = ready.how == How::Lies(number);
                *right += bound + if lies { ready.moles - ready.dissolved } else { 0.0 };
                for (other, cell) in row.iter_mut().enumerate() {
                    let count = ready.count(other, free);
                    let goes = ready.goes_with(other, count, all);
                    *cell += bound * (goes + if other == number { 1.0 } else { 0.0 });
                    if lies {
                        *cell -= ready.free * (all * goes + count);
                    }
                }
            }
        }
        // What lies with a holder is all told of the metal that leads.
        for (number, leader) in self.followers(follows) {
            for other in 0..metals {
                let more = rows.get(number * metals + other).copied().unwrap_or(0.0);
                rows.iter_mut().skip(leader * metals + other).take(1).for_each(|cell| *cell += more);
            }
            add(right, number, leader);
        }
    }

    /// Turns what lies at the bottom and should not, or should and does not; tells whether any did. None where a metal would
    /// have to lie in more ways than are reckoned with.
    fn turn(&self, state: &mut State) -> Option<bool> {
        let (mut turned, mut leads) = (false, None);
        if state.full.contains(&true) || state.follows.iter().any(Option::is_some) {
            self.equations(state);
        }
        let of_metals = state.full.iter_mut().zip(&mut state.fallen).zip(state.right.iter().zip(&state.totals));
        let of_metals = of_metals.zip(state.ln_free.iter().zip(&state.most)).zip(&state.follows);
        for ((((full, fallen), (over, all)), (logarithm, most)), follows) in of_metals {
            *fallen = if *full { (-over).max(0.0) } else { 0.0 };
            let other = if *full { -over < -ROUNDING * all } else { *logarithm > most + ROUNDING };
            *full ^= other;
            leads = leads.or(follows.filter(|_| *full));
            turned |= other;
        }
        if let Some((own, _)) = leads {
            // What is free of it is known: the others go by it.
            self.lead(own, state)?;
            return Some(true);
        }
        for number in 0..self.solids.len() {
            turned |= self.turn_solid(number, state)?;
        }
        Some(turned)
    }

    /// The same of one solid.
    fn turn_solid(&self, number: usize, state: &mut State) -> Option<bool> {
        let solid = self.solids.get(number)?;
        let follows = state.follows.get(solid.metal).copied().flatten();
        let followers = state.follows.iter().zip(&state.right).filter(|(of, _)| of.is_some_and(|(_, of)| of == number));
        let by_followers: f64 = followers.map(|(_, over)| -over).sum();
        let ready = state.ready.get_mut(solid.holder)?;
        let taken = state.taken.get_mut(number)?;
        *taken = 0.0;
        if ready.solid == Some(number) {
            let lies = ready.moles - ready.dissolved - by_followers;
            *taken = lies.max(0.0);
            if ready.free > ready.saturated * (1.0 + ROUNDING) {
                return None;
            }
            if lies < -ROUNDING * ready.moles {
                ready.solid = None;
                self.lead_by_another(number, state);
                return Some(true);
            }
        } else if follows.is_some_and(|(own, _)| own == number) {
            let lies = state.right.get(solid.metal).map_or(0.0, |over| -over);
            *taken = lies.max(0.0);
            if lies < -ROUNDING * ready.moles {
                *state.follows.get_mut(solid.metal)? = None;
                return Some(true);
            }
        } else if self.over(solid, ready, &state.ln_free, state.water) > ROUNDING {
            let metal_of = |number: usize| self.solids.get(number).map(|solid| solid.metal);
            match ready.solid {
                None if follows.is_none() => ready.solid = Some(number),
                Some(leader) if follows.is_none() => {
                    if state.ready.iter().any(|ready| ready.solid.and_then(metal_of) == Some(solid.metal)) {
                        return None;
                    }
                    *state.follows.get_mut(solid.metal)? = Some((number, leader));
                    if *state.full.get(solid.metal)? {
                        self.lead(number, state)?;
                    }
                }
                _ => return None,
            }
            return Some(true);
        }
        Some(false)
    }

    /// Makes a solid that follows lead; none where the one that led stands as its hydroxide lets.
    fn lead(&self, number: usize, state: &mut State) -> Option<()> {
        let solid = self.solids.get(number)?;
        let before = state.ready.get_mut(solid.holder)?.solid.replace(number)?;
        for follows in state.follows.iter_mut().flatten().filter(|(_, leader)| *leader == before) {
            follows.1 = number;
        }
        let led = self.solids.get(before)?.metal;
        *state.follows.get_mut(solid.metal)? = None;
        *state.follows.get_mut(led)? = Some((before, number));
        (!*state.full.get(led)?).then_some(())
    }

    /// Where a solid no longer lies, the first that followed it leads.
    fn lead_by_another(&self, number: usize, state: &mut State) {
        let mut leads = None;
        for follows in &mut state.follows {
            let Some((own, _)) = follows.filter(|(_, leader)| *leader == number) else { continue };
            *follows = leads.map(|leader| (own, leader));
            leads = leads.or(Some(own));
        }
        let holder = self.solids.get(number).map_or(usize::MAX, |solid| solid.holder);
        state.ready.iter_mut().skip(holder).take(1).for_each(|ready| ready.solid = leads);
    }

    /// How far the product of a metal and the bare form of a holder is over what the solid lets, as a logarithm.
    pub(super) fn over(&self, solid: &Solid, ready: &Ready, ln_free: &[f64], water: f64) -> f64 {
        let metal = ln_free.get(solid.metal).copied().unwrap_or(f64::NEG_INFINITY);
        metal + (ready.free / water).ln() + ready.ln_bare() - solid.product
    }

    /// The charge of the metals and of what may hold them, all that is dissolved of it; and how fast it grows with the
    /// logarithm of the activity of hydrogen, in so much water.
    pub fn charge(&self, state: &mut State) -> (f64, f64) {
        let charge_of = |number: usize| self.metals.get(number).map_or(0.0, |metal| metal.charge);
        let metals = self.metals.iter().zip(state.totals.iter().zip(&state.fallen));
        let mut charge: f64 = metals.map(|(of, (all, fallen))| of.charge * (all - fallen)).sum();
        for (solid, taken) in self.solids.iter().zip(&state.taken) {
            charge -= taken * charge_of(solid.metal);
        }
        let (of_holders, mut slope) = self.charge_of_holders(state);
        if state.full.contains(&true) || state.follows.iter().any(Option::is_some) {
            self.equations(state);
            slope += self.slope_of_fallen(state);
            self.reduce(state);
        }
        std::mem::swap(&mut state.right, &mut state.drift);
        state.solve(charge_of);
        slope += state.right.iter().zip(&state.pulls).map(|(moves, pull)| moves * pull).sum::<f64>();
        std::mem::swap(&mut state.right, &mut state.drift);
        (charge + of_holders, slope)
    }

    /// The charge of the holders and what they hold, without the metals' own, and how fast it grows where nothing else moves
    /// of what is free. How fast the balances go with the activity becomes `drift`; how the charge goes with what is free,
    /// `pulls`. What is told of a solid goes by what is left of its metal.
    fn charge_of_holders(&self, state: &mut State) -> (f64, f64) {
        let State { drift, pulls, free, ready, .. } = state;
        for list in [&mut *drift, &mut *pulls] {
            list.clear();
            list.resize(self.metals.len(), 0.0);
        }
        let (mut charge, mut slope) = (0.0, 0.0);
        for ready in ready.iter() {
            let (sums, own) = (ready.sums(free), ready.own.charge);
            let goes = ready.goes_with_activity(&sums);
            // How fast what is dissolved of it grows.
            let grows = ready.free * (sums.count * goes + sums.charge - own * sums.count);
            let lies = match ready.how {
                How::Lies(metal) => self.metals.get(metal).map(|of| (metal, of.charge)),
                _ => None,
            };
            let of_metal = lies.map_or(0.0, |(_, charge)| charge);
            charge += ready.free * sums.charge;
            slope += ready.free * (sums.charge * goes + sums.squares - own * sums.charge) + of_metal * grows;
            let each = drift.iter_mut().zip(pulls.iter_mut()).zip(ready.with.iter().zip(&*free));
            for (number, ((drift, pull), (with, free))) in each.enumerate() {
                let count = free * with.count;
                let by = ready.goes_with(number, count, sums.count);
                *drift += ready.free * (free * (with.charge - own * with.count) + count * goes);
                *pull += ready.free * (sums.charge * by + free * with.charge + of_metal * (sums.count * by + count));
                if lies.is_some_and(|(metal, _)| metal == number) {
                    *drift -= grows;
                }
            }
        }
        (charge, slope)
    }

    /// The same of what lies as hydroxide, which falls by what its balance grows; and of a metal that follows another,
    /// by what their charges differ.
    fn slope_of_fallen(&self, state: &mut State) -> f64 {
        let charge_of = |number: usize| self.metals.get(number).map_or(0.0, |metal| metal.charge);
        let metals = self.metals.len().max(1);
        let State { drift, pulls, rows, full, follows, .. } = state;
        let mut slope = 0.0;
        let mut tell = |number: usize, charge: f64, drift: &[f64]| {
            slope += charge * drift.get(number).copied().unwrap_or(0.0);
            let row = rows.chunks_exact(metals).nth(number).unwrap_or_default();
            pulls.iter_mut().zip(row).for_each(|(pull, cell)| *pull += charge * cell);
        };
        for (number, leader) in self.followers(follows) {
            tell(number, charge_of(number) - charge_of(leader), drift);
            add(drift, number, leader);
        }
        for (number, _) in full.iter().enumerate().filter(|(_, full)| **full) {
            tell(number, charge_of(number), drift);
        }
        slope
    }
}
