//! A folder of files that are made, each written whole: made anew, it has no file more than was made, and what is
//! another's is left alone.

use super::locked_folder::{FileTarget, with_locked_folder};
use super::{NotKept, Patience};
use crate::render::shown_path;
use crate::workspace::{unread, unwritten};
use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::io;
use std::path::{Path, PathBuf};

/// What the name of a file ends in while it is written.
const PART: &str = ".part";

/// What systems put into a folder once somebody looks into it: it tells of the folder's icons, and is nobody's work.
/// From memory.
const OF_THE_SYSTEM: [&str; 3] = [".ds_store", "thumbs.db", "desktop.ini"];

/// A file that was made.
#[derive(Clone, Debug)]
pub struct MadeFile {
    /// Its name in the folder.
    pub name: String,
    /// What is in it.
    pub text: String,
}

/// What was done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct FolderWritten {
    /// The files that are another text now, or new.
    pub changed: usize,
    /// The files that were made before and are not made any more: they are gone.
    pub gone: usize,
}

/// Writes files into a folder, in their order, and takes away those of its own that are not made any more. A file is its
/// own where `is_own` says so of what is in it. A folder that holds other things and none of its own is refused, hidden
/// ones too: a home folder may hold no others. What a system puts there by itself does not count. So is a file that would take the place of another's. What is as it was is
/// not written.
///
/// # Errors
/// A folder that is refused, and what cannot be written.
pub fn write_folder(
    folder: &Path,
    files: &[MadeFile],
    is_own: &dyn Fn(&[u8]) -> bool,
    patience: Patience<'_>,
) -> Result<FolderWritten, NotKept> {
    let real = made(folder)?;
    with_locked_folder(&real, patience, |held| {
        let there = There::of(folder, &real, is_own)?;
        there.refuse(folder, files)?;
        let mut written = FolderWritten::default();
        for file in files {
            let path = real.join(&file.name);
            let target = FileTarget::at(path, folder.join(&file.name).to_string_lossy().into_owned())?;
            let was = held.read(&target).map_err(|error| unreadable(&folder.join(&file.name), &error))?;
            if was.as_deref() != Some(file.text.as_bytes()) {
                held.replace(&target, file.text.as_bytes())?;
                written.changed += 1;
            }
        }
        let now: BTreeSet<&OsStr> = files.iter().map(|file| OsStr::new(&file.name)).collect();
        for name in there.own.iter().map(|name| name.as_os_str()).filter(|name| !now.contains(name)) {
            taken_away(&real.join(name)).map_err(|error| unwritable(&folder.join(name), &error))?;
            written.gone += 1;
        }
        for left in &there.left {
            taken_away(&real.join(left)).map_err(|error| unwritable(&folder.join(left), &error))?;
        }
        Ok(written)
    })
}

/// The folder without links, made where there is none.
#[allow(clippy::disallowed_methods, reason = "the folder that was asked for is made")]
fn made(folder: &Path) -> Result<PathBuf, NotKept> {
    match std::fs::create_dir(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            let parent = folder.parent().unwrap_or(folder);
            let sentence = format!("The folder `{}` is not there: make it first.", shown_path(parent));
            return Err(NotKept::asked(sentence));
        }
        Err(error) if error.kind() != io::ErrorKind::AlreadyExists => return Err(unwritable(folder, &error)),
        _ => {}
    }
    let real = std::fs::canonicalize(folder).map_err(|error| unreadable(folder, &error))?;
    if real.is_dir() { Ok(real) } else { Err(NotKept::asked(format!("`{}` is no folder.", shown_path(folder)))) }
}

/// What lies in the folder.
#[derive(Default)]
struct There {
    /// The files that were made before.
    own: BTreeSet<PathBuf>,
    /// What a program that was killed left of them.
    left: BTreeSet<PathBuf>,
    /// All else, what is hidden too.
    others: BTreeSet<PathBuf>,
}

impl There {
    #[allow(clippy::disallowed_methods, reason = "what is in the folder is looked at before anything is written")]
    fn of(folder: &Path, real: &Path, is_own: &dyn Fn(&[u8]) -> bool) -> Result<There, NotKept> {
        let failed = |error: io::Error| unreadable(folder, &error);
        let mut there = There::default();
        for entry in std::fs::read_dir(real).map_err(failed)? {
            let entry = entry.map_err(failed)?;
            let name = PathBuf::from(entry.file_name());
            let is_file = entry.file_type().map_err(failed)?.is_file();
            let text = name.to_string_lossy();
            let is_hidden = text.starts_with('.');
            if is_file && OF_THE_SYSTEM.contains(&text.to_lowercase().as_str()) {
                continue;
            }
            if is_file && is_hidden && text.ends_with(&format!(".html{PART}")) {
                there.left.insert(name);
            } else if is_file && !is_hidden && std::fs::read(entry.path()).is_ok_and(|bytes| is_own(&bytes)) {
                there.own.insert(name);
            } else {
                there.others.insert(name);
            }
        }
        Ok(there)
    }

    /// Refuses a folder that is another's, and a file that would be written over.
    fn refuse(&self, folder: &Path, files: &[MadeFile]) -> Result<(), NotKept> {
        let shown = shown_path(folder);
        if let (true, Some(other)) = (self.own.is_empty(), self.others.first()) {
            return Err(NotKept::asked(format!(
                "`{shown}` holds other things, `{}` among them, and nothing was written: name a folder that is new or empty.",
                shown_path(other)
            )));
        }
        // Where capitals do not count, what differs in them alone is one file.
        let names: BTreeSet<String> = files.iter().map(|file| file.name.to_lowercase()).collect();
        match self.others.iter().find(|other| names.contains(&other.to_string_lossy().to_lowercase())) {
            Some(other) => Err(NotKept::asked(format!(
                "`{}` was not written by this program and stands where a page has to go: put it elsewhere. Nothing was \
                 written.",
                shown_path(&folder.join(other))
            ))),
            None => Ok(()),
        }
    }
}

#[allow(clippy::disallowed_methods, reason = "a file that this program made and makes no more")]
fn taken_away(path: &Path) -> io::Result<()> {
    match std::fs::remove_file(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        removed => removed,
    }
}

fn unreadable(path: &Path, error: &io::Error) -> NotKept {
    NotKept::disk(format!("`{}` cannot be read: {}.", shown_path(path), unread(error)))
}

fn unwritable(path: &Path, error: &io::Error) -> NotKept {
    NotKept::disk(format!("`{}` cannot be written: {}.", shown_path(path), unwritten(error)))
}
