//! A beaker titrated once on a grid of pH, so that its pH under any explanation is a look-up.

use super::explanation::Explanation;
use crate::chemistry::{Activity, Mixture, brought_to, equilibrium};
use std::cell::Cell;
use std::sync::{Arc, OnceLock};

/// The grid: from here, in steps of so much, so many points: to pH 14, where the scale of a meter ends. A grid that ends
/// before a batch can stand makes its meter the liar: 0.16 mol of spare soda to a kg of water reads 13.
const LEAST_PH: f64 = 0.3;
const GRID: f64 = 0.1;
const POINTS: u32 = 138;
/// So many of them have to be there; where the rounds of a concentrated lye do not settle, the grid ends before it.
const LEAST_POINTS: usize = 118;
/// How far acid and base are moved off to see what they do: as far as the gross faults go.
const LESS_ACID: f64 = 0.75;
const LESS_BASE: f64 = 0.6;

/// A beaker at one pH of the grid.
#[derive(Clone, Copy, Debug)]
struct GridPoint {
    ph: f64,
    /// Ten to the power of minus the pH.
    activity: f64,
    /// The strong base that would still bring the beaker to this pH, in mol; below nought where it is past it.
    need: f64,
    /// What that grows by as the acid grows by the whole of itself.
    per_acid: f64,
    /// What it grows by as the adjuster's strength grows by the whole of itself.
    per_strength: f64,
}

/// A beaker as the chemistry sees it.
#[derive(Debug)]
pub struct TitratedSolution {
    points: Vec<GridPoint>,
    /// What is in it but adjuster, and how much of that, in grams.
    without: Mixture,
    grams: f64,
    /// The pH that each of the explanations for one setting of the meter gives to it: the same for whatever was read.
    explained: OnceLock<Explained>,
    /// Its water, in kg.
    water_kg: f64,
    /// How far the second model of activity lies above the first, in pH.
    pub models_apart: f64,
}

/// What the explanations for a setting of the meter make of a beaker.
#[derive(Debug)]
struct Explained {
    setting: usize,
    ph: Arc<[f64]>,
}

impl TitratedSolution {
    /// Titrates a beaker of so many grams of adjuster. None without water, or where a figure is no number.
    #[must_use]
    pub fn new(without: &Mixture, adjuster: &Mixture, grams: f64, acids: &[u64]) -> Option<TitratedSolution> {
        let with = |acid: f64, strength: f64| {
            let mut own = without.clone();
            for family in own.families.iter_mut().filter(|family| is_acid(family, acids)) {
                family.moles *= acid;
            }
            // A weaker solution weighs the same: what is missing is water.
            let mut added = adjuster.plus(adjuster, strength - 1.0);
            added.water_kg = adjuster.water_kg;
            own.plus(&added, grams)
        };
        let (whole, less_acid, less_base) = (with(1.0, 1.0), with(LESS_ACID, 1.0), with(1.0, LESS_BASE));
        let points = (0..POINTS).map(|number| {
            let ph = LEAST_PH + GRID * f64::from(number);
            let need = brought_to(&whole, ph, Activity::Davies)?.0;
            let per_acid = (need - brought_to(&less_acid, ph, Activity::Davies)?.0) / (1.0 - LESS_ACID);
            let per_strength = if grams > 0.0 {
                (need - brought_to(&less_base, ph, Activity::Davies)?.0) / (1.0 - LESS_BASE)
            } else {
                0.0
            };
            Some(GridPoint { ph, activity: 10f64.powf(-ph), need, per_acid, per_strength })
        });
        let points: Vec<GridPoint> = points.map_while(|point| point).collect();
        if points.len() < LEAST_POINTS {
            return None;
        }
        let models_apart = equilibrium(&whole, Activity::Best)?.ph - equilibrium(&whole, Activity::Davies)?.ph;
        let (water_kg, without, explained) = (whole.water_kg, without.clone(), OnceLock::new());
        Some(TitratedSolution { points, without, grams, explained, water_kg, models_apart })
    }

    /// Whether it is of the same beaker with as much adjuster in it.
    #[must_use]
    pub fn is_of(&self, without: &Mixture, grams: f64) -> bool {
        let own = &self.without;
        let same_families = own.families.len() == without.families.len()
            && own.families.iter().zip(&without.families).all(|(one, other)| {
                (one.id, one.moles, one.taken_elsewhere) == (other.id, other.moles, other.taken_elsewhere)
            });
        self.grams == grams
            && (own.water_kg, own.hydroxide, own.solvent) == (without.water_kg, without.hydroxide, without.solvent)
            && own.ions == without.ions
            && same_families
    }

    /// The pH that each of some explanations gives to it, which are those for a setting of the meter.
    #[must_use]
    pub fn explained(&self, all: &[Explanation], setting: usize) -> Arc<[f64]> {
        let drawn = || all.iter().map(|by| self.ph(by)).collect::<Arc<[f64]>>();
        let known = self.explained.get_or_init(|| Explained { setting, ph: drawn() });
        if known.setting == setting { Arc::clone(&known.ph) } else { drawn() }
    }

    /// Its pH under an explanation.
    #[must_use]
    pub fn ph(&self, by: &Explanation) -> f64 {
        root(&self.points, |at| self.need(at, by))
    }

    fn need(&self, at: &GridPoint, by: &Explanation) -> f64 {
        let buffer = by.buffer * self.water_kg / (1.0 + at.activity * by.per_buffer_constant);
        at.need + by.more_acid * at.per_acid + by.more_strength * at.per_strength + buffer
    }

    /// The pH of what lies between two beakers that differ in their adjuster, `share` of the way. It is looked for from
    /// the point of the grid where it was found before.
    #[must_use]
    pub fn ph_between(&self, other: &TitratedSolution, share: f64, by: &Explanation, near: &Cell<usize>) -> f64 {
        let water = self.water_kg + share * (other.water_kg - self.water_kg);
        let need = |(one, two): (&GridPoint, &GridPoint)| {
            let mixed = |one: f64, two: f64| one + share * (two - one);
            mixed(one.need, two.need)
                + by.more_acid * mixed(one.per_acid, two.per_acid)
                + by.more_strength * mixed(one.per_strength, two.per_strength)
                + by.buffer * water / (1.0 + one.activity * by.per_buffer_constant)
        };
        let at = |number: usize| Some((self.points.get(number)?, other.points.get(number)?));
        let count = self.points.len().min(other.points.len());
        let below = how_many(count, near.get(), |number| at(number).is_some_and(|both| need(both) < 0.0));
        near.set(below);
        let after = below.clamp(1, count.max(2) - 1);
        match (at(after - 1), at(after)) {
            (Some(before), Some(after)) => between(before.0.ph, need(before), after.0.ph, need(after)),
            _ => f64::NAN,
        }
    }
}

/// How many of so many are below something, where all of those come first: looked for from a guess outwards, in steps
/// that double. Whatever the guess, it is the same number.
fn how_many(count: usize, guess: usize, is_below: impl Fn(usize) -> bool) -> usize {
    let guess = guess.min(count);
    let (mut low, mut high, mut step) = (0, count, 1_usize);
    if guess < count && is_below(guess) {
        low = guess + 1;
        while low < high {
            let at = (low + step - 1).min(count - 1);
            if is_below(at) {
                (low, step) = (at + 1, step * 2);
            } else {
                high = at;
                break;
            }
        }
    } else {
        high = guess;
        while low < high {
            let at = high.saturating_sub(step);
            if is_below(at) {
                low = at + 1;
                break;
            }
            (high, step) = (at, step * 2);
        }
    }
    while low < high {
        let middle = usize::midpoint(low, high);
        if is_below(middle) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    low
}

fn is_acid(family: &crate::chemistry::AcidFamily, acids: &[u64]) -> bool {
    if acids.is_empty() { family.constants.top_charge() == 0.0 } else { acids.contains(&family.id) }
}

/// Where a figure that only grows with the pH passes nought.
fn root(points: &[GridPoint], need: impl Fn(&GridPoint) -> f64) -> f64 {
    let after = points.partition_point(|at| need(at) < 0.0).clamp(1, points.len().max(2) - 1);
    match (points.get(after - 1), points.get(after)) {
        (Some(before), Some(after)) => between(before.ph, need(before), after.ph, need(after)),
        _ => f64::NAN,
    }
}

/// Nought on the straight line between two points, and no further than a step off them.
fn between(ph: f64, need: f64, next_ph: f64, next_need: f64) -> f64 {
    let share = -need / (next_need - need);
    if share.is_finite() { ph + share.clamp(-1.0, 2.0) * (next_ph - ph) } else { ph }
}
