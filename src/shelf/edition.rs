//! Which shelf it is.

/// The edition of the shelf, shown on every sheet: the month of the reference data it was last brought up to.
pub const EDITION: &str = "2026-11";

/// The day on which the rules of the shelf were read.
pub const EDITION_DATE: &str = "2026-11-25";
