//! A day and an hour, as whoever writes something down has them. The clock is read by the caller.

/// A day and an hour as a record has them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moment {
    /// `2026-11-28`.
    pub day: String,
    /// `14:05`.
    pub hour: String,
}
