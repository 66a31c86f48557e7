//! Figures as they are printed: grams to the step of a scale, edges of a window.

use crate::quantity::Exact;

/// A weight to a scale's step.
pub(super) fn grams(weight: &Exact, step: &Exact) -> String {
    weight.to_fixed(step.decimals().unwrap_or(4))
}

/// A scale's step.
pub(super) fn step_text(step: &Exact) -> String {
    grams(step, step)
}

/// A percentage of a sheet in as many digits as a maker can use.
#[must_use]
pub fn for_maker(percent: &str) -> String {
    Exact::parse(percent).map_or_else(
        || percent.to_string(),
        |figure| match figure.to_significant(4) {
            short if figure.abs() < Exact::whole(100) => short,
            _ => figure.to_string(),
        },
    )
}

/// The edge of a pH window, with one decimal at the least: `4.0`.
pub(super) fn ph_edge(ph: &Exact) -> String {
    if ph.decimals() == Some(0) { ph.to_fixed(1) } else { ph.to_string() }
}
