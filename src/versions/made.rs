//! A batch beside its formula: the plan, and what was made.

use super::meaning::{AmountMeaning, FormulaMeaning, LineMeaning};
use crate::batch::{Ledger, Made, Setting, made as made_of};
use crate::model::Batch;
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;

/// How the line that makes up for the adjuster comes about.
const THE_REST: &str = "the rest";

/// Where something stands that went in and is no line of the formula.
const AT_THE_BENCH: &str = "none";

/// What a batch was to be and what it is, as two meanings; none where its formula cannot be reached, or nothing was
/// weighed yet. What is not weighed yet in a batch that is not filled counts as it was to be.
#[must_use]
pub fn plan_and_made(resolver: &Resolver<'_>, batch: &Batch) -> Option<(FormulaMeaning, FormulaMeaning)> {
    let setting = Setting::of(resolver, batch)?;
    let ledger = &Ledger::of(&setting.formula, &setting.plan, batch);
    let weights = &ledger.weights;
    if !weights.total().is_positive() {
        return None;
    }
    // Once everything is in, all are shares of what there is; before that, of what it is to weigh.
    let whole = if is_complete(batch, ledger) { weights.total() } else { ledger.size() };
    let assayed = setting.resolver(resolver);
    let mut plan = planned(resolver, batch)?;
    let mut made = FormulaMeaning::of(assayed, &setting.formula);
    // What was done is told by the record alone; the rest of the formula is the same for both.
    let materials = std::mem::take(&mut made.materials);
    let as_planned = std::mem::take(&mut made.lines);
    made = FormulaMeaning { batch: Some(batch.name.to_string()), materials, ..plan.clone() };
    made.version = batch.version.as_ref().map(|version| version.text.to_string()).or(made.version);
    plan.lines = merged(plan.lines);
    made.lines = lines(&merged(as_planned), batch, ledger, &whole);
    for line in plan.lines.iter_mut().filter(|line| holds(ledger, line)) {
        line.from_lines = Some(THE_REST.to_string());
    }
    if is_complete(batch, ledger) {
        let found = made_of(assayed, &setting.formula, batch, ledger);
        let share = |figure: &dyn Fn(&Made) -> Exact| {
            let shares = found.iter().map(|made| (made.name.clone(), Interval::point(figure(made))));
            shares.filter(|(_, share)| !share.high.is_zero()).collect::<Vec<_>>()
        };
        plan.composition = share(&|made| made.target.clone());
        made.composition = share(&|made| made.made.clone());
    }
    Some((plan, made))
}

/// The formula before any lot was measured.
fn planned(resolver: &Resolver<'_>, batch: &Batch) -> Option<FormulaMeaning> {
    let mut unmeasured = batch.clone();
    unmeasured.lots.iter_mut().for_each(|lot| lot.assay = None);
    match resolver.frozen_formula(&unmeasured) {
        Some((apart, formula)) => Some(FormulaMeaning::of(&apart, &formula)),
        None => resolver.formula_of_batch(batch).map(|found| FormulaMeaning::of(resolver, &found.formula)),
    }
}

/// Whether everything that goes in is in.
fn is_complete(batch: &Batch, ledger: &Ledger) -> bool {
    batch.is_filled() || ledger.topped_up().is_positive() || ledger.topped_to.is_some()
}

fn holds(ledger: &Ledger, line: &LineMeaning) -> bool {
    ledger.reserves.iter().any(|reserve| reserve.material == line.material)
}

/// Lines of one material are one: the record does not say which of them it weighed.
fn merged(lines: Vec<LineMeaning>) -> Vec<LineMeaning> {
    let mut all: Vec<LineMeaning> = Vec::new();
    for line in lines {
        let Some(first) = all.iter_mut().find(|first| first.material == line.material) else {
            all.push(line);
            continue;
        };
        first.percent = first.percent.as_ref().zip(line.percent.as_ref()).map(|(one, other)| one + other);
        first.asked = None;
        if let (Some((of, active)), Some((other, more))) = (&first.active, &line.active) {
            first.active = (of == other).then(|| (of.clone(), active + more));
        }
    }
    all
}

/// The lines as they were weighed.
fn lines(planned: &[LineMeaning], batch: &Batch, ledger: &Ledger, whole: &Exact) -> Vec<LineMeaning> {
    let weights = &ledger.weights;
    let percent = |grams: &Exact| (grams * &Exact::HUNDRED).over(whole);
    let mut all = Vec::new();
    for line in planned {
        let Some(weighed) = ledger.lines.iter().find(|own| own.name == line.material) else { continue };
        let inside = weights.parts.get(line.material.as_str());
        let planned = weighed.planned.as_ref().map(|planned| planned * &ledger.stays);
        let as_planned = planned.as_ref() == inside && !is_over(ledger);
        match inside {
            None if batch.is_filled() => {}
            // What is not weighed yet counts as it was to be, and so does what is held back until the top-up.
            None => all.push(line.clone()),
            Some(_) if holds(ledger, line) && !is_complete(batch, ledger) => all.push(line.clone()),
            Some(_) if as_planned && !holds(ledger, line) => all.push(line.clone()),
            Some(grams) => all.push(as_weighed(line, percent(grams), holds(ledger, line))),
        }
    }
    let is_line = |name: &str| planned.iter().any(|line| line.material == name);
    for (name, grams) in weights.parts.iter().filter(|(name, _)| !is_line(name)) {
        let (material, phase) = (name.to_string(), AT_THE_BENCH.to_string());
        all.push(LineMeaning { material, phase, percent: percent(grams), ..LineMeaning::default() });
    }
    all
}

/// Whether more went in than the plan has, so that what was weighed right is a smaller share.
fn is_over(ledger: &Ledger) -> bool {
    ledger.over().is_positive() || !ledger.strangers.is_empty()
}

/// A line with another percentage. The line that makes up for the adjuster follows; every other was weighed otherwise.
fn as_weighed(line: &LineMeaning, percent: Option<Exact>, follows: bool) -> LineMeaning {
    let active = match (&line.active, &line.percent, &percent) {
        (Some((of, active)), Some(was), Some(is)) => (active * is).over(was).map(|active| (of.clone(), active)),
        _ => None,
    };
    let kind = if follows { line.kind.clone() } else { AmountMeaning::AsSupplied };
    LineMeaning {
        percent,
        active,
        kind,
        asked: None,
        from_lines: follows.then(|| THE_REST.to_string()),
        ..line.clone()
    }
}
