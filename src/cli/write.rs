//! Files that a command is asked to write.

use super::Failure;
use std::io::Write as _;
use std::path::Path;

/// Writes a file whole or not at all: beside it first, then in its place. A file that is there keeps its permissions.
#[allow(clippy::disallowed_methods, reason = "only commands that are asked to write come here")]
pub fn write_whole(path: &Path, text: &str) -> Result<(), Failure> {
    let failed = |error: &dyn std::fmt::Display| Failure(format!("`{}` cannot be written: {error}.", path.display()));
    let old = std::fs::metadata(path).ok().map(|there| there.permissions());
    if old.as_ref().is_some_and(std::fs::Permissions::readonly) {
        return Err(failed(&"it may only be read"));
    }
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut file = beside().tempfile_in(folder).map_err(|error| failed(&error))?;
    file.write_all(text.as_bytes()).map_err(|error| failed(&error))?;
    if let Some(permissions) = old {
        file.as_file().set_permissions(permissions).map_err(|error| failed(&error))?;
    }
    file.persist(path).map_err(|error| failed(&error))?;
    Ok(())
}

/// A file of the kind that any program makes, and not one that only its owner may read, as for secrets.
fn beside() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder
}
