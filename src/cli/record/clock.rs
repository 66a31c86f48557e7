//! The day and the hour, for whoever sits at the terminal: the one place that asks a clock. Nothing is worked out from
//! it; it only stands in for what she would type.

use jiff::Zoned;
pub use stillroom::keeping::Moment;

/// The day and the hour now, as the clocks here show them.
#[allow(clippy::disallowed_methods, reason = "at a terminal, today is the answer to Enter")]
pub fn now() -> Moment {
    let now = Zoned::now();
    Moment { day: now.strftime("%Y-%m-%d").to_string(), hour: now.strftime("%H:%M").to_string() }
}
