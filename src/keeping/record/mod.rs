//! The record of a batch, written on statement by statement.

mod code;
mod draft;
mod off_plan;
mod write_down;

pub use draft::{Draft, Frozen, Unfrozen, home_of};
pub use off_plan::OffPlan;
pub use write_down::{Begin, NewEntry, Recorded, Written, batches, pick, plan_for, unopened, write_down};
