//! The pages: each a function of the workroom.

pub mod bench;
pub mod explain;
mod find;
pub mod formula;
pub mod label;
pub mod new;
pub mod shelf;
pub mod store;
mod text;
pub mod trace;
pub mod versions;
pub mod workroom;
