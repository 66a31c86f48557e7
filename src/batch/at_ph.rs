//! A batch that stands at its pH, asked for whatever may be read in it: what no figure on a meter changes is worked out
//! once.

use super::act::Next;
use super::advice::situation;
use super::contents::adjuster_of;
use super::ledger::Ledger;
use super::next::grams_of;
use super::setting::Setting;
use super::view::{Asked, known_way};
use crate::batch::advise::{Addition, Advice, Course, Situation};
use crate::model::{Batch, Happened, Reading};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use smol_str::SmolStr;

/// A batch with its readings, of which only the figures are still to come.
pub struct AtPh<'r, 's> {
    resolver: &'r Resolver<'s>,
    setting: Setting<'s>,
    batch: Batch,
    ledger: Ledger,
    situation: Situation,
    course: Course,
    adjuster: SmolStr,
    way: Option<f64>,
}

impl<'r, 's> AtPh<'r, 's> {
    /// A batch that was read; what was read is of no account. None where its formula cannot be reached, or nothing is
    /// weighed to a pH.
    #[must_use]
    pub fn of(resolver: &'r Resolver<'s>, batch: Batch) -> Option<AtPh<'r, 's>> {
        AtPh::with(resolver, batch, None)
    }

    /// The same of another record of this batch: what of it was worked out already is not worked out again.
    #[must_use]
    pub fn beside(&self, batch: Batch) -> Option<AtPh<'r, 's>> {
        AtPh::with(self.resolver, batch, Some(self))
    }

    fn with(resolver: &'r Resolver<'s>, batch: Batch, other: Option<&AtPh<'r, 's>>) -> Option<AtPh<'r, 's>> {
        let setting = Setting::of(resolver, &batch)?;
        let adjuster = adjuster_of(&setting)?;
        let ledger = Ledger::of(&setting.formula, &setting.plan, &batch);
        let situation = situation(resolver, &setting, &batch, &ledger)?;
        let course = other.map_or_else(|| Course::of(&situation), |other| other.course.beside(&situation));
        let way = other.map_or_else(|| known_way(resolver, &setting), |other| other.way);
        Some(AtPh { resolver, setting, batch, ledger, situation, course, adjuster, way })
    }

    /// What the bench says of it once these were read, in their order, and what the advisor makes of them.
    #[must_use]
    pub fn next(&self, read: &[Exact]) -> (Next, Advice) {
        let mut batch = self.batch.clone();
        let readings = batch.events.iter_mut().filter_map(|event| match &mut event.what {
            Happened::Read(reading) => Some(reading),
            _ => None,
        });
        for (reading, figure) in readings.zip(read) {
            *reading = Reading { low: figure.clone(), high: figure.clone(), ..reading.clone() };
        }
        let situation = self.situation(read);
        let advice = self.course.advise(&situation);
        let asked = Asked {
            resolver: self.resolver,
            setting: &self.setting,
            batch: &batch,
            ledger: &self.ledger,
            adjuster: Some(&self.adjuster),
            told: Some((&self.course, &situation)),
        };
        let decision = asked.decide(Some(&advice), || self.way, None, None);
        (decision.next, advice)
    }

    /// What the bench says to add, in grams, once these were read, of which the last is short of the window, and what is
    /// foreseen of it; none where it says anything else.
    #[must_use]
    pub fn addition(&self, read: &[Exact]) -> Option<(Exact, Addition)> {
        let addition = self.course.addition(&self.situation(read))?;
        Some((grams_of(&addition, self.ledger.step_of(&self.adjuster)), addition))
    }

    /// Which way the adjuster moves the pH by the chemistry: up, above nought, or down.
    #[must_use]
    pub fn way(&self) -> Option<f64> {
        self.way
    }

    fn situation(&self, read: &[Exact]) -> Situation {
        let mut situation = self.situation.clone();
        for (seen, figure) in situation.readings.iter_mut().zip(read) {
            seen.reading = figure.to_f64();
            seen.written = format!("reading pH {figure}");
        }
        situation
    }
}
