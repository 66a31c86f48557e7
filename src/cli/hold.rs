//! A file held while it is read and written anew, so that of two writers the second goes on from what the first wrote.
//!
//! The new text is written beside the file, as `.NAME.part`, and then put in its place by its new name. Whoever holds
//! `.NAME.part` locked holds the file. A program that is killed leaves the file as it was, and at most a `.NAME.part`
//! that the next writer takes over.

use super::Failure;
use fd_lock::RwLock;
use same_file::Handle;
use std::fs::{File, OpenOptions};
use std::io::{self, Seek as _, Write as _};
use std::path::{Path, PathBuf};

/// A file that is held.
pub struct Held<'f> {
    target: PathBuf,
    part: PathBuf,
    file: &'f mut File,
    /// Whether the part has become the file.
    placed: bool,
}

/// Holds a file while `work` is done, and waits for it where another holds it.
///
/// # Errors
/// What `work` fails at, and a folder that may not be written in.
pub fn holding<T>(path: &Path, work: impl FnOnce(&mut Held<'_>) -> Result<T, Failure>) -> Result<T, Failure> {
    let failed = |error: io::Error| unwritten(path, &error);
    let target = target_of(path).map_err(failed)?;
    let part = part_of(&target).ok_or_else(|| Failure(format!("`{}` is no file.", path.display())))?;
    loop {
        let file =
            OpenOptions::new().create(true).read(true).write(true).truncate(false).open(&part).map_err(failed)?;
        let mut lock = RwLock::new(file);
        let mut guard = lock.write().map_err(failed)?;
        if !is_still_at(&guard, &part) {
            // While this one waited, the part was put in place or taken away: what is to be held is another now.
            continue;
        }
        let mut held = Held { target, part, file: &mut guard, placed: false };
        let outcome = work(&mut held);
        if !held.placed {
            // Still locked, so it is no one else's. One that stays behind does no harm.
            let _ = std::fs::remove_file(&held.part);
        }
        return outcome;
    }
}

impl Held<'_> {
    /// The file, where its links lead.
    pub fn path(&self) -> &Path {
        &self.target
    }

    /// What is in the file; none where there is none yet.
    ///
    /// # Errors
    /// What the system says when it cannot be read.
    #[allow(clippy::disallowed_methods, reason = "what is read here is what is written anew")]
    pub fn read(&self) -> io::Result<Option<Vec<u8>>> {
        match std::fs::read(&self.target) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            read => read.map(Some),
        }
    }

    /// Writes the file whole or not at all, its permissions kept. `was` is what was read: where an editor has written
    /// since, nothing is.
    ///
    /// # Errors
    /// A file that may only be read, a full disk, and a file that changed.
    pub fn write(&mut self, was: Option<&[u8]>, now: &[u8]) -> Result<(), Failure> {
        self.fill(now).map_err(|error| unwritten(&self.target, &error))?;
        if self.read()?.as_deref() != was {
            let path = self.target.display();
            return Err(Failure(format!("`{path}` was changed by another program meanwhile. Nothing was written.")));
        }
        std::fs::rename(&self.part, &self.target).map_err(|error| unwritten(&self.target, &error))?;
        self.placed = true;
        // The name is on the disk once the folder is; where a system has no such thing, that is all there is to do.
        #[cfg(unix)]
        if let Some(folder) = self.target.parent() {
            let _ = File::open(folder).and_then(|folder| folder.sync_all());
        }
        Ok(())
    }

    /// Writes the part, down to the disk.
    #[allow(clippy::disallowed_methods, reason = "a file that is written anew keeps its permissions")]
    fn fill(&mut self, bytes: &[u8]) -> io::Result<()> {
        let old = std::fs::metadata(&self.target).ok().map(|there| there.permissions());
        if old.as_ref().is_some_and(std::fs::Permissions::readonly) {
            return Err(io::Error::new(io::ErrorKind::PermissionDenied, "it may only be read"));
        }
        // One that was left behind may have anything in it.
        self.file.set_len(0)?;
        self.file.rewind()?;
        self.file.write_all(bytes)?;
        if let Some(permissions) = old {
            self.file.set_permissions(permissions)?;
        }
        self.file.sync_all()
    }
}

fn unwritten(path: &Path, error: &dyn std::fmt::Display) -> Failure {
    Failure(format!("`{}` cannot be written: {error}.", path.display()))
}

/// Where a path leads, so that a link stays one; a file that is not there yet stands in its folder.
#[allow(clippy::disallowed_methods, reason = "links are followed before the file is held")]
fn target_of(path: &Path) -> io::Result<PathBuf> {
    match (std::fs::canonicalize(path), path.file_name()) {
        (Err(error), Some(name)) if error.kind() == io::ErrorKind::NotFound => {
            let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
            Ok(std::fs::canonicalize(folder)?.join(name))
        }
        (target, _) => target,
    }
}

fn part_of(target: &Path) -> Option<PathBuf> {
    let mut name = std::ffi::OsString::from(".");
    name.push(target.file_name()?);
    name.push(".part");
    Some(target.with_file_name(name))
}

/// Whether a path still leads to an open file.
fn is_still_at(file: &File, path: &Path) -> bool {
    let open = file.try_clone().and_then(Handle::from_file);
    matches!((open, Handle::from_path(path)), (Ok(open), Ok(there)) if open == there)
}
