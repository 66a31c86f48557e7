//! A batch held to what its formula is held to, as it was made: the same checks with the same codes, told at the
//! statement that did it. What the formula itself has, and the batch no worse, is told of there and not here.

mod facts;
mod formula;
mod known;
mod told;

use super::{
    Check, CheckContext, CheckOptions, emulsifier, ensure, mixing, no_solvent, polymers, preservation, rule, scent,
    together, usage, window,
};
use crate::batch::{Ledger, Setting};
use crate::diagnostic::{Diagnostic, Level};
use crate::model::{Batch, Formula};
use crate::resolve::Resolver;
use crate::sheet::BatchOrder;
use formula::AsMade;
use known::Known;

/// The checks that a batch can fail though its formula does not, by what was weighed or by what was read.
///
/// The others of [`super::CHECKS`], each with why it is not asked again:
///
/// | check | why not |
/// | --- | --- |
/// | `total::*`, `amount::line_twice`, `strength::ignored`, `ounce::makes` | how amounts are written |
/// | `reserve::reserves` | how it is held back; what was taken out of it is `batch-over-reserve` |
/// | `window::missing`, `reversed`, `narrow` | how the window is written |
/// | `ph_reach`, `ph_reserve`, `ph_step`, `ph_notes`, `ph_foreseen`, `gas` | forecasts: a batch has readings (`batch-ph-*`) |
/// | `rancid::antioxidant`, `wet_hands::fed` | what is not in it was to be: `batch-line-missing` |
/// | `heat::*` | which phase a material stands in, not how much of it |
/// | `strength::off_target` | an active off its target by 2 %: `batch-weight-off` is told from 1 % on |
/// | `scale::*` | whether the plan can be weighed: it was |
/// | `version::missing`, `steps::*`, `claims::medicinal` | words of the formula |
/// | `market::*`, `rule_adjuster` | nothing of it hangs on a weight |
const CHECKS: &[Check] = &[
    usage::over_and_under,
    scent::over,
    scent::phototoxic,
    window::none,
    window::clash_or_partial,
    mixing::phase_clash,
    emulsifier::missing,
    mixing::solubility,
    no_solvent::in_oil,
    mixing::hlb,
    preservation::none,
    preservation::gap,
    preservation::free_acids,
    preservation::chelator,
    together::apart,
    polymers::collapse,
    ensure::broken,
    rule::rules,
];

/// What a batch of which every line is as planned can fail all the same: the adjuster is in it now, with a figure.
const CHECKS_AS_PLANNED: &[Check] = &[usage::over_and_under];

/// What can be asked where the files are gone and nobody knows what some material of one's own is for.
const CHECKS_BY_COMPOSITION: &[Check] = &[
    usage::over_and_under,
    window::clash_or_partial,
    mixing::solubility,
    together::apart,
    ensure::broken,
    rule::rules,
];

/// Tells of what a batch fails as it was made; of one that is not filled, once all that is still to come is in.
pub fn judge(
    session: &Resolver<'_>,
    order: &BatchOrder,
    batch: &Batch,
    setting: &Setting<'_>,
    ledger: &Ledger,
    faults: &mut Vec<Diagnostic>,
) {
    let found = found(session, order, batch, setting, ledger);
    if found.is_empty() {
        return;
    }
    // A larger batch sets right what is too much, as long as none is filled: tried out before it is said.
    let larger = ledger.larger().filter(|_| !batch.is_filled()).and_then(|grams| {
        let tried = Batch { size: Some(grams.clone()), ..batch.clone() };
        let setting = Setting::of(session, &tried)?;
        let ledger = Ledger::of(&setting.formula, &setting.plan, &tried);
        self::found(session, order, &tried, &setting, &ledger).is_empty().then_some(grams)
    });
    let told = |found: Found| told::of_batch(found.fault, batch, setting, larger.as_ref(), found.is_of_formula);
    faults.extend(found.into_iter().map(told));
}

/// A fault of a batch, in the words of a formula.
struct Found {
    fault: Diagnostic,
    /// Whether its formula has it too, and the batch is only worse.
    is_of_formula: bool,
}

/// What a batch fails and its formula does not, or not as gravely.
fn found(
    session: &Resolver<'_>,
    order: &BatchOrder,
    batch: &Batch,
    setting: &Setting<'_>,
    ledger: &Ledger,
) -> Vec<Found> {
    let Some(made) = AsMade::of(session, batch, setting, ledger) else { return Vec::new() };
    let is_declared = |of: &super::contents::Ingredient<'_>| session.scopes.item(of.material.id).is_some();
    let checks = match made.as_planned {
        true => CHECKS_AS_PLANNED,
        false if super::contents::ingredients(&made.formula).iter().all(is_declared) => CHECKS,
        false => CHECKS_BY_COMPOSITION,
    };
    let names = setting.resolver(session);
    let mut found = run(names, order, &made.formula, checks);
    found.retain(|fault| !made.is_of_adjuster_alone(fault));
    if found.is_empty() {
        return Vec::new();
    }
    // The formula by the strengths that it reckons with: a lot that was measured is part of the batch.
    let unmeasured = Batch { lots: Vec::new(), ..batch.clone() };
    let nominal = match batch.lots.iter().any(|lot| lot.assay.is_some()) {
        true => Setting::of(session, &unmeasured),
        false => None,
    };
    let nominal = nominal.as_ref().unwrap_or(setting);
    let planned = facts::as_promised(session, batch, &nominal.formula).formula;
    let known = Known::new(&planned, run(nominal.resolver(session), order, &planned, checks));
    found.retain(|fault| !known.has(fault, &made));
    let level = |fault: Diagnostic| match known.has_in_part(&fault, &made) {
        // What is worth less than that by its source stays so.
        true => {
            let level = fault.level.max(Level::Warning);
            fault.at_level(level)
        }
        false => fault,
    };
    let told = found.into_iter().map(|fault| Found {
        is_of_formula: known.is_of_formula(&fault, &made),
        fault: made.at_statement(names, level(fault)),
    });
    told.collect()
}

/// What some checks say of a formula, nothing foreseen.
fn run(resolver: &Resolver<'_>, order: &BatchOrder, formula: &Formula, checks: &[Check]) -> Vec<Diagnostic> {
    let asked = CheckOptions { needs_weight: false, foresees: false, keeps_forecast: false };
    let context = CheckContext::new(formula, resolver, order, None, asked);
    super::run(&context, checks)
}
