//! Folders held while a command writes in them: where another holds one, that is said, and it is waited for.

use super::stream::tell_line;
use std::path::Path;
pub use stillroom::keeping::{FileTarget, LockedFolder, new_file, part_of};
use stillroom::keeping::{Keeper, NotKept, Patience};
use stillroom::workspace::Disk;

/// A command says that it waits, and waits.
pub const PATIENCE: Patience<'static> = Patience::Waits(&tell_line);

/// Whoever writes by a command: over the disk, with paths told from where she stands.
pub fn keeper() -> Keeper<'static> {
    Keeper { world: &Disk, seen_from: super::input::here(), patience: PATIENCE }
}

/// Holds a folder while `work` is done, and waits for it where another holds it.
///
/// # Errors
/// What `work` fails at, and a folder that cannot be held.
pub fn with_locked_folder<T, E: From<NotKept>>(
    folder: &Path,
    work: impl FnOnce(&LockedFolder<'_>) -> Result<T, E>,
) -> Result<T, E> {
    stillroom::keeping::with_locked_folder(folder, PATIENCE, work)
}
