//! The readings of a batch: in the window, of the batch as it was filled, and clear of the edges.

use super::context::BatchContext;
use crate::batch::{advice, by_buffers, is_beyond_doubt, is_in, lies_in};
use crate::diagnostic::{Code, Diagnostic};
use crate::model::Happened;
use crate::quantity::Exact;

/// Filled, and the last reading out of the window.
pub fn outside(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(window) = context.setting.formula.window.as_ref().filter(|_| context.batch.is_filled()) else { return };
    let Some((_, reading, place)) = context.batch.readings().last() else { return };
    if is_in(context.batch, Some(window), reading) {
        return;
    }
    let read = if reading.low == reading.high {
        reading.low.to_string()
    } else {
        format!("{} to {}", reading.low, reading.high)
    };
    let message = format!("The batch is filled, and its last reading of {read} is out of {}.", window.words());
    faults.push(
        Diagnostic::new(Code::BatchPhOutside, place, message)
            .and(window.place, "the window")
            .help("Read it again. If it stays so, the batch is not what its label says: reject it, or set it right."),
    );
}

/// Something went in after the last reading of a filled batch.
pub fn stale(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some((number, _, read_at)) = context.batch.readings().last().filter(|_| context.batch.is_filled()) else {
        return;
    };
    let later = context.batch.events.iter().skip(number + 1).find_map(|event| match &event.what {
        Happened::Weighed(material, grams) | Happened::Added(material, grams, _) => {
            Some((event.place, format!("{} g of `{}`", context.grams(grams), material.text)))
        }
        Happened::ToppedUp { material, .. } => Some((event.place, format!("the rest of `{}`", material.text))),
        _ => None,
    });
    let Some((place, what)) = later else { return };
    let message = format!("The last reading is older than {what}, which went in after it.");
    faults.push(
        Diagnostic::new(Code::BatchPhStale, place, message)
            .and(read_at, "the last reading")
            .help("Read the pH of the batch as it was filled, and write it down."),
    );
}

/// Readings that cannot come from this formula and these weights by any honest explanation.
pub fn doubtful(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some((_, reading, place)) = context.batch.readings().last() else { return };
    if is_beyond_doubt(context.resolver, context.setting, context.batch, context.ledger) {
        return;
    }
    let Some(advice) =
        advice(context.resolver, context.setting, context.batch, context.ledger).filter(|advice| !advice.honest)
    else {
        return;
    };
    let likely = advice.doubts.first().map(|doubt| {
        format!(
            "Likeliest: {}, {} ({:.0} %). To decide it: {}",
            doubt.cause.words(),
            doubt.size,
            doubt.share * 100.0,
            doubt.test
        )
    });
    let message = format!(
        "pH {} and the readings before it cannot come from this formula and these weights.",
        reading.middle().to_significant(3)
    );
    let before = "Calibrate the meter, look at the bottles, and do not fill while this stands.".to_string();
    let help = match likely {
        Some(likely) => format!("{likely}. Do not fill while this stands."),
        None => before,
    };
    faults.push(Diagnostic::new(Code::BatchPhDoubtful, place, message).help(help));
}

/// The last reading within the meter's error of an edge.
pub fn edge(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(window) = &context.setting.formula.window else { return };
    let Some((_, reading, place)) = context.batch.readings().last() else { return };
    let reading = &by_buffers(context.batch, window, reading);
    if reading.by_strip || !lies_in(Some(window), reading) {
        return;
    }
    let error = context.setting.formula.meter.clone().unwrap_or_else(|| Exact::ratio(1, 20));
    let near = |edge: &Option<Exact>| edge.as_ref().is_some_and(|edge| (edge - &reading.low).abs() < error);
    if !near(&window.low) && !near(&window.high) {
        return;
    }
    let message = format!("{} is within the meter's error of {error} of an edge of {}.", reading.low, window.words());
    faults.push(
        Diagnostic::new(Code::BatchPhEdge, place, message)
            .and(window.place, "the window")
            .help("It may be out. Bring it nearer to the middle, or read it with a meter fresh from its buffers."),
    );
}
