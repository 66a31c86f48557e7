//! A repository: found, asked for a revision, walked back through its commits.

use super::commit::Commit;
use super::error::GitError;
use super::folder::Folder;
use super::home::Home;
use gix::ObjectId;
use rustc_hash::FxHashMap;
use std::fmt::Display;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// So many folders are kept in memory before they are let go.
const FOLDERS_KEPT: usize = 20_000;

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
    /// A repository without files of its own, and one that cannot be read.
    #[allow(clippy::disallowed_methods, reason = "the workspace is what touches the disk")]
    pub fn of(path: &Path) -> Result<Option<Repository>, GitError> {
        let start = if path.is_dir() { path } else { path.parent().unwrap_or(path) };
        let Some(home) = start.ancestors().find_map(Home::in_folder) else {
            return gix::discover(start).ok().map(Repository::around).transpose();
        };
        home.check_owner()?;
        let found = gix::discover(start).ok().filter(|found| home.is_of(found));
        let found = found.or_else(|| gix::open(home.folder).ok().filter(|found| home.is_of(found)));
        found.map_or_else(|| Err(GitError::damaged("what it says of itself")), Repository::around).map(Some)
    }

    /// The repository of a folder and no other: a part of another that has a history of its own.
    pub(super) fn at(folder: &Path) -> Option<Repository> {
        Repository::around(gix::open(folder).ok()?).ok()
    }

    #[allow(clippy::disallowed_methods, reason = "the workspace is what touches the disk")]
    fn around(inner: gix::Repository) -> Result<Repository, GitError> {
        let folder = inner.workdir().and_then(|folder| std::fs::canonicalize(folder).ok());
        let folder = folder.ok_or_else(|| GitError::absent("This git repository has no files beside it."))?;
        Ok(Repository { inner: Arc::new(Mutex::new(inner)), folders: Arc::default(), folder })
    }

    pub(super) fn lock(&self) -> MutexGuard<'_, gix::Repository> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The commit of a revision that is named.
    pub(super) fn named(&self, name: &str) -> Result<Commit, GitError> {
        let number = {
            let inner = self.lock();
            if name.trim().is_empty() {
                return Err(GitError::absent("No revision is named: write a commit, a tag or a branch."));
            }
            let Ok(found) = inner.rev_parse_single(name) else { return Err(unknown(&inner, name)) };
            let found = found.object().map_err(|_| unread(&inner, format_args!("what `{name}` stands for")))?;
            match found.peel_to_kind(gix::object::Kind::Commit) {
                Ok(commit) => commit.id,
                Err(_) => return Err(unknown(&inner, name)),
            }
        };
        self.commit(number)
    }

    /// The latest commit; none where there is none yet.
    ///
    /// # Errors
    /// A repository that cannot be read.
    pub fn head(&self) -> Result<Option<Commit>, GitError> {
        let number = head_of(&self.lock())?;
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

    fn commit(&self, number: ObjectId) -> Result<Commit, GitError> {
        let inner = self.lock();
        let cut = inner.shallow_commits().ok().flatten();
        let cut = cut.is_some_and(|cut| cut.iter().any(|at| *at == number));
        let broken = || unread(&inner, format_args!("the commit {}", number.to_hex_with_len(7)));
        let commit = inner.find_commit(number).map_err(|_| broken())?;
        Commit::read(&commit, cut).ok_or_else(broken)
    }

    /// The top folder of a commit, where the commit is here.
    pub(super) fn tree_of(&self, commit: ObjectId) -> Option<ObjectId> {
        let inner = self.lock();
        let commit = inner.find_commit(commit).ok()?;
        commit.tree_id().ok().map(gix::Id::detach)
    }

    /// A folder by its number; `at` is where it stood.
    pub(super) fn read_folder(&self, number: ObjectId, at: &Path) -> Result<Arc<Folder>, GitError> {
        let mut known = self.folders.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(folder) = known.get(&number) {
            return Ok(Arc::clone(folder));
        }
        let inner = self.lock();
        let folder = inner.find_tree(number).ok().and_then(|tree| Folder::read(&tree));
        let folder = Arc::new(folder.ok_or_else(|| unread(&inner, self.shown(at)))?);
        if known.len() >= FOLDERS_KEPT {
            known.clear();
        }
        known.insert(number, Arc::clone(&folder));
        Ok(folder)
    }

    /// That what stood at a path cannot be read.
    pub(super) fn unread_at(&self, at: &Path) -> GitError {
        unread(&self.lock(), self.shown(at))
    }

    /// A path within the repository, in words.
    fn shown(&self, at: &Path) -> String {
        match at.strip_prefix(&self.folder) {
            Ok(within) if within.as_os_str().is_empty() => "its top folder as it was".to_string(),
            Ok(within) => format!("`{}` as it was", within.to_string_lossy()),
            Err(_) => "a file as it was".to_string(),
        }
    }
}

/// The number of the latest commit; none where there is none yet.
fn head_of(inner: &gix::Repository) -> Result<Option<ObjectId>, GitError> {
    let mut head = inner.head().map_err(|_| GitError::damaged("which commit is the latest"))?;
    let found = head.try_peel_to_id().map(|found| found.map(gix::Id::detach));
    found.map_err(|_| unread(inner, "the latest commit"))
}

/// That something cannot be read: in a copy that was made without it, it is not there; else it should be.
fn unread(inner: &gix::Repository, what: impl Display) -> GitError {
    let config = inner.config_snapshot();
    let is_partial = config.string("extensions.partialClone").is_some();
    if !is_partial {
        return GitError::damaged(what);
    }
    let words = format!(
        "This copy of the git repository is partial, and {what} is not in it: `git fetch --refetch --no-filter` brings it."
    );
    GitError { words, is_unreadable: true }
}

/// Why a name is no revision, and what may have been meant.
fn unknown(inner: &gix::Repository, name: &str) -> GitError {
    match head_of(inner) {
        Err(error) => return error,
        Ok(None) => {
            return GitError::absent(format!("`{name}` is no revision: this git repository has no commit yet."));
        }
        Ok(Some(_)) => {}
    }
    if let Ok(Some(_)) = inner.try_find_reference(name) {
        // The branch or tag is there, and what it stands for is not.
        return unread(inner, format_args!("what `{name}` stands for"));
    }
    let far = format!("refs/remotes/origin/{name}");
    let hint = if inner.try_find_reference(far.as_str()).ok().flatten().is_some() {
        format!(" Did you mean `origin/{name}`?")
    } else if inner.is_shallow().unwrap_or(false) {
        " This copy is shallow, so older commits are not in it: `git fetch --unshallow --tags` brings them.".to_string()
    } else {
        String::new()
    };
    GitError::absent(format!("`{name}` is no revision here: no commit, tag or branch has that name.{hint}"))
}
