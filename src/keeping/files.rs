//! The files of the language under a folder.

use crate::workspace::{OpenFailure, unread};
use ignore::WalkBuilder;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Every `.still` file under a folder, those left out of git left out and no link followed, in the order of their paths;
/// and what cannot be looked into.
#[must_use]
pub fn stills_under(folder: &Path) -> (Vec<PathBuf>, Vec<OpenFailure>) {
    let (mut files, mut failures) = (BTreeSet::new(), Vec::new());
    for entry in WalkBuilder::new(folder).build() {
        match entry {
            Ok(entry) => {
                let is_file = entry.file_type().is_some_and(|kind| kind.is_file());
                let path = entry.into_path();
                if is_file && path.extension().is_some_and(|extension| extension == "still") {
                    files.insert(path);
                }
            }
            Err(error) => failures.push(OpenFailure {
                path: within_here(walked_to(&error).unwrap_or(folder)),
                reason: error.io_error().map_or_else(|| "it cannot be looked into".to_string(), unread),
                named: true,
                file: None,
            }),
        }
    }
    failures.sort_by(|one, other| one.path.cmp(&other.path));
    (files.into_iter().collect(), failures)
}

/// Where a walk through folders met something that it could not look into.
fn walked_to(error: &ignore::Error) -> Option<&Path> {
    match error {
        ignore::Error::WithPath { path, .. } => Some(path),
        ignore::Error::WithDepth { err, .. } | ignore::Error::WithLineNumber { err, .. } => walked_to(err),
        _ => None,
    }
}

/// A path without the point that a walk from here puts before it.
#[must_use]
pub fn within_here(path: &Path) -> String {
    path.strip_prefix(".").unwrap_or(path).to_string_lossy().into_owned()
}
