//! A whole text that is saved: over the very file that was read, or as a new one.

use super::keeper::Keeper;
use super::locked_folder::{FileTarget, with_locked_folder};
use super::not_kept::NotKept;
use super::version::FileVersion;
use crate::render::shown;
use crate::syntax::MAX_FILE;
use crate::workspace::unread;
use std::path::Path;

/// Writes a text over the file that had this version when it was read; without a version it is a new file. A byte-order
/// mark stays where it was.
///
/// # Errors
/// A file that has changed since or is there already, a text that is too long, and a file that cannot be written.
pub fn save(
    keeper: &Keeper<'_>,
    path: &Path,
    version: Option<&FileVersion>,
    text: &str,
) -> Result<FileVersion, NotKept> {
    if text.len() > MAX_FILE {
        return Err(NotKept::asked("A file has 16 MB at most, and this is more.".to_string()));
    }
    let target = FileTarget::of(path)?;
    with_locked_folder(target.folder(), keeper.patience, |held| {
        held.clear(&target)?;
        let was = held.read(&target);
        let was =
            was.map_err(|error| NotKept::disk(format!("`{}` cannot be opened: {}.", target.shown(), unread(&error))))?;
        match (&was, version) {
            (Some(_), None) => return Err(there_already(&target)),
            (was, wanted) if was.as_deref().map(FileVersion::of).as_ref() != wanted => return Err(target.changed()),
            _ => {}
        }
        let mark: &[u8] = if was.as_deref().is_some_and(|was| was.starts_with(MARK)) { MARK } else { b"" };
        let now = [mark, text.as_bytes()].concat();
        if was.as_ref() != Some(&now) {
            held.write(&target, was.as_deref(), &now)?;
        }
        Ok(FileVersion::of(&now))
    })
}

/// A byte-order mark.
const MARK: &[u8] = b"\xef\xbb\xbf";

fn there_already(target: &FileTarget) -> NotKept {
    NotKept::asked(format!("There is a file `{}` already: give the new one another name.", shown(target.shown())))
}

#[cfg(test)]
mod tests {
    use super::save;
    use crate::keeping::{Against, FileVersion, Keeper, Patience};
    use crate::workspace::Disk;
    use std::fs;

    #[test]
    fn a_text_goes_over_the_file_that_was_read_and_over_no_other() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.still");
        let keeper = Keeper { world: &Disk, seen_from: None, patience: Patience::GivesUp };
        let first = save(&keeper, &path, None, "one\n").unwrap();
        assert_eq!((fs::read(&path).unwrap(), &first), (b"one\n".to_vec(), &FileVersion::of(b"one\n")));
        assert_eq!(save(&keeper, &path, None, "two\n").unwrap_err().against, Against::Asked);
        let second = save(&keeper, &path, Some(&first), "two\n").unwrap();
        assert_eq!(save(&keeper, &path, Some(&first), "three\n").unwrap_err().against, Against::Changed);
        assert_eq!(fs::read(&path).unwrap(), b"two\n");
        fs::remove_file(&path).unwrap();
        assert_eq!(save(&keeper, &path, Some(&second), "three\n").unwrap_err().against, Against::Changed);
        assert!(!path.exists());
    }

    #[test]
    fn a_mark_at_the_beginning_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.still");
        fs::write(&path, "\u{feff}one\n").unwrap();
        let keeper = Keeper { world: &Disk, seen_from: None, patience: Patience::GivesUp };
        let version = FileVersion::of(&fs::read(&path).unwrap());
        let version = save(&keeper, &path, Some(&version), "two\n").unwrap();
        assert_eq!(fs::read(&path).unwrap(), "\u{feff}two\n".as_bytes());
        assert_eq!(version, FileVersion::of("\u{feff}two\n".as_bytes()));
    }
}
