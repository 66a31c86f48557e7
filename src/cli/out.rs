//! `--out`: where a sheet goes.

use super::Failure;
use super::locked_folder::{FileTarget, with_locked_folder};
use super::stream::pipe_bytes;
use std::fs::OpenOptions;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use stillroom::render::{OnScreen as _, shown_path};
use stillroom::workspace::{Sources, unwritten};

/// Where a sheet goes.
pub enum Destination {
    /// To standard output.
    Screen,
    /// Into a file, whole or not at all.
    File(FileTarget),
    /// Into a pipe, a device, or what was opened for this program already: it stays what it is.
    Stream(PathBuf),
}

impl Destination {
    /// The one of the command line.
    ///
    /// # Errors
    /// A file of formulas, a folder, and a folder that is not there.
    #[allow(clippy::disallowed_methods, reason = "what is written is looked at first")]
    pub fn of(out: Option<&Path>) -> Result<Destination, Failure> {
        let Some(path) = out else { return Ok(Destination::Screen) };
        if is_still(path) {
            return Err(formulas(path));
        }
        match std::fs::metadata(path) {
            Ok(there) if !there.is_dir() && (!there.is_file() || is_open_already(path)) => {
                return Ok(Destination::Stream(path.to_path_buf()));
            }
            _ => {}
        }
        let target = FileTarget::of(path)?;
        if is_still(target.path()) { Err(formulas(path)) } else { Ok(Destination::File(target)) }
    }

    /// Writes the text there. What it was made of is not written over.
    ///
    /// # Errors
    /// What cannot be written.
    pub fn write(&self, text: &str, sources: &Sources) -> Result<(), Failure> {
        // People read it too, wherever it goes.
        self.write_bytes(text.on_screen().as_bytes(), sources)
    }

    /// Writes bytes that are no text there, as those of a picture, whole.
    ///
    /// # Errors
    /// What cannot be written.
    pub fn write_bytes(&self, bytes: &[u8], sources: &Sources) -> Result<(), Failure> {
        match self {
            Destination::Screen => {
                pipe_bytes(bytes);
                Ok(())
            }
            Destination::File(target) if sources.files.iter().any(|source| source.absolute == target.path()) => {
                Err(Failure(format!("`{}` is what the sheet is made of: give the sheet another name.", target.shown())))
            }
            Destination::File(target) => with_locked_folder(target.folder(), |held| Ok(held.replace(target, bytes)?)),
            Destination::Stream(path) => {
                let opened = OpenOptions::new().append(true).open(path);
                match opened.and_then(|mut stream| stream.write_all(bytes).and_then(|()| stream.flush())) {
                    // A reader that has gone away is no fault.
                    Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
                        Err(Failure(format!("`{}` cannot be written: {}.", shown_path(path), unwritten(&error))))
                    }
                    _ => Ok(()),
                }
            }
        }
    }
}

/// Whether a path is that of a file of the language.
fn is_still(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("still"))
}

fn formulas(path: &Path) -> Failure {
    Failure(format!(
        "`{}` is a file of formulas or records, and `--out` writes over none: give the sheet another name, one that \
         does not end in `.still`.",
        shown_path(path)
    ))
}

/// Whether a path is a name for what was opened for this program: what a shell put there is written on, not replaced.
fn is_open_already(path: &Path) -> bool {
    ["/dev/stdout", "/dev/stderr", "/dev/fd", "/proc"].iter().any(|name| path.starts_with(name))
}
