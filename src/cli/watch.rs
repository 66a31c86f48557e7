//! `check --watch`: checked again whenever a file changes.

use super::Failure;
use super::input::{here, input_with_past, named, not_opened, say_recovered};
use super::stream::{is_reader_gone, tell_line};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher as _, recommended_watcher};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use stillroom::render::{shown, shown_path};
use stillroom::session::{FileChange, Session};
use stillroom::versions::recover;
use stillroom::workspace::{Disk, World as _};

/// An editor saves in several strokes: what comes within so long of the last one is of the same save.
const SETTLED: Duration = Duration::from_millis(60);
/// What never settles is looked at all the same after so many strokes.
const MOST_STROKES: usize = 50;
/// So often it is asked whether anyone reads what is printed.
const READER: Duration = Duration::from_secs(5);

/// Checks with `check`, and again whenever a file changes that was named, lies in a folder that was, or is used by one.
/// `check` is told the session as it stands.
///
/// # Errors
/// Input that cannot be read at the start, folders that cannot be watched, and what `check` says.
pub fn watch(paths: &[PathBuf], check: &mut dyn FnMut(&Session<'_>) -> Result<(), Failure>) -> Result<(), Failure> {
    let mut session = input_with_past(paths)?;
    let (sender, events) = channel();
    let watcher = recommended_watcher(sender).map_err(|error| not_watched(&error))?;
    let mut watched = Watched { watcher, folders: BTreeSet::new() };
    // Watched first: what changes while it is checked is checked again.
    watched.follow(paths, &session)?;
    check(&session)?;
    tell_line("Watching; Ctrl-C ends.");
    while let Some(changed) = next(&events) {
        let changed: BTreeSet<PathBuf> = changed
            .into_iter()
            .filter(|path| matters(path, paths, &session))
            .flat_map(|path| at(path, &session))
            .collect();
        if changed.is_empty() {
            if is_reader_gone() {
                break;
            }
            continue;
        }
        let here = here().unwrap_or_default();
        let names: Vec<String> =
            changed.iter().map(|path| shown_path(path.strip_prefix(&here).unwrap_or(path)).to_string()).collect();
        tell_line(&format!("\n{} changed.", listed(&names)));
        let found = named(paths)?;
        session.update(changed.into_iter().map(FileChange::OnDisk), Some(found.files));
        if has_records(&session) {
            say_recovered(&recover(session.loaded_mut()));
        }
        found.problems.iter().for_each(|problem| tell_line(problem));
        found.unread.iter().chain(&session.loaded().failures).for_each(|failure| tell_line(&not_opened(failure)));
        watched.follow(paths, &session)?;
        check(&session)?;
    }
    Ok(())
}

/// The folders that are watched.
struct Watched {
    watcher: RecommendedWatcher,
    folders: BTreeSet<PathBuf>,
}

impl Watched {
    /// Watches every folder that was named with all that is in it, and the folders of single files and of used ones. A
    /// file is watched by its folder: many editors save by putting another file in its place.
    fn follow(&mut self, paths: &[PathBuf], session: &Session<'_>) -> Result<(), Failure> {
        for path in paths.iter().filter(|path| path.is_dir()) {
            self.add(path, RecursiveMode::Recursive)?;
        }
        let named = paths.iter().filter(|path| !path.is_dir()).map(|path| Disk.canonical(path).unwrap_or(path.clone()));
        let read = session.sources().files.iter().map(|source| source.absolute.clone());
        let failed = session.loaded().failures.iter().map(|failure| PathBuf::from(&failure.path));
        for path in named.chain(read).chain(failed) {
            if let Some(folder) = path.parent().filter(|folder| folder.is_dir()) {
                self.add(folder, RecursiveMode::NonRecursive)?;
            }
        }
        Ok(())
    }

    fn add(&mut self, folder: &Path, how: RecursiveMode) -> Result<(), Failure> {
        let Ok(folder) = Disk.canonical(folder) else { return Ok(()) };
        // A folder that was named has all that is in it watched already.
        if how == RecursiveMode::NonRecursive && self.folders.iter().any(|known| folder.starts_with(known)) {
            return Ok(());
        }
        if self.folders.insert(folder.clone()) {
            self.watcher.watch(&folder, how).map_err(|error| not_watched(&error))?;
        }
        Ok(())
    }
}

/// What changed since it was last asked, once it has settled; none where nothing is watched any more. Now and then
/// nothing, so that somebody can ask whether it is still wanted.
fn next(events: &Receiver<notify::Result<Event>>) -> Option<BTreeSet<PathBuf>> {
    let mut changed = BTreeSet::new();
    let first = match events.recv_timeout(READER) {
        Ok(first) => first,
        Err(std::sync::mpsc::RecvTimeoutError::Timeout) => return Some(changed),
        Err(std::sync::mpsc::RecvTimeoutError::Disconnected) => return None,
    };
    let mut take = |event: notify::Result<Event>| {
        if let Ok(event) = event
            && !matches!(event.kind, EventKind::Access(_))
        {
            changed.extend(event.paths);
        }
    };
    take(first);
    for _ in 0..MOST_STROKES {
        let Ok(event) = events.recv_timeout(SETTLED) else { break };
        take(event);
    }
    Some(changed)
}

/// Whether a check could come to something else: a file that was read or looked for, or a formula in a folder that was
/// named, or such a folder itself.
fn matters(path: &Path, paths: &[PathBuf], session: &Session<'_>) -> bool {
    let is_still = path.extension().is_some_and(|extension| extension == "still");
    let in_folder = || {
        let folders = paths.iter().filter(|path| path.is_dir()).filter_map(|path| Disk.canonical(path).ok());
        folders.into_iter().any(|folder| path.starts_with(folder))
    };
    let is_hidden = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
    let is_read = || session.sources().files.iter().any(|source| source.absolute == path);
    let is_missed = || session.loaded().failures.iter().any(|failure| path.ends_with(&failure.path));
    let is_formula = || is_still && !is_hidden && (in_folder() || names(path, paths) || uses(session));
    let is_folder = || in_folder() && !is_hidden && (path.is_dir() || at(path.to_path_buf(), session).len() > 1);
    is_read() || is_missed() || is_formula() || is_folder()
}

/// A path, and every file read that lies under it: a folder may have been moved away.
fn at(path: PathBuf, session: &Session<'_>) -> Vec<PathBuf> {
    let read = session.sources().files.iter().map(|source| source.absolute.clone());
    let mut all: Vec<PathBuf> = read.filter(|file| *file != path && file.starts_with(&path)).collect();
    all.push(path);
    all
}

/// Whether a path is one of those that were named.
fn names(path: &Path, paths: &[PathBuf]) -> bool {
    paths.iter().any(|named| Disk.canonical(named).unwrap_or_else(|_| named.clone()) == path || path.ends_with(named))
}

/// Whether a file of formulas could become one that another uses: any, where something uses another file at all.
fn uses(session: &Session<'_>) -> bool {
    use stillroom::syntax::tree::{Item, UseTarget};
    let items = session.sources().files.iter().flat_map(|source| &source.tree.items);
    items.into_iter().any(|item| matches!(item, Item::Use(one) if matches!(one.target, UseTarget::Path(_))))
}

/// Whether there are records, whose plans may have to be looked up in git.
fn has_records(session: &Session<'_>) -> bool {
    use stillroom::syntax::tree::Item;
    let items = session.sources().files.iter().flat_map(|source| &source.tree.items);
    items.into_iter().any(|item| matches!(item, Item::Batch(_)))
}

/// `a`, `b` and `c`.
fn listed(names: &[String]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match quoted.split_last() {
        Some((last, before)) if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        Some((last, _)) => last.clone(),
        None => String::new(),
    }
}

fn not_watched(error: &notify::Error) -> Failure {
    Failure(format!("The folders cannot be watched: {}.", shown(&error.to_string())))
}
