//! Exact numbers, intervals, ranges, units with dimensions. Nothing here knows of formulas.

mod exact;
mod foreign;
mod interval;
mod money;
mod range;
mod unit;

pub use exact::{Exact, MAX_BITS};
pub use foreign::{ForeignUnit, is_put_together, reading};
pub use interval::Interval;
pub use money::{Currency, Money};
pub use range::{Overlap, Range};
pub use unit::{Dimension, Unit};
