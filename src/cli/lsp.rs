//! `stillroom lsp`.

use super::arguments::LspArguments;
use super::shelf_folder::shelf_folder;
use super::{Failure, Outcome};
use std::io::{BufReader, stdin, stdout};
use stillroom::editor::{End, Surroundings, over, serve};
use stillroom::keeping::stills_under;
use stillroom::workspace::Disk;

/// Serves an editor until it ends or its messages do.
///
/// # Errors
/// A system that has no thread left.
pub fn run(_: &LspArguments) -> Result<Outcome, Failure> {
    let (connection, writer) = over(BufReader::new(stdin()), stdout())?;
    // What cannot be looked into has no formulas for the editor either.
    let files_under = |folder: &std::path::Path| stills_under(folder).0;
    let shelf = shelf_folder();
    let end = serve(&connection, &Surroundings { world: &Disk, files_under: &files_under, shelf: shelf.as_deref() });
    drop(connection);
    // All that was answered is written before the program ends.
    let _ = writer.join();
    Ok(match end {
        End::Asked => Outcome::Clean,
        End::Unasked => Outcome::Errors,
    })
}
