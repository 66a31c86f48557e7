//! What stands beside the lines of a formula: the grams of its own batch, and what an amount comes to.
//!
//! The figures are those of the sheet: they are read from it and not worked out anew.

use super::occurrences::Names;
use crate::diagnostic::{FileId, Span};
use crate::model::{Formula, Line, LineAmount};
use crate::render::{PhAdjuster, Sheet, SheetLine, sheet};
use crate::session::{FormulaReport, Report};
use crate::sheet::BatchOrder;

/// Something to be shown at a place of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hint {
    /// Where.
    pub offset: u32,
    /// What is shown.
    pub label: String,
    /// What it says in a sentence.
    pub about: String,
}

/// The hints of a file within a stretch of it. They stand for the formulas' own batches.
#[must_use]
pub fn hints(names: &Names<'_>, report: &Report<'_>, order: &BatchOrder, file: FileId, within: Span) -> Vec<Hint> {
    let mut all = Vec::new();
    for formula in report.formulas.iter().filter(|formula| formula.formula.id.file == file) {
        let Some(own) = formula.formula.own_span.map(|own| own.span) else { continue };
        if own.end < within.start || within.end < own.start {
            continue;
        }
        let Some(sheet) = sheet(names.sources, report, formula, order) else { continue };
        all.extend(of_formula(&sheet, formula, file, own));
    }
    all.retain(|hint: &Hint| within.start <= hint.offset && hint.offset <= within.end);
    all.sort_by_key(|hint| hint.offset);
    all
}

/// Each line of a formula with its line on the sheet.
#[must_use]
pub fn lines_of<'s, 'f>(sheet: &'s Sheet, formula: &'f Formula) -> Vec<(&'f Line, &'s SheetLine)> {
    let by_phase = sheet.phases.iter().enumerate().flat_map(|(number, phase)| {
        let lines = formula.lines.iter().filter(move |line| line.phase == number);
        lines.zip(&phase.lines)
    });
    by_phase.collect()
}

fn of_formula(sheet: &Sheet, formula: &FormulaReport, file: FileId, own: Span) -> Vec<Hint> {
    let here = |place: crate::diagnostic::Place| place.file == file && own.holds(place.span);
    let lines = lines_of(sheet, &formula.formula);
    let shown = lines.into_iter().filter(|(line, _)| here(line.whole));
    shown
        .map(|(line, weighed)| {
            let at = if here(line.amount_place) && line.whole.span.holds(line.amount_place.span) {
                line.amount_place.span.end
            } else {
                line.whole.span.end
            };
            let adjuster = sheet.ph.iter().flat_map(|ph| &ph.adjusters).find(|of| of.material == weighed.material);
            let label = label(line, weighed, adjuster);
            let about = about(sheet, line, adjuster.is_some());
            Hint { offset: at, label, about }
        })
        .filter(|hint| !hint.label.is_empty())
        .collect()
}

fn label(line: &Line, weighed: &SheetLine, adjuster: Option<&PhAdjuster>) -> String {
    if weighed.at_bench {
        return adjuster.and_then(dose).map(|dose| format!("foreseen {dose}")).unwrap_or_default();
    }
    let mut parts = Vec::new();
    let tells_percent = line.target.is_some() || line.amount == LineAmount::QuantumSatis || !line.uses.is_empty();
    if let Some(percent) = weighed.percent.as_ref().filter(|_| tells_percent) {
        parts.push(format!("{percent} %"));
    }
    if let Some(grams) = &weighed.grams {
        parts.push(format!("{grams} g"));
    }
    if let (Some(first), Some(held)) = (&weighed.first_weighing_g, &weighed.held_back_g) {
        parts.push(format!("first {first} g, {held} g held back"));
    }
    let label = parts.join(", ");
    if label.is_empty() { label } else { format!("= {label}") }
}

/// The dose to the middle of the window with its range, else to the edge that is met first.
#[must_use]
pub fn dose(of: &PhAdjuster) -> Option<String> {
    let to_middle = of.grams_mid.map(|grams| (grams, of.grams_mid_range, "the middle"));
    let to_edge = of.grams_near.map(|grams| (grams, of.grams_near_range, "the near edge"));
    let (grams, range, to) = to_middle.or(to_edge)?;
    Some(match range {
        Some([Some(low), Some(high)]) => format!("{grams:.2} g ({low:.2} to {high:.2}) to {to}"),
        _ => format!("{grams:.2} g to {to}"),
    })
}

fn about(sheet: &Sheet, line: &Line, foreseen: bool) -> String {
    let batch = format!("a batch of {} g", sheet.total_g);
    match &line.amount {
        LineAmount::AtBench if foreseen => {
            format!("Foreseen for {batch}, with the range it may lie in. It is weighed by the pH that is read.")
        }
        LineAmount::QuantumSatis => format!("What is left up to 100 %, in {batch}."),
        _ if line.target.is_some() => format!("As supplied, in {batch}."),
        _ => format!("In {batch}."),
    }
}
