//! A beaker test in place of the forecast: what a sample of the batch took of an adjuster, brought to 100 g of it.
//!
//! At a pH that was read the dose is the sample's. Between two readings it follows the model and lies between theirs;
//! past them the model goes on from the nearest.

use super::solution::Adjuster;
use super::uncertainty::METER;
use crate::chemistry::{Activity, brought_to};
use crate::model::{Formula, Titration};
use crate::quantity::{Exact, Range};
use crate::resolve::finest;

/// How far the batch's reading may lie from that of the sample, beside the meter's error: another weighing, another
/// temperature (common practice, no source).
pub const REPEAT: f64 = 0.05;
/// How much of the way that the model goes on from a reading may be wrong (common practice, no source).
const OF_THE_WAY: f64 = 0.5;
/// The most of a buffer that gives way as the pH moves by one: ln 10 ÷ 4 of it.
pub const GIVES_WAY: f64 = 0.576;

/// A pH nearer than this to another is that one.
const SAME: f64 = 1e-9;

/// What a beaker test showed, in grams per 100 g of batch.
#[derive(Clone, Debug)]
pub struct Titrated {
    /// Each reading, the least dose first. Never empty.
    readings: Vec<TitrationReading>,
    /// What the scale leaves open.
    scale: f64,
    /// The error of the meter.
    meter: f64,
}

/// A reading.
#[derive(Clone, Copy, Debug)]
struct TitrationReading {
    dose: f64,
    ph: f64,
    /// What the model says less than was read; none where it leads nowhere near.
    off: Option<f64>,
}

impl Titrated {
    /// The beaker test of a line, before the model has been held against it.
    #[must_use]
    pub fn of(formula: &Formula, titration: &Titration) -> Titrated {
        let per_cent = 100.0 / titration.sample.to_f64();
        let reading = |(grams, ph): &(Exact, Exact)| TitrationReading {
            dose: grams.to_f64() * per_cent,
            ph: ph.to_f64(),
            off: None,
        };
        let step = if formula.scales.is_empty() { 0.01 } else { finest(&formula.scales).to_f64() };
        // What was weighed diluted is written to more digits than the scale shows.
        let digits = titration.points.iter().filter_map(|(grams, _)| grams.decimals()).max().unwrap_or(0);
        let step = step.min(10f64.powi(-i32::try_from(digits).unwrap_or(9)).max(1e-9)).max(1e-9);
        Titrated {
            readings: titration.points.iter().map(reading).collect(),
            scale: step / 2.0 * per_cent,
            meter: formula.meter.as_ref().map_or(METER, Exact::to_f64),
        }
    }

    /// Whether the readings go up, above nought, or down, or do not say.
    #[must_use]
    pub fn goes(&self, way: f64) -> bool {
        self.readings.windows(2).all(|pair| match pair {
            [one, two] => (two.ph - one.ph) * way >= 0.0,
            _ => true,
        })
    }

    /// The pH that were read.
    pub fn read(&self) -> impl Iterator<Item = f64> {
        self.readings.iter().map(|reading| reading.ph)
    }

    /// The pH of the sample before anything went in, where that was read.
    #[must_use]
    pub fn before(&self) -> Option<f64> {
        self.readings.first().filter(|reading| reading.dose == 0.0).map(|reading| reading.ph)
    }

    /// How far a pH that was read may be off.
    #[must_use]
    pub fn give(&self) -> f64 {
        self.meter + REPEAT
    }

    /// The strong base, or below nought the strong acid, in mol, that the model lacks at the reading nearest to a pH.
    #[must_use]
    pub fn lacking(&self, adjuster: &Adjuster, aim: f64, model: Activity) -> Option<f64> {
        let nearest = self.nearest(aim)?;
        brought_to(&adjuster.at(nearest.dose.min(adjuster.blend.most)), nearest.ph, model).map(|(moles, _)| moles)
    }

    /// Holds the model against every reading.
    pub fn hold_against(&mut self, model_dose: impl Fn(f64) -> Option<f64>) {
        for reading in &mut self.readings {
            reading.off = model_dose(reading.ph).map(|dose| reading.dose - dose);
        }
    }

    /// Whether a pH is one that was read.
    #[must_use]
    pub fn reads(&self, ph: f64) -> bool {
        self.readings.iter().any(|reading| (reading.ph - ph).abs() < SAME)
    }

    /// The dose and the pH of each reading.
    pub fn readings(&self) -> impl Iterator<Item = (f64, f64)> {
        self.readings.iter().map(|reading| (reading.dose, reading.ph))
    }

    fn nearest(&self, ph: f64) -> Option<TitrationReading> {
        let off = |reading: &&TitrationReading| (reading.ph - ph).abs();
        self.readings.iter().min_by(|one, two| off(one).total_cmp(&off(two))).copied()
    }

    /// The readings on both sides of a pH, going up or down with the dose.
    fn beside(&self, ph: f64, sign: f64) -> (Option<TitrationReading>, Option<TitrationReading>) {
        let before = self.readings.iter().rev().find(|reading| (ph - reading.ph) * sign >= 0.0);
        let after = self.readings.iter().find(|reading| (ph - reading.ph) * sign <= 0.0);
        (before.copied(), after.copied())
    }

    /// The dose to a pH; `model_dose` is what the model says of any.
    #[must_use]
    pub fn dose(&self, ph: f64, sign: f64, model_dose: impl Fn(f64) -> Option<f64>) -> Option<f64> {
        let goes_on = |from: TitrationReading| Some(model_dose(ph)? + from.off?);
        // The middle of a window is a figure that was reckoned, and its last bits are not the reading's.
        if let Some(at) = self.readings.iter().find(|reading| (reading.ph - ph).abs() < SAME) {
            return Some(at.dose);
        }
        match self.beside(ph, sign) {
            (Some(one), Some(two)) => {
                let share = (ph - one.ph) / (two.ph - one.ph);
                let mixed = |one: f64, two: f64| one + (two - one) * share;
                let by_model = one.off.zip(two.off).and_then(|(one, two)| Some(model_dose(ph)? + mixed(one, two)));
                let dose = by_model.unwrap_or_else(|| mixed(one.dose, two.dose));
                Some(dose.clamp(one.dose.min(two.dose), two.dose.max(one.dose)))
            }
            (None, Some(first)) if first.dose == 0.0 => Some(0.0),
            (None, Some(first)) => Some(goes_on(first)?.clamp(0.0, first.dose)),
            (Some(last), None) => Some(goes_on(last)?.max(last.dose)),
            (None, None) => None,
        }
    }

    /// The range of the dose to a pH. `unknown` is what so many readings' distance in pH may take of a buffer that
    /// nobody knows of, in grams.
    #[must_use]
    pub fn range(
        &self,
        ph: f64,
        sign: f64,
        dose: impl Fn(f64) -> Option<f64>,
        unknown: impl Fn(f64, f64) -> f64,
    ) -> Range<f64> {
        let end = |way: f64| {
            let ph = ph + way * sign * self.give();
            let (found, nearest) = (dose(ph)?, self.nearest(ph)?);
            let far = (ph - nearest.ph).abs();
            let slack = OF_THE_WAY * (found - nearest.dose).abs() + unknown(ph, (GIVES_WAY * far).min(1.0));
            let (before, after) = self.beside(ph, sign);
            let open = found + way * slack;
            let held = before.map_or(open, |before| open.max(before.dose));
            Some((after.map_or(held, |after| held.min(after.dose)) + way * self.scale).max(0.0))
        };
        Range { low: end(-1.0), high: end(1.0) }
    }
}
