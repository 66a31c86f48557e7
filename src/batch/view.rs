//! A batch at the bench, all of it: what `bench` shows.

use super::advice::advice;
use super::back::{NoWay, WayBack, way_back};
use super::contents::adjuster_of;
use super::corrections::{Correction, corrected, corrections};
use super::ledger::Ledger;
use super::made::{Finished, Made, finished, made};
use super::setting::Setting;
use super::state::{Do, Next, Stage, State, lies_in, state};
use super::weights::Weights;
use crate::batch::advise::Advice;
use crate::model::Batch;
use crate::resolve::Resolver;
use crate::sheet::ph::{Direction, Solution};
use smol_str::SmolStr;

/// A batch at the bench.
pub struct View<'s> {
    /// The formula and its plan.
    pub setting: Setting<'s>,
    /// The record beside the plan.
    pub ledger: Ledger,
    /// Where it stands.
    pub state: State,
    /// What the advisor makes of weights and readings; none where nothing is weighed to a pH, or nothing was read yet.
    pub advice: Option<Advice>,
    /// The line that is weighed to the pH.
    pub adjuster: Option<SmolStr>,
    /// What was made, beside what was to be made.
    pub made: Vec<Made>,
    /// The beaker by weight.
    pub weights: Weights,
    /// Past the far edge: what leads back, or why what was asked for does not; none elsewhere, or where nothing does.
    pub back: Option<Result<WayBack, NoWay>>,
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
        View::with(resolver, batch, None)
    }

    /// The same, led back from past the far edge with a material that was named.
    #[must_use]
    pub fn with(resolver: &Resolver<'s>, batch: &Batch, back_with: Option<&str>) -> Option<View<'s>> {
        let setting = Setting::of(resolver, batch)?;
        let ledger = Ledger::of(&setting.formula, &setting.plan, batch);
        let beyond = is_beyond(resolver, &setting, batch);
        let mut state = state(&setting.formula, batch, &ledger, beyond);
        let past = state.last.as_ref().filter(|_| state.stage == Stage::PastWindow && !state.stale);
        let back = past
            .map(|last| way_back(resolver, &setting, batch, &ledger, last.middle().to_f64(), back_with))
            .filter(|back| back.is_ok() || back_with.is_some());
        match &back {
            Some(Ok(back)) => state.next = lead_back(back),
            Some(Err(no_way)) => state.next.why = no_way.words(),
            None => {}
        }
        let read = batch.readings().next().is_some();
        let advice = if read { advice(resolver, &setting, batch, &ledger) } else { None };
        let names = setting.resolver(resolver);
        let made = made(names, &setting.formula, batch);
        let corrections = corrections(batch, &ledger);
        let corrected = corrected(names, &setting.formula, batch, &ledger, &corrections);
        let over = ledger.over().is_positive();
        let ph = state.last.as_ref().map(|last| last.middle().to_f64());
        let thinned = if over { finished(names, &setting.formula, batch, &ledger, None, &[], ph) } else { Vec::new() };
        let weights = Weights::of(batch);
        let adjuster = adjuster_of(&setting);
        Some(View { adjuster, advice, state, made, weights, back, thinned, corrections, corrected, ledger, setting })
    }
}

/// Past the far edge the next thing is what leads back.
fn lead_back(back: &WayBack) -> Next {
    let reserve = if back.over_reserve {
        "It is more than is left of what was held back, so the batch will be over its weight"
    } else {
        "It comes out of what is held back"
    };
    let what = if back.is_line { "of the formula's own leads" } else { "leads" };
    Next {
        what: Do::Add,
        material: Some(back.material.clone()),
        grams: Some(back.grams.clone()),
        why: format!(
            "The pH is past the window: this much {what} back to its middle. {reserve}; write it down with its reason, \
             `added … because \"…\"`, and read again."
        ),
    }
}

/// Whether the last reading lies past the edge that the adjuster leads to last: by the chemistry, or, where nobody knows
/// what the adjuster does, by which way the first readings went.
fn is_beyond(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch) -> bool {
    let Some(window) = &setting.formula.window else { return false };
    let Some((_, last, _)) = batch.readings().last() else { return false };
    if lies_in(Some(window), last) {
        return false;
    }
    match way_of(resolver, setting, batch) {
        Some(way) if way > 0.0 => window.high.as_ref().is_some_and(|high| last.low > *high),
        Some(way) if way < 0.0 => window.low.as_ref().is_some_and(|low| last.high < *low),
        _ => false,
    }
}

/// Which way the adjuster moves the pH: up, above nought, or down.
#[must_use]
pub fn way_of(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch) -> Option<f64> {
    let model = crate::chemistry::Activity::Davies;
    let solution = Solution::of(setting.resolver(resolver), &setting.formula);
    let known = solution.and_then(|solution| {
        let rest = solution.at_rest(model)?;
        solution.adjusters.first().map(|adjuster| Direction::of(adjuster, &rest, model).sign)
    });
    known.filter(|way| *way != 0.0).or_else(|| {
        let mut readings = batch.readings();
        let (first, last) = (readings.next()?.1.middle(), readings.next_back()?.1.middle());
        Some((&last - &first).to_f64())
    })
}
