//! Batch records written on: what is said at the bench becomes one more statement of a batch, and nothing else in
//! the file changes.
//!
//! [`statement`] makes a statement out of the words of a command, [`freeze`] writes the plan that a record rests on,
//! [`added_definitions`] what it is to say of a correction; [`append`], [`begin`], [`into_plan`] and [`strike`](strike()) say what goes where in the
//! text, and [`session::acceptance`](crate::session::acceptance()) whether it may.

mod added;
mod amount;
mod freeze;
mod local;
mod place;
mod strike;
mod words;

pub use added::{AddedDefinitions, added_definitions};
pub use freeze::{freeze, size_text};
pub use place::{Insertion, append, begin, into_plan};
pub use strike::{Unlike, last_entry, strike};
pub use words::{quoted, says_something, statement};
