//! `stillroom new`.

use super::arguments::NewArguments;
use super::stream::print;
use super::{Failure, Outcome};

/// The files of a new folder. They are checked by a test, so that the folder compiles.
const FILES: &[(&str, &str)] = &[
    ("materials.still", include_str!("new/materials.still")),
    ("first-serum.still", include_str!("new/first-serum.still")),
    ("README.md", include_str!("new/README.md")),
];

/// Makes a folder that compiles.
///
/// # Errors
/// A folder that is there already, or that cannot be made.
#[allow(clippy::disallowed_methods, reason = "this command is asked to make a folder")]
pub fn run(arguments: &NewArguments) -> Result<Outcome, Failure> {
    let folder = &arguments.name;
    if folder.exists() {
        return Err(Failure(format!("`{}` is there already; nothing was written.", folder.display())));
    }
    let failed = |error: std::io::Error| Failure(format!("`{}` cannot be made: {error}.", folder.display()));
    std::fs::create_dir_all(folder).map_err(failed)?;
    for (name, text) in FILES {
        std::fs::write(folder.join(name), text).map_err(failed)?;
    }
    print(&format!(
        "Made `{0}` with a file of materials and a first formula.\nNow try: stillroom sheet {0}/first-serum.still\n",
        folder.display()
    ));
    Ok(Outcome::Clean)
}
