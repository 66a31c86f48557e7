//! The sure edits written into their files.

use super::keeper::Keeper;
use super::locked_folder::{FileTarget, LockedFolder, with_locked_folder};
use super::not_kept::{Against, NotKept};
use crate::fix::Fixed;
use crate::render::shown;
use crate::session::Session;
use crate::workspace::{Loaded, unread};
use std::collections::BTreeSet;
use std::path::Path;

/// An edit may bring another to light; after so many rounds what is left is left.
const ROUNDS: usize = 8;

/// The files as they are now, and the sure edits of those that were named.
pub type Edits<'e, 'w> = &'e dyn Fn() -> Result<(Session<'w>, Vec<Fixed>), NotKept>;

/// Makes the sure edits, folder by folder, and says what was done.
///
/// # Errors
/// Input that cannot be read, or a file that cannot be written; the files of all other folders are mended first.
pub fn mend(keeper: &Keeper<'_>, edits: Edits<'_, '_>, said: &dyn Fn(&str)) -> Result<(), NotKept> {
    for round in 0..ROUNDS {
        let (session, found) = edits()?;
        let loaded = session.loaded();
        if round == 0 {
            clear_remains(keeper, loaded)?;
        }
        let folders: BTreeSet<&Path> = found.iter().filter_map(|edit| folder_of(loaded, edit)).collect();
        let mut problems = Vec::new();
        for folder in &folders {
            let done = with_locked_folder(folder, keeper.patience, |held| mend_in(held, loaded, &found, edits, said));
            problems.extend(done.err());
        }
        all(problems)?;
        if folders.is_empty() {
            break;
        }
    }
    Ok(())
}

/// All that went wrong as one; nothing where nothing did.
fn all(problems: Vec<NotKept>) -> Result<(), NotKept> {
    let against = problems.first().map_or(Against::Disk, |first| first.against);
    let sentences: Vec<String> = problems.into_iter().map(|problem| problem.sentence).collect();
    if sentences.is_empty() { Ok(()) } else { Err(NotKept::new(against, sentences.join("\n"))) }
}

/// The folder of the file of an edit.
fn folder_of<'l>(loaded: &'l Loaded, edit: &Fixed) -> Option<&'l Path> {
    loaded.sources.home(edit.file)?.absolute.parent()
}

/// Clears what a program that was killed left beside the files that were named.
fn clear_remains(keeper: &Keeper<'_>, loaded: &Loaded) -> Result<(), NotKept> {
    for source in loaded.sources.files.iter().filter(|source| source.named) {
        let target = FileTarget::at(source.absolute.clone(), loaded.sources.path(source.id))?;
        if target.has_remains() {
            with_locked_folder(target.folder(), keeper.patience, |held| held.clear(&target))?;
        }
    }
    Ok(())
}

/// Makes the edits of one folder while it is held: those worked out beforehand where no file of theirs was written since,
/// else those of now.
fn mend_in(
    held: &LockedFolder<'_>,
    loaded: &Loaded,
    edits: &[Fixed],
    anew: Edits<'_, '_>,
    said: &dyn Fn(&str),
) -> Result<(), NotKept> {
    let here = |edit: &&Fixed, loaded: &Loaded| folder_of(loaded, edit) == Some(held.folder());
    let mut mends = Vec::new();
    for edit in edits.iter().filter(|edit| here(edit, loaded)) {
        mends.extend(FileMend::of(held, loaded, edit)?);
    }
    if mends.iter().all(|mend| mend.is_fresh) {
        return made(held, &mends, said);
    }
    let (session, edits) = anew()?;
    let loaded = session.loaded();
    let mut mends = Vec::new();
    for edit in edits.iter().filter(|edit| here(edit, loaded)) {
        mends.extend(FileMend::of(held, loaded, edit)?);
    }
    made(held, &mends, said)
}

/// The edits of one file, ready to be written.
struct FileMend {
    target: FileTarget,
    /// What is in the file.
    was: Vec<u8>,
    /// Whether that is what the edits were worked out from.
    is_fresh: bool,
    /// What is to be in it.
    now: String,
    /// What is said once it is.
    done: Vec<String>,
}

impl FileMend {
    fn of(held: &LockedFolder<'_>, loaded: &Loaded, edit: &Fixed) -> Result<Option<FileMend>, NotKept> {
        let Some(source) = loaded.sources.home(edit.file) else { return Ok(None) };
        let target = FileTarget::at(source.absolute.clone(), loaded.sources.path(source.id))?;
        // One that is gone is not what the edits were worked out from.
        let was = held
            .read(&target)
            .map_err(|error| NotKept::disk(format!("`{}` cannot be opened: {}.", target.shown(), unread(&error))))?;
        let was = was.unwrap_or_default();
        // A byte-order mark is no part of the text, and stays where it was.
        let mark = if was.starts_with(b"\xef\xbb\xbf") { "\u{feff}" } else { "" };
        let is_fresh = was.strip_prefix(mark.as_bytes()) == Some(source.text.as_bytes());
        let now = format!("{mark}{}", edit.text);
        let done = edit
            .done
            .iter()
            .map(|(code, words)| format!("{}: {code}: {}", shown(&loaded.sources.path(source.id)), shown(words)))
            .collect();
        Ok(Some(FileMend { target, was, is_fresh, now, done }))
    }
}

/// Writes files that are mended, each whole or not at all, and says what was done in those that were.
fn made(held: &LockedFolder<'_>, mends: &[FileMend], said: &dyn Fn(&str)) -> Result<(), NotKept> {
    let mut problems = Vec::new();
    // What an editor writes just now is left to the next round.
    for mend in mends.iter().filter(|mend| mend.is_fresh) {
        match held.write(&mend.target, Some(&mend.was), mend.now.as_bytes()) {
            Ok(()) => mend.done.iter().for_each(|done| said(done)),
            Err(problem) => problems.push(problem),
        }
    }
    all(problems)
}
