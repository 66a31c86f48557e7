//! The versions of each formula of some files, the latest first.

use super::state::Past;
use super::walk::{CommitStep, walk};
use crate::versions::{Compared, FormulaMeaning, Status, compared};
use crate::workspace::{Commit, Disk, GitError, Repository, World, load};
use rayon::prelude::*;
use std::ops::ControlFlow;
use std::path::PathBuf;

/// A formula through time.
#[derive(Debug)]
pub struct Track {
    /// Its latest name.
    pub formula: String,
    /// The file it stood in latest.
    pub file: String,
    /// What changed it, the latest first.
    pub entries: Vec<VersionEntry>,
    /// The name and the file it has further back.
    then: (String, String),
}

/// What a commit did to a formula.
#[derive(Debug)]
pub struct VersionEntry {
    /// The commit; none for what is not committed yet.
    pub commit: Option<Commit>,
    /// The formula before and after it.
    pub change: Compared,
}

impl VersionEntry {
    /// Whether it changed what is made and left the version as it was.
    #[must_use]
    pub fn is_unbumped(&self) -> bool {
        self.change.version_kept().is_some()
    }
}

/// The versions of every formula of files and folders, by their full paths: what is not committed yet first, then back
/// from the last commit.
///
/// # Errors
/// A repository that cannot be read.
pub fn log(repository: &Repository, paths: Vec<PathBuf>, on_disk: &[PathBuf]) -> Result<Vec<Track>, GitError> {
    let mut tracks = Tracks::default();
    let mut past = Past::new(paths);
    let head = repository.head()?;
    let now = meanings(&Disk, on_disk);
    let before: Vec<FormulaMeaning> = match &head {
        Some(head) => {
            let revision = repository.state(head);
            let files: Vec<PathBuf> = past.state(&revision)?.into_keys().collect();
            meanings(&revision, &files)
        }
        None => Vec::new(),
    };
    for change in compared(before, now) {
        tracks.put(None, change, true);
    }
    let Some(head) = head else { return Ok(tracks.all) };
    let mut edits = Vec::new();
    walk::<GitError>(repository, head, &mut past, |step: CommitStep| {
        let (before, now) = step.changed();
        edits.push(ChangedCommit { commit: step.commit, parent: step.parent, before, now });
        Ok(ControlFlow::Continue(()))
    })?;
    let changes: Vec<Vec<Compared>> = edits.par_iter().map(|edit| edit.changes(repository)).collect();
    for (edit, changes) in edits.iter().zip(changes) {
        changes.into_iter().for_each(|change| tracks.put(Some(&edit.commit), change, false));
    }
    Ok(tracks.all)
}

/// A commit, and the files that changed with it, or whose used files did.
struct ChangedCommit {
    commit: Commit,
    parent: Option<Commit>,
    before: Vec<PathBuf>,
    now: Vec<PathBuf>,
}

impl ChangedCommit {
    /// What it did to the formulas of those files.
    fn changes(&self, repository: &Repository) -> Vec<Compared> {
        let old = self.parent.as_ref().map(|parent| meanings(&repository.state(parent), &self.before));
        compared(old.unwrap_or_default(), meanings(&repository.state(&self.commit), &self.now))
    }
}

/// What each formula of files means in some world.
fn meanings(world: &dyn World, files: &[PathBuf]) -> Vec<FormulaMeaning> {
    if files.is_empty() {
        return Vec::new();
    }
    FormulaMeaning::sold_of_session(&load(world, files, None).sources)
}

#[derive(Default)]
struct Tracks {
    all: Vec<Track>,
}

impl Tracks {
    /// Puts a change to the formula that it is of. What is the same is a formula to be followed, and no entry.
    fn put(&mut self, commit: Option<&Commit>, change: Compared, follow: bool) {
        if change.status == Status::Same && !follow {
            return;
        }
        let side = |side: &Option<FormulaMeaning>| side.as_ref().map(|side| (side.name.clone(), side.file.clone()));
        let (was, is) = (side(&change.old), side(&change.new));
        let Some(latest) = is.or_else(|| was.clone()) else { return };
        let known = self.all.iter().position(|track| track.then == latest);
        let at = known.unwrap_or_else(|| {
            let (formula, file) = latest.clone();
            self.all.push(Track { formula, file, entries: Vec::new(), then: latest.clone() });
            self.all.len() - 1
        });
        let Some(track) = self.all.get_mut(at) else { return };
        track.then = was.unwrap_or(latest);
        if change.status != Status::Same {
            track.entries.push(VersionEntry { commit: commit.cloned(), change });
        }
    }
}
