//! `stillroom new NAME --from FILE`: a table turned into a formula.

use super::super::arguments::{NewArguments, TableFigures};
use super::super::input::named;
use super::super::locked_folder::{FileTarget, with_locked_folder};
use super::super::stream::{print, tell_line};
use super::super::{Failure, Outcome};
use std::io::Read as _;
use std::path::{Path, PathBuf};
use stillroom::bring::{Brought, Figures, OwnShelf, Unsure, Wishes, bring_beside};
use stillroom::render::{shown, shown_path};
use stillroom::syntax::MAX_FILE;
use stillroom::workspace::{Disk, Source, World as _, load, unread};

/// Writes the formula of a table into a file of its own, and says what was not sure.
///
/// # Errors
/// A table that cannot be read, and a file that is there already.
pub fn run(arguments: &NewArguments, table: &Path) -> Result<Outcome, Failure> {
    let bytes = bytes_of(table)?;
    let path = file_of(&arguments.name);
    let name = path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let figures = arguments.figures.map(|figures| match figures {
        TableFigures::Percent => Figures::Percent,
        TableFigures::Grams => Figures::Grams,
    });
    let brought = bring_beside(&bytes, &Wishes { name, rest: arguments.rest, figures }, &own_shelf(&path));
    if let Some(why) = brought.refused() {
        return Err(Failure(why.to_string()));
    }
    write_new(&path, &brought.text)?;
    print(&summary(&path, &brought));
    tell_unsure(&brought.unsure);
    Ok(Outcome::Clean)
}

/// Her own materials: those of the files in the folder that the new file is to stand in, and below it.
#[allow(clippy::disallowed_methods, reason = "this command is asked to make a file in a folder")]
fn own_shelf(path: &Path) -> OwnShelf {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Ok(folder) = std::fs::canonicalize(folder) else { return OwnShelf::default() };
    let files = named(std::slice::from_ref(&folder)).map(|input| input.files).unwrap_or_default();
    let within = |source: &Source| {
        let below = source.absolute.strip_prefix(&folder).ok()?;
        let parts: Option<Vec<&str>> = below.iter().map(|part| part.to_str()).collect();
        Some(parts?.join("/"))
    };
    OwnShelf::of(&load(&Disk, &files, None).sources, within)
}

/// The file of a name: with the ending of formulas, whether it was named or not.
pub fn file_of(name: &Path) -> PathBuf {
    match name.extension().is_some_and(|extension| extension == "still") {
        true => name.to_path_buf(),
        false => {
            let mut path = name.as_os_str().to_os_string();
            path.push(".still");
            PathBuf::from(path)
        }
    }
}

/// Writes a file that is not there yet, whole or not at all.
///
/// # Errors
/// A file that is there already, and a folder that cannot be written into.
#[allow(clippy::disallowed_methods, reason = "this command is asked to make a file")]
pub fn write_new(path: &Path, text: &str) -> Result<(), Failure> {
    let there_already = || Failure(format!("`{}` is there already; nothing was written.", shown_path(path)));
    if std::fs::symlink_metadata(path).is_ok() {
        return Err(there_already());
    }
    let target = FileTarget::of(path)?;
    with_locked_folder(target.folder(), |held| {
        // Another may have made it while this one waited.
        if std::fs::symlink_metadata(target.path()).is_ok() {
            return Err(there_already());
        }
        Ok(held.write(&target, None, text.as_bytes())?)
    })
}

/// The bytes of the table.
#[allow(clippy::disallowed_methods, reason = "a command may read standard input")]
fn bytes_of(table: &Path) -> Result<Vec<u8>, Failure> {
    let bytes = if table == Path::new("-") {
        let mut bytes = Vec::new();
        // One byte past the limit is enough to know that it is passed.
        std::io::stdin().lock().take(MAX_FILE as u64 + 1).read_to_end(&mut bytes)?;
        bytes
    } else {
        let told = |error| Failure(format!("`{}` cannot be opened: {}.", shown_path(table), unread(&error)));
        Disk.read(table).map_err(told)?
    };
    match bytes.len() > MAX_FILE {
        true => Err(Failure(format!("`{}` is larger than 16 MB: that is no table of a formula.", shown_path(table)))),
        false => Ok(bytes),
    }
}

fn summary(path: &Path, brought: &Brought) -> String {
    let path = shown_path(path);
    let told: String = brought.told.iter().map(|says| format!("{}\n", shown(says))).collect();
    format!("Made `{path}`.\n{told}Now try: stillroom check {path}\n")
}

/// What was not sure, each with its line in the table.
fn tell_unsure(unsure: &[Unsure]) {
    if unsure.is_empty() {
        return;
    }
    let count = match unsure.len() {
        1 => "1 thing was".to_string(),
        count => format!("{count} things were"),
    };
    tell_line(&format!("{count} not sure; each is marked `Not sure` in the file:"));
    for Unsure { line, says } in unsure {
        match line {
            0 => tell_line(&format!("  {}", shown(says))),
            line => tell_line(&format!("  line {line}: {}", shown(says))),
        }
    }
}
