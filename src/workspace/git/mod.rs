//! git, read through a library: what a workspace was at an earlier commit, and how it came to be what it is.
//!
//! Nothing is ever written, and no program is run.

mod commit;
mod error;
mod folder;
mod home;
mod repository;
mod revision;

pub use commit::{Blob, Commit};
pub use error::GitError;
pub use repository::Repository;
pub use revision::Revision;
