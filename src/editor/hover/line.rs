//! The figures of a line: its exact percentage, its grams in the formula's own batch, and what of it is active.

use super::Asked;
use crate::diagnostic::Place;
use crate::editor::hints::{dose, lines_of};
use crate::model::{AmountIs, Formula, Line, LineAmount, LineMaterial};
use crate::quantity::{Exact, Interval};
use crate::render::{SheetLine, code_in_markdown, sheet};
use crate::session::FormulaReport;
use crate::syntax::survey::NameRole;

/// Digits of a percentage, as on the sheet.
const DIGITS: u32 = 10;

/// The figures of the line that a name is, where it is one.
pub(super) fn figures_of_name(asked: &Asked<'_>, place: Place, role: NameRole, name: &str) -> Option<String> {
    let by_name = matches!(role, NameRole::Figure | NameRole::Step);
    if !by_name && role != NameRole::Line {
        return None;
    }
    let report = formula_at(asked, place)?;
    let is_it = |line: &&Line| if by_name { line.name == name } else { line.place == place };
    let lines = &report.formula.lines;
    let line = lines.iter().find(is_it).or_else(|| lines.iter().find(|line| line.name == name))?;
    figures(asked, report, line)
}

/// The figures of the line that a place lies in.
pub(super) fn figures_at(asked: &Asked<'_>, place: Place) -> Option<String> {
    let report = formula_at(asked, place)?;
    let holds = |line: &&Line| line.amount_place.file == place.file && line.amount_place.span.holds(place.span);
    figures(asked, report, report.formula.lines.iter().find(holds)?)
}

fn formula_at<'a>(asked: &'a Asked<'_>, place: Place) -> Option<&'a FormulaReport> {
    let holds =
        |formula: &Formula| formula.own_span.is_some_and(|own| own.file == place.file && own.span.holds(place.span));
    asked.report.formulas.iter().find(|report| holds(&report.formula))
}

fn figures(asked: &Asked<'_>, report: &FormulaReport, line: &Line) -> Option<String> {
    let formula = &report.formula;
    let mut rows: Vec<String> = Vec::new();
    if let Some(percent) = &line.percent {
        rows.push(format!("{} as supplied", percent_words(percent)));
        rows.extend(active(asked, line, percent));
    }
    let sheet = sheet(asked.names.sources, asked.report, report, asked.order);
    if let Some(sheet) = &sheet {
        let weighed = lines_of(sheet, formula).into_iter().find(|(of, _)| std::ptr::eq(*of, line));
        if let Some((_, weighed)) = weighed {
            rows.extend(weight(weighed, &sheet.total_g));
            if line.amount == LineAmount::AtBench {
                let of = sheet.ph.iter().flat_map(|ph| &ph.adjusters).find(|of| of.material == weighed.material);
                rows.extend(of.and_then(dose).map(|dose| format!("foreseen: {dose}")));
                rows.push("weighed at the bench, by the pH that is read".to_string());
            }
        }
    }
    if rows.is_empty() {
        return None;
    }
    let rows: Vec<String> = rows.into_iter().map(|row| format!("- {row}")).collect();
    Some(format!("**In {}**\n\n{}", code_in_markdown(&formula.name), rows.join("\n")))
}

/// A percentage as it can be read, and exactly where that is no decimal.
fn percent_words(percent: &Exact) -> String {
    let short = percent.to_significant(DIGITS);
    match Exact::parse(&short).is_some_and(|read| read == *percent) {
        true => format!("{short} %"),
        false => format!("{short} % (exactly {} %)", percent.to_fraction()),
    }
}

fn weight(weighed: &SheetLine, batch: &str) -> Vec<String> {
    let mut rows = Vec::new();
    if let Some(grams) = &weighed.grams {
        rows.push(format!("{grams} g in a batch of {batch} g"));
    }
    if let (Some(first), Some(held)) = (&weighed.first_weighing_g, &weighed.held_back_g) {
        rows.push(format!("{first} g first, {held} g held back"));
    }
    rows
}

/// What of a line is what it was asked for, or what its material is bought for.
fn active(asked: &Asked<'_>, line: &Line, percent: &Exact) -> Vec<String> {
    let name = |id| code_in_markdown(&asked.report.resolver.substance_name(id));
    if let Some(target) = &line.target
        && let (Some(asked_for), AmountIs::Active | AmountIs::Of) = (&line.asked, target.is)
    {
        return vec![format!("{} % of {}", asked_for.to_significant(DIGITS), name(target.substance))];
    }
    let Some(LineMaterial::Material(material)) = &line.material else { return Vec::new() };
    let actives = material.contains.iter().filter(|part| part.active && !part.undisclosed);
    actives
        .filter(|part| part.strength.low != Exact::HUNDRED)
        .map(|part| format!("{} of {}", share(percent, &part.strength), name(part.substance)))
        .collect()
}

fn share(percent: &Exact, strength: &Interval) -> String {
    let of = |end: &Exact| (&percent.hundredth() * end).to_significant(DIGITS);
    match (of(&strength.low), of(&strength.high)) {
        (low, high) if low == high => format!("{low} %"),
        (low, high) => format!("{low} % to {high} %"),
    }
}
