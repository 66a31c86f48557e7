//! The files that a command is to work on.

use super::Failure;
use super::stream::tell_line;
use smol_str::SmolStr;
use std::io::{IsTerminal as _, Read as _};
use std::path::{Path, PathBuf};
use stillroom::keeping::stills_under;
pub use stillroom::keeping::within_here;
use stillroom::render::{shown, shown_json, shown_path};
use stillroom::session::Session;
use stillroom::syntax::{is_calendar_date, nearest};
use stillroom::versions::{Recovery, recover};
use stillroom::workspace::{Disk, OpenFailure, World as _};

/// What was named on the command line.
#[derive(Debug, Default)]
pub struct CommandInput {
    /// The files, those of folders among them, in order.
    pub files: Vec<PathBuf>,
    /// Standard input, where `-` was named: the folder it counts as being in, and its bytes.
    pub given: Option<(PathBuf, Vec<u8>)>,
    /// What was wrong with the names.
    pub problems: Vec<String>,
    /// What lies in a folder that was named and cannot be looked into.
    pub unread: Vec<OpenFailure>,
}

/// Finds the files named, and reads standard input where it is.
///
/// # Errors
/// Standard input that cannot be read.
#[allow(clippy::disallowed_methods, reason = "commands read standard input and list folders")]
pub fn named(paths: &[PathBuf]) -> Result<CommandInput, Failure> {
    let mut named = CommandInput::default();
    for path in paths {
        if path == Path::new("-") {
            let mut bytes = Vec::new();
            // One byte past the limit is enough to know that it is passed.
            let limit = stillroom::syntax::MAX_FILE as u64 + 1;
            std::io::stdin().lock().take(limit).read_to_end(&mut bytes)?;
            named.given = Some((std::env::current_dir()?, bytes));
        } else if path.is_dir() {
            let (found, unread) = stills_under(path);
            if found.is_empty() && unread.is_empty() {
                named.problems.push(format!("`{}` is a folder with no `.still` file in it.", shown_path(path)));
            }
            named.files.extend(found);
            named.unread.extend(unread);
            named.unread.sort_by(|one, other| one.path.cmp(&other.path));
        } else {
            named.files.push(path.clone());
        }
    }
    Ok(named)
}

/// Loads files, folders and `-`.
///
/// # Errors
/// A path that cannot be opened, or a folder without formulas.
pub fn input(paths: &[PathBuf]) -> Result<Session<'static>, Failure> {
    let CommandInput { files, given, mut problems, unread } = named(paths)?;
    problems.extend(unread.iter().map(not_opened));
    let session = Session::open(Disk, &files, given).seen_from(here());
    let told = |failure: &OpenFailure| match failure.file.filter(|_| !failure.named) {
        // What another file uses was named by nobody.
        Some(file) => not_opened(&OpenFailure { path: session.sources().path(file), ..failure.clone() }),
        None => not_opened(failure),
    };
    problems.extend(session.loaded().failures.iter().map(told));
    if problems.is_empty() { Ok(session) } else { Err(Failure(problems.join("\n"))) }
}

/// The same, with the plans of batches whose formula has moved on, out of git; standard error says which.
///
/// # Errors
/// As [`input`].
pub fn input_with_past(paths: &[PathBuf]) -> Result<Session<'static>, Failure> {
    let mut session = input(paths)?;
    say_recovered(&recover(session.loaded_mut()));
    Ok(session)
}

/// The same for a command that tells of formulas alone: of what was found in git it says nothing.
///
/// # Errors
/// As [`input`].
pub fn input_with_quiet_past(paths: &[PathBuf]) -> Result<Session<'static>, Failure> {
    let mut session = input(paths)?;
    recover(session.loaded_mut()).unanswered.iter().for_each(|why| tell_line(&shown(why)));
    Ok(session)
}

/// Says which batches are held against what git has, and which cannot be.
pub fn say_recovered(recovery: &Recovery) {
    for found in &recovery.found {
        tell_line(&format!("`{}` is held against {}.", found.batch, shown(&found.words())));
    }
    recovery.unanswered.iter().for_each(|why| tell_line(&shown(why)));
}

/// The folder one stands in, its links followed as those of files are; none where it is gone.
pub fn here() -> Option<PathBuf> {
    Disk.canonical(Path::new(".")).ok()
}

/// ` Did you mean …?` with the known name nearest to one that is not known; empty where none is near.
pub fn did_you_mean<'k>(name: &str, known: impl Iterator<Item = &'k str>) -> String {
    nearest(name, known).first().map(|near| format!(" Did you mean `{}`?", shown(near))).unwrap_or_default()
}

/// That a path cannot be opened, and why.
pub fn not_opened(failure: &OpenFailure) -> String {
    format!("`{}` cannot be opened: {}.", shown(&failure.path), failure.reason)
}

/// A day as the command line has it.
///
/// # Errors
/// What is no day of the calendar.
pub fn day(text: &str) -> Result<SmolStr, Failure> {
    if text.len() == 10 && is_calendar_date(text) {
        return Ok(SmolStr::new(text));
    }
    let is_written = text.len() == 10
        && text
            .bytes()
            .enumerate()
            .all(|(at, byte)| if matches!(at, 4 | 7) { byte == b'-' } else { byte.is_ascii_digit() });
    if is_written {
        return Err(Failure(format!("`--on {}`: the calendar does not have that day.", shown(text))));
    }
    Err(Failure(format!("`--on {}`: a day is written as year, month, day: `2026-11-25`.", shown(text))))
}

/// How diagnostics are drawn on a stream: colour on a terminal only, and never with `NO_COLOR`.
#[allow(clippy::disallowed_methods, reason = "the terminal is the command's business")]
pub fn style(terminal: bool) -> stillroom::render::Style {
    let no_colour = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    stillroom::render::Style { colour: terminal && !no_colour, width: 100 }
}

/// Whether standard output is a terminal.
pub fn stdout_is_terminal() -> bool {
    std::io::stdout().is_terminal()
}

/// Whether standard error is a terminal.
pub fn stderr_is_terminal() -> bool {
    std::io::stderr().is_terminal()
}

/// A value as JSON on one line, with its end.
///
/// # Errors
/// A value that JSON has no words for.
pub fn line(value: &impl serde::Serialize) -> Result<String, Failure> {
    let text = serde_json::to_string(value).map_err(|error| Failure(error.to_string()))?;
    Ok(shown_json(&text) + "\n")
}

/// A value as JSON for people to read too, with a line end.
///
/// # Errors
/// A value that JSON has no words for.
pub fn pretty(value: &impl serde::Serialize) -> Result<String, Failure> {
    let text = serde_json::to_string_pretty(value).map_err(|error| Failure(error.to_string()))?;
    Ok(shown_json(&text) + "\n")
}
