//! The advice for a batch: its record told to the advisor.

use super::contents::{Contents, adjuster_per_gram, contents};
use super::ledger::Ledger;
use super::meter::settings;
use super::setting::Setting;
use super::weights::Weights;
use crate::batch::advise::{Advice, Observation, Situation, advise};
use crate::chemistry::{Activity, Mixture, equilibrium};
use crate::model::{Batch, LineAmount, Reading};
use crate::resolve::Resolver;

/// The error of a meter of which nothing is declared, in pH.
const METER: f64 = 0.05;
/// A diluted sample reads otherwise than the batch by as much as this.
const DILUTED: f64 = 0.15;

/// What to do next with a batch, and what to think of its readings; none where nothing is weighed to a pH.
#[must_use]
pub fn advice(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch, ledger: &Ledger) -> Option<Advice> {
    situation(resolver, setting, batch, ledger).map(|situation| advise(&situation))
}

/// Whether the readings are so near to what weights and chemistry say that no doubt need be weighed.
#[must_use]
pub fn is_beyond_doubt(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch, ledger: &Ledger) -> bool {
    const NEAR: f64 = 0.2;
    let Some(situation) = situation(resolver, setting, batch, ledger) else { return true };
    situation.readings.iter().all(|seen| {
        let whole = seen.without_adjuster.plus(&situation.adjuster_per_gram, seen.adjuster_grams);
        equilibrium(&whole, Activity::Davies).is_some_and(|found| (found.ph - seen.reading).abs() <= NEAR)
    })
}

/// What the advisor is told of a batch; none where nothing is weighed to a pH.
pub(super) fn situation(
    resolver: &Resolver<'_>,
    setting: &Setting<'_>,
    batch: &Batch,
    ledger: &Ledger,
) -> Option<Situation> {
    let window = setting.formula.window.as_ref()?;
    let adjuster = setting.formula.lines.iter().find(|line| line.amount == LineAmount::AtBench)?;
    let meter = setting.formula.meter.as_ref().map_or(METER, |meter| meter.to_f64());
    let readings = batch.readings().map(|(number, reading, _)| {
        let Contents { without_adjuster, adjuster_grams } = as_of_now(resolver, setting, batch, number);
        Observation {
            without_adjuster,
            adjuster_grams,
            reading: reading.middle().to_f64(),
            error: error(reading, meter),
            written: written(reading),
        }
    });
    let (earlier, calibrations) = settings(batch);
    let now = contents(resolver, setting, batch, batch.events.len());
    let line = ledger.lines.iter().find(|line| line.name == adjuster.name);
    let at_most = at_most(&now, adjuster_per_gram(resolver, setting, batch).as_ref());
    Some(Situation {
        readings: readings.collect(),
        earlier,
        calibrations,
        now: now.without_adjuster,
        adjuster_now: now.adjuster_grams,
        // Of an adjuster that nobody knows anything of, the readings alone have to tell.
        adjuster_per_gram: adjuster_per_gram(resolver, setting, batch).unwrap_or_default(),
        left_grams: ledger.reserve_of(&adjuster.name).map_or(0.0, |reserve| reserve.room().to_f64()),
        at_most,
        step: line.map_or(0.01, |line| line.step.to_f64()),
        window: window.to_f64(),
        acid_families: Vec::new(),
    })
}

/// What was in the beaker at a reading, less what was taken out since: a loss changes how much there is, not what it is,
/// and says nothing of the reading nor of the meter. What is left of nothing, nobody reads.
fn as_of_now(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch, reading: usize) -> Contents {
    let then = contents(resolver, setting, batch, reading);
    let kept = Weights::kept_since(batch, reading);
    if kept > 0.0 && kept < 1.0 { then.share(kept) } else { then }
}

/// The statement of a reading, as it is struck.
fn written(reading: &Reading) -> String {
    if reading.by_strip {
        format!("reading pH {} to {} by strip", reading.low, reading.high)
    } else {
        format!("reading pH {}", reading.low)
    }
}

/// The most that may go in at once where nothing is known to hold the pH of the beaker, and the adjuster is known to move
/// it: a trace (common practice, no source), and after that as much again as is in it already, so that it shows what holds it before it goes past.
fn at_most(now: &Contents, adjuster_per_gram: Option<&Mixture>) -> Option<f64> {
    const TRACE: f64 = 0.03;
    let is_touchy = !now.without_adjuster.is_active() && adjuster_per_gram.is_some_and(Mixture::is_active);
    is_touchy.then_some(now.adjuster_grams.max(TRACE))
}

/// How far a reading may be off by itself.
fn error(reading: &Reading, meter: f64) -> f64 {
    let half = (&reading.high - &reading.low).to_f64() / 2.0;
    let own = if reading.by_strip { half.max(0.25) } else { meter };
    if reading.diluted { own + DILUTED } else { own }
}
