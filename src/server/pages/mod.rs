//! The pages: each a function of the workroom.

pub mod bench;
mod find;
pub mod formula;
pub mod shelf;
pub mod store;
pub mod trace;
pub mod workroom;
