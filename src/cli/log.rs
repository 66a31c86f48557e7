//! `stillroom log`.

use super::arguments::{LogArguments, LogFormat};
use super::input::{here, pretty};
use super::sides::{full, git, in_no_repository, listed};
use super::stream::{print, tell_line};
use super::{Failure, Outcome};
use stillroom::render::{LogJson, shown_path};
use stillroom::versions::{Track, log};
use stillroom::workspace::{Disk, GitError, Repository, World as _, seen_from};

/// Lists the versions of formulas through git, each change in a line.
///
/// # Errors
/// A path that lies in no repository, or a formula that is not there.
pub fn run(arguments: &LogArguments) -> Result<Outcome, Failure> {
    let path = &arguments.path;
    let full = full(path)?;
    let repository = Repository::of(&full).map_err(git)?.ok_or_else(|| in_no_repository(path))?;
    let on_disk = match Disk.exists(&full) {
        true => listed(path)?,
        false => Vec::new(),
    };
    let mut tracks = log(&repository, vec![full], &on_disk).map_err(git)?;
    if tracks.is_empty() {
        return Err(Failure(format!("`{}` has no formula, and never had one.", shown_path(path))));
    }
    if let Some(name) = &arguments.formula {
        let known: Vec<String> = tracks.iter().map(|track| track.formula.clone()).collect();
        tracks.retain(|track| is_named(track, name));
        if tracks.is_empty() {
            return Err(super::diff::no_formula(name, &known));
        }
    }
    if let Some(here) = here() {
        tracks.iter_mut().for_each(|track| track.file = seen_from(&here, &repository.folder.join(&track.file)));
    }
    let json = LogJson::new(&tracks);
    print(&match arguments.format {
        LogFormat::Text => json.text(),
        LogFormat::Markdown => json.markdown(),
        LogFormat::Json => pretty(&json)?,
    });
    if repository.is_shallow() {
        tell_line(&GitError::shallow().to_string());
    }
    Ok(Outcome::Clean)
}

/// Whether a formula has a name, or had it.
fn is_named(track: &Track, name: &str) -> bool {
    let sides = track.entries.iter().flat_map(|entry| [&entry.change.old, &entry.change.new]).flatten();
    track.formula == name || sides.into_iter().any(|side| side.name == name)
}
