//! `check --watch`: checked again whenever a file changes.

use super::Failure;
use super::input::{here, input_with_past, named, not_opened, say_recovered};
use super::stream::{is_reader_gone, tell_line};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher as _, recommended_watcher};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use stillroom::render::{shown, shown_path};
use stillroom::session::{FileChange, Session};
use stillroom::versions::recover;
use stillroom::workspace::{Disk, UseOutcome, World as _, joined};

/// An editor saves in several strokes: what comes within so long of the last one is of the same save.
const SETTLED: Duration = Duration::from_millis(60);
/// What never settles is looked at all the same after so many strokes.
const MOST_STROKES: usize = 50;
/// A folder that is made with others in it is looked into so deep at once.
const MOST_FOLDERS: usize = 16;
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
    let mut watched = Watched { watcher, folders: BTreeMap::new() };
    // Watched first: what changes while it is checked is checked again.
    watched.follow(paths, &session)?;
    check(&session)?;
    tell_line("Watching; Ctrl-C ends.");
    while let Some(changed) = next(&events) {
        watched.lose(&changed);
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
        let mut found = named(paths)?;
        session.update(changed.iter().cloned().map(FileChange::OnDisk), Some(found.files));
        // What came into a folder before it was watched is seen by looking again.
        for _ in 0..MOST_FOLDERS {
            if !watched.follow(paths, &session)? {
                break;
            }
            found = named(paths)?;
            session.update(changed.iter().cloned().map(FileChange::OnDisk), Some(found.files));
        }
        if has_records(&session) {
            say_recovered(&recover(session.loaded_mut()));
        }
        found.problems.iter().for_each(|problem| tell_line(problem));
        found.unread.iter().chain(&session.loaded().failures).for_each(|failure| tell_line(&not_opened(failure)));
        check(&session)?;
    }
    Ok(())
}

/// The folders that are watched.
struct Watched {
    watcher: RecommendedWatcher,
    /// Each with all that is in it, or by itself.
    folders: BTreeMap<PathBuf, RecursiveMode>,
}

impl Watched {
    /// Watches every folder that was named with all that is in it, and the folders of single files and of used ones. A
    /// file is watched by its folder: many editors save by putting another file in its place. Where that folder is not
    /// there yet, the nearest one above it is watched. Says whether there was one to watch that was not watched before.
    fn follow(&mut self, paths: &[PathBuf], session: &Session<'_>) -> Result<bool, Failure> {
        let before = self.folders.len();
        for path in paths.iter().filter(|path| path.is_dir()) {
            self.add(path, RecursiveMode::Recursive)?;
        }
        let named = paths.iter().filter(|path| !path.is_dir()).map(|path| Disk.canonical(path).unwrap_or(path.clone()));
        let read = session.sources().files.iter().map(|source| source.absolute.clone());
        let failed = session.loaded().failures.iter().map(|failure| PathBuf::from(&failure.path));
        for path in named.chain(read).chain(failed).chain(missing(session)) {
            if let Some(folder) = path.ancestors().skip(1).find(|folder| folder.is_dir()) {
                self.add(folder, RecursiveMode::NonRecursive)?;
            }
        }
        Ok(self.folders.len() > before)
    }

    /// Folders among what changed are watched anew: one that is made in the place of another is not the one that was.
    fn lose(&mut self, changed: &BTreeSet<PathBuf>) {
        self.folders.retain(|folder, _| !changed.contains(folder));
    }

    fn add(&mut self, folder: &Path, how: RecursiveMode) -> Result<(), Failure> {
        let Ok(folder) = Disk.canonical(folder) else { return Ok(()) };
        // A folder that was named has all that is in it watched already.
        let whole =
            |(known, how): (&PathBuf, &RecursiveMode)| *how == RecursiveMode::Recursive && folder.starts_with(known);
        if how == RecursiveMode::NonRecursive && self.folders.iter().any(whole) {
            return Ok(());
        }
        if self.folders.insert(folder.clone(), how).is_none() {
            match self.watcher.watch(&folder, how) {
                // It may be gone by now: then it is looked for again.
                Err(_) if !folder.is_dir() => drop(self.folders.remove(&folder)),
                watched => watched.map_err(|error| not_watched(&error))?,
            }
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
    // A folder that is made, moved or taken away, in which a file is used that is not there.
    let is_waited_for = || missing(session).iter().any(|missing| missing.starts_with(path));
    let is_formula = || is_still && !is_hidden && (in_folder() || names(path, paths) || uses(session));
    let is_folder = || in_folder() && !is_hidden && (path.is_dir() || at(path.to_path_buf(), session).len() > 1);
    is_read() || is_missed() || is_formula() || is_folder() || is_waited_for()
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

/// Where the `use` statements that bring nothing lead.
fn missing(session: &Session<'_>) -> Vec<PathBuf> {
    use stillroom::syntax::tree::{Item, UseTarget};
    let mut missing = Vec::new();
    for source in &session.sources().files {
        let folder = source.absolute.parent().unwrap_or(&source.root);
        for (item, outcome) in &source.uses {
            if let (UseOutcome::Failed | UseOutcome::Gone, Some(Item::Use(used))) =
                (outcome, source.tree.items.get(*item))
                && let UseTarget::Path(path) = &used.target
            {
                missing.push(joined(folder, Path::new(path.value.as_str())));
            }
        }
    }
    missing
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
