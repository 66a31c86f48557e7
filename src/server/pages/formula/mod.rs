//! The page of a formula: its text on one side, and on the other all that follows from it.

mod body;
mod show;

pub use show::show;
