//! The files of a repository as they stood at a commit.

use super::commit::{Blob, Commit};
use super::error::GitError;
use super::repository::Repository;
use crate::syntax::MAX_FILE;
use crate::workspace::{World, joined};
use gix::ObjectId;
use gix::objs::tree::EntryKind;
use rustc_hash::FxHashMap;
use std::io;
use std::path::{Component, Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// So many links are followed before they are taken for a ring.
const MAX_LINKS: usize = 16;

/// Something at a path: what it is, its number, and the repository it is read from.
struct TreeObject {
    kind: EntryKind,
    number: ObjectId,
    repository: Repository,
}

/// The state of a repository's files at a commit. Paths are those of the files on disk.
pub struct Revision {
    repository: Repository,
    /// The commit.
    pub commit: Commit,
    /// The repositories within this one, by their folder; none where one cannot be opened.
    inner: Mutex<FxHashMap<PathBuf, Option<Repository>>>,
    /// What could not be read so far, and should have been there.
    harm: Mutex<Option<GitError>>,
}

impl Repository {
    /// The state of the files at a revision: a commit, a tag, a branch, or whatever else git takes for one.
    ///
    /// # Errors
    /// A name that is no revision here, with what may have been meant.
    pub fn revision(&self, name: &str) -> Result<Revision, GitError> {
        let commit = self.named(name)?;
        Ok(self.state(&commit))
    }

    /// The files as they stood at a commit.
    #[must_use]
    pub fn state(&self, commit: &Commit) -> Revision {
        Revision { repository: self.clone(), commit: commit.clone(), inner: Mutex::default(), harm: Mutex::default() }
    }
}

impl Revision {
    /// The content of a file by its number; none where there was no such file.
    ///
    /// # Errors
    /// A repository that cannot be read.
    pub fn blob(&self, path: &Path) -> Result<Option<Blob>, GitError> {
        let found = match self.follow(path) {
            Ok((_, found)) => found,
            Err(error) => return unreadable(&error).map_or(Ok(None), Err),
        };
        Ok(matches!(found.kind, EntryKind::Blob | EntryKind::BlobExecutable).then_some(Blob(found.number)))
    }

    /// What was in a file; nothing where there was none.
    ///
    /// # Errors
    /// A repository that cannot be read.
    pub fn content(&self, path: &Path) -> Result<Vec<u8>, GitError> {
        self.read(path).or_else(|error| unreadable(&error).map_or(Ok(Vec::new()), Err))
    }

    /// Every `.still` file under a folder at that time with its content, hidden folders left out, in the order of their
    /// paths.
    ///
    /// # Errors
    /// A folder with a history of its own that is not here, and a repository that cannot be read.
    pub fn stills_under(&self, folder: &Path) -> Result<Vec<(PathBuf, Blob)>, GitError> {
        let mut found = Vec::new();
        let mut waiting = vec![folder.to_path_buf()];
        while let Some(at) = waiting.pop() {
            let here = match self.find(&at) {
                Ok(here) if here.kind == EntryKind::Tree => here,
                Ok(_) => continue,
                Err(error) => match unreadable(&error) {
                    Some(error) => return Err(error),
                    None => continue,
                },
            };
            let within = here.repository.read_folder(here.number, &at)?;
            for (name, (kind, number)) in &within.0 {
                let Some(name) = std::str::from_utf8(name).ok().filter(|name| !name.starts_with('.')) else { continue };
                let path = at.join(name);
                match kind {
                    EntryKind::Tree => waiting.push(path),
                    EntryKind::Commit if self.within(&path).is_some() => waiting.push(path),
                    EntryKind::Commit => return Err(not_here(&self.repository, &path)),
                    EntryKind::Blob | EntryKind::BlobExecutable if name.ends_with(".still") => {
                        found.push((path, Blob(*number)));
                    }
                    _ => {}
                }
            }
        }
        found.sort();
        Ok(found)
    }

    /// What could not be read for the fault of the repository, since it was asked as a [`World`].
    #[must_use]
    pub fn harm(&self) -> Option<GitError> {
        self.harm.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Keeps in mind what could not be read for the fault of the repository.
    fn noted<T>(&self, asked: io::Result<T>) -> io::Result<T> {
        if let Some(error) = asked.as_ref().err().and_then(unreadable) {
            self.harm.lock().unwrap_or_else(PoisonError::into_inner).get_or_insert(error);
        }
        asked
    }

    /// What stands at a path, links not followed.
    fn find(&self, path: &Path) -> io::Result<TreeObject> {
        let missing = || io::Error::from(io::ErrorKind::NotFound);
        let relative = path.strip_prefix(&self.repository.folder).map_err(|_| missing())?;
        let mut here =
            TreeObject { kind: EntryKind::Tree, number: self.commit.tree, repository: self.repository.clone() };
        let mut at = self.repository.folder.clone();
        for part in relative.components() {
            let Component::Normal(name) = part else { return Err(missing()) };
            if here.kind != EntryKind::Tree {
                return Err(missing());
            }
            let folder = here.repository.read_folder(here.number, &at).map_err(io::Error::other)?;
            at.push(name);
            let (kind, number) = folder.0.get(name.as_encoded_bytes()).ok_or_else(missing)?;
            (here.kind, here.number) = (*kind, *number);
            if here.kind == EntryKind::Commit {
                // A repository within this one, at the commit that this one names.
                let within = self.within(&at).ok_or_else(|| io::Error::other(not_here(&self.repository, &at)))?;
                let tree = within.tree_of(here.number);
                here.number = tree.ok_or_else(|| io::Error::other(not_here(&self.repository, &at)))?;
                here.kind = EntryKind::Tree;
                here.repository = within;
            }
        }
        Ok(here)
    }

    /// What stands at a path once every link is followed, and where that is.
    fn follow(&self, path: &Path) -> io::Result<(PathBuf, TreeObject)> {
        let mut path = path.to_path_buf();
        for _ in 0..MAX_LINKS {
            let found = self.find(&path)?;
            if found.kind != EntryKind::Link {
                return Ok((path, found));
            }
            let target = read(&found, &path)?;
            let target = String::from_utf8(target).map_err(|_| io::Error::from(io::ErrorKind::NotFound))?;
            path = joined(path.parent().unwrap_or(&path), Path::new(&target));
        }
        Err(io::Error::from(io::ErrorKind::NotFound))
    }

    /// The repository within this one at a folder.
    fn within(&self, folder: &Path) -> Option<Repository> {
        let mut known = self.inner.lock().unwrap_or_else(PoisonError::into_inner);
        known.entry(folder.to_path_buf()).or_insert_with(|| Repository::at(folder)).clone()
    }
}

impl World for Revision {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.noted(self.follow(path).and_then(|(path, found)| read(&found, &path)))
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        let (path, found) = self.noted(self.follow(path))?;
        if found.kind == EntryKind::Tree {
            return Err(io::Error::new(io::ErrorKind::IsADirectory, "is a folder"));
        }
        let size = found.repository.lock().find_header(found.number).map(|header| header.size());
        self.noted(size.map_err(|_| io::Error::other(found.repository.unread_at(&path))))
    }

    fn is_file(&self, path: &Path) -> io::Result<bool> {
        Ok(matches!(self.follow(path)?.1.kind, EntryKind::Blob | EntryKind::BlobExecutable))
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        self.follow(path).map(|(path, _)| path)
    }

    fn exists(&self, path: &Path) -> bool {
        if path.file_name().is_some_and(|name| name == ".git") {
            // The root of this repository, or of one within it.
            let folder = path.parent().unwrap_or(path);
            return folder == self.repository.folder
                || self.find(folder).is_ok_and(|found| found.repository.folder == folder);
        }
        self.follow(path).is_ok()
    }
}

fn read(found: &TreeObject, path: &Path) -> io::Result<Vec<u8>> {
    if found.kind == EntryKind::Tree {
        return Err(io::Error::new(io::ErrorKind::IsADirectory, "is a folder"));
    }
    let data = {
        let repository = found.repository.lock();
        // What a few bytes unpack to may be any size.
        match repository.find_header(found.number) {
            Ok(header) if header.size() > MAX_FILE as u64 => {
                return Err(io::Error::other("it is over the limit of 16 MB"));
            }
            Ok(_) => repository.find_blob(found.number).map(|mut blob| blob.take_data()).ok(),
            Err(_) => None,
        }
    };
    // The words for it ask the repository again: it is let go first.
    data.ok_or_else(|| io::Error::other(found.repository.unread_at(path)))
}

/// That the repository cannot be read, where that is the error.
fn unreadable(error: &io::Error) -> Option<GitError> {
    error.get_ref()?.downcast_ref::<GitError>().filter(|error| error.is_unreadable).cloned()
}

fn not_here(repository: &Repository, folder: &Path) -> GitError {
    let shown = folder.strip_prefix(&repository.folder).unwrap_or(folder).to_string_lossy();
    GitError::absent(format!(
        "`{shown}` has a git history of its own, and that is not here as it was: `git submodule update --init` brings it."
    ))
}
