//! A batch at the bench: what is weighed, what is next, what is left of the water held back.
//!
//! [`Ledger::of`] plays a record against the plan of its formula, and is asked by all for what is in the beaker; [`acts`]
//! has the order in which the formula is made, [`Standing`] says what stage the batch is at and what to do next; [`made`]
//! what the beaker holds, beside what it was to hold. [`View`] is all of it.

mod act;
mod advice;
pub mod advise;
mod ahead;
mod at_ph;
mod back;
mod care;
pub mod checks;
mod codes;
mod contents;
mod corrections;
mod facts;
mod filling;
mod ledger;
mod losses;
mod made;
mod meter;
mod next;
mod order;
mod reading;
mod setting;
mod short;
pub mod trail;
mod view;
mod weights;
pub mod writing;

pub use act::{Do, Next, Stage};
pub use advice::{advice, is_beyond_doubt};
pub use ahead::{Ahead, ahead};
pub use at_ph::AtPh;
pub use back::{NoWay, WayBack};
pub use care::care;
pub use codes::{codes, free_code};
pub use contents::{Contents, adjuster_of, adjuster_per_gram, contents};
pub use corrections::{Correction, corrected, corrections};
pub use facts::with_facts;
pub use filling::{Filling, UnknownFill, came_out};
pub use ledger::{Ledger, LedgerEntry, LedgerLine, Reserve};
pub use losses::{Losses, Untold};
pub use made::{Finished, Made, finished, made};
pub use meter::by_buffers;
pub use next::{Standing, grams_of};
pub use order::{Act, Placed, acts, before_the_jars};
pub use reading::{LastReading, is_in, is_stale, lies_in};
pub use setting::{Setting, is_version};
pub use short::{BeyondReserve, beyond_reserve};
pub use view::{View, way_of};
pub use weights::Weights;
