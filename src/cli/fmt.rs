//! `stillroom fmt`.

use super::arguments::FmtArguments;
use super::input::{CommandInput, here, named, not_opened, stderr_is_terminal, style};
use super::locked_folder::{FileTarget, keeper};
use super::stream::{pipe, print, tell, tell_line};
use super::{Failure, Outcome};
use similar::TextDiff;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::Diagnostic;
use stillroom::keeping::{LaidOut, lay_out};
use stillroom::render::{human, shown_path};
use stillroom::syntax::format;
use stillroom::workspace::{Disk, Loaded, Source, Sources, World as _, load_alone, unread};

/// Lays files out. Each is written whole or not at all, and only where it changes; one that does not parse is left
/// alone, and told of.
///
/// # Errors
/// Files that cannot be read or written; all others are laid out first.
pub fn run(arguments: &FmtArguments) -> Result<Outcome, Failure> {
    let whole_folder = [PathBuf::from(".")];
    let paths = if arguments.paths.is_empty() { &whole_folder[..] } else { &arguments.paths };
    let CommandInput { files, given, mut problems, unread } = named(paths)?;
    problems.extend(unread.iter().map(not_opened));
    let mut work = Work { arguments, tally: Tally::default(), seen: BTreeSet::new(), problems };
    for path in &files {
        let loaded = load_alone(&Disk, std::slice::from_ref(path), None).seen_from(here());
        work.problems.extend(loaded.failures.iter().map(not_opened));
        if let Err(Failure(problem)) = work.file(path, &loaded) {
            work.problems.push(problem);
        }
    }
    if let Some((folder, bytes)) = given {
        let loaded = load_alone(&Disk, &[], Some((folder, bytes.clone()))).seen_from(here());
        work.standard_input(&bytes, &loaded);
    }
    if !files.is_empty() && !work.tally.is_empty() {
        tell_line(&work.tally.words(arguments));
    }
    let stale = arguments.check && work.tally.changed > 0;
    match work.problems.join("\n") {
        problems if !problems.is_empty() => Err(Failure(problems)),
        _ if stale || work.tally.faulty > 0 => Ok(Outcome::Errors),
        _ => Ok(Outcome::Clean),
    }
}

/// What became of the files.
#[derive(Default)]
struct Tally {
    changed: usize,
    kept: usize,
    faulty: usize,
}

struct Work<'a> {
    arguments: &'a FmtArguments,
    tally: Tally,
    /// The files done, so that one named twice is done once.
    seen: BTreeSet<PathBuf>,
    problems: Vec<String>,
}

impl Work<'_> {
    fn file(&mut self, path: &Path, loaded: &Loaded) -> Result<(), Failure> {
        let Some(source) = loaded.sources.files.first() else { return Ok(()) };
        if !self.seen.insert(source.absolute.clone()) {
            return Ok(());
        }
        let Some(wanted) = self.wanted(source, loaded) else { return Ok(()) };
        let name = shown_path(path);
        // Where a link leads is what is written, so that the link stays one.
        let target = FileTarget::at(source.absolute.clone(), name.clone())?;
        // The text as loaded has lost its byte-order mark, so what is on disk is what counts.
        let have = Disk.read(&source.absolute).map_err(|error| unopened(&name, &error))?;
        let same = have == wanted.as_bytes();
        if !self.only_asks() && (!same || target.has_remains()) {
            return self.lay_out(&target);
        }
        if same {
            self.tally.kept += 1;
        } else {
            self.tally.changed += 1;
            self.would_change(&name, &have, &wanted);
        }
        Ok(())
    }

    /// Lays a file out. It may have been written since it was first looked at, so it is read anew.
    fn lay_out(&mut self, target: &FileTarget) -> Result<(), Failure> {
        let drawn = &mut |sources: &Sources, faults: &[Diagnostic]| {
            tell(&human(sources, faults, style(stderr_is_terminal())));
        };
        match lay_out(&keeper(), target, drawn)? {
            LaidOut::Anew => {
                self.tally.changed += 1;
                print(&format!("{}\n", target.shown()));
            }
            LaidOut::Already => self.tally.kept += 1,
            LaidOut::Faulty => self.tally.faulty += 1,
        }
        Ok(())
    }

    /// Whether nothing is to be written.
    fn only_asks(&self) -> bool {
        self.arguments.check || self.arguments.diff
    }

    fn standard_input(&mut self, have: &[u8], loaded: &Loaded) {
        let Some(source) = loaded.sources.files.first() else { return };
        let Some(wanted) = self.wanted(source, loaded) else { return };
        let changes = have != wanted.as_bytes();
        self.tally.changed += usize::from(changes);
        if self.only_asks() {
            if changes {
                self.would_change("-", have, &wanted);
            }
        } else {
            pipe(&wanted);
        }
    }

    /// The text in the one layout; none, and a message, where it does not parse.
    fn wanted(&mut self, source: &Source, loaded: &Loaded) -> Option<String> {
        if source.faults.is_empty() {
            return Some(format(&source.text));
        }
        self.tally.faulty += 1;
        tell(&human(&loaded.sources, &source.faults, style(stderr_is_terminal())));
        None
    }

    /// Prints what would change, as asked for.
    fn would_change(&self, name: &str, have: &[u8], wanted: &str) {
        if self.arguments.diff {
            let have = String::from_utf8_lossy(have);
            let diff = TextDiff::from_lines(have.as_ref(), wanted);
            print(&diff.unified_diff().header(name, name).to_string());
        } else {
            print(&format!("{name}\n"));
        }
    }
}

fn unopened(name: &str, error: &std::io::Error) -> Failure {
    Failure(format!("`{name}` cannot be opened: {}.", unread(error)))
}

impl Tally {
    fn is_empty(&self) -> bool {
        self.changed + self.kept + self.faulty == 0
    }

    fn words(&self, arguments: &FmtArguments) -> String {
        let files = |count: usize| if count == 1 { "1 file".to_string() } else { format!("{count} files") };
        let verb = if arguments.check || arguments.diff { "would change" } else { "laid out anew" };
        let mut parts = Vec::new();
        if self.changed > 0 {
            parts.push(format!("{} {verb}", files(self.changed)));
        }
        if self.kept > 0 {
            parts.push(format!("{} laid out already", files(self.kept)));
        }
        if self.faulty > 0 {
            parts.push(format!("{} with faults left alone", files(self.faulty)));
        }
        format!("{}.", parts.join(", "))
    }
}
