//! The trail of lots: from a lot, a material or the code on a jar to every batch it went into or came from.
//!
//! [`trace`] follows a code through records alone: nothing of it needs the formulas, which stand beside it as they were
//! where they can be reached. A premix that was a batch of its own is followed through its code: it is a lot of what it
//! went into.

mod compare;
mod files;
mod follow;
mod records;
mod unread;

pub use compare::{Comparison, Shared, compare};
pub use files::{as_it_was, make_formulas_of};
pub use follow::{CodeKind, LotInUse, Traced, Trail, UsedLot, trace};
pub use records::{AsItWas, NotRead, Record, Records};
pub use unread::not_read;
