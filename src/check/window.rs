//! The pH window of a formula.

use super::Look;
use crate::diagnostic::{Code, Diagnostic};

/// A line weighed to the pH and no pH to weigh it to.
pub fn missing(look: &Look<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = look.formula;
    if formula.window.is_some() || !formula.lacks("pH") {
        return;
    }
    if let Some(line) = formula.adjusters().next() {
        let message = format!("`{}` is weighed to the pH, and the formula has no pH.", line.name);
        faults.push(
            Diagnostic::new(Code::PhWindowMissing, line.amount_place, message)
                .and(formula.place, "this formula")
                .help("Write the window into the head of the formula: `pH 3.6 to 4.0`."),
        );
    }
}

/// A window whose upper edge is below its lower one.
pub fn reversed(look: &Look<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(window) = &look.formula.window else { return };
    if let (Some(low), Some(high)) = (&window.low, &window.high)
        && low > high
    {
        let message = format!("The pH runs from {low} down to {high}.");
        faults.push(
            Diagnostic::new(Code::PhWindowReversed, window.place, message)
                .help(format!("Write the lower figure first: `pH {high} to {low}`.")),
        );
    }
}
