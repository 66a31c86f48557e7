//! The files that a command is to work on.

use super::Failure;
use crate::syntax::is_calendar_date;
use crate::workspace::{Disk, Loaded, load};
use ignore::WalkBuilder;
use smol_str::SmolStr;
use std::collections::BTreeSet;
use std::io::{IsTerminal as _, Read as _};
use std::path::{Path, PathBuf};

/// Loads files, folders and `-`.
///
/// # Errors
/// A path that cannot be opened, or a folder without formulas.
#[allow(clippy::disallowed_methods, reason = "commands read standard input and list folders")]
pub fn input(paths: &[PathBuf]) -> Result<Loaded, Failure> {
    let mut files: Vec<PathBuf> = Vec::new();
    let mut given = None;
    let mut problems = Vec::new();
    for path in paths {
        if path == Path::new("-") {
            let mut bytes = Vec::new();
            // One byte past the limit is enough to know that it is passed.
            let limit = crate::syntax::MAX_FILE as u64 + 1;
            std::io::stdin().lock().take(limit).read_to_end(&mut bytes)?;
            given = Some((std::env::current_dir()?, bytes));
        } else if path.is_dir() {
            let found = stills_under(path);
            if found.is_empty() {
                problems.push(format!("`{}` is a folder with no `.still` file in it.", path.display()));
            }
            files.extend(found);
        } else {
            files.push(path.clone());
        }
    }
    let loaded = load(&Disk, &files, given);
    problems.extend(
        loaded.failures.iter().map(|failure| format!("`{}` cannot be opened: {}.", failure.path, failure.reason)),
    );
    if problems.is_empty() { Ok(loaded) } else { Err(Failure(problems.join("\n"))) }
}

/// Every `.still` file under a folder, those left out of git left out, in the order of their paths.
fn stills_under(folder: &Path) -> Vec<PathBuf> {
    let walk = WalkBuilder::new(folder).build().filter_map(Result::ok);
    let files =
        walk.filter(|entry| entry.file_type().is_some_and(|kind| kind.is_file())).map(ignore::DirEntry::into_path);
    files
        .filter(|path| path.extension().is_some_and(|extension| extension == "still"))
        .collect::<BTreeSet<_>>()
        .into_iter()
        .collect()
}

/// A day as the command line has it.
///
/// # Errors
/// What is no day of the calendar.
pub fn day(text: &str) -> Result<SmolStr, Failure> {
    if text.len() == 10 && is_calendar_date(text) {
        return Ok(SmolStr::new(text));
    }
    Err(Failure(format!("`--on {text}`: a day is written as year, month, day: `2026-11-25`.")))
}

/// How diagnostics are drawn on a stream: colour on a terminal only, and never with `NO_COLOR`.
#[allow(clippy::disallowed_methods, reason = "the terminal is the command's business")]
pub fn look(terminal: bool) -> crate::render::Look {
    let no_colour = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    crate::render::Look { colour: terminal && !no_colour, width: 100 }
}

/// Whether standard output is a terminal.
pub fn stdout_is_terminal() -> bool {
    std::io::stdout().is_terminal()
}

/// Whether standard error is a terminal.
pub fn stderr_is_terminal() -> bool {
    std::io::stderr().is_terminal()
}

/// Writes to standard output; a reader that has gone away is no fault.
pub fn print(text: &str) {
    use std::io::Write as _;
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}
