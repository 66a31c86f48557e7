//! What a formula itself is told of: not told of its batches again, unless one of them is worse.

use super::formula::AsMade;
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::{Formula, Line};
use smol_str::SmolStr;
use std::cmp::Ordering;

/// The faults of a formula, allowed or not.
pub(super) struct Known(Vec<Mark>);

/// What tells one fault from another.
#[derive(PartialEq, Eq)]
struct Mark {
    code: Code,
    /// The line that it speaks of.
    subject: Option<SmolStr>,
    /// What it rests on beside the lines: a rule, a usage, where a material works.
    rests_on: Vec<Place>,
}

impl Mark {
    /// Whether it says all that another says. What works in part of the window is told of together.
    fn covers(&self, other: &Mark) -> bool {
        match self.code {
            Code::PhWindowPartial => other.code == self.code && is_among(&other.rests_on, &self.rests_on),
            _ => self == other,
        }
    }
}

/// Whether all of some places are among others.
fn is_among(some: &[Place], others: &[Place]) -> bool {
    some.iter().all(|place| others.contains(place))
}

impl Known {
    /// The faults of a formula.
    pub fn new(formula: &Formula, faults: Vec<Diagnostic>) -> Known {
        Known(faults.iter().map(|fault| mark(formula, fault)).collect())
    }

    /// Whether the formula has a fault of its batch too, and the batch is no worse by what was weighed.
    pub fn has(&self, fault: &Diagnostic, made: &AsMade) -> bool {
        self.is_of_formula(fault, made) && !is_worse(fault, made)
    }

    /// Whether the formula has it too, though the batch may be worse.
    pub fn is_of_formula(&self, fault: &Diagnostic, made: &AsMade) -> bool {
        let own = mark(&made.formula, fault);
        self.0.iter().any(|known| known.covers(&own))
    }
}

impl Known {
    /// Whether the formula is told already that its window is only in part where a material works: a reading in the other
    /// part is then no error of the batch.
    pub fn has_in_part(&self, fault: &Diagnostic, made: &AsMade) -> bool {
        let works = mark(&made.formula, fault).rests_on;
        let in_part = |known: &Mark| known.code == Code::PhWindowPartial && is_among(&works, &known.rests_on);
        fault.code == Code::PhWindowClash && self.0.iter().any(in_part)
    }
}

/// Whether more of its line, or less, makes a fault graver than the formula has it.
fn is_worse(fault: &Diagnostic, made: &AsMade) -> bool {
    let graver = match fault.code {
        Code::UsageUnder | Code::PreservativeGap | Code::PreservativeFreeAcid => Ordering::Less,
        Code::UsageOver | Code::RuleBroken | Code::RuleForbids | Code::SolubilityOver => Ordering::Greater,
        _ => return false,
    };
    made.subject(fault).and_then(|line| made.off(line)) == Some(graver)
}

fn mark(formula: &Formula, fault: &Diagnostic) -> Mark {
    let is_line = |place: Place| line_at(formula, place).is_some();
    let is_window = |place: Place| formula.window.as_ref().is_some_and(|window| window.place == place);
    let places = std::iter::once(fault.primary.place).chain(fault.secondary.iter().map(|label| label.place));
    let is_other = |place: &Place| !is_line(*place) && !is_window(*place) && *place != formula.place;
    let rests_on = places.filter(is_other).collect();
    Mark { code: fault.code, subject: subject(formula, fault).map(|line| line.name.clone()), rests_on }
}

/// The line of a formula that a fault speaks of: where it is told, or the first that it points at.
pub(super) fn subject<'f>(formula: &'f Formula, fault: &Diagnostic) -> Option<&'f Line> {
    let places = std::iter::once(fault.primary.place).chain(fault.secondary.iter().map(|label| label.place));
    places.filter_map(|place| line_at(formula, place)).next()
}

fn line_at(formula: &Formula, place: Place) -> Option<&Line> {
    formula.lines.iter().find(|line| line.mark == place || line.place == place)
}
