//! Derivations as text, Markdown and JSON.

use super::in_markdown::{code_in_markdown, data_in_markdown};
use super::screen::shown_data;
use crate::diagnostic::Place;
use crate::why::Derivation;
use crate::workspace::{LineIndex, Sources};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt::Write as _;

/// What `why --format json` prints.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct WhyJson {
    /// `stillroom.why/1`.
    pub schema: String,
    /// The formula.
    pub formula: String,
    /// The name asked for.
    pub name: String,
    /// The figures of that name, each with how it came about.
    pub figures: Vec<WhyFigure>,
}

/// What `why --format json` prints where several formulas have the name.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Whys {
    /// `stillroom.whys/1`.
    pub schema: String,
    /// An answer for each formula.
    pub answers: Vec<WhyJson>,
}

/// A figure and how it came about.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct WhyFigure {
    /// What the figure is.
    pub of: String,
    /// The figure, as the sheet prints it.
    pub result: String,
    /// Its unit; empty for a verdict.
    pub unit: String,
    /// The steps to it.
    pub steps: Vec<WhyStep>,
}

/// A step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct WhyStep {
    /// What it says.
    pub says: String,
    /// The file it rests on.
    pub file: Option<String>,
    /// The line, from 1.
    pub line: Option<usize>,
    /// The column, from 1, in characters.
    pub column: Option<usize>,
    /// The text there.
    pub text: Option<String>,
}

impl WhyJson {
    /// Derivations as data for printing.
    #[must_use]
    pub fn new(sources: &Sources, formula: &str, name: &str, derivations: &[Derivation]) -> WhyJson {
        let step = |says: &str, place: Option<Place>| {
            let position = place.map(|place| {
                let (line, column) = LineIndex::new(sources.text(place.file)).line_column(place.span.start);
                let text = sources.at(place).lines().next().unwrap_or("").to_string();
                (sources.path(place.file), line, column, text)
            });
            WhyStep {
                says: says.to_string(),
                file: position.as_ref().map(|(file, ..)| file.clone()),
                line: position.as_ref().map(|(_, line, ..)| *line),
                column: position.as_ref().map(|(_, _, column, _)| *column),
                text: position.map(|(.., text)| text),
            }
        };
        let figures = derivations.iter().map(|derivation| WhyFigure {
            of: derivation.of.clone(),
            result: derivation.result.clone(),
            unit: derivation.unit.to_string(),
            steps: derivation.steps.iter().map(|one| step(&one.says, one.place)).collect(),
        });
        WhyJson {
            schema: "stillroom.why/1".to_string(),
            formula: formula.to_string(),
            name: name.to_string(),
            figures: figures.collect(),
        }
    }

    /// For a terminal.
    #[must_use]
    pub fn text(&self) -> String {
        shown_data(self).write("", "  ", |place| format!("    ({place})"))
    }

    /// As Markdown.
    #[must_use]
    pub fn markdown(&self) -> String {
        let head = format!("# Why {} in {}\n\n", code_in_markdown(&self.name), code_in_markdown(&self.formula));
        let mut fit = data_in_markdown(self, &["of", "result", "says"]);
        // Places are told as code, where signs mean nothing.
        let own = self.figures.iter().flat_map(|figure| &figure.steps);
        for (step, own) in fit.figures.iter_mut().flat_map(|figure| &mut figure.steps).zip(own) {
            step.file.clone_from(&own.file);
        }
        head + &fit.write("## ", "1. ", |place| format!(" ({})", code_in_markdown(place)))
    }

    fn write(&self, head: &str, bullet: &str, place: impl Fn(&str) -> String) -> String {
        let mut out = String::new();
        for (number, figure) in self.figures.iter().enumerate() {
            let gap = if number > 0 { "\n" } else { "" };
            let unit = if figure.unit.is_empty() { String::new() } else { format!(" {}", figure.unit) };
            let after = if head.is_empty() { "" } else { "\n" };
            // Writing to a string cannot fail.
            let _ = writeln!(out, "{gap}{head}{}: {}{unit}{after}", figure.of, figure.result);
            // What the figure before began with is not told again.
            let before =
                number.checked_sub(1).and_then(|at| self.figures.get(at)).map_or(&[][..], |before| &before.steps);
            let same = figure.steps.iter().zip(before).take_while(|(step, before)| step == before).count();
            let known = if same > 1 { same } else { 0 };
            if let Some(last) = known.checked_sub(1).and_then(|at| figure.steps.get(at)) {
                let _ = writeln!(out, "{bullet}as above, to: {}", last.says);
            }
            for step in figure.steps.iter().skip(known) {
                let rests = match (&step.file, step.line, step.column) {
                    (Some(file), Some(line), Some(column)) => place(&format!("{file}:{line}:{column}")),
                    _ => String::new(),
                };
                let _ = writeln!(out, "{bullet}{}{rests}", step.says);
            }
        }
        out
    }
}
