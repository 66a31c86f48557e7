//! What the pH does as adjuster comes in, under an explanation: by the chemistry of the beaker, or blind.

use super::explanation::{self, Explanation, Unknown};
use super::situation::Situation;
use super::solution::TitratedSolution;
use crate::chemistry::Mixture;
use std::cell::Cell;
use std::sync::Arc;

/// Without chemistry, no less of the acid than this share of it is left beside its salt.
const NEARLY_ALL: f64 = 1e-4;

/// Explanations, and the pH that each gives to each reading, whatever was read.
#[derive(Clone, Debug)]
pub struct Explained {
    /// The explanations.
    pub all: Arc<[Explanation]>,
    /// For each reading, the pH that each of them gives to it.
    pub read: Vec<Arc<[f64]>>,
}

impl Explained {
    /// One of the explanations.
    #[must_use]
    pub fn by(&self, number: usize) -> Option<&Explanation> {
        self.all.get(number)
    }

    /// The pH that an explanation gives to a reading.
    #[must_use]
    pub fn ph(&self, reading: usize, number: usize) -> f64 {
        self.read.get(reading).and_then(|of| of.get(number)).copied().unwrap_or(f64::NAN)
    }
}

/// The course of a titration. Without chemistry its level is not known: only differences count.
#[derive(Clone, Debug)]
pub enum Titration {
    /// With the chemistry of the beaker.
    Known {
        /// The beaker at each reading.
        seen: Vec<Arc<TitratedSolution>>,
        /// The beaker now.
        now: Arc<TitratedSolution>,
        /// The beaker with all that is left of the adjuster.
        end: Arc<TitratedSolution>,
        /// What is left, in grams.
        left: f64,
    },
    /// From the readings alone.
    Blind {
        /// The adjuster at each reading, in grams.
        seen: Vec<f64>,
        /// Now.
        now: f64,
        /// Up, above nought, or down.
        direction: f64,
        /// All the adjuster that there is, in grams.
        most: f64,
    },
}

impl Titration {
    /// The course of a batch.
    #[must_use]
    pub fn of(situation: &Situation) -> Titration {
        known(situation, None).unwrap_or_else(|| blind(situation))
    }

    /// The same, where another of the same adjuster is known, of which some beakers may be the same.
    #[must_use]
    pub fn beside(situation: &Situation, other: &Titration) -> Titration {
        known(situation, Some(other)).unwrap_or_else(|| blind(situation))
    }

    /// The same readings, and ahead of them something else than the adjuster: up to so many grams of it. None without
    /// chemistry.
    #[must_use]
    pub fn along(&self, situation: &Situation, per_gram: &Mixture, most: f64) -> Option<Titration> {
        let Titration::Known { seen, now, .. } = self else { return None };
        let with = situation.now.plus(per_gram, most);
        let (adjuster, grams) = (&situation.adjuster_per_gram, situation.adjuster_now);
        let end = TitratedSolution::new(&with, adjuster, grams, &situation.acid_families)?;
        (most > 0.0).then(|| Titration::Known {
            seen: seen.clone(),
            now: Arc::clone(now),
            end: Arc::new(end),
            left: most,
        })
    }

    /// One of its beakers.
    fn beaker(&self, without: &Mixture, grams: f64) -> Option<Arc<TitratedSolution>> {
        let Titration::Known { seen, now, end, .. } = self else { return None };
        let mut all = seen.iter().chain([now, end]);
        all.find(|beaker| beaker.is_of(without, grams)).map(Arc::clone)
    }

    /// The explanations that go with it, and what they make of its readings.
    #[must_use]
    pub fn explained(&self, setting: usize) -> Explained {
        match self {
            Titration::Known { seen, .. } => {
                let all = explanation::all(setting);
                Explained { read: seen.iter().map(|beaker| beaker.explained(&all, setting)).collect(), all }
            }
            Titration::Blind { seen, most, .. } => {
                let all = explanation::blind(*most);
                let of = |number| all.iter().map(|by| self.at_reading(number, by)).collect();
                Explained { read: (0..seen.len()).map(of).collect(), all: Arc::clone(&all) }
            }
        }
    }

    /// Whether it rests on chemistry.
    #[must_use]
    pub fn is_known(&self) -> bool {
        matches!(self, Titration::Known { .. })
    }

    /// The pH at a reading.
    #[must_use]
    pub fn at_reading(&self, number: usize, by: &Explanation) -> f64 {
        match self {
            Titration::Known { seen, .. } => seen.get(number).map_or(f64::NAN, |solution| solution.ph(by)),
            Titration::Blind { seen, direction, .. } => {
                seen.get(number).map_or(f64::NAN, |grams| direction * level(*grams, by))
            }
        }
    }

    /// The pH after so many more grams; looked for near to where it was found the last time, on the grid of the beaker.
    #[must_use]
    pub fn ahead(&self, grams: f64, by: &Explanation, near: &Cell<usize>) -> f64 {
        match self {
            Titration::Known { now, end, left, .. } => now.ph_between(end, share(grams, *left), by, near),
            Titration::Blind { now, direction, .. } => direction * level(now + grams, by),
        }
    }

    /// How far the two models of activity are apart at a reading, in pH.
    #[must_use]
    pub fn apart_at(&self, number: usize) -> f64 {
        match self {
            Titration::Known { seen, .. } => seen.get(number).map_or(0.0, |solution| solution.models_apart),
            Titration::Blind { .. } => 0.0,
        }
    }

    /// How far they are apart after so many more grams.
    #[must_use]
    pub fn apart_ahead(&self, grams: f64) -> f64 {
        match self {
            Titration::Known { now, end, left, .. } => {
                now.models_apart + share(grams, *left) * (end.models_apart - now.models_apart)
            }
            Titration::Blind { .. } => 0.0,
        }
    }

    /// Which way the adjuster moves the pH: above nought up, below it down.
    #[must_use]
    pub fn direction(&self) -> f64 {
        match self {
            Titration::Known { now, end, .. } => {
                let plain = Explanation::plain();
                (end.ph(&plain) - now.ph(&plain)).signum()
            }
            Titration::Blind { direction, .. } => *direction,
        }
    }
}

fn share(grams: f64, left: f64) -> f64 {
    if left > 0.0 { grams / left } else { 0.0 }
}

fn known(situation: &Situation, other: Option<&Titration>) -> Option<Titration> {
    let adjuster = &situation.adjuster_per_gram;
    if !situation.now.is_active() || !adjuster.is_active() {
        return None;
    }
    let solution = |without: &Mixture, grams: f64| {
        let known = other.and_then(|other| other.beaker(without, grams));
        known.or_else(|| TitratedSolution::new(without, adjuster, grams, &situation.acid_families).map(Arc::new))
    };
    let seen = situation.readings.iter().map(|seen| solution(&seen.without_adjuster, seen.adjuster_grams));
    let seen = seen.collect::<Option<Vec<Arc<TitratedSolution>>>>()?;
    // Most often the last reading is of the beaker as it stands.
    let same = situation.readings.last().filter(|last| last.is_of_now(situation));
    let now = match same.and(seen.last()) {
        Some(same) => Arc::clone(same),
        None => solution(&situation.now, situation.adjuster_now)?,
    };
    // With nothing left the way is still to be known: a gram more tells it.
    let left = if situation.left_grams > 0.0 { situation.left_grams } else { 1.0 };
    let end = solution(&situation.now, situation.adjuster_now + left)?;
    Some(Titration::Known { seen, now, end, left })
}

fn blind(situation: &Situation) -> Titration {
    let readings = &situation.readings;
    let moved = readings.first().zip(readings.last()).map_or(0.0, |(first, last)| {
        if last.adjuster_grams > first.adjuster_grams { last.reading - first.reading } else { 0.0 }
    });
    let short = readings.first().map_or(0.0, |first| {
        let window = &situation.window;
        match (window.edge_above(&first.reading), window.edge_below(&first.reading)) {
            (Some(_), _) => 1.0,
            (None, Some(_)) => -1.0,
            (None, None) => 0.0,
        }
    });
    let direction = [short, moved, 1.0].into_iter().find(|direction| *direction != 0.0).map_or(1.0, f64::signum);
    Titration::Blind {
        seen: readings.iter().map(|seen| seen.adjuster_grams).collect(),
        now: situation.adjuster_now,
        direction,
        most: (situation.adjuster_now + situation.left_grams.max(0.0)).max(1e-3),
    }
}

/// How far a weak acid of unknown pKa is above it, in pH. What is neutralised, with what came apart by itself, is the
/// share that is apart: f + k u = 1 ÷ (1 + u), where u is ten to the power of minus that distance, and k the acid's
/// constant over its molality. A square equation in u. A base that is neutralised is the same, upside down.
fn level(grams: f64, by: &Explanation) -> f64 {
    let Unknown { whole, before, weakness } = by.unknown;
    let neutralised = before + grams / whole;
    let sum = weakness + neutralised;
    let free = (1.0 - neutralised).max(0.0);
    let ratio = 2.0 * free / (sum + (sum * sum + 4.0 * weakness * free).sqrt());
    -ratio.max(NEARLY_ALL).log10()
}
