//! Tables and notes as makers keep them, turned into formulas; and formulas of a kind to begin from.

#![allow(
    clippy::disallowed_methods,
    clippy::indexing_slicing,
    clippy::unwrap_used,
    reason = "tests read files of their own"
)]

mod kinds;
mod own;
mod properties;
mod read;
mod tables;
mod undecided;
