//! One metal after the other, from nothing: sure, and slow where several hold or fall out with the same.
//!
//! Each metal has a balance of its own, which only rises with what is free of it; each is solved by steps of Newton's from
//! below, which never go too far, since the balance bends down; and of several all in turn. What falls out with an acid is
//! looked for within a bracket.

use super::at::{How, Ready, State};
use super::{Metals, Solid};

/// Rounds over several metals, and steps within one.
const ROUNDS: usize = 300;
/// What is free of a metal is found when a step moves it by less than this share.
const FOUND: f64 = 1e-15;

/// All there is of metals and holders at an activity, in so much water.
#[derive(Clone)]
struct Whole {
    /// Of each metal, in mol.
    totals: Vec<f64>,
    ready: Vec<Ready>,
}

impl Ready {
    fn free_beside(&self, free: &[f64]) -> f64 {
        let all = self.all(free);
        self.saturated.min(self.moles / all)
    }
}

impl Metals {
    /// Where to start from: one round, where no acid has fallen out with a metal. None where it is no start.
    pub(super) fn begin(&self, state: &mut State) -> bool {
        state.ready.iter_mut().for_each(|ready| ready.solid = None);
        state.free = vec![0.0; self.metals.len()];
        state.fallen = vec![0.0; self.metals.len()];
        state.taken = vec![0.0; self.solids.len()];
        state.follows = vec![None; self.metals.len()];
        for number in 0..self.metals.len() {
            let (free, fallen) = self.free(number, (&state.totals, &state.ready), state, &state.free);
            if let (Some(known), Some(out)) = (state.free.get_mut(number), state.fallen.get_mut(number)) {
                (*known, *out) = (free, fallen);
            }
        }
        state.full = state.fallen.iter().map(|fallen| *fallen > 0.0).collect();
        state.ln_free = state.free.iter().map(|free| free.ln()).collect();
        state.free.iter().zip(&state.totals).all(|(free, all)| *free > 0.0 || *all <= 0.0)
    }

    /// All of it.
    pub(super) fn in_turn(&self, state: &mut State) {
        let whole = Whole { totals: state.totals.clone(), ready: state.ready.clone() };
        let mut taken = vec![0.0; self.solids.len()];
        for _ in 0..ROUNDS {
            let mut moved = 0.0_f64;
            for number in 0..self.solids.len() {
                let found = self.fallen_with(number, &whole, state, &taken);
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
        (state.free, state.fallen) = self.all_free(&left, state);
        state.full = state.fallen.iter().map(|fallen| *fallen > 0.0).collect();
        state.ln_free = state.free.iter().map(|free| free.ln()).collect();
        for (ready, left) in state.ready.iter_mut().zip(&left.ready) {
            ready.free = left.free_beside(&state.free);
            ready.dissolved = left.moles.min(left.saturated * left.all(&state.free));
            (ready.solid, ready.how) = (None, How::Dissolved);
        }
        state.taken = taken;
        state.follows = vec![None; self.metals.len()];
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
    fn fallen_with(&self, number: usize, whole: &Whole, state: &State, taken: &[f64]) -> f64 {
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
        let mut over = |logarithm: f64| self.is_over(solid, &set(-most * logarithm.exp_m1()), state);
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
    fn is_over(&self, solid: &Solid, left: &Whole, state: &State) -> f64 {
        let (free, _) = self.all_free(left, state);
        let bare = left
            .ready
            .get(solid.holder)
            .map_or(f64::NEG_INFINITY, |ready| (ready.free_beside(&free) / state.water).ln() + ready.ln_bare());
        free.get(solid.metal).copied().unwrap_or(0.0).ln() + bare - solid.product
    }

    /// How much of each metal is free, as molality, and how much of it falls out as hydroxide, in mol.
    fn all_free(&self, whole: &Whole, state: &State) -> (Vec<f64>, Vec<f64>) {
        let mut free = vec![0.0; self.metals.len()];
        let mut fallen = vec![0.0; self.metals.len()];
        for _ in 0..ROUNDS {
            let mut moved = 0.0_f64;
            for number in 0..self.metals.len() {
                let (found, over) = self.free(number, (&whole.totals, &whole.ready), state, &free);
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
    fn free(&self, number: usize, (totals, ready): (&[f64], &[Ready]), state: &State, free: &[f64]) -> (f64, f64) {
        let (all, water) = (totals.get(number).copied().unwrap_or(0.0), state.water);
        if all <= 0.0 {
            return (0.0, 0.0);
        }
        // Of each holder: how strongly it holds this metal, and how many hold others for each without.
        let holders = ready.iter().filter_map(|ready| {
            let strength = ready.with.get(number).map(|with| with.count).filter(|strength| *strength > 0.0)?;
            Some((ready, strength, ready.all(free) - ready.count(number, free)))
        });
        let holders: Vec<(&Ready, f64, f64)> = holders.collect();
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
        let most = state.most.get(number).map_or(f64::INFINITY, |most| most.exp());
        if most * water < all {
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
}
