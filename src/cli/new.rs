//! `stillroom new`.

mod from;
mod kind;

use super::arguments::NewArguments;
use super::locked_folder::{LockedFolder, new_file, part_of, with_locked_folder};
use super::stream::print;
use super::{Failure, Outcome};
use std::fs::File;
use std::io::{self, Write as _};
use std::path::Path;
use stillroom::render::shown_path;
use stillroom::workspace::unwritten;

/// The files of a new folder. They are checked by a test, so that the folder compiles.
const FILES: &[(&str, &str)] = &[
    ("materials.still", include_str!("new/materials.still")),
    ("first-serum.still", include_str!("new/first-serum.still")),
    ("README.md", include_str!("new/README.md")),
];

/// Makes a folder that compiles, or the file of one formula; whole or not at all.
///
/// # Errors
/// What is there already, and what cannot be read or made.
pub fn run(arguments: &NewArguments) -> Result<Outcome, Failure> {
    match (&arguments.from, arguments.kind) {
        (Some(table), _) => from::run(arguments, table),
        (None, Some(kind)) => kind::run(&arguments.name, kind),
        (None, None) => make_folder(arguments),
    }
}

#[allow(clippy::disallowed_methods, reason = "this command is asked to make a folder")]
fn make_folder(arguments: &NewArguments) -> Result<Outcome, Failure> {
    let folder = &arguments.name;
    let there_already = || Failure(format!("`{}` is there already; nothing was written.", shown_path(folder)));
    let failed = |error: io::Error| Failure(format!("`{}` cannot be made: {}.", shown_path(folder), unwritten(&error)));
    let Some(name) = folder.file_name().filter(|_| std::fs::symlink_metadata(folder).is_err()) else {
        return Err(there_already());
    };
    let within = folder.parent().filter(|within| !within.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::create_dir_all(within).map_err(failed)?;
    let within = std::fs::canonicalize(within).map_err(failed)?;
    let made = within.join(name);
    with_locked_folder(&within, |held| {
        // Another may have made it while this one waited.
        if std::fs::symlink_metadata(&made).is_ok() {
            return Err(there_already());
        }
        make(held, &made).map_err(failed)
    })?;
    print(&format!(
        "Made `{0}` with a file of materials and a first formula.\nNow try: stillroom sheet {0}/first-serum.still\n",
        shown_path(folder)
    ));
    Ok(Outcome::Clean)
}

/// Makes the folder beside its place, down to the disk, and gives it its name.
fn make(held: &LockedFolder<'_>, made: &Path) -> io::Result<()> {
    let part = part_of(made);
    cleared(&part)?;
    std::fs::create_dir(&part)?;
    let filled = FILES.iter().try_for_each(|(name, text)| {
        let mut file = new_file(&part.join(name), None)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()
    });
    let placed = filled.and_then(|()| {
        #[cfg(unix)]
        File::open(&part)?.sync_all()?;
        std::fs::rename(&part, made)
    });
    match placed {
        Ok(()) => held.sync(),
        Err(error) => {
            let _ = cleared(&part);
            Err(error)
        }
    }
}

/// Takes away what a program that was killed left: our own files and the folder they are in, nothing else.
fn cleared(part: &Path) -> io::Result<()> {
    match std::fs::symlink_metadata(part) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        Ok(there) if !there.is_dir() => return std::fs::remove_file(part),
        there => there.map(|_| ())?,
    }
    for (name, _) in FILES {
        match std::fs::remove_file(part.join(name)) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
    }
    std::fs::remove_dir(part)
}
