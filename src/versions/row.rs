//! A change in words: of what, what was, what is, and by how much.

use super::change::{Change, ChangeKind, Value};
use crate::quantity::Exact;

/// Digits of a figure for people.
const DIGITS: u32 = 6;

/// A change in words, for a table or a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChangeRow {
    /// Of what.
    pub what: String,
    /// What was, with its unit; empty where there was nothing.
    pub before: String,
    /// What is; empty where there is nothing.
    pub after: String,
    /// By how much, with its sign; empty where that says nothing.
    pub difference: String,
}

impl Change {
    /// The change in words.
    #[must_use]
    pub fn row(&self) -> ChangeRow {
        let (mut before, mut after) = (self.shown(self.old.as_ref()), self.shown(self.new.as_ref()));
        if self.kind == ChangeKind::LineMoved {
            let place = |phase: &str, at: Option<usize>| format!("{phase}, line {}", at.unwrap_or_default());
            (before, after) = (place(&before, self.old_position), place(&after, self.new_position));
        }
        ChangeRow { what: self.subject(), before, after, difference: self.difference() }
    }

    /// The change in a few words: `glycerin (A) 3 % → 4 %`.
    #[must_use]
    pub fn in_short(&self) -> String {
        let row = self.row();
        match self.kind {
            ChangeKind::CommitStep => format!("step {}", self.what),
            ChangeKind::Statement | ChangeKind::DiagnosticAdded | ChangeKind::DiagnosticGone => row.what,
            ChangeKind::LineAdded => format!("{} {}", row.what, row.after),
            ChangeKind::LineRemoved => row.what,
            _ => match (row.before.is_empty(), row.after.is_empty()) {
                (true, _) => format!("{} now {}", row.what, row.after),
                (_, true) => format!("{} no more", row.what),
                _ => format!("{} {} → {}", row.what, row.before, row.after),
            },
        }
    }

    fn subject(&self) -> String {
        let what = &self.what;
        let about = self.about.as_deref().unwrap_or_default();
        let phase = self.phase.as_deref().unwrap_or_default();
        match self.kind {
            ChangeKind::LineAdded => format!("{what}, new in {phase}"),
            ChangeKind::LineRemoved => format!("{what}, gone from {phase}"),
            ChangeKind::LineMoved => format!("{what}, moved"),
            ChangeKind::Amount => format!("{what} ({phase})"),
            ChangeKind::Active => format!("{what} ({phase}), as {about}"),
            ChangeKind::Strength if about.starts_with("brings ") => format!("{what}, {about}"),
            ChangeKind::Strength => format!("{what}, strength of {about}"),
            ChangeKind::Reserve => format!("{what}, held back"),
            ChangeKind::Adjuster if about == "from" => format!("{what}, comes out of"),
            ChangeKind::Adjuster if about.is_empty() => format!("{what} ({phase})"),
            ChangeKind::PhWindow => "pH window".to_string(),
            ChangeKind::PredictedPh => "pH foreseen before adjustment".to_string(),
            ChangeKind::Header if what == "phase" => format!("phase {phase}, {about}"),
            ChangeKind::CommitStep => format!("step {what}"),
            ChangeKind::Composition if what == "not disclosed" => "whole, not disclosed".to_string(),
            ChangeKind::Composition => format!("{what} in the whole"),
            ChangeKind::Rule => format!("{about} {what}"),
            _ if about.is_empty() => what.clone(),
            _ => format!("{what}, {about}"),
        }
    }

    fn shown(&self, value: Option<&Value>) -> String {
        let unit = self.unit.map(|unit| format!(" {unit}")).unwrap_or_default();
        match value {
            None => String::new(),
            Some(Value::Figure(figure)) => format!("{}{unit}", figure.to_significant(DIGITS)),
            Some(Value::Range(range)) if range.is_point() => format!("{}{unit}", range.low.to_significant(DIGITS)),
            Some(Value::Range(range)) => {
                format!("{} to {}{unit}", range.low.to_significant(DIGITS), range.high.to_significant(DIGITS))
            }
            // ForecastMeaning grams are words with a unit; what is weighed to the pH has none.
            Some(Value::Words(words)) if words.parse::<f64>().is_ok() => format!("{words}{unit}"),
            Some(Value::Words(words)) => words.clone(),
        }
    }

    fn difference(&self) -> String {
        let (Some(old), Some(new)) = (single(self.old.as_ref()), single(self.new.as_ref())) else {
            return String::new();
        };
        let by = new - old;
        let sign = if by.is_negative() { "−" } else { "+" };
        let unit = self.unit.map(|unit| format!(" {unit}")).unwrap_or_default();
        format!("{sign}{}{unit}", by.abs().to_significant(DIGITS))
    }
}

/// A value that is one figure.
fn single(value: Option<&Value>) -> Option<&Exact> {
    match value? {
        Value::Figure(figure) => Some(figure),
        Value::Range(range) if range.is_point() => Some(&range.low),
        _ => None,
    }
}

/// So many edits are named in a line before the others are counted.
const NAMED: usize = 4;

/// All edits in one line; empty where there is none. What follows from them goes without saying.
#[must_use]
pub fn in_one_line(changes: &[Change]) -> String {
    let mut edits: Vec<String> = changes
        .iter()
        .filter(|change| !change.follows && change.kind != ChangeKind::Version)
        .map(Change::in_short)
        .collect();
    if edits.len() > NAMED + 1 {
        let others = edits.len() - NAMED;
        edits.truncate(NAMED);
        edits.push(format!("and {others} more"));
    }
    edits.join("; ")
}
