//! Files that were read before and did not change since: when they are loaded again, they keep their text and tree.

use super::source::{Source, Sources, UseOutcome};
use crate::diagnostic::{Family, FileId};
use crate::syntax::{Memo, Parsed, SyntaxTree, parse_with};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What is known from before a session is loaded again.
#[derive(Debug, Default)]
pub struct KeptFiles<'t> {
    /// The statements met: files of one maker have many in common.
    memo: Arc<Memo>,
    /// The trees of texts that are being written.
    trees: Option<&'t BTreeMap<PathBuf, SyntaxTree>>,
    files: HashMap<PathBuf, Source>,
    /// Of each file that was known, the number of its last change and what had become of its `use` statements.
    numbers: HashMap<PathBuf, (u64, Vec<(usize, UseOutcome)>)>,
    /// The files that were taken over as they stand.
    taken: BTreeSet<PathBuf>,
}

impl<'t> KeptFiles<'t> {
    /// Nothing but statements and the trees of texts that are being written.
    #[must_use]
    pub fn new(memo: &Arc<Memo>, trees: &'t BTreeMap<PathBuf, SyntaxTree>) -> KeptFiles<'t> {
        KeptFiles { memo: Arc::clone(memo), trees: Some(trees), ..KeptFiles::default() }
    }

    /// Keeps a file that was read, unless it changed. What could not be read is tried again.
    pub fn keep(&mut self, source: Source, version: u64, changed: &BTreeSet<PathBuf>) {
        if source.readable && !changed.contains(&source.absolute) {
            self.numbers.insert(source.absolute.clone(), (version, source.uses.clone()));
            self.files.insert(source.absolute.clone(), source);
        }
    }

    /// A file as it stood, before its `use` statements are followed anew; none where it is to be read, or has another
    /// number now, which its places would not know of.
    pub(super) fn take(&mut self, path: &Path, id: FileId, named: bool) -> Option<Source> {
        let mut source = self.files.remove(path).filter(|source| source.id == id)?;
        source.uses.clear();
        source.faults.retain(|fault| fault.code.family() != Family::Import);
        source.named = named;
        self.taken.insert(path.to_path_buf());
        Some(source)
    }

    /// The tree of a text.
    pub(super) fn parse(&self, path: &Path, id: FileId, text: &str) -> Parsed {
        match self.trees.and_then(|trees| trees.get(path)).filter(|tree| tree.text() == text) {
            Some(tree) => tree.parsed(id),
            None => parse_with(&self.memo, id, text),
        }
    }

    /// For each file the number of its last change: that of before where its text and what it uses are as they were,
    /// else one that no file had.
    pub fn versions(&self, sources: &Sources, last: &mut u64) -> Vec<u64> {
        let number = |source: &Source| {
            let before = self.numbers.get(&source.absolute).filter(|_| self.taken.contains(&source.absolute));
            if let Some((version, _)) = before.filter(|(_, uses)| *uses == source.uses) {
                return *version;
            }
            *last += 1;
            *last
        };
        sources.files.iter().map(number).collect()
    }
}
