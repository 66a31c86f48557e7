//! The files that speak of the store room: every one that was named, and all that those use.

use super::Failure;
use super::input::{CommandInput, named, within_here};
use super::stream::tell_line;
use std::path::{Path, PathBuf};
use stillroom::batch::trail::NotRead;
use stillroom::render::{NotReadJson, shown};
use stillroom::resolve::is_formula;
use stillroom::workspace::{Loaded, OpenFailure, Sources};

/// What is told where not all could be read.
pub const NOT_WHOLE: &str = "Not everything could be read, so something may be missing here.";

/// The files that were named; this folder where none is.
///
/// # Errors
/// A folder without files, and standard input that cannot be read.
pub fn named_or_here(paths: &[PathBuf]) -> Result<CommandInput, Failure> {
    let whole_folder = [PathBuf::from(".")];
    let input = named(if paths.is_empty() { &whole_folder } else { paths })?;
    if input.problems.is_empty() { Ok(input) } else { Err(Failure(input.problems.join("\n"))) }
}

/// What could not be opened at all.
pub fn unopened(unread: &[OpenFailure], loaded: &Loaded) -> Vec<NotRead> {
    let all = unread.iter().chain(&loaded.failures);
    let path = |failure: &OpenFailure| match failure.file.filter(|_| !failure.named) {
        Some(file) => loaded.sources.path(file),
        None => within_here(Path::new(&failure.path)),
    };
    all.map(|failure| NotRead {
        path: path(failure),
        line: None,
        batch: None,
        why: format!("It cannot be opened: {}.", failure.reason),
    })
    .collect()
}

/// Tells what could not be read.
pub fn tell_left_out(left_out: &[NotRead]) {
    left_out.iter().for_each(|of| tell_line(&shown(&NotReadJson::from(of).words())));
}

/// Whether any file that was named, or that those use, speaks of a formula.
pub fn formula_names(sources: &Sources) -> impl Iterator<Item = &str> {
    let items = sources.files.iter().flat_map(|source| &source.tree.items);
    items.filter(|item| is_formula(item)).filter_map(|item| item.name().map(|name| name.text.as_str()))
}
