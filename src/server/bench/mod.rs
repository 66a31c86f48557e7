//! The bench as a conversation: from where a batch stands to the one act that is asked for, and from what was typed to
//! the statement that `record` would write.

mod entry;
mod question;
mod reason;

pub use entry::{Entry, Kind, Slot, Typed, Untyped};
pub use question::{Field, Figure, Printed, Question, Wait};
