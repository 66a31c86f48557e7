//! A batch beside its formula: the plan, and what was made.

use super::meaning::{AmountMeaning, LineMeaning, Meaning};
use crate::bench::{Entry, Ledger, LedgerLine, View, topped_up};
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
pub fn plan_and_made(resolver: &Resolver<'_>, batch: &Batch, view: &View<'_>) -> Option<(Meaning, Meaning)> {
    let whole = whole(batch, view)?;
    let assayed = view.setting.resolver(resolver);
    let mut plan = planned(resolver, batch)?;
    let mut made = Meaning::of(assayed, &view.setting.formula);
    // What was done is told by the record alone; the rest of the formula is the same for both.
    let materials = std::mem::take(&mut made.materials);
    let as_planned = std::mem::take(&mut made.lines);
    made = Meaning { name: batch.name.to_string(), materials, ..plan.clone() };
    made.version = batch.version.as_ref().map(|version| version.text.to_string()).or(made.version);
    plan.lines = merged(plan.lines);
    made.lines = lines(&merged(as_planned), batch, view, &whole);
    for line in plan.lines.iter_mut().filter(|line| holds(&view.ledger, line)) {
        line.from_lines = Some(THE_REST.to_string());
    }
    if is_complete(batch, &view.ledger) {
        let share = |figure: &dyn Fn(&crate::bench::Made) -> Exact| {
            let shares = view.made.iter().map(|made| (made.name.clone(), Interval::point(figure(made))));
            shares.filter(|(_, share)| !share.high.is_zero()).collect::<Vec<_>>()
        };
        plan.composition = share(&|made| made.target.clone());
        made.composition = share(&|made| made.made.clone());
    }
    Some((plan, made))
}

/// The formula before any lot was measured.
fn planned(resolver: &Resolver<'_>, batch: &Batch) -> Option<Meaning> {
    let mut unmeasured = batch.clone();
    unmeasured.lots.iter_mut().for_each(|lot| lot.assay = None);
    match resolver.frozen_formula(&unmeasured) {
        Some((apart, formula)) => Some(Meaning::of(&apart, &formula)),
        None => resolver.formula_of_batch(batch).map(|found| Meaning::of(resolver, &found.formula)),
    }
}

/// Whether everything that goes in is in.
fn is_complete(batch: &Batch, ledger: &Ledger) -> bool {
    batch.is_filled() || ledger.topped_up.is_positive() || ledger.topped_to.is_some()
}

/// What everything is a share of: all that is in once the batch is topped up or filled, before that what it is to weigh.
fn whole(batch: &Batch, view: &View<'_>) -> Option<Exact> {
    let ledger = &view.ledger;
    let lines: Exact = ledger.lines.iter().map(LedgerLine::weighed).sum();
    let others: Exact = ledger.strangers.iter().chain(corrections(ledger)).map(grams).sum();
    let inside = &(&lines + &others) + &topped_up(ledger);
    if !inside.is_positive() {
        return None;
    }
    Some(if is_complete(batch, ledger) { inside } else { ledger.batch.clone() })
}

/// What set a batch right, with its reason.
fn corrections(ledger: &Ledger) -> impl Iterator<Item = &Entry> {
    ledger.from_reserve.iter().filter(|entry| entry.correction)
}

fn grams(entry: &Entry) -> Exact {
    entry.grams.clone()
}

fn holds(ledger: &Ledger, line: &LineMeaning) -> bool {
    ledger.holding.as_deref() == Some(line.material.as_str())
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
fn lines(planned: &[LineMeaning], batch: &Batch, view: &View<'_>, whole: &Exact) -> Vec<LineMeaning> {
    let ledger = &view.ledger;
    let percent = |grams: &Exact| (grams * &Exact::HUNDRED).over(whole);
    let mut all = Vec::new();
    for line in planned {
        let Some(weighed) = ledger.lines.iter().find(|own| own.name == line.material) else { continue };
        if weighed.entries.is_empty() && !holds(ledger, line) {
            if !batch.is_filled() {
                all.push(line.clone());
            }
            continue;
        }
        let corrected: Exact =
            corrections(ledger).filter(|entry| entry.material.text == line.material).map(grams).sum();
        let as_planned = weighed.planned.as_ref() == Some(&weighed.weighed()) && corrected.is_zero();
        if as_planned && !holds(ledger, line) && !is_over(ledger) {
            all.push(line.clone());
            continue;
        }
        let topped_up = if holds(ledger, line) { topped_up(ledger) } else { Exact::ZERO };
        let all_of_it = &(&weighed.weighed() + &corrected) + &topped_up;
        all.push(as_weighed(line, percent(&all_of_it), holds(ledger, line)));
    }
    let is_line = |entry: &&Entry| planned.iter().any(|line| line.material == entry.material.text.as_str());
    for entry in ledger.strangers.iter().chain(corrections(ledger).filter(|entry| !is_line(entry))) {
        let material = entry.material.text.to_string();
        all.push(LineMeaning {
            material,
            phase: AT_THE_BENCH.to_string(),
            percent: percent(&entry.grams),
            ..LineMeaning::default()
        });
    }
    all
}

/// Whether more went in than the plan has, so that what was weighed right is a smaller share.
fn is_over(ledger: &Ledger) -> bool {
    ledger.used() > ledger.held_back || !ledger.strangers.is_empty()
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
