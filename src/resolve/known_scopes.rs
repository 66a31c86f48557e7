//! What is kept of the names of files from one look at them to the next: names that no change has touched are not read
//! again, and what was found sound among them is not looked through again.

use super::scope::{FileScope, OwnNames, own_names};
use crate::diagnostic::{Diagnostic, FileId};
use crate::workspace::{Source, UseOutcome};
use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;
use std::sync::Arc;

/// The names of the files of a session as they stood when they were last looked at.
#[derive(Default)]
pub(crate) struct KnownScopes {
    /// Which file uses which.
    graph: Vec<FileUses>,
    names: FxHashMap<FileId, KnownNames>,
    /// The names of every file, in the order of the files; none before they were first looked at.
    files: Vec<KnownScope>,
    /// Whether anything was wrong with how files use one another.
    uses_at_fault: bool,
    /// What files declared before, of those that declare something else now.
    before: FxHashMap<FileId, Arc<OwnNames>>,
}

/// What a file uses.
#[derive(PartialEq, Eq)]
struct FileUses {
    id: FileId,
    readable: bool,
    uses: Vec<UseOutcome>,
}

/// The names that a file declares, as they stood at a change of it.
struct KnownNames {
    /// The number of that change.
    version: u64,
    own: Arc<OwnNames>,
    faults: Vec<Diagnostic>,
}

/// All names that a file sees.
struct KnownScope {
    scope: Arc<FileScope>,
    /// Whether it and what it uses take no name twice: what is told of that has places.
    is_free: bool,
}

/// What a file declares, and whether that is what it declared the last time.
pub(super) struct NowDeclared {
    pub own: Arc<OwnNames>,
    pub changed: bool,
}

impl KnownScopes {
    /// Forgets all of it where files use others than the last time.
    pub(super) fn look_at(&mut self, files: &[Source]) {
        let uses = |source: &Source| FileUses {
            id: source.id,
            readable: source.readable,
            uses: source.uses.iter().map(|(_, outcome)| *outcome).collect(),
        };
        let is_same = |(known, source): (&FileUses, &Source)| {
            known.id == source.id
                && known.readable == source.readable
                && known.uses.iter().eq(source.uses.iter().map(|(_, outcome)| outcome))
        };
        if self.graph.len() != files.len() || !self.graph.iter().zip(files).all(is_same) {
            self.graph = files.iter().map(uses).collect();
            (self.files, self.uses_at_fault) = (Vec::new(), false);
            let there: FxHashSet<FileId> = files.iter().map(|source| source.id).collect();
            self.names.retain(|file, _| there.contains(file));
        }
    }

    /// What each file declares, each with the number of its last change; tells of names taken twice in one.
    pub(super) fn declared(
        &mut self,
        files: &[Source],
        versions: &[u64],
        faults: &mut Vec<Diagnostic>,
    ) -> Vec<NowDeclared> {
        self.before.clear();
        let mut all = Vec::with_capacity(files.len());
        for (at, source) in files.iter().enumerate() {
            let version = versions.get(at).copied();
            if let Some(known) = self.names.get(&source.id).filter(|known| Some(known.version) == version) {
                faults.extend(known.faults.iter().cloned());
                all.push(NowDeclared { own: Arc::clone(&known.own), changed: false });
                continue;
            }
            let mut found = Vec::new();
            let own = own_names(source, &mut found);
            faults.extend(found.iter().cloned());
            let before = self.names.get(&source.id).map(|known| &known.own).filter(|before| ***before == own);
            let now = match before {
                Some(before) => NowDeclared { own: Arc::clone(before), changed: false },
                None => NowDeclared { own: Arc::new(own), changed: true },
            };
            if let Some(version) = version {
                let known = KnownNames { version, own: Arc::clone(&now.own), faults: found };
                let before = self.names.insert(source.id, known).filter(|_| now.changed);
                self.before.extend(before.map(|before| (source.id, before.own)));
            }
            all.push(now);
        }
        all
    }

    /// The names that stand for something else in a file than they did when it was looked at the time before, or stood for
    /// nothing, or do now, `same_item` saying which item of now is one of then; and whether others did not parse then.
    pub fn differing(&self, file: FileId, same_item: impl Fn(u32, u32) -> bool) -> (Vec<SmolStr>, bool) {
        match self.before.get(&file).zip(self.names.get(&file)) {
            Some((before, now)) => (before.differing(&now.own, same_item), !before.same_broken(&now.own)),
            None => (Vec::new(), false),
        }
    }

    /// Whether how files use one another is as it was, and nothing is to be told of it.
    pub(super) fn uses_are_sound(&self) -> bool {
        !self.files.is_empty() && !self.uses_at_fault
    }

    /// All that a file sees, by its number among the files, where that is what it saw the last time and takes no name
    /// twice.
    pub(super) fn scope(&self, at: usize, changed: impl Fn(FileId) -> bool) -> Option<Arc<FileScope>> {
        let known = self.files.get(at).filter(|known| known.is_free)?;
        let own = self.graph.get(at)?.id;
        let stays = !changed(own) && !known.scope.reach.iter().any(|file| changed(*file));
        stays.then(|| Arc::clone(&known.scope))
    }

    /// What a file reaches, where it is known from the last time.
    pub(super) fn reached(&self, at: usize) -> Option<&FileScope> {
        self.files.get(at).map(|known| &*known.scope)
    }

    /// Keeps what was found, where the files have numbers.
    pub(super) fn keep(&mut self, scopes: impl Iterator<Item = (Arc<FileScope>, bool)>, uses_at_fault: bool) {
        self.files = scopes.map(|(scope, is_free)| KnownScope { scope, is_free }).collect();
        self.uses_at_fault = uses_at_fault;
    }
}
