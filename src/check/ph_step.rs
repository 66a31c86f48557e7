//! One step of the scale that moves the pH by more than half of the window.

use super::context::CheckContext;
use super::foreseen::{Leading, MODEL, window};
use crate::chemistry::{Constants, Equilibrium, Mixture, equilibrium, is_beyond};
use crate::diagnostic::{Code, Diagnostic, Level};
use crate::sheet::ph::uncertainty;
use std::sync::Arc;

/// One step of the scale that moves the pH by more than half of the window.
pub fn coarse(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let (Some(window), Some(plan)) = (window(context.formula), context.plan) else { return };
    // A window of one point has no half: it is told of as narrow.
    let (Some(low), Some(high)) = (window.low, window.high.filter(|high| Some(*high) > window.low)) else { return };
    let Some(foreseen) = context.forecast() else { return };
    for leading in foreseen.leading(&window) {
        let direction = leading.direction;
        let lines = context.formula.lines.get(direction.adjuster.line).zip(plan.lines.get(direction.adjuster.line));
        let Some((line, weight)) = lines else { continue };
        let step = weight.step.to_f64() * 100.0 / plan.batch.to_f64();
        let half = (high - low) / 2.0;
        let unknown = uncertainty::unknown_moles(foreseen.solution);
        let steepest = |unknown: f64| steepest(unknown, &leading, step, half).filter(|moved| *moved > half);
        let Some(moved) = steepest(unknown) else { continue };
        // Where a little more of what nobody knows of would steady it, the model cannot be sure that nothing does.
        let level = if steepest(unknown * RICHER).is_some() { Level::Warning } else { Level::Note };
        let parts = round_parts(moved / half);
        let message = format!(
            "One step of the scale, {} g of `{}`, moves the pH by {moved:.2}; the window is {:.2} wide.",
            weight.step,
            line.name,
            high - low
        );
        let fault = Diagnostic::new(Code::PhStepCoarse, line.mark, message).at_level(level);
        faults.push(
            fault.and(context.formula.window.as_ref().map_or(line.place, |window| window.place), "the window").help(
                format!(
                    "Dilute it: 1 part of `{}` in {parts} parts with water, and hold back more to make room for it. A \
                 larger batch or a finer scale does the same.",
                    line.name
                ),
            ),
        );
    }
}

/// A dilution of at least so many parts that is easily weighed.
fn round_parts(least: f64) -> f64 {
    let tens = 10f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|parts| parts * tens).find(|parts| *parts >= least).unwrap_or(10.0 * tens)
}

/// The most that one step of the scale moves the pH within the window, where it may be as much as this.
fn steepest(unknown_moles: f64, leading: &Leading<'_>, step: f64, half: f64) -> Option<f64> {
    let (direction, near, middle) = (leading.direction, leading.near?, leading.middle?);
    // A wide span of doses to the middle cannot hold a step as coarse as that.
    if middle - near > 25.0 * step {
        return None;
    }
    let unknown = |ph: f64| buffering(ph, unknown_moles);
    let is_steady = |dose: f64, state: &Equilibrium| {
        let with_step = direction.adjuster.at(dose + step).plus(&unknown(state.ph), 1.0);
        let goal = state.ph + direction.sign * half / 2.0;
        half >= SURE && !is_beyond(&with_step, &state.medium, goal, direction.sign, MODEL)
    };
    let moved = |(dose, state): (f64, Option<&Equilibrium>)| {
        if state.is_some_and(|state| is_steady(dose, state)) {
            return None;
        }
        let unknown = unknown(equilibrium(&direction.adjuster.at(dose), MODEL)?.ph);
        let after = |dose: f64| Some(equilibrium(&direction.adjuster.at(dose).plus(&unknown, 1.0), MODEL)?.ph);
        Some((after(dose + step)? - after(dose)?).abs())
    };
    [(near, leading.at_near), (middle, leading.at_middle)].into_iter().filter_map(moved).reduce(f64::max)
}

/// How many times as much acid and base as is reckoned with may well be in an emulsion's raw materials (common practice, no
/// source).
const RICHER: f64 = 10.0;

/// From half a window as wide as this on, one look in the medium without the step tells whether the step comes even half
/// as far: a step changes the medium by far less than that.
const SURE: f64 = 0.1;

/// So much of a buffer that is half neutralised at a pH: traces, and what has no data, steady a batch a little, and a
/// forecast without them would call every batch without a buffer too touchy.
fn buffering(ph: f64, moles: f64) -> Mixture {
    let mut mixture = Mixture::default();
    mixture.put(u64::MAX, &Arc::new(Constants::acid(&[ph])), moles);
    mixture.put_ion(1.0, moles / 2.0);
    mixture
}
