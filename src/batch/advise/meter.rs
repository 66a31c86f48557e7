//! What buffers say of a meter: when it was set anew, and by how much it is off.

use super::situation::MeterSetting;

/// A buffer that is shown within this, in pH, was set to, or found right: a reading is no better than that. One that is
/// shown further off tells of the meter as it was, and is, set.
const SHOWN_RIGHT: f64 = 0.05;
/// Of more settings than this the first ones count as one: no bench sets its meter so often over one batch.
const SETTINGS: usize = 6;
/// Buffers that makers have, of published pH at 25 °C: tetroxalate, phthalate, borax and carbonate of the IUPAC
/// Recommendations 2002, to two places, and the phosphate of pH 7.00 that is sold beside them.
const BUFFERS: [f64; 5] = [1.68, 4.01, 7.00, 9.18, 10.01];

/// What is done with a meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MeterEvent {
    /// The batch was read.
    Read,
    /// A buffer was read: its pH, and what the meter showed.
    Buffer(f64, f64),
}

/// Whether a buffer that is shown so was set to, or found right.
#[must_use]
pub fn is_shown_right(buffer: f64, shown: f64) -> bool {
    (buffer - shown).abs() <= SHOWN_RIGHT + 1e-9
}

/// The settings that were given up, and the buffers read at the present one. A buffer shown right after something was
/// read begins a new one.
#[must_use]
pub fn settings(events: impl Iterator<Item = MeterEvent>) -> (Vec<MeterSetting>, Vec<(f64, f64)>) {
    let mut all = Vec::new();
    let mut now = MeterSetting::default();
    let mut is_read = false;
    for event in events {
        match event {
            MeterEvent::Read => {
                now.readings += 1;
                is_read = true;
            }
            MeterEvent::Buffer(buffer, shown) => {
                let right = is_shown_right(buffer, shown);
                if right && is_read {
                    all.push(std::mem::take(&mut now));
                    is_read = false;
                }
                now.calibrations.push((buffer, shown));
                // Shown wrong, a buffer is itself a reading of the meter as it is: the next one shown right is after that.
                is_read |= !right;
            }
        }
    }
    let many = all.len().saturating_sub(SETTINGS);
    let first: Vec<MeterSetting> = all.drain(..many).collect();
    if let Some(next) = all.first_mut() {
        next.readings += first.iter().map(|setting| setting.readings).sum::<usize>();
    }
    (all, now.calibrations)
}

/// By how much a meter shows more than there is near a reading, by the buffers read at its setting: as at the nearest
/// one, and on a straight line between two. Nought where none was read, or all were shown right; of a buffer that was
/// read twice, the last counts.
#[must_use]
pub fn shows_more(calibrations: &[(f64, f64)], reading: f64) -> f64 {
    let mut below: Option<(f64, f64)> = None;
    let mut above: Option<(f64, f64)> = None;
    for (buffer, shown) in calibrations {
        let more = if is_shown_right(*buffer, *shown) { 0.0 } else { shown - buffer };
        let read = buffer + more;
        if read <= reading && below.is_none_or(|(nearest, _)| read >= nearest) {
            below = Some((read, more));
        }
        if read >= reading && above.is_none_or(|(nearest, _)| read <= nearest) {
            above = Some((read, more));
        }
    }
    match (below, above) {
        (Some((low, at_low)), Some((high, at_high))) if high > low => {
            at_low + (at_high - at_low) * (reading - low) / (high - low)
        }
        (Some((_, more)), _) | (None, Some((_, more))) => more,
        (None, None) => 0.0,
    }
}

/// The buffer nearest to a pH.
#[must_use]
pub fn nearest_buffer(ph: f64) -> f64 {
    let nearest = BUFFERS.into_iter().min_by(|one, other| (one - ph).abs().total_cmp(&(other - ph).abs()));
    nearest.unwrap_or(7.0)
}
