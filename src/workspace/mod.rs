//! Files: the only place, beside the commands, that touches the disk.
//!
//! [`load`] reads the files named and everything they `use`, and parses them; what cannot be read or used
//! becomes a diagnostic at the place that asked for it. With the feature `git`, a
//! `Repository` gives the same files as they once were.

mod alone;
mod disk;
#[cfg(feature = "git")]
mod git;
mod kept;
mod load;
mod plain;
mod source;

pub use disk::{Disk, Layered, Overlay, World, joined, seen_from};
#[cfg(feature = "git")]
pub use git::{Blob, Commit, GitError, Repository, Revision};
pub use kept::KeptFiles;
pub use load::{Loaded, OpenFailure, excuse_what_is_gone, give_plan, load, load_again, load_alone};
pub use plain::{unread, unwritten};
pub use source::{LineIndex, Source, Sources, UseOutcome};
