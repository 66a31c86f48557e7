//! The versions of formulas through the commits of a repository: what each commit changed, and versions that are gone
//! from the files.

mod log;
mod lost;
mod state;
mod walk;

pub use log::{Entry, Track, log};
pub use lost::{Recovered, Recovery, lost_plan, recover, recover_for};
pub use state::{Past, State};
pub use walk::{Step, walk};
