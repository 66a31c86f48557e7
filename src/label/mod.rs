//! What the jar carries by law: its ingredient declaration, from what is in it

mod allergen;
mod declaration;
mod entry;
mod formed;
mod jar;
mod name;
mod order;
mod settle;
mod shades;
mod strength;
mod tally;

pub use declaration::{Declaration, DeclaredBasis, Note, NoteCode, declaration};
pub use entry::{Entry, Part};
pub use jar::{Jar, Portion, Reserve};
pub use order::{ExactlyOne, Ordered, in_order};
pub use settle::Settling;
