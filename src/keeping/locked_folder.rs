//! The one writer: a file is read and written anew while its folder is held, so that of two writers the second goes on
//! from what the first wrote.
//!
//! What is held is the folder, by a lock on the folder itself: no one can put a link in its place, nothing stands beside
//! the files for it, and a file that is not there yet is held like any other. The new text goes into `.NAME.part`, which
//! is always made new, is brought to the disk, and then takes the file's name. Whoever holds the folder knows that a
//! `.NAME.part` in it is no one's any more: a program that was killed left it, and it is cleared.

use super::keeper::Patience;
use super::not_kept::{Against, NotKept};
use crate::render::{self, shown_path};
use crate::workspace::unwritten;
use fd_lock::RwLock;
use same_file::Handle;
use sha2::{Digest as _, Sha256};
use std::ffi::OsString;
use std::fs::{File, Metadata, OpenOptions, Permissions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// So often a lock is tried before it is said that another program has it.
const TRIES: u32 = 1000;
/// Between two tries.
const PAUSE: Duration = Duration::from_millis(5);
/// So many links are followed one after another.
const LINKS: usize = 40;
/// No longer is a name of a part file made of the name of its file: systems take 255 bytes.
const LONG_NAME: usize = 200;

/// A file that is to be written.
#[derive(Clone, Debug)]
pub struct FileTarget {
    /// As it is told of.
    shown: String,
    /// Where its links lead.
    path: PathBuf,
}

impl FileTarget {
    /// The file that a path leads to; one that is not there yet stands in its folder.
    ///
    /// # Errors
    /// A folder that is not there, and what is no file.
    pub fn of(named: &Path) -> Result<FileTarget, NotKept> {
        let shown = shown_path(named);
        match where_links_lead(named) {
            Ok(path) => FileTarget { shown, path }.checked(),
            Err(error) => Err(failed(&shown, &error)),
        }
    }

    /// A file that is known by its path without links.
    ///
    /// # Errors
    /// What is no file any more.
    pub fn at(path: PathBuf, shown: String) -> Result<FileTarget, NotKept> {
        FileTarget { shown: render::shown(&shown).into_owned(), path }.checked()
    }

    #[allow(clippy::disallowed_methods, reason = "what is written is looked at first")]
    fn checked(self) -> Result<FileTarget, NotKept> {
        match std::fs::metadata(&self.path) {
            Ok(there) if there.is_dir() => Err(NotKept::asked(format!("`{}` is a folder.", self.shown))),
            Ok(there) if !there.is_file() => Err(NotKept::asked(format!("`{}` is no file.", self.shown))),
            _ => Ok(self),
        }
    }

    /// As it is told of.
    #[must_use]
    pub fn shown(&self) -> &str {
        &self.shown
    }

    /// Where its links lead.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The folder it stands in.
    pub fn folder(&self) -> &Path {
        self.path.parent().unwrap_or(Path::new("/"))
    }

    /// Whether a program that was killed left something beside it.
    #[must_use]
    pub fn has_remains(&self) -> bool {
        std::fs::symlink_metadata(self.part()).is_ok()
    }

    /// What it is written as before it has its name.
    fn part(&self) -> PathBuf {
        part_of(&self.path)
    }

    fn failed(&self, error: &io::Error) -> NotKept {
        failed(&self.shown, error)
    }

    /// That it is another file than was read.
    pub(super) fn changed(&self) -> NotKept {
        let sentence = format!("`{}` was changed by another program meanwhile. Nothing was written.", self.shown);
        NotKept::new(Against::Changed, sentence)
    }

    fn unsure(&self, error: &io::Error) -> NotKept {
        let why = unwritten(error);
        NotKept::disk(format!(
            "`{}` was written, and whether the disk keeps it is not sure: {why}. Look at it.",
            self.shown
        ))
    }
}

/// What a file or a folder is made as before it has its name.
#[must_use]
pub fn part_of(path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default();
    let mut part = OsString::from(".");
    if name.len() <= LONG_NAME {
        part.push(name);
    } else {
        let digest = Sha256::digest(name.as_encoded_bytes());
        part.push(digest.iter().map(|byte| format!("{byte:02x}")).collect::<String>());
    }
    part.push(".part");
    path.with_file_name(part)
}

/// A folder that is held.
pub struct LockedFolder<'f> {
    folder: &'f Path,
    handle: &'f File,
}

/// Holds a folder while `work` is done, and waits for it where another holds it.
///
/// # Errors
/// What `work` fails at, and a folder that cannot be held.
pub fn with_locked_folder<T, E: From<NotKept>>(
    folder: &Path,
    patience: Patience<'_>,
    work: impl FnOnce(&LockedFolder<'_>) -> Result<T, E>,
) -> Result<T, E> {
    let failed = |error: io::Error| {
        let why = match error.kind() {
            io::ErrorKind::PermissionDenied => "it may not be looked into".to_string(),
            _ => unwritten(&error),
        };
        E::from(NotKept::disk(format!("The folder `{}` cannot be written in: {why}.", shown_path(folder))))
    };
    loop {
        let mut lock = RwLock::new(lockable(folder).map_err(failed)?);
        if is_busy(&mut lock).map_err(failed)? {
            patience.waits(&format!("Another program writes in `{}`.", shown_path(folder)))?;
        }
        let guard = lock.write().map_err(failed)?;
        // While this one waited, the folder may have been put elsewhere: what is to be held is another then.
        if is_still_at(&guard, folder) {
            return work(&LockedFolder { folder, handle: &guard });
        }
    }
}

/// What is locked to hold a folder.
#[cfg(unix)]
fn lockable(folder: &Path) -> io::Result<File> {
    File::open(folder)
}

/// What is locked to hold a folder: where folders cannot be locked, a file in it.
#[cfg(not(unix))]
fn lockable(folder: &Path) -> io::Result<File> {
    OpenOptions::new().create(true).truncate(false).write(true).open(folder.join(LOCK))
}

#[cfg(not(unix))]
const LOCK: &str = ".stillroom.lock";

/// Whether a lock stays another's for longer than any writing takes.
fn is_busy(lock: &mut RwLock<File>) -> io::Result<bool> {
    for _ in 0..TRIES {
        match lock.try_write() {
            Ok(_) => return Ok(false),
            Err(error) if error.kind() == io::ErrorKind::WouldBlock => std::thread::sleep(PAUSE),
            Err(error) => return Err(error),
        }
    }
    Ok(true)
}

/// Whether a folder still is what was locked.
fn is_still_at(lock: &File, folder: &Path) -> bool {
    #[cfg(unix)]
    let there = Handle::from_path(folder);
    #[cfg(not(unix))]
    let there = Handle::from_path(folder.join(LOCK));
    let locked = lock.try_clone().and_then(Handle::from_file);
    matches!((locked, there), (Ok(locked), Ok(there)) if locked == there)
}

impl LockedFolder<'_> {
    /// What is in a file of the folder; none where there is none yet.
    ///
    /// # Errors
    /// What the system says when it cannot be read.
    #[allow(clippy::disallowed_methods, reason = "what is read here is what is written anew")]
    pub fn read(&self, target: &FileTarget) -> io::Result<Option<Vec<u8>>> {
        match std::fs::read(&target.path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            read => read.map(Some),
        }
    }

    /// Clears what a program that was killed left beside a file.
    ///
    /// # Errors
    /// What cannot be taken away.
    pub fn clear(&self, target: &FileTarget) -> Result<(), NotKept> {
        cleared(&target.part()).map_err(|error| target.failed(&error))
    }

    /// Writes a file whole or not at all, its permissions kept. `was` is what was read: where an editor has written
    /// since, nothing is.
    ///
    /// # Errors
    /// A file that may only be read, a full disk, and a file that changed.
    pub fn write(&self, target: &FileTarget, was: Option<&[u8]>, now: &[u8]) -> Result<(), NotKept> {
        self.written(target, now, || {
            // What is a link now was none when its links were followed.
            let linked = std::fs::symlink_metadata(&target.path).is_ok_and(|there| there.is_symlink());
            match self.read(target).map_err(|error| target.failed(&error))?.as_deref() == was && !linked {
                true => Ok(()),
                false => Err(target.changed()),
            }
        })
    }

    /// Writes a file whole or not at all, its permissions kept, whatever is in it.
    ///
    /// # Errors
    /// A file that may only be read, and a full disk.
    pub fn replace(&self, target: &FileTarget, now: &[u8]) -> Result<(), NotKept> {
        self.written(target, now, || Ok(()))
    }

    fn written(
        &self,
        target: &FileTarget,
        now: &[u8],
        may_still: impl FnOnce() -> Result<(), NotKept>,
    ) -> Result<(), NotKept> {
        let failed = |error: io::Error| target.failed(&error);
        let part = target.part();
        let old = old(&target.path).map_err(failed)?;
        let file = new_file(&part, old.as_ref()).map_err(failed)?;
        let placed = filled(file, old, now).map_err(failed).and_then(|()| may_still()).and_then(|()| {
            std::fs::rename(&part, &target.path).map_err(failed)?;
            self.sync().map_err(|error| target.unsure(&error))
        });
        if placed.is_err() {
            // Still held, so it is no one else's. Where it took the file's name already, there is none.
            let _ = std::fs::remove_file(&part);
        }
        placed
    }

    /// Brings the names in the folder to the disk. Not every disk can do that for a folder; then that is all there is.
    ///
    /// # Errors
    /// What the disk cannot do.
    pub fn sync(&self) -> io::Result<()> {
        match self.handle.sync_all() {
            Err(error) if matches!(error.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => Ok(()),
            synced => synced,
        }
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        self.folder
    }
}

#[cfg(not(unix))]
impl Drop for LockedFolder<'_> {
    fn drop(&mut self) {
        // Where another waits for it, the system keeps it.
        let _ = std::fs::remove_file(self.folder.join(LOCK));
    }
}

/// What a file is before it is written anew; none where there is none. One that may only be read is left alone.
#[allow(clippy::disallowed_methods, reason = "a file that is written anew keeps its permissions")]
fn old(path: &Path) -> io::Result<Option<Metadata>> {
    let there = match std::fs::metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        there => there?,
    };
    if there.permissions().readonly() {
        return Err(io::Error::other("it may only be read"));
    }
    // Who may write in a folder may give its names to other files: whether she may write this one is asked of it.
    match OpenOptions::new().write(true).open(path) {
        Err(error) if error.kind() == io::ErrorKind::PermissionDenied => Err(io::Error::other("it may only be read")),
        opened => opened.map(|_| Some(there)),
    }
}

/// Makes a part file, always a new one: what has its name is no one's any more, and a link is not followed.
///
/// # Errors
/// What cannot be made, or not be cleared away.
pub fn new_file(part: &Path, old: Option<&Metadata>) -> io::Result<File> {
    cleared(part)?;
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt as _, OpenOptionsExt as _};
        // Never more open than the file it is for, not even while it is written.
        options.mode(old.map_or(0o666, |old| old.mode() & 0o777));
    }
    let _ = old;
    options.open(part)
}

/// Takes a file away, or a link; what it leads to stays.
fn cleared(part: &Path) -> io::Result<()> {
    match std::fs::remove_file(part) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(_) if part.is_dir() => Err(io::Error::other("a folder stands where its new text has to go")),
        removed => removed,
    }
}

/// Writes a part file, down to the disk.
fn filled(mut file: File, old: Option<Metadata>, bytes: &[u8]) -> io::Result<()> {
    file.write_all(bytes)?;
    if let Some(old) = old {
        keep_owner(&file, &old);
        let permissions: Permissions = old.permissions();
        file.set_permissions(permissions)?;
    }
    file.sync_all()
}

/// Gives a part file the owner of the file it is for, where that may be done.
#[cfg(unix)]
fn keep_owner(file: &File, old: &Metadata) {
    use std::os::unix::fs::{MetadataExt as _, fchown};
    let _ = fchown(file, Some(old.uid()), Some(old.gid()));
}

#[cfg(not(unix))]
fn keep_owner(_: &File, _: &Metadata) {}

fn failed(shown: &str, error: &io::Error) -> NotKept {
    NotKept::disk(format!("`{shown}` cannot be written: {}.", unwritten(error)))
}

/// Where the links of a path lead, though there is nothing there yet.
#[allow(clippy::disallowed_methods, reason = "links are followed before a file is written")]
fn where_links_lead(named: &Path) -> io::Result<PathBuf> {
    let mut path = named.to_path_buf();
    for _ in 0..LINKS {
        match std::fs::read_link(&path) {
            Ok(to) => path = folder_of(&path).join(to),
            Err(_) => match (std::fs::canonicalize(&path), path.file_name()) {
                (Err(error), Some(name)) if error.kind() == io::ErrorKind::NotFound => {
                    return Ok(std::fs::canonicalize(folder_of(&path))?.join(name));
                }
                (found, _) => return found,
            },
        }
    }
    Err(io::Error::other("its links lead round in a ring"))
}

/// The folder of a path as it is written.
fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}
