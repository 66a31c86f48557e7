//! What a formula asks of itself.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::{Bound, Demand, Ensured, PhRange};
use crate::quantity::Interval;

/// An `ensure` that does not hold, or cannot be shown to hold over a strength that is not known.
pub fn broken(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    for ensured in &context.formula.ensures {
        faults.extend(match &ensured.demand {
            Demand::Within { written, value: Some(value), bound } => within(ensured, written, value, bound),
            Demand::Ph(bound) => context.formula.window.as_ref().and_then(|window| ph(ensured, window, bound)),
            Demand::Within { value: None, .. } | Demand::Nothing => None,
        });
    }
}

fn within(ensured: &Ensured, written: &str, value: &Interval, bound: &Bound) -> Option<Diagnostic> {
    let mark = bound.mark;
    let over = bound.range.edge_below(&value.high);
    let under = bound.range.edge_above(&value.low);
    let limit = over.or(under)?;
    let (worst, how) = if over.is_some() { (&value.high, "over") } else { (&value.low, "under") };
    let off = (worst - limit).abs();
    let message = if value.is_point() {
        format!("`{written}` comes to {worst}{mark}, {off}{mark} {how} the {limit}{mark} asked for.")
    } else {
        format!("`{written}` may come to {worst}{mark}, {off}{mark} {how} the {limit}{mark} asked for.")
    };
    let fault = Diagnostic::new(Code::EnsureBroken, ensured.place, message);
    Some(fault.help(format!("The formula asks for {}: change the lines, or what it asks.", bound.written)))
}

/// A pH window is a promise: a demand that any part of it misses is broken.
fn ph(ensured: &Ensured, window: &PhRange, bound: &Bound) -> Option<Diagnostic> {
    if window.lies_within(&bound.range) {
        return None;
    }
    let message = format!("The pH window reaches outside the {} asked for.", bound.written);
    Some(
        Diagnostic::new(Code::EnsureBroken, ensured.place, message)
            .and(window.place, "the window")
            .help("Narrow the window until all of it lies within what is asked."),
    )
}
