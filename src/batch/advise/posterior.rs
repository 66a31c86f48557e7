//! Explanations weighed by the readings, and what they foretell.

use super::drift::{Drift, Fit, Latent, dot};
use super::explanation::Explanation;
use super::priors;
use super::sequence::below;
use super::situation::{Cause, Situation};
use super::titration::Titration;
use crate::quantity::Range;

/// How many explanations stand for all of them when it is foretold.
const STAND_FOR_ALL: u32 = 160;
/// And for those with one fault.
const STAND_FOR_ONE: u32 = 40;

/// An explanation and its weight.
#[derive(Clone, Copy, Debug)]
pub struct Weighed {
    /// The explanation.
    pub explanation: Explanation,
    /// What it makes of the readings.
    pub fit: Fit,
    /// Its share of all, after the readings.
    pub share: f64,
}

/// All explanations, weighed.
#[derive(Clone, Debug)]
pub struct Posterior<'c> {
    titration: &'c Titration,
    drift: Drift,
    all: Vec<Weighed>,
    /// A few that stand for all, and the pH now by each.
    few: Vec<(Weighed, f64)>,
    noise: f64,
    setting_now: usize,
    /// The logarithm of how likely the readings are, whatever explains them.
    pub log_chance: f64,
}

/// What is foretold of one explanation: middle and deviation of the true pH and of the reading.
#[derive(Clone, Copy, Debug)]
struct Foretold {
    truth: (f64, f64),
    reading: (f64, f64),
}

impl<'c> Posterior<'c> {
    /// Weighs the explanations of a batch.
    #[must_use]
    pub fn of(situation: &Situation, titration: &'c Titration) -> Posterior<'c> {
        Posterior::without(situation, titration, None)
    }

    /// The same by all readings but one, where one is left out.
    #[must_use]
    pub fn without(situation: &Situation, titration: &'c Titration, left_out: Option<usize>) -> Posterior<'c> {
        let drift = Drift::of(situation, titration, left_out);
        let mut all: Vec<Weighed> = titration
            .explanations(situation.setting_now())
            .into_iter()
            .map(|explanation| Weighed { explanation, fit: drift.fit(&explanation, titration), share: 0.0 })
            .filter(|weighed| weighed.fit.log_chance.is_finite())
            .collect();
        let best = all.iter().map(|weighed| weighed.fit.log_chance).fold(f64::NEG_INFINITY, f64::max);
        for weighed in &mut all {
            weighed.share = weighed.explanation.share * (weighed.fit.log_chance - best).exp();
        }
        let total: f64 = all.iter().map(|weighed| weighed.share).sum();
        for weighed in &mut all {
            weighed.share /= total;
        }
        let noise = situation.readings.last().map_or(0.05, |last| last.error).max(priors::LEAST_NOISE);
        let few = thinned(&all, STAND_FOR_ALL, titration);
        // Each reading has the constant of the bell curve in it.
        let log_chance = best + total.ln() - drift.count() as f64 * 0.5 * std::f64::consts::TAU.ln();
        Posterior { titration, drift, all, few, noise, setting_now: situation.setting_now(), log_chance }
    }

    /// The same, as if one fault, or none, were sure. None where nothing speaks for it.
    #[must_use]
    pub fn if_so(&self, cause: Option<Cause>) -> Option<Posterior<'c>> {
        let own = self.all.iter().filter(|weighed| weighed.explanation.cause == cause).copied();
        let few = thinned(&own.collect::<Vec<_>>(), STAND_FOR_ONE, self.titration);
        let drift = self.drift.clone();
        let sure = Posterior { drift, all: Vec::new(), few, ..*self };
        (!sure.few.is_empty()).then_some(sure)
    }

    /// How thick reading `number` lies at a figure, by what is known without it: per pH.
    #[must_use]
    pub fn reading_density(&self, situation: &Situation, number: usize, figure: f64) -> f64 {
        let Some(seen) = situation.readings.get(number) else { return 0.0 };
        let setting = situation.setting_of(number);
        let densities = self.few.iter().map(|(weighed, ph_now)| {
            let ph = self.titration.at_reading(number, &weighed.explanation);
            let of: Latent = [1.0, ph - 7.0, 1.0, ph - ph_now, self.titration.apart_at(number)];
            let middle = ph + weighed.explanation.meter_at(setting) + dot(&of, &weighed.fit.latent);
            let spread = self.drift.deviation(&of).hypot(seen.error.max(priors::LEAST_NOISE));
            let off = (figure - middle) / spread;
            (-0.5 * off * off).exp() / (spread * std::f64::consts::TAU.sqrt())
        });
        densities.sum::<f64>() / self.few.len().max(1) as f64
    }

    /// What a buffer would be shown as, now.
    #[must_use]
    pub fn buffer(&self, buffer: f64) -> Predicted {
        let of: Latent = [1.0, buffer - 7.0, 0.0, 0.0, 0.0];
        let spread = self.drift.deviation(&of).hypot(priors::BUFFER_READING);
        let told = self.few.iter().map(|(weighed, _)| {
            let by = &weighed.explanation;
            let meter = if by.shown_by_buffers { by.meter_at(self.setting_now) } else { 0.0 };
            Foretold { truth: (buffer, 0.0), reading: (buffer + meter + dot(&of, &weighed.fit.latent), spread) }
        });
        Predicted { told: told.collect() }
    }

    /// The share of the explanations by a meter that is off as the buffers, which were read at it, show.
    #[must_use]
    pub fn known_meter(&self) -> f64 {
        let known = |by: &Explanation| by.meter_at(self.setting_now) != 0.0 && by.shown_by_buffers;
        let shares =
            self.all.iter().filter(|weighed| known(&weighed.explanation) && weighed.explanation.cause.is_some());
        shares.map(|weighed| weighed.share).sum()
    }

    /// The share of a fault, or of none.
    #[must_use]
    pub fn share(&self, cause: Option<Cause>) -> f64 {
        self.all.iter().filter(|weighed| weighed.explanation.cause == cause).map(|weighed| weighed.share).sum()
    }

    /// The mean of a figure over the explanations with a fault.
    #[must_use]
    pub fn mean_of(&self, cause: Cause, figure: impl Fn(&Explanation) -> f64) -> f64 {
        let own = self.all.iter().filter(|weighed| weighed.explanation.cause == Some(cause));
        let sum: f64 = own.map(|weighed| weighed.share * figure(&weighed.explanation)).sum();
        sum / self.share(Some(cause))
    }

    /// The largest surprise that the best of all explanations leaves, in deviations.
    #[must_use]
    pub fn worst_of_best(&self) -> f64 {
        self.all.iter().map(|weighed| weighed.fit.worst).fold(f64::INFINITY, f64::min)
    }

    /// What is foretold after so many more grams.
    #[must_use]
    pub fn after(&self, grams: f64) -> Predicted {
        let told = self.few.iter().map(|(weighed, ph_now)| {
            let explanation = &weighed.explanation;
            let latent = &weighed.fit.latent;
            let ph = self.titration.ahead(grams, explanation);
            let along = ph - ph_now;
            let truth: Latent = [0.0, 0.0, 1.0, along, self.titration.apart_ahead(grams)];
            let true_ph = ph + dot(&truth, latent);
            let [_, _, level, drift, models] = truth;
            let reading: Latent = [1.0, true_ph - 7.0, level, drift, models];
            let spread = self.drift.deviation(&reading);
            Foretold {
                truth: (true_ph, self.drift.deviation(&truth)),
                reading: (
                    ph + explanation.meter_at(self.setting_now) + dot(&reading, latent),
                    spread.hypot(self.noise),
                ),
            }
        });
        Predicted { told: told.collect() }
    }
}

/// A few explanations of equal share that stand for all: one at each even step through the shares.
fn thinned(all: &[Weighed], count: u32, titration: &Titration) -> Vec<(Weighed, f64)> {
    let total: f64 = all.iter().map(|weighed| weighed.share).sum();
    if !(total.is_finite() && total > 0.0) {
        return Vec::new();
    }
    let each = total / f64::from(count);
    let (mut few, mut passed, mut next) = (Vec::with_capacity(count as usize), 0.0, 0.5 * each);
    for weighed in all {
        passed += weighed.share;
        while next < passed {
            few.push((*weighed, titration.ahead(0.0, &weighed.explanation)));
            next += each;
        }
    }
    few
}

/// The true pH and the reading after an addition, as many normal ones laid over one another.
#[derive(Clone, Debug)]
pub struct Predicted {
    told: Vec<Foretold>,
}

impl Predicted {
    /// The mean of the true pH.
    #[must_use]
    pub fn truth(&self) -> f64 {
        self.mean(|told| told.truth.0)
    }

    /// The mean of the reading.
    #[must_use]
    pub fn reading(&self) -> f64 {
        self.mean(|told| told.reading.0)
    }

    /// The chance that the true pH is below a figure.
    #[must_use]
    pub fn truth_below(&self, ph: f64) -> f64 {
        self.mean(|told| below((ph - told.truth.0) / told.truth.1))
    }

    /// The chance that the reading is below a figure.
    #[must_use]
    pub fn reading_below(&self, ph: f64) -> f64 {
        self.mean(|told| below((ph - told.reading.0) / told.reading.1))
    }

    /// The figure that the true pH is below with a chance.
    #[must_use]
    pub fn truth_at(&self, chance: f64) -> f64 {
        crossing(-2.0, 16.0, 1e-4, |ph| self.truth_below(ph) - chance)
    }

    /// The figure that the reading is below with a chance.
    #[must_use]
    pub fn reading_at(&self, chance: f64) -> f64 {
        crossing(-2.0, 16.0, 1e-4, |ph| self.reading_below(ph) - chance)
    }

    /// The chance that the true pH is in a window.
    #[must_use]
    pub fn inside(&self, window: Range<f64>) -> f64 {
        let below_high = window.high.map_or(1.0, |high| self.truth_below(high));
        below_high - window.low.map_or(0.0, |low| self.truth_below(low))
    }

    fn mean(&self, figure: impl Fn(&Foretold) -> f64) -> f64 {
        self.told.iter().map(figure).sum::<f64>() / self.told.len() as f64
    }
}

/// Where what only grows passes nought, by halves down to what is near enough, and never below it; the upper end where
/// it does not pass.
#[must_use]
pub fn crossing(mut low: f64, mut high: f64, near_enough: f64, grows: impl Fn(f64) -> f64) -> f64 {
    const HALVES: u32 = 30;
    for _ in 0..HALVES {
        if high - low <= near_enough {
            break;
        }
        let middle = f64::midpoint(low, high);
        if grows(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}
