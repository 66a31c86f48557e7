//! The settings that the meter had in the course of a record.

use crate::batch::advise::MeterSetting;
use crate::model::{Batch, Happened};
use crate::quantity::Exact;

/// A buffer that is shown within this, in pH, was set to, or found right; one that is shown further off tells of the
/// meter as it was set until then.
const SHOWN_RIGHT: (i64, i64) = (1, 10);
/// Of more settings than this the first ones count as one: no bench sets its meter so often over one batch.
const SETTINGS: usize = 6;

/// The settings that were given up, and the buffers read at the present one. A buffer shown right after something was
/// read begins a new one.
#[must_use]
pub fn settings(batch: &Batch) -> (Vec<MeterSetting>, Vec<(f64, f64)>) {
    let mut all = Vec::new();
    let mut now = MeterSetting::default();
    let mut is_read = false;
    for event in &batch.events {
        match &event.what {
            Happened::Read(_) => {
                now.readings += 1;
                is_read = true;
            }
            Happened::Calibrated { buffer, reads } => {
                let right = is_right(buffer, reads);
                if right && is_read {
                    all.push(std::mem::take(&mut now));
                    is_read = false;
                }
                now.calibrations.push((buffer.to_f64(), reads.to_f64()));
                // Shown wrong, a buffer is itself a reading of the meter as it is: the next one shown right is after that.
                is_read |= !right;
            }
            _ => {}
        }
    }
    let many = all.len().saturating_sub(SETTINGS);
    let first: Vec<MeterSetting> = all.drain(..many).collect();
    if let Some(next) = all.first_mut() {
        next.readings += first.iter().map(|setting| setting.readings).sum::<usize>();
    }
    (all, now.calibrations)
}

/// Whether the meter was set anew after an event.
#[must_use]
pub fn is_set_anew(batch: &Batch, event: usize) -> bool {
    batch.events.iter().skip(event + 1).any(|later| match &later.what {
        Happened::Calibrated { buffer, reads } => is_right(buffer, reads),
        _ => false,
    })
}

fn is_right(buffer: &Exact, reads: &Exact) -> bool {
    let (tenths, whole) = SHOWN_RIGHT;
    (buffer - reads).abs() <= Exact::ratio(tenths, whole)
}
