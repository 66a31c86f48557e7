//! What the server keeps from one state of the texts to the next, and where the shelf can be read.

use super::surveys::{Surveys, shelf_files};
use crate::diagnostic::FileId;
use crate::shelf::{FILES, file_by_name};
use crate::syntax::survey::Expectations;
use lsp_types::SemanticToken;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// What is kept from one state of the texts to the next.
#[derive(Debug, Default)]
pub struct Known {
    /// What stands in the files.
    pub surveys: Surveys,
    /// What the grammar lets follow.
    pub expectations: Expectations,
    /// The folder in which the files of the shelf can be read.
    pub shelf: Option<PathBuf>,
    /// The words that a client was given last of each file, with the number of that answer.
    pub tokens: Mutex<BTreeMap<String, (u64, Vec<SemanticToken>)>>,
}

impl Known {
    /// Nothing known yet.
    #[must_use]
    pub fn new(shelf: Option<&Path>) -> Known {
        Known { shelf: shelf.map(Path::to_path_buf), ..Known::default() }
    }

    /// Where a file of the shelf can be read.
    #[must_use]
    pub fn shelf_path(&self, file: FileId) -> Option<PathBuf> {
        Some(self.shelf.as_ref()?.join(shelf_name(file)?))
    }

    /// The file of the shelf that can be read at a path.
    #[must_use]
    pub fn shelf_file(&self, path: &Path) -> Option<FileId> {
        let name = path.strip_prefix(self.shelf.as_ref()?).ok()?.to_str()?;
        file_by_name(name.strip_suffix(".still")?)
    }
}

/// What a file of the shelf is called in the folder in which it can be read.
#[must_use]
pub fn shelf_name(file: FileId) -> Option<String> {
    FILES.get(file.0 as usize).map(|file| format!("{}.still", file.name))
}

/// Every file of the shelf, by what it is called in a folder, with its text.
pub fn shelf_texts() -> impl Iterator<Item = (String, &'static str)> {
    shelf_files().filter_map(|file| Some((shelf_name(file)?, FILES.get(file.0 as usize)?.text)))
}
