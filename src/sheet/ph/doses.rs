//! How much of an adjuster leads to the edges of a window.

use super::solution::Adjuster;
use super::titrated::Titrated;
use crate::chemistry::{Activity, Blend, Equilibrium, Mixture, brought_to, equilibrium};
use crate::quantity::Range;

/// How an adjuster reaches a window, from a pH before.
#[derive(Clone, Copy, Debug)]
pub struct Direction<'a> {
    /// The adjuster.
    pub adjuster: &'a Adjuster,
    /// The pH before.
    pub before: f64,
    /// Up, above nought, or down.
    pub sign: f64,
    /// The model of activity.
    pub model: Activity,
}

/// The doses to a window in grams per 100 g: nought where the pH is there or beyond already, none where the adjuster
/// does not lead there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Doses {
    /// To the edge met first.
    pub near: Option<f64>,
    /// To the middle.
    pub middle: Option<f64>,
    /// To the last edge.
    pub far: Option<f64>,
}

impl<'a> Direction<'a> {
    /// Which way an adjuster leads.
    #[must_use]
    pub fn of(adjuster: &'a Adjuster, before: &Equilibrium, model: Activity) -> Direction<'a> {
        Direction::towards(adjuster, before, adjuster.blend.leads(before, model), model)
    }

    /// The same where it is known which way that is. A pH that a beaker test read before anything went in is the pH before.
    #[must_use]
    pub fn towards(adjuster: &'a Adjuster, before: &Equilibrium, sign: f64, model: Activity) -> Direction<'a> {
        let read = adjuster.titrated.as_ref().and_then(Titrated::before);
        Direction { adjuster, before: read.unwrap_or(before.ph), sign, model }
    }

    /// Whether a pH is at hand without any of it.
    #[must_use]
    pub fn is_passed(&self, ph: f64) -> bool {
        (ph - self.before) * self.sign <= 0.0
    }

    /// The same from a pH that lies so far on, or below nought so far back.
    #[must_use]
    pub fn started_off(self, by: f64) -> Direction<'a> {
        Direction { before: self.before + by * self.sign, ..self }
    }

    /// Whether a beaker test read the dose to a pH, or that none is needed.
    #[must_use]
    pub fn is_read(&self, ph: f64) -> bool {
        self.adjuster.titrated.as_ref().is_some_and(|of| of.reads(ph) || of.before().is_some() && self.is_passed(ph))
    }

    /// The dose to a pH: nought where it is passed already.
    #[must_use]
    pub fn to(&self, ph: f64) -> Option<f64> {
        if self.sign == 0.0 {
            return None;
        }
        match &self.adjuster.titrated {
            Some(titrated) => titrated.dose(ph, self.sign, |ph| self.by_model(ph)),
            None if self.is_passed(ph) => Some(0.0),
            None => self.adjuster.blend.dose(ph, self.model),
        }
    }

    /// The dose to a pH by the model alone; of one that the model begins beyond, what would have to be taken out again,
    /// below nought.
    #[must_use]
    pub fn by_model(&self, ph: f64) -> Option<f64> {
        if let Some(dose) = self.adjuster.blend.dose(ph, self.model) {
            return Some(dose);
        }
        const LITTLE: f64 = 1e-3;
        let lacks = |dose: f64| brought_to(&self.adjuster.at(dose), ph, self.model).map(|(moles, _)| moles);
        let start = lacks(0.0)?;
        // A dose at a given pH is a straight line.
        let dose = start * LITTLE / (start - lacks(LITTLE)?);
        (dose < 0.0).then_some(dose)
    }

    /// The range of the dose to a pH where a beaker test tells it; `unknown` is the acid or base nobody knows of, in mol.
    #[must_use]
    pub fn titrated_range(&self, ph: f64, unknown: f64) -> Option<Range<f64>> {
        let titrated = self.adjuster.titrated.as_ref().filter(|_| self.sign != 0.0)?;
        let further = |ph: f64, share: f64| {
            let with = self.to_from(ph, -self.sign, unknown * share).zip(self.by_model(ph).map(|dose| dose.max(0.0)));
            with.map_or(0.0, |(with, without)| (with - without).max(0.0))
        };
        Some(titrated.range(ph, self.sign, |ph| self.to(ph), further))
    }

    /// The dose to a pH where so much strong acid (charge below nought) or base is in the batch that nobody knew of.
    #[must_use]
    pub fn to_from(&self, ph: f64, charge: f64, moles: f64) -> Option<f64> {
        let mut extra = Mixture::default();
        extra.put_ion(charge.signum(), moles);
        self.to_with(ph, &extra)
    }

    /// Whether a dose leads to a pH, or past it, where so much strong acid or base is in the batch that nobody knew of.
    #[must_use]
    pub fn reaches_from(&self, dose: f64, ph: f64, charge: f64, moles: f64) -> bool {
        let mut extra = Mixture::default();
        extra.put_ion(charge.signum(), moles);
        self.sign != 0.0 && self.adjuster.blend.reaches(dose, &extra, ph, self.sign, self.model)
    }

    /// The dose to a pH with something more in the batch.
    #[must_use]
    pub fn to_with(&self, ph: f64, extra: &Mixture) -> Option<f64> {
        if self.sign == 0.0 {
            return None;
        }
        let blend = Blend { start: self.adjuster.blend.start.plus(extra, 1.0), ..self.adjuster.blend.clone() };
        if let Some((dose, _)) = blend.dose_with_state(ph, self.model) {
            return Some(dose);
        }
        let there = equilibrium(&blend.start, self.model)?.ph;
        if (there - ph) * self.sign >= 0.0 { Some(0.0) } else { blend.dose(ph, self.model) }
    }

    /// Whether it moves the pH away from a window that the pH is out of.
    #[must_use]
    pub fn leads_away(&self, window: &Range<f64>) -> bool {
        let (_, far) = window.edges_towards(self.sign);
        self.sign == 0.0 || far.is_some_and(|far| self.is_passed(far) && far != self.before)
    }

    /// Whether it moves the pH and the far edge of a window is ahead.
    #[must_use]
    pub fn leads_to(&self, window: &Range<f64>) -> bool {
        self.sign != 0.0 && !self.leads_away(window)
    }

    /// The doses to a window.
    #[must_use]
    pub fn doses(&self, window: &Range<f64>) -> Doses {
        if self.leads_away(window) {
            return Doses::default();
        }
        let (near, far) = window.edges_towards(self.sign);
        let to = |ph: Option<f64>| self.to(ph?);
        Doses { near: to(near), middle: to(window.middle()), far: to(far) }
    }
}
