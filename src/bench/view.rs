//! A batch at the bench, all of it: what `bench` shows.

use super::advice::advice;
use super::back::way_back;
use super::beaker::adjuster_of;
use super::ledger::Ledger;
use super::made::{Made, made};
use super::setting::Setting;
use super::state::{Do, Next, Stage, State, lies_in, state};
use crate::advise::Advice;
use crate::model::Batch;
use crate::predict::{Beaker, Way};
use crate::resolve::Resolver;
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
}

impl<'s> View<'s> {
    /// A batch at the bench; none where its formula cannot be reached.
    #[must_use]
    pub fn of(resolver: &Resolver<'s>, batch: &Batch) -> Option<View<'s>> {
        let setting = Setting::of(resolver, batch)?;
        let ledger = Ledger::of(&setting.formula, &setting.plan, batch);
        let beyond = is_beyond(resolver, &setting, batch);
        let mut state = state(&setting.formula, batch, &ledger, beyond);
        if state.stage == Stage::PastWindow && !state.stale {
            lead_back(resolver, &setting, batch, &ledger, &mut state);
        }
        let read = batch.readings().next().is_some();
        let advice = if read { advice(resolver, &setting, batch, &ledger) } else { None };
        let made = made(setting.resolver(resolver), &setting.formula, batch, &ledger);
        Some(View { adjuster: adjuster_of(&setting), advice, state, made, ledger, setting })
    }
}

/// Past the far edge the next thing is what leads back, where the formula has it.
fn lead_back(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch, ledger: &Ledger, state: &mut State) {
    let Some(reading) = state.last.as_ref().map(|last| last.middle().to_f64()) else { return };
    let Some(back) = way_back(resolver, setting, batch, ledger, reading) else { return };
    let reserve = if back.over_reserve {
        "It is more than is left of what was held back, so the batch will be over its weight"
    } else {
        "It comes out of what is held back"
    };
    state.next = Next {
        what: Do::Add,
        material: Some(back.material),
        grams: Some(back.grams),
        why: format!(
            "The pH is past the window: this much of the formula's own leads back to its middle. {reserve}; write it down \
             with its reason, `added … because \"…\"`, and read again."
        ),
    };
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
    let beaker = Beaker::of(setting.resolver(resolver), &setting.formula);
    let known = beaker.and_then(|beaker| {
        let rest = beaker.at_rest(model)?;
        beaker.adjusters.first().map(|adjuster| Way::of(adjuster, &rest, model).way)
    });
    known.filter(|way| *way != 0.0).or_else(|| {
        let mut readings = batch.readings();
        let (first, last) = (readings.next()?.1.middle(), readings.next_back()?.1.middle());
        Some((&last - &first).to_f64())
    })
}
