//! The last reading of the pH: where it lies, and whether it still speaks of what is in the beaker.

use super::meter::{by_buffers, is_set_anew};
use crate::model::{Batch, Happened, PhRange, Reading};

/// The last reading of a record.
#[derive(Clone, Debug)]
pub struct LastReading {
    /// The reading.
    pub reading: Reading,
    /// Whether something went in after it, or the meter was set anew.
    pub stale: bool,
    /// Whether the meter was set anew after it.
    pub set_anew: bool,
    /// Whether adjuster or a correction went in after it.
    pub adjusted_since: bool,
}

impl LastReading {
    /// The last reading of a record; none where there is none.
    #[must_use]
    pub fn of(batch: &Batch) -> Option<LastReading> {
        let (number, reading, _) = batch.readings().last()?;
        let set_anew = is_set_anew(batch, number);
        let later = batch.events.iter().skip(number + 1);
        let adjusted_since = later.map(|event| &event.what).any(|what| matches!(what, Happened::Added(..)));
        let stale = set_anew || is_stale(batch, number);
        Some(LastReading { reading: reading.clone(), stale, set_anew, adjusted_since })
    }
}

/// Whether anything went in after an event.
#[must_use]
pub fn is_stale(batch: &Batch, event: usize) -> bool {
    batch.events.iter().skip(event + 1).any(|event| event.what.puts_in().is_some())
}

/// Whether a reading lies in a window: all of it, for a strip's.
#[must_use]
pub fn lies_in(window: Option<&PhRange>, reading: &Reading) -> bool {
    window.is_some_and(|window| {
        window.low.as_ref().is_none_or(|low| *low <= reading.low)
            && window.high.as_ref().is_none_or(|high| reading.high <= *high)
    })
}

/// Whether a reading lies in a window, less what the meter is known to show too much.
#[must_use]
pub fn is_in(batch: &Batch, window: Option<&PhRange>, reading: &Reading) -> bool {
    window.is_some_and(|window| lies_in(Some(window), &by_buffers(batch, window, reading)))
}
