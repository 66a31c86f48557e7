//! The bench as a conversation: from where a batch stands to the one act that is asked for, and from what was typed to
//! the statement that `record` would write.

mod act;
mod entry;
mod jars;
mod lots;
mod panels;
mod question;
mod reason;
mod regions;
mod sight;

pub use entry::{Entry, Kind, Slot, Typed, Untyped};
pub use lots::lots_on_hand;
pub use panels::Panel;
pub use question::{Field, Figure, Printed, Question, Wait};
pub use sight::{Answer, BenchSight, LotOnHand, Notice, Standing, bench_body};
