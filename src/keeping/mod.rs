//! Files written whole and under a lock: a statement of a record, an edit that is sure, a text that is saved.

mod files;
mod moment;
mod version;

pub use files::{stills_under, within_here};
pub use moment::Moment;
pub use version::FileVersion;
