//! A file laid out in the one layout: what it means stays as it is.

use super::keeper::Keeper;
use super::locked_folder::{FileTarget, LockedFolder, with_locked_folder};
use super::not_kept::NotKept;
use crate::diagnostic::Diagnostic;
use crate::syntax::format;
use crate::workspace::{Overlay, Sources, load_alone, unread};

/// What became of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LaidOut {
    /// It was written.
    Anew,
    /// It was laid out already.
    Already,
    /// It does not parse, and was left alone.
    Faulty,
}

/// Lays a file out while its folder is held. What does not parse goes to `told`.
///
/// # Errors
/// A file that cannot be read or written.
pub fn lay_out(
    keeper: &Keeper<'_>,
    target: &FileTarget,
    told: &mut dyn FnMut(&Sources, &[Diagnostic]),
) -> Result<LaidOut, NotKept> {
    with_locked_folder(target.folder(), keeper.patience, |held| laid_out(keeper, held, target, told))
}

fn laid_out(
    keeper: &Keeper<'_>,
    held: &LockedFolder<'_>,
    target: &FileTarget,
    told: &mut dyn FnMut(&Sources, &[Diagnostic]),
) -> Result<LaidOut, NotKept> {
    held.clear(target)?;
    let read = held.read(target).and_then(|read| read.ok_or_else(|| std::io::ErrorKind::NotFound.into()));
    let have =
        read.map_err(|error| NotKept::disk(format!("`{}` cannot be opened: {}.", target.shown(), unread(&error))))?;
    let world = Overlay { inner: keeper.world, path: target.path(), bytes: &have };
    let loaded = load_alone(&world, &[target.path().to_path_buf()], None);
    let Some(source) = loaded.sources.files.first() else { return Ok(LaidOut::Already) };
    if !source.faults.is_empty() {
        told(&loaded.sources, &source.faults);
        return Ok(LaidOut::Faulty);
    }
    let wanted = format(&source.text);
    if have == wanted.as_bytes() {
        return Ok(LaidOut::Already);
    }
    held.write(target, Some(&have), wanted.as_bytes())?;
    Ok(LaidOut::Anew)
}
