//! A stretch of time.

use crate::quantity::Exact;

/// A stretch of time: months are counted by the calendar, all else in seconds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Duration {
    /// So many months.
    Months(Exact),
    /// So many seconds.
    Seconds(Exact),
}
