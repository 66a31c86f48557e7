//! The settings that the meter had in the course of a record, and what it is known to show too much.

use crate::batch::advise::{self, MeterEvent, MeterSetting, is_shown_right};
use crate::model::{Batch, Happened, PhRange, Reading};
use crate::quantity::Exact;

/// The settings that were given up, and the buffers read at the present one.
#[must_use]
pub fn settings(batch: &Batch) -> (Vec<MeterSetting>, Vec<(f64, f64)>) {
    let events = batch.events.iter().filter_map(|event| match &event.what {
        Happened::Read(_) => Some(MeterEvent::Read),
        Happened::Calibrated { buffer, reads } => Some(MeterEvent::Buffer(buffer.to_f64(), reads.to_f64())),
        _ => None,
    });
    advise::settings(events)
}

/// Whether the meter was set anew after an event.
#[must_use]
pub fn is_set_anew(batch: &Batch, event: usize) -> bool {
    batch.events.iter().skip(event + 1).any(|later| match &later.what {
        Happened::Calibrated { buffer, reads } => is_shown_right(buffer.to_f64(), reads.to_f64()),
        _ => false,
    })
}

/// By how much the meter, as it is set now, is known to show more than there is near a window: what its buffers were
/// shown off, to a ten-thousandth. Nought where none was read, or all were shown right.
fn meter_shows_more(batch: &Batch, window: &PhRange) -> Exact {
    const PLACES: f64 = 10_000.0;
    let more = advise::shows_more(&settings(batch).1, advise::near(window.map(Exact::to_f64)));
    Exact::ratio((more * PLACES).round() as i64, PLACES as i64)
}

/// A reading of the meter as it is set now, less what it is known to show too much. A strip is no meter.
#[must_use]
pub fn by_buffers(batch: &Batch, window: &PhRange, reading: &Reading) -> Reading {
    let more = if reading.by_strip { Exact::ZERO } else { meter_shows_more(batch, window) };
    Reading { low: &reading.low - &more, high: &reading.high - &more, ..reading.clone() }
}
