//! Explanations weighed by the readings, and what they foretell.

use super::drift::{Drift, Latent, Spread, deviation, dot};
use super::explanation::Explanation;
use super::priors;
use super::sequence::below;
use super::situation::{Cause, Situation};
use super::titration::{Explained, Titration};
use crate::quantity::Range;
use std::cell::{Cell, OnceCell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;

/// How many explanations stand for all of them when it is foretold.
const STAND_FOR_ALL: u32 = 160;
/// And for those with one fault.
const STAND_FOR_ONE: u32 = 40;

/// What the readings make of an explanation.
#[derive(Clone, Copy, Debug)]
struct Weighed {
    /// Its number among all.
    number: usize,
    log_chance: f64,
    worst: f64,
    /// Its share of all: before the readings, and from then on after them.
    share: f64,
}

/// One of a few explanations that stand for all.
#[derive(Clone, Debug)]
struct Standing {
    explanation: Explanation,
    /// The latent figures that go with it.
    latent: Latent,
    /// The pH now by it.
    ph_now: f64,
    /// Where on the grid of the titration it was looked for last.
    near: Cell<usize>,
}

/// All explanations, weighed.
#[derive(Clone, Debug)]
pub struct Posterior<'c> {
    titration: &'c Titration,
    drift: Drift,
    explained: Explained,
    all: Vec<Weighed>,
    few: Vec<Standing>,
    /// What was foretold already, by the bits of the grams.
    foretold: RefCell<BTreeMap<u64, Rc<Predicted>>>,
    noise: f64,
    setting_now: usize,
    /// The logarithm of how likely the readings are, whatever explains them.
    pub log_chance: f64,
}

/// What is foretold of one explanation: the middle of the true pH and of the reading, and how far the pH is from now.
#[derive(Clone, Copy, Debug)]
struct Foretold {
    truth: f64,
    reading: f64,
    along: f64,
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
        let explained = titration.explained(situation.setting_now());
        let weighed = explained.all.iter().enumerate().map(|(number, by)| {
            let fit = drift.fit(by, |reading| explained.ph(reading, number));
            Weighed { number, log_chance: fit.log_chance, worst: fit.worst, share: by.share }
        });
        let mut all: Vec<Weighed> = Vec::with_capacity(explained.all.len());
        all.extend(weighed.filter(|weighed| weighed.log_chance.is_finite()));
        let best = all.iter().map(|weighed| weighed.log_chance).fold(f64::NEG_INFINITY, f64::max);
        for weighed in &mut all {
            weighed.share *= (weighed.log_chance - best).exp();
        }
        let total: f64 = all.iter().map(|weighed| weighed.share).sum();
        for weighed in &mut all {
            weighed.share /= total;
        }
        let noise = situation.readings.last().map_or(0.05, |last| last.error).max(priors::LEAST_NOISE);
        let few = Few { explained: &explained, drift: &drift, titration }.thinned(&all, STAND_FOR_ALL);
        // Each reading has the constant of the bell curve in it.
        let log_chance = best + total.ln() - drift.count() as f64 * 0.5 * std::f64::consts::TAU.ln();
        let foretold = RefCell::default();
        let setting_now = situation.setting_now();
        Posterior { titration, drift, explained, all, few, foretold, noise, setting_now, log_chance }
    }

    /// The same, as if one fault, or none, were sure. None where nothing speaks for it.
    #[must_use]
    pub fn if_so(&self, cause: Option<Cause>) -> Option<Posterior<'c>> {
        let own: Vec<Weighed> = self.of_cause(cause).copied().collect();
        let from = Few { explained: &self.explained, drift: &self.drift, titration: self.titration };
        let few = from.thinned(&own, STAND_FOR_ONE);
        let (drift, explained) = (self.drift.clone(), self.explained.clone());
        let sure = Posterior { drift, explained, all: Vec::new(), few, foretold: RefCell::default(), ..*self };
        (!sure.few.is_empty()).then_some(sure)
    }

    fn of_cause(&self, cause: Option<Cause>) -> impl Iterator<Item = &Weighed> {
        self.all.iter().filter(move |weighed| self.explained.by(weighed.number).is_some_and(|by| by.cause == cause))
    }

    /// How thick reading `number` lies at a figure, by what is known without it: per pH.
    #[must_use]
    pub fn reading_density(&self, situation: &Situation, number: usize, figure: f64) -> f64 {
        let Some(seen) = situation.readings.get(number) else { return 0.0 };
        let setting = situation.setting_of(number);
        let densities = self.few.iter().map(|one| {
            let ph = self.titration.at_reading(number, &one.explanation);
            let of: Latent = [1.0, ph - 7.0, 1.0, ph - one.ph_now, self.titration.apart_at(number)];
            let middle = ph + one.explanation.meter_at(setting) + dot(&of, &one.latent);
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
        let told = self.few.iter().map(|one| {
            let by = &one.explanation;
            let meter = if by.shown_by_buffers { by.meter_at(self.setting_now) } else { 0.0 };
            Foretold { truth: buffer, reading: buffer + meter + dot(&of, &one.latent), along: 0.0 }
        });
        let told: Vec<Foretold> = told.collect();
        let spreads = |spread: f64| OnceCell::from(vec![spread; told.len()]);
        let (truth, reading) = (spreads(0.0), spreads(spread));
        Predicted { told, apart: 0.0, noise: self.noise, spread: self.drift.spread(), truth, reading }
    }

    /// The share of the explanations by a meter that is off as the buffers, which were read at it, show.
    #[must_use]
    pub fn known_meter(&self) -> f64 {
        let known =
            |by: &Explanation| by.cause.is_some() && by.meter_at(self.setting_now) != 0.0 && by.shown_by_buffers;
        let own = self.all.iter().filter(|weighed| self.explained.by(weighed.number).is_some_and(known));
        own.map(|weighed| weighed.share).sum()
    }

    /// The share of a fault, or of none.
    #[must_use]
    pub fn share(&self, cause: Option<Cause>) -> f64 {
        self.of_cause(cause).map(|weighed| weighed.share).sum()
    }

    /// The mean of a figure over the explanations with a fault.
    #[must_use]
    pub fn mean_of(&self, cause: Cause, figure: impl Fn(&Explanation) -> f64) -> f64 {
        let own = self.of_cause(Some(cause));
        let figures = own.filter_map(|weighed| Some(weighed.share * figure(self.explained.by(weighed.number)?)));
        figures.sum::<f64>() / self.share(Some(cause))
    }

    /// The largest surprise that the best of all explanations leaves, in deviations.
    #[must_use]
    pub fn worst_of_best(&self) -> f64 {
        self.all.iter().map(|weighed| weighed.worst).fold(f64::INFINITY, f64::min)
    }

    /// What is foretold after so many more grams.
    #[must_use]
    pub fn after(&self, grams: f64) -> Rc<Predicted> {
        let known = self.foretold.borrow().get(&grams.to_bits()).map(Rc::clone);
        known.unwrap_or_else(|| {
            let predicted = Rc::new(self.predicted(grams));
            self.foretold.borrow_mut().insert(grams.to_bits(), Rc::clone(&predicted));
            predicted
        })
    }

    fn predicted(&self, grams: f64) -> Predicted {
        let apart = self.titration.apart_ahead(grams);
        let told = self.few.iter().map(|Standing { explanation, latent, ph_now, near }| {
            let ph = self.titration.ahead(grams, explanation, near);
            let along = ph - ph_now;
            let truth: Latent = [0.0, 0.0, 1.0, along, apart];
            let true_ph = ph + dot(&truth, latent);
            let [_, _, level, drift, models] = truth;
            let reading: Latent = [1.0, true_ph - 7.0, level, drift, models];
            let middle = ph + explanation.meter_at(self.setting_now) + dot(&reading, latent);
            Foretold { truth: true_ph, reading: middle, along }
        });
        let (truth, reading) = (OnceCell::new(), OnceCell::new());
        Predicted { told: told.collect(), apart, noise: self.noise, spread: self.drift.spread(), truth, reading }
    }
}

/// Where the few that stand for all are taken from.
struct Few<'a> {
    explained: &'a Explained,
    drift: &'a Drift,
    titration: &'a Titration,
}

impl Few<'_> {
    /// A few explanations of equal share that stand for all: one at each even step through the shares.
    fn thinned(&self, all: &[Weighed], count: u32) -> Vec<Standing> {
        let total: f64 = all.iter().map(|weighed| weighed.share).sum();
        if !(total.is_finite() && total > 0.0) {
            return Vec::new();
        }
        let each = total / f64::from(count);
        let (mut few, mut passed, mut next) = (Vec::with_capacity(count as usize), 0.0, 0.5 * each);
        let near = Cell::new(0);
        for weighed in all {
            passed += weighed.share;
            while next < passed {
                few.extend(self.standing(weighed.number, &near));
                next += each;
            }
        }
        few
    }

    fn standing(&self, number: usize, near: &Cell<usize>) -> Option<Standing> {
        let explanation = *self.explained.by(number)?;
        let latent = self.drift.fit(&explanation, |reading| self.explained.ph(reading, number)).latent;
        Some(Standing {
            latent,
            ph_now: self.titration.ahead(0.0, &explanation, near),
            near: near.clone(),
            explanation,
        })
    }
}

/// The true pH and the reading after an addition, as many normal ones laid over one another. How wide each is, is worked
/// out where it is asked for.
#[derive(Clone, Debug)]
pub struct Predicted {
    told: Vec<Foretold>,
    /// How far the two models of activity are apart.
    apart: f64,
    noise: f64,
    spread: Spread,
    truth: OnceCell<Vec<f64>>,
    reading: OnceCell<Vec<f64>>,
}

impl Predicted {
    /// The mean of the true pH.
    #[must_use]
    pub fn truth(&self) -> f64 {
        self.mean(self.told.iter().map(|told| told.truth))
    }

    /// The mean of the reading.
    #[must_use]
    pub fn reading(&self) -> f64 {
        self.mean(self.told.iter().map(|told| told.reading))
    }

    fn truth_spread(&self) -> &[f64] {
        self.truth.get_or_init(|| {
            self.told.iter().map(|told| deviation(&self.spread, &[0.0, 0.0, 1.0, told.along, self.apart])).collect()
        })
    }

    fn reading_spread(&self) -> &[f64] {
        self.reading.get_or_init(|| {
            let of = |told: &Foretold| [1.0, told.truth - 7.0, 1.0, told.along, self.apart];
            self.told.iter().map(|told| deviation(&self.spread, &of(told)).hypot(self.noise)).collect()
        })
    }

    /// The chance that the true pH is below a figure.
    #[must_use]
    pub fn truth_below(&self, ph: f64) -> f64 {
        let each = self.told.iter().zip(self.truth_spread());
        self.mean(each.map(|(told, spread)| below((ph - told.truth) / spread)))
    }

    /// The chance that the reading is below a figure.
    #[must_use]
    pub fn reading_below(&self, ph: f64) -> f64 {
        let each = self.told.iter().zip(self.reading_spread());
        self.mean(each.map(|(told, spread)| below((ph - told.reading) / spread)))
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

    fn mean(&self, figures: impl Iterator<Item = f64>) -> f64 {
        figures.sum::<f64>() / self.told.len() as f64
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
