//! Whether versions of a file are kept.

use crate::server::address;
use crate::server::inside::Inside;
use crate::server::pages::versions::UNKEPT;
use crate::workspace::Repository;

/// Whether the file lies in a repository.
pub(super) struct VersionsKept {
    /// Why no versions are kept; none where they are.
    pub why_not: Option<String>,
    /// Where they begin to be kept, where nothing stands against that.
    pub begin: Option<String>,
}

impl VersionsKept {
    /// Of a file; from where versions are begun the way leads back to `own`.
    pub(super) fn of(file: &Inside, own: &str) -> VersionsKept {
        let (why_not, begin) = match Repository::of(file.path()) {
            Ok(Some(_)) => (None, None),
            Ok(None) => (Some(UNKEPT.to_string()), Some(address::begin_versions(own))),
            Err(error) => (Some(error.to_string()), None),
        };
        VersionsKept { why_not, begin }
    }

    pub(super) fn are_kept(&self) -> bool {
        self.why_not.is_none()
    }
}
