//! Batch records: what was made beside what was to be made. What needs the end of a batch waits until it is filled.

mod context;
mod lots;
mod out;
mod ph;
mod reserve;
mod sold;
mod steps;
mod top_up;

use super::{Ledger, LedgerLine, Reserve, Setting};
use crate::diagnostic::{Code, Diagnostic, Level, Place};
use crate::model::Batch;
use crate::quantity::Exact;
use crate::resolve::Resolver;
use context::BatchContext;

/// A check of one record.
type BatchCheck = fn(&BatchContext<'_, '_>, &mut Vec<Diagnostic>);

const CHECKS: &[BatchCheck] = &[
    lines_missing,
    lines_unknown,
    weights_off,
    reserve::over,
    top_up::off,
    ph::outside,
    ph::stale,
    ph::doubtful,
    ph::edge,
    lots::missing,
    out::filled_over,
    steps::unknown_names,
];

/// Checks a record, and gives back what it was held against; none where that cannot be reached.
pub fn record<'s>(
    resolver: &Resolver<'s>,
    batch: &Batch,
    faults: &mut Vec<Diagnostic>,
) -> Option<(Setting<'s>, Ledger)> {
    out::more_than_there_was(batch, faults);
    sold::over(batch, faults);
    faults.extend(formula_missing(resolver, batch));
    let setting = Setting::of(resolver, batch);
    let names = setting.as_ref().map_or(resolver, |setting| setting.resolver(resolver));
    lots::expired(names, batch, setting.as_ref().map(|setting| &*setting.formula), faults);
    let Some(setting) = setting else {
        faults.extend(version_gone(resolver, batch));
        return None;
    };
    let ledger = Ledger::of(&setting.formula, &setting.plan, batch);
    let context = BatchContext { resolver, batch, setting: &setting, ledger: &ledger };
    for check in CHECKS {
        check(&context, faults);
    }
    Some((setting, ledger))
}

/// A record that does not say what it is of. Where the statement is there and does not parse, that is told.
fn formula_missing(resolver: &Resolver<'_>, batch: &Batch) -> Option<Diagnostic> {
    let broken = batch.unread.iter().map(|unread| resolver.sources.at(unread.place));
    if batch.formula.is_some() || broken.into_iter().any(|text| text.starts_with("formula")) {
        return None;
    }
    let message = format!("`{}` does not say which formula it is a batch of.", batch.name);
    let fault = Diagnostic::new(Code::BatchFormulaMissing, batch.place, message)
        .help("Write `formula NAME version \"…\"` into the record, as the formula is called in its file.");
    Some(if batch.plan.is_some() { fault.at_level(Level::Warning) } else { fault })
}

/// The formula that a record is of is gone, or of another version, and no plan is frozen into the record.
fn version_gone(resolver: &Resolver<'_>, batch: &Batch) -> Option<Diagnostic> {
    let named = batch.formula.as_ref().filter(|_| batch.plan.is_none())?;
    let found = resolver.formula_of_batch(batch);
    let message = match (&found, &batch.version) {
        (None, _) => format!("`{}` is a batch of `{}`, and there is no such formula here.", batch.name, named.text),
        (Some(found), Some(version)) => {
            let now = found.formula.version.as_ref().filter(|now| **now != version.text)?;
            format!(
                "`{}` is a batch of `{}` version {}, and the file has version {now}.",
                batch.name, named.text, version.text
            )
        }
        (Some(_), None) => return None,
    };
    let place = batch.version.as_ref().filter(|_| found.is_some()).map_or(named.place, |version| version.place);
    let fault = Diagnostic::new(Code::BatchVersionGone, place, message);
    let fault = match found {
        Some(found) => fault.and(found.formula.place, "the formula as it is now"),
        None => fault,
    };
    Some(fault.help(
        "Commit the formula to git as it was made, or keep it under a name of its own; or write the plan of this batch \
         into the record: `plan { … }`.",
    ))
}

/// A filled batch without a line of its formula.
fn lines_missing(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if !context.batch.is_filled() {
        return;
    }
    for line in context.ledger.lines.iter().filter(|line| line.entries.is_empty() && line.planned.is_some()) {
        if context.is_misspelled(line) {
            continue;
        }
        let planned = context.grams(line.planned.as_ref().unwrap_or(&Exact::ZERO));
        let message =
            format!("`{}` is filled, and {planned} g of `{}` were never weighed in.", context.batch.name, line.name);
        faults.push(
            Diagnostic::new(Code::BatchLineMissing, context.batch.place, message)
                .and(line_place(context, line), "the line")
                .help("Write the weight down if it went in. If it did not, reject the batch."),
        );
    }
}

fn line_place(context: &BatchContext<'_, '_>, line: &LedgerLine) -> Place {
    let lines = &context.setting.formula.lines;
    lines.iter().find(|own| own.name == line.name).map_or(context.setting.formula.place, |own| own.place)
}

/// Something weighed that the formula does not have, with no reason given.
fn lines_unknown(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    for entry in &context.ledger.strangers {
        let near = context.near(entry);
        let hint = near.first().map(|near| format!("Is it `{near}`? ")).unwrap_or_default();
        let message = format!(
            "`{}` is not in `{}`, and {} g of it went in.",
            entry.material.text,
            context.setting.formula.name,
            context.grams(&entry.grams)
        );
        faults.push(
            Diagnostic::new(Code::BatchLineUnknown, entry.material.place, message)
                .and(context.setting.formula.place, "the formula")
                .help(format!("{hint}A correction with something else says why: `added … because \"…\"`.")),
        );
    }
}

/// Weighed off its plan by over 1 %, and by over a step of the scale. Too much is told at once; too little, which may
/// be half of the weighing, only once the batch is filled.
fn weights_off(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    for line in &context.ledger.lines {
        let (Some(planned), Some(last)) = (&line.asked, line.entries.last()) else { continue };
        let own = context.ledger.reserves.iter().find(|reserve| reserve.material == line.name);
        if let Some(reserve) = own.filter(|reserve| !reserve.held_back().is_zero()) {
            faults.extend(weighed_of_reserve(context, line, reserve, last.place));
            continue;
        }
        let weighed = line.weighed();
        // A batch that went over its reserve is set right with more of each line.
        let planned = match context.ledger.asked_now(line) {
            Some(larger) if weighed > *planned => &larger.min(weighed.clone()),
            _ => planned,
        };
        let off = &weighed - planned;
        let over = off.is_positive();
        let allowed = (planned * &Exact::ratio(1, 100)).max(line.step.clone());
        if off.abs() <= allowed || (!over && !context.batch.is_filled()) {
            continue;
        }
        let percent = (&off.abs() * &Exact::HUNDRED).over(planned).unwrap_or(Exact::ZERO);
        let message = format!(
            "{} g of `{}` went in for {} g: {} % too {}.",
            context.grams(&weighed),
            line.name,
            context.grams(planned),
            percent.to_significant(2),
            if over { "much" } else { "little" }
        );
        faults.push(
            Diagnostic::new(Code::BatchWeightOff, last.place, message)
                .and(line_place(context, line), "the line")
                .help(help_of_weight(context, line, &off)),
        );
    }
}

/// More weighed of a line that holds back than its first weighing: the top-up is less by that. Too little adds to the
/// top-up, which is held against it; what is over all that was held back is told by itself.
fn weighed_of_reserve(
    context: &BatchContext<'_, '_>,
    line: &LedgerLine,
    reserve: &Reserve,
    place: Place,
) -> Option<Diagnostic> {
    let (asked, more) = (line.asked.as_ref()?, reserve.weighed_before());
    if reserve.over().is_positive() || *more <= asked.hundredth().max(line.step.clone()) {
        return None;
    }
    let message = format!(
        "{} g of `{}` went in for {} g: {} g of what was held back are in already.",
        context.grams(&line.weighed()),
        line.name,
        context.grams(asked),
        context.grams(more)
    );
    let help = match context.batch.is_filled() {
        true => "The top-up had to be less by that.".to_string(),
        false if reserve.steams() => {
            "What evaporated takes of it, and the scale says how much: it takes no room of the adjuster's before."
                .to_string()
        }
        false => {
            format!("The top-up is less by that: {} g with what went in so far.", context.grams(&reserve.to_top_up()))
        }
    };
    let fault = Diagnostic::new(Code::BatchWeightOff, place, message).and(line_place(context, line), "the line");
    Some(fault.at_level(Level::Note).help(help))
}

fn help_of_weight(context: &BatchContext<'_, '_>, line: &LedgerLine, off: &Exact) -> String {
    if off.is_positive() {
        "If it is no slip of the pen, judge whether what it changes is within the usage and the rules; note it."
            .to_string()
    } else {
        format!(
            "If the batch is not filled yet, weigh in the missing {} g of `{}`.",
            context.grams(&off.abs()),
            line.name
        )
    }
}
