//! What pages ask for beside their text, and what is done by them: each a function of the workroom.

pub mod bench;
pub mod changes;
mod commit;
mod filled_in;
pub mod formula;
pub mod new;
pub mod text;
pub mod versions;

pub use filled_in::FilledIn;
