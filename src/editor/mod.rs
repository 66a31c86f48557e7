//! The server an editor speaks to: faults as one types, weights beside the lines, help where the cursor is.

pub mod hints;
pub mod navigate;
pub mod occurrences;
pub mod rename;
pub mod surveys;
