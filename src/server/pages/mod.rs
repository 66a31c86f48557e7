//! The pages: each a function of the workroom.

pub mod bench;
pub mod explain;
mod find;
pub mod formula;
pub mod new;
pub mod shelf;
pub mod store;
pub mod trace;
pub mod workroom;
