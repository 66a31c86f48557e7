//! A batch at the bench, all of it: what `bench` shows.

use super::act::{Do, Next, Stage};
use super::advice::situation;
use super::back::{NoWay, Past, WayBack};
use super::contents::adjuster_of;
use super::corrections::{Correction, corrected, corrections};
use super::filling::Filling;
use super::ledger::Ledger;
use super::losses::Losses;
use super::made::{Finished, Made, finished, made};
use super::meter::by_buffers;
use super::next::Standing;
use super::reading::{LastReading, is_in};
use super::setting::Setting;
use super::short::{BeyondReserve, beyond_reserve};
use crate::batch::advise::{Advice, Course, Situation};
use crate::model::{Batch, PhRange};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::sheet::ph::{Direction, Solution};
use smol_str::SmolStr;

/// From this chance on, a true pH in the window contradicts a last reading outside of it.
const LIKELY: f64 = 0.5;

/// A batch at the bench.
pub struct View<'s> {
    /// The formula and its plan.
    pub setting: Setting<'s>,
    /// What is in the beaker, and what is still to come.
    pub ledger: Ledger,
    /// The stage.
    pub stage: Stage,
    /// What is next.
    pub next: Next,
    /// The last reading; none where nothing was read yet.
    pub last: Option<LastReading>,
    /// The last reading less what the meter is known to show too much; none where no buffer was shown off.
    pub counts_as: Option<Exact>,
    /// What the advisor makes of weights and readings; none where nothing is weighed to a pH, or nothing was read yet.
    /// Where the last reading lies outside the window and is acted on, it says no true pH that likely lies inside.
    pub advice: Option<Advice>,
    /// The line that is weighed to the pH.
    pub adjuster: Option<SmolStr>,
    /// What was made, beside what was to be made.
    pub made: Vec<Made>,
    /// What did not come out, or went into the air.
    pub losses: Losses,
    /// What there was to fill, and what is in the containers; none before it is filled.
    pub filling: Option<Filling>,
    /// Whether nothing is still to be weighed or topped up.
    pub batch_is_complete: bool,
    /// Past the far edge: what leads back, or why what was asked for does not; none elsewhere, or where nothing does.
    pub back: Option<Result<WayBack, NoWay>>,
    /// Short of the window, and nothing left: the addition all the same, and what it does.
    pub beyond_reserve: Option<BeyondReserve>,
    /// Over the reserve: the actives in the finished batch as it stands; empty elsewhere.
    pub thinned: Vec<Finished>,
    /// What went in beyond the plan.
    pub corrections: Vec<Correction>,
    /// The actives, and what the corrections bring, in the finished batch; empty without corrections.
    pub corrected: Vec<Finished>,
}

impl<'s> View<'s> {
    /// A batch at the bench; none where its formula cannot be reached.
    #[must_use]
    pub fn of(resolver: &Resolver<'s>, batch: &Batch) -> Option<View<'s>> {
        View::with(resolver, batch, None, None)
    }

    /// The same, led back from past the far edge with a material that was named, and with what stands against releasing
    /// it.
    #[must_use]
    pub fn with(
        resolver: &Resolver<'s>,
        batch: &Batch,
        back_with: Option<&str>,
        unfit: Option<&str>,
    ) -> Option<View<'s>> {
        let setting = Setting::of(resolver, batch)?;
        let ledger = Ledger::of(&setting.formula, &setting.plan, batch);
        let last = LastReading::of(batch);
        let adjuster = adjuster_of(&setting);
        let told = last.as_ref().and_then(|_| situation(resolver, &setting, batch, &ledger));
        let told = told.map(|situation| (Course::of(&situation), situation));
        let mut advice = told.as_ref().map(|(course, situation)| course.advise(situation));
        let asked = Asked {
            resolver,
            setting: &setting,
            batch,
            ledger: &ledger,
            adjuster: adjuster.as_ref(),
            told: told.as_ref().map(|(course, situation)| (course, situation)),
        };
        let way = || known_way(resolver, &setting);
        let decided = asked.decide(advice.as_ref(), way, back_with, unfit);
        let Decision { stage, next, back, beyond_reserve } = decided;
        let is_inside = last.as_ref().is_some_and(|last| {
            // Of a beaker that is another one by now, the last reading says nothing.
            last.stale || is_in(batch, setting.formula.window.as_ref(), &last.reading)
        });
        if let Some(advice) = advice.as_mut().filter(|_| !is_inside && next.what != Do::CheckMeter) {
            advice.ph_true = advice.ph_true.filter(|truth| truth.inside < LIKELY);
        }
        let names = setting.resolver(resolver);
        let made = made(names, &setting.formula, batch, &ledger);
        let corrections = corrections(batch, &ledger);
        let corrected = corrected(names, &setting.formula, batch, &ledger, &corrections);
        let over = ledger.over().is_positive();
        let ph = last.as_ref().map(|last| last.reading.middle().to_f64());
        let thinned = if over { finished(names, &setting.formula, batch, &ledger, None, &[], ph) } else { Vec::new() };
        Some(View {
            losses: Losses::of(batch, &ledger),
            filling: Filling::of(resolver, &setting, batch, &ledger),
            batch_is_complete: batch.is_filled()
                || !(ledger.to_come().is_positive() || ledger.to_top_up().is_positive()),
            adjuster,
            advice,
            counts_as: counts_as(batch, setting.formula.window.as_ref(), last.as_ref()),
            stage,
            next,
            last,
            made,
            back,
            beyond_reserve,
            thinned,
            corrections,
            corrected,
            ledger,
            setting,
        })
    }
}

/// What a reading counts as, where that is not what was read.
fn counts_as(batch: &Batch, window: Option<&PhRange>, last: Option<&LastReading>) -> Option<Exact> {
    let reading = &last?.reading;
    let counts = by_buffers(batch, window?, reading).middle();
    (counts != reading.middle()).then_some(counts)
}

/// A batch of which it is to be said what is next: the record, and what it rests on.
pub(super) struct Asked<'a, 's> {
    /// The names of the session.
    pub resolver: &'a Resolver<'s>,
    /// The formula and its plan.
    pub setting: &'a Setting<'s>,
    /// The record.
    pub batch: &'a Batch,
    /// The record beside the plan.
    pub ledger: &'a Ledger,
    /// The line that is weighed to the pH.
    pub adjuster: Option<&'a SmolStr>,
    /// What the advisor is told of it, and the chemistry of that; none where nothing is weighed to a pH, or nothing was
    /// read yet.
    pub told: Option<(&'a Course, &'a Situation)>,
}

/// What is next, and what was looked into for it.
pub(super) struct Decision {
    /// The stage.
    pub stage: Stage,
    /// What is next.
    pub next: Next,
    /// See [`View`].
    pub back: Option<Result<WayBack, NoWay>>,
    /// See there.
    pub beyond_reserve: Option<BeyondReserve>,
}

impl Asked<'_, '_> {
    /// What is next. `way` tells which way the adjuster moves the pH by the chemistry: up, above nought, or down.
    pub fn decide(
        &self,
        advice: Option<&Advice>,
        way: impl FnOnce() -> Option<f64>,
        back_with: Option<&str>,
        unfit: Option<&str>,
    ) -> Decision {
        let Asked { resolver, setting, batch, ledger, adjuster, told } = *self;
        let window = setting.formula.window.as_ref();
        let last = LastReading::of(batch);
        let beyond = is_beyond(setting, batch, way);
        let fresh = last.as_ref().filter(|last| beyond && !last.stale && !batch.is_filled());
        let back = fresh
            .zip(window)
            .map(|(last, window)| by_buffers(batch, window, &last.reading).middle().to_f64())
            .map(|reading| {
                let honest = advice.is_none_or(|advice| advice.honest);
                Past { resolver, setting, batch, ledger, told, honest, reading }.way_back(back_with)
            })
            .filter(|back| back.is_ok() || back_with.is_some());
        let beyond_reserve = advice.and_then(|advice| beyond_reserve(resolver, setting, batch, ledger, advice));
        let standing = Standing {
            formula: &setting.formula,
            batch,
            ledger,
            last: last.as_ref(),
            inside: last.as_ref().is_some_and(|last| is_in(batch, window, &last.reading)),
            beyond,
            adjuster,
            advice,
            back: back.as_ref(),
            beyond_reserve: beyond_reserve.as_ref(),
            unfit,
        };
        let (stage, next) = standing.decide();
        Decision { stage, next, back, beyond_reserve }
    }
}

/// Whether the last reading lies past the edge that the adjuster leads to last: by the chemistry, or, where nobody knows
/// what the adjuster does, by which way the first readings went.
fn is_beyond(setting: &Setting<'_>, batch: &Batch, way: impl FnOnce() -> Option<f64>) -> bool {
    let Some(window) = &setting.formula.window else { return false };
    let Some((_, last, _)) = batch.readings().last() else { return false };
    if is_in(batch, Some(window), last) {
        return false;
    }
    let last = &by_buffers(batch, window, last);
    match way().or_else(|| way_by_readings(batch)) {
        Some(way) if way > 0.0 => window.high.as_ref().is_some_and(|high| last.low > *high),
        Some(way) if way < 0.0 => window.low.as_ref().is_some_and(|low| last.high < *low),
        _ => false,
    }
}

/// Which way the adjuster moves the pH: up, above nought, or down.
#[must_use]
pub fn way_of(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch) -> Option<f64> {
    known_way(resolver, setting).or_else(|| way_by_readings(batch))
}

/// The same by the chemistry alone.
pub(super) fn known_way(resolver: &Resolver<'_>, setting: &Setting<'_>) -> Option<f64> {
    let model = crate::chemistry::Activity::Davies;
    let solution = Solution::of(setting.resolver(resolver), &setting.formula)?;
    let rest = solution.at_rest(model)?;
    let way = solution.adjusters.first().map(|adjuster| Direction::of(adjuster, &rest, model).sign);
    way.filter(|way| *way != 0.0)
}

fn way_by_readings(batch: &Batch) -> Option<f64> {
    let mut readings = batch.readings();
    let (first, last) = (readings.next()?.1.middle(), readings.next_back()?.1.middle());
    Some((&last - &first).to_f64())
}
