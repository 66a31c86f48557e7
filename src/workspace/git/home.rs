//! Where a repository keeps what it knows, looked at before the library is asked: a fault of it is told as what it is.

use super::error::GitError;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// A folder with a repository in it.
pub(super) struct Home<'f> {
    /// The folder.
    pub folder: &'f Path,
    /// Where the repository keeps what it knows; none where its `.git` leads nowhere.
    keep: Option<PathBuf>,
}

#[allow(clippy::disallowed_methods, reason = "the workspace is what touches the disk")]
impl<'f> Home<'f> {
    /// The repository of a folder; none where it has none. A folder `.git` with nothing in it that git puts there is none.
    pub fn in_folder(folder: &'f Path) -> Option<Home<'f>> {
        let git = folder.join(".git");
        let meta = std::fs::metadata(&git).ok()?;
        if !meta.is_dir() {
            // A submodule, or a second copy of the files: one line says where the rest is.
            let text = std::fs::read_to_string(&git).ok();
            let keep = text.and_then(|text| text.trim().strip_prefix("gitdir:").map(|path| folder.join(path.trim())));
            return Some(Home { folder, keep: keep.filter(|keep| keep.is_dir()) });
        }
        let may_be_entered =
            !matches!(std::fs::metadata(git.join("HEAD")), Err(error) if error.kind() == ErrorKind::PermissionDenied);
        let is_one =
            !may_be_entered || ["HEAD", "config", "objects", "refs"].iter().any(|name| git.join(name).exists());
        is_one.then_some(Home { folder, keep: Some(git) })
    }

    /// Whether the repository can be read at all.
    ///
    /// # Errors
    /// One that leads nowhere, may not be read, or counts by SHA-256.
    pub fn check_owner(&self) -> Result<(), GitError> {
        let Some(keep) = &self.keep else { return Err(GitError::damaged("what its `.git` leads to")) };
        if matches!(std::fs::read(keep.join("HEAD")), Err(error) if error.kind() == ErrorKind::PermissionDenied) {
            let words = "The git repository may not be read by this user: ask who owns it.".to_string();
            return Err(GitError { words, is_unreadable: true });
        }
        let shared = std::fs::read_to_string(keep.join("commondir")).ok();
        let common = shared.map_or_else(|| keep.clone(), |path| keep.join(path.trim()));
        match std::fs::read_to_string(common.join("config")) {
            Ok(config) if counts_by_sha256(&config) => {
                let words =
                    "This git repository numbers its commits by SHA-256, which is not read here yet: formulas as \
                             they were cannot be looked up in it. Nothing is wrong with it."
                        .to_string();
                Err(GitError { words, is_unreadable: true })
            }
            _ => Ok(()),
        }
    }

    /// Whether this is what the library found.
    pub fn is_of(&self, found: &gix::Repository) -> bool {
        let real = |path: &Path| std::fs::canonicalize(path).ok();
        self.keep.as_deref().and_then(real).is_some_and(|keep| real(found.git_dir()) == Some(keep))
    }
}

/// Whether the settings of a repository say that its objects are numbered by SHA-256.
fn counts_by_sha256(config: &str) -> bool {
    config.lines().any(|line| {
        let setting = line.split_once('=').map(|(key, value)| (key.trim(), value.trim().trim_matches('"')));
        setting.is_some_and(|(key, value)| {
            key.eq_ignore_ascii_case("objectformat") && value.eq_ignore_ascii_case("sha256")
        })
    })
}
