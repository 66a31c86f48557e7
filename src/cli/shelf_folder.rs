//! The shelf as files that an editor can open: it is inside the program, so it is written out once, to be read only.

use std::fs::{self, Permissions};
use std::io;
use std::path::{Path, PathBuf};
use stillroom::editor::known::shelf_texts;
use stillroom::shelf::EDITION;

/// A folder among what the user's programs keep for themselves, with every file of the shelf in it. None where there is
/// no such place or it cannot be written: then a name of the shelf leads nowhere, and all else works.
#[allow(clippy::disallowed_methods, reason = "the folder is named as its links lead")]
pub fn shelf_folder() -> Option<PathBuf> {
    let folder = caches()?.join("stillroom").join(format!("shelf-{EDITION}-{}", env!("CARGO_PKG_VERSION")));
    // An editor names it as its links lead.
    written(&folder).ok().and_then(|()| fs::canonicalize(&folder).ok())
}

/// Where programs keep what they can make anew.
#[allow(clippy::disallowed_methods, reason = "the environment is the commands' business")]
fn caches() -> Option<PathBuf> {
    let named = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
    if cfg!(windows) {
        return named("LOCALAPPDATA");
    }
    let home = named("HOME");
    if cfg!(target_os = "macos") {
        return home.map(|home| home.join("Library").join("Caches"));
    }
    named("XDG_CACHE_HOME").or_else(|| home.map(|home| home.join(".cache")))
}

/// Writes what is not there as it should be, each file whole.
#[allow(clippy::disallowed_methods, reason = "the shelf is written out for an editor to open")]
fn written(folder: &Path) -> io::Result<()> {
    fs::create_dir_all(folder)?;
    for (name, text) in shelf_texts() {
        let path = folder.join(&name);
        if fs::read(&path).is_ok_and(|there| there == text.as_bytes()) {
            continue;
        }
        // Two servers may begin at once: each writes a file of its own and puts it in place.
        let draft = folder.join(format!(".{name}.{}", std::process::id()));
        fs::write(&draft, text)?;
        let mut permissions: Permissions = fs::metadata(&draft)?.permissions();
        permissions.set_readonly(true);
        fs::set_permissions(&draft, permissions)?;
        fs::rename(&draft, &path)?;
    }
    Ok(())
}
