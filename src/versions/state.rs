//! What the formulas of some files rested on at a commit: enough to see whether anything can have changed.

use crate::diagnostic::FileId;
use crate::syntax;
use crate::syntax::tree::{Item, UseTarget};
use crate::workspace::{Blob, GitError, Revision, joined};
use rustc_hash::{FxHashMap, FxHasher};
use std::collections::{BTreeMap, BTreeSet};
use std::hash::{Hash as _, Hasher as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Each file with a number for its content and that of all it uses: as long as that is the same, so is what it means.
pub type FileStates = BTreeMap<PathBuf, u64>;

/// Files and folders watched through time, with what is known of each content that was met.
pub struct Past {
    paths: Vec<PathBuf>,
    uses: FxHashMap<Blob, Arc<Vec<String>>>,
}

impl Past {
    /// Watches files and folders, by their full paths.
    #[must_use]
    pub fn new(paths: Vec<PathBuf>) -> Past {
        Past { paths, uses: FxHashMap::default() }
    }

    /// The state of what is watched at a commit. A folder with a history of its own that is not here counts as empty.
    ///
    /// # Errors
    /// A repository that cannot be read.
    pub fn state(&mut self, revision: &Revision) -> Result<FileStates, GitError> {
        let mut known: FxHashMap<PathBuf, Option<Blob>> = FxHashMap::default();
        let mut files: BTreeSet<PathBuf> = BTreeSet::new();
        for path in &self.paths {
            let within = match revision.stills_under(path) {
                Err(error) if error.is_unreadable => return Err(error),
                within => within.unwrap_or_default(),
            };
            for (path, blob) in within {
                known.insert(path.clone(), Some(blob));
                files.insert(path);
            }
            if let Some(blob) = revision.blob(path)? {
                known.insert(path.clone(), Some(blob));
                files.insert(path.clone());
            }
        }
        files.into_iter().map(|file| Ok((file.clone(), self.key(revision, file, &mut known)?))).collect()
    }

    /// A number for a file and all it uses, directly or through others.
    fn key(
        &mut self,
        revision: &Revision,
        file: PathBuf,
        known: &mut FxHashMap<PathBuf, Option<Blob>>,
    ) -> Result<u64, GitError> {
        let mut reached: BTreeMap<PathBuf, Option<Blob>> = BTreeMap::new();
        let mut waiting = vec![file];
        while let Some(path) = waiting.pop() {
            if reached.contains_key(&path) {
                continue;
            }
            let blob = match known.get(&path) {
                Some(blob) => *blob,
                None => revision.blob(&path)?,
            };
            known.insert(path.clone(), blob);
            if let Some(blob) = blob {
                let folder = path.parent().unwrap_or(&path).to_path_buf();
                let uses = self.uses_of(revision, &path, blob)?;
                waiting.extend(uses.iter().map(|used| joined(&folder, Path::new(used))));
            }
            reached.insert(path, blob);
        }
        let mut hasher = FxHasher::default();
        reached.hash(&mut hasher);
        Ok(hasher.finish())
    }

    /// The files that a content uses, as it writes them.
    fn uses_of(&mut self, revision: &Revision, path: &Path, blob: Blob) -> Result<Arc<Vec<String>>, GitError> {
        if let Some(known) = self.uses.get(&blob) {
            return Ok(Arc::clone(known));
        }
        let text = String::from_utf8(revision.content(path)?).unwrap_or_default();
        let uses = if text.contains("use") && text.len() <= syntax::MAX_FILE { used_by(&text) } else { Vec::new() };
        let uses = Arc::new(uses);
        self.uses.insert(blob, Arc::clone(&uses));
        Ok(uses)
    }
}

fn used_by(text: &str) -> Vec<String> {
    let parsed = syntax::parse(FileId(u32::MAX), text);
    let targets = parsed.tree.items.into_iter().filter_map(|item| match item {
        Item::Use(item) => Some(item.target),
        _ => None,
    });
    let paths = targets.filter_map(|target| match target {
        UseTarget::Path(path) => Some(path.value.to_string()),
        UseTarget::Shelf(_) => None,
    });
    paths.collect()
}
