//! Files: the only place, beside the commands, that touches the disk.
//!
//! [`load`] reads the files named and everything they `use`, and parses them; what cannot be read or used
//! becomes a diagnostic at the place that asked for it.

mod disk;
mod load;
mod source;

pub use disk::{Disk, World};
pub use load::{Failure, Loaded, load, load_alone};
pub use source::{LineIndex, Source, Sources, UseOutcome};
