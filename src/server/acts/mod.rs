//! What pages ask for beside their text, and what is done by them: each a function of the workroom.

pub mod changes;
pub mod text;
