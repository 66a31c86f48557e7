//! A batch at the bench: what is weighed, what is next, what is left of the water held back.
//!
//! [`Ledger::of`] holds a record against the plan of its formula; [`state`] says what stage it is at and what to do next;
//! [`made`] what the beaker holds, beside what it was to hold.

mod advice;
mod back;
mod beaker;
mod ledger;
mod made;
mod setting;
mod state;
mod view;

pub use advice::{advice, is_beyond_doubt};
pub use back::{WayBack, way_back};
pub use beaker::{Contents, adjuster_of, adjuster_per_gram, contents};
pub use ledger::{Entry, Ledger, LedgerLine};
pub use made::{Made, made, topped_up};
pub use setting::Setting;
pub use state::{Do, Next, Stage, State, is_stale, lies_in, state};
pub use view::{View, way_of};
