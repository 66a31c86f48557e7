//! A repository: found, asked for a revision, walked back through its commits.

use super::commit::Commit;
use super::revision::{Folder, Revision};
use gix::ObjectId;
use rustc_hash::FxHashMap;
use std::fmt::{self, Display};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// So many folders are kept in memory before they are let go.
const FOLDERS_KEPT: usize = 20_000;

/// Why git could not answer, as a sentence for a person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GitError(pub String);

impl Display for GitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl GitError {
    /// An object of the repository that could not be read.
    pub(super) fn reading(error: impl Display) -> GitError {
        let words = error.to_string();
        GitError(format!("The git repository could not be read: {}.", words.trim_end_matches('.')))
    }
}

/// A git repository with files in it. Copies share what has been read.
#[derive(Clone)]
pub struct Repository {
    inner: Arc<Mutex<gix::Repository>>,
    folders: Arc<Mutex<FxHashMap<ObjectId, Arc<Folder>>>>,
    /// The folder its files stand in, with every link followed.
    pub folder: PathBuf,
}

impl Repository {
    /// The repository that a file or folder lies in; none where it lies in none.
    ///
    /// # Errors
    /// A repository without files of its own.
    #[allow(clippy::disallowed_methods, reason = "the workspace is what touches the disk")]
    pub fn of(path: &Path) -> Result<Option<Repository>, GitError> {
        let start = if path.is_dir() { path } else { path.parent().unwrap_or(path) };
        let Ok(inner) = gix::discover(start) else { return Ok(None) };
        Repository::around(inner).map(Some)
    }

    /// The repository of a folder and no other: a part of another that has a history of its own.
    pub(super) fn at(folder: &Path) -> Option<Repository> {
        Repository::around(gix::open(folder).ok()?).ok()
    }

    #[allow(clippy::disallowed_methods, reason = "the workspace is what touches the disk")]
    fn around(inner: gix::Repository) -> Result<Repository, GitError> {
        let folder = inner.workdir().and_then(|folder| std::fs::canonicalize(folder).ok());
        let folder = folder.ok_or_else(|| GitError("This git repository has no files beside it.".to_string()))?;
        Ok(Repository { inner: Arc::new(Mutex::new(inner)), folders: Arc::default(), folder })
    }

    pub(super) fn lock(&self) -> MutexGuard<'_, gix::Repository> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The state of the files at a revision: a commit, a tag, a branch, or whatever else git takes for one.
    ///
    /// # Errors
    /// A name that is no revision here, with what may have been meant.
    pub fn revision(&self, name: &str) -> Result<Revision, GitError> {
        let commit = self.named(name)?;
        Ok(self.state(&commit))
    }

    fn named(&self, name: &str) -> Result<Commit, GitError> {
        let number = {
            let inner = self.lock();
            if name.trim().is_empty() {
                return Err(GitError("No revision is named: write a commit, a tag or a branch.".to_string()));
            }
            let found = inner.rev_parse_single(name).ok().and_then(|id| id.object().ok());
            let commit = found.and_then(|object| object.peel_to_kind(gix::object::Kind::Commit).ok());
            match commit {
                Some(commit) => commit.id,
                None => return Err(unknown(&inner, name)),
            }
        };
        self.commit(number)
    }

    /// The latest commit; none where there is none yet.
    ///
    /// # Errors
    /// A repository that cannot be read.
    pub fn head(&self) -> Result<Option<Commit>, GitError> {
        let number = self.lock().head_id().map(gix::Id::detach).ok();
        number.map(|number| self.commit(number)).transpose()
    }

    /// The commits that a commit was made from, the one it goes on from first.
    ///
    /// # Errors
    /// A repository that cannot be read.
    pub fn parents(&self, commit: &Commit) -> Result<Vec<Commit>, GitError> {
        commit.parents.iter().map(|parent| self.commit(*parent)).collect()
    }

    /// Whether older commits were left out when the repository was copied.
    #[must_use]
    pub fn is_shallow(&self) -> bool {
        self.lock().is_shallow().unwrap_or(false)
    }

    /// The files as they stood at a commit.
    #[must_use]
    pub fn state(&self, commit: &Commit) -> Revision {
        Revision::new(self.clone(), commit.clone())
    }

    fn commit(&self, number: ObjectId) -> Result<Commit, GitError> {
        let inner = self.lock();
        let cut = inner.shallow_commits().ok().flatten();
        let cut = cut.is_some_and(|cut| cut.iter().any(|at| *at == number));
        let commit = inner.find_commit(number).map_err(GitError::reading)?;
        Commit::read(&commit, cut)
    }

    /// The top folder of a commit, where the commit is here.
    pub(super) fn tree_of(&self, commit: ObjectId) -> Option<ObjectId> {
        let inner = self.lock();
        let commit = inner.find_commit(commit).ok()?;
        commit.tree_id().ok().map(gix::Id::detach)
    }

    /// A folder by its number.
    pub(super) fn read_folder(&self, number: ObjectId) -> Option<Arc<Folder>> {
        let mut known = self.folders.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(folder) = known.get(&number) {
            return Some(Arc::clone(folder));
        }
        let inner = self.lock();
        let tree = inner.find_tree(number).ok()?;
        let folder = Arc::new(Folder::read(&tree)?);
        if known.len() >= FOLDERS_KEPT {
            known.clear();
        }
        known.insert(number, Arc::clone(&folder));
        Some(folder)
    }
}

/// Why a name is no revision, and what may have been meant.
fn unknown(inner: &gix::Repository, name: &str) -> GitError {
    if inner.head_id().is_err() {
        return GitError(format!("`{name}` is no revision: this git repository has no commit yet."));
    }
    let far = format!("refs/remotes/origin/{name}");
    let hint = if inner.try_find_reference(far.as_str()).ok().flatten().is_some() {
        format!(" Did you mean `origin/{name}`?")
    } else if inner.is_shallow().unwrap_or(false) {
        " This copy is shallow, so older commits are not in it: `git fetch --unshallow --tags` brings them.".to_string()
    } else {
        String::new()
    };
    GitError(format!("`{name}` is no revision here: no commit, tag or branch has that name.{hint}"))
}
