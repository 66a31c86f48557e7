//! A batch at the bench: what is weighed, what is next, what is left of the water held back.
//!
//! [`Ledger::of`] holds a record against the plan of its formula; [`state`] says what stage it is at and what to do next;
//! [`made`] what the beaker holds, beside what it was to hold.

mod advice;
pub mod advise;
mod back;
pub mod checks;
mod contents;
mod corrections;
mod ledger;
mod made;
mod meter;
mod setting;
mod state;
pub mod trail;
mod view;
mod weights;
pub mod writing;

pub use advice::{advice, is_beyond_doubt};
pub use back::{NoWay, WayBack, way_back};
pub use contents::{Contents, adjuster_of, adjuster_per_gram, contents};
pub use corrections::{Correction, corrected, corrections};
pub use ledger::{Ledger, LedgerEntry, LedgerLine};
pub use made::{Finished, Made, finished, made};
pub use setting::Setting;
pub use state::{Do, Next, Stage, State, is_stale, lies_in, state};
pub use view::{View, way_of};
pub use weights::Weights;
