//! `check --fix`: the sure edits of the files that were named.

use super::Failure;
use super::input::input;
use super::locked_folder::keeper;
use super::stream::tell_line;
use std::path::PathBuf;
use stillroom::fix::{Fixed, fixed};
use stillroom::keeping::{self, Against, NotKept};
use stillroom::session::Session;
use stillroom::sheet::BatchOrder;

/// The files, and the sure edits of those that were named.
///
/// # Errors
/// Input that cannot be read.
pub fn edits(paths: &[PathBuf], order: &BatchOrder) -> Result<(Session<'static>, Vec<Fixed>), Failure> {
    let session = input(paths)?;
    let edits = fixed(session.sources(), &session.check(order).diagnostics);
    Ok((session, edits))
}

/// Makes the sure edits, folder by folder, and says what was done.
///
/// # Errors
/// Input that cannot be read, or a file that cannot be written; the files of all other folders are mended first.
pub fn mend(paths: &[PathBuf], order: &BatchOrder) -> Result<(), Failure> {
    let edits = || {
        edits(paths, order).map_err(|Failure(sentence)| NotKept {
            against: Against::Disk,
            sentence,
            at_terminal: String::new(),
        })
    };
    Ok(keeping::mend(&keeper(), &edits, &tell_line)?)
}
