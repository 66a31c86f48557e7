//! Everything that a check tells, file by file: what is told of a file that nothing has changed is kept, not gathered anew.

use super::settled::Settled;
use crate::diagnostic::{Diagnostic, FileId, Level};
use crate::resolve::want_the_shelf_once;
use crate::workspace::Sources;
use rustc_hash::FxHashMap;
use std::ops::Deref;
use std::sync::{Arc, OnceLock};

/// Every diagnostic of a report: by file, then by position, nothing twice. As a slice they are put end to end when that
/// is first asked for.
#[derive(Debug, Default)]
pub struct Findings {
    /// Those of each file that has any, in the order of the paths; empty once they are put end to end for good.
    files: Vec<(FileId, Arc<Vec<Diagnostic>>)>,
    all: OnceLock<Vec<Diagnostic>>,
}

impl Findings {
    /// Those of each file that has any, in the order of the paths.
    #[cfg(feature = "editor")]
    pub(crate) fn by_file(&self) -> &[(FileId, Arc<Vec<Diagnostic>>)] {
        &self.files
    }

    /// Puts them end to end, where nothing else holds them, in no more room than they take.
    fn joined(self) -> Findings {
        let files = self.files.into_iter().map(|(_, told)| told);
        let all: Vec<Diagnostic> = files.flat_map(Arc::unwrap_or_clone).collect();
        Findings { files: Vec::new(), all: OnceLock::from(all) }
    }
}

impl Deref for Findings {
    type Target = Vec<Diagnostic>;

    fn deref(&self) -> &Vec<Diagnostic> {
        self.all.get_or_init(|| self.files.iter().flat_map(|(_, told)| told.iter().cloned()).collect())
    }
}

impl<'f> IntoIterator for &'f Findings {
    type Item = &'f Diagnostic;
    type IntoIter = std::slice::Iter<'f, Diagnostic>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

/// A formula that has something to tell of a file.
#[derive(Clone)]
pub(super) struct Teller {
    /// What is told of the formula by itself.
    pub settled: Arc<Settled>,
    /// Its allowances that quieted nothing.
    pub unused: Arc<Vec<Diagnostic>>,
    /// Whether only its errors are told, since its file was not named.
    pub errors_only: bool,
}

impl Teller {
    fn tells(&self) -> impl Iterator<Item = &Diagnostic> {
        let all = self.settled.left.iter().chain(self.unused.iter());
        all.filter(|fault| !self.errors_only || fault.level == Level::Error)
    }

    fn is_same(&self, other: &Teller) -> bool {
        Arc::ptr_eq(&self.settled, &other.settled)
            && self.unused == other.unused
            && self.errors_only == other.errors_only
    }
}

/// What is told of a file, and all that it was gathered from.
#[derive(Default)]
struct FileFindings {
    of_file: Vec<Diagnostic>,
    tellers: Vec<Teller>,
    told: Arc<Vec<Diagnostic>>,
}

/// What was told of each file the last time.
#[derive(Default)]
pub(super) struct Told(FxHashMap<FileId, FileFindings>);

impl Told {
    /// All that is told: what is wrong in files, and what formulas have to tell. Where `keeps`, it is kept for the next
    /// time, and what was kept and is gathered from the same is taken as it is.
    pub fn gather(&mut self, sources: &Sources, of_files: &[Diagnostic], tellers: &[Teller], keeps: bool) -> Findings {
        let mut now: FxHashMap<FileId, FileFindings> = FxHashMap::default();
        for fault in of_files {
            now.entry(fault.primary.place.file).or_default().of_file.push(fault.clone());
        }
        for teller in tellers {
            let mut files: Vec<FileId> = teller.tells().map(|fault| fault.primary.place.file).collect();
            files.sort_unstable();
            files.dedup();
            for file in files {
                now.entry(file).or_default().tellers.push(teller.clone());
            }
        }
        let mut files: Vec<(String, FileId)> =
            now.keys().map(|file| (sources.path_in_workspace(*file), *file)).collect();
        files.sort_unstable();
        let mut found = Findings::default();
        for (_, file) in files {
            let Some(of) = now.get_mut(&file) else { continue };
            of.told = match self.0.get(&file).filter(|before| before.is_of_the_same(of)) {
                Some(before) => Arc::clone(&before.told),
                None => Arc::new(of.gathered(sources, file)),
            };
            found.files.push((file, Arc::clone(&of.told)));
        }
        if keeps {
            self.0 = now;
            return found;
        }
        drop(now);
        found.joined()
    }
}

impl FileFindings {
    fn is_of_the_same(&self, other: &FileFindings) -> bool {
        self.of_file == other.of_file
            && self.tellers.len() == other.tellers.len()
            && self.tellers.iter().zip(&other.tellers).all(|(one, other)| one.is_same(other))
    }

    fn gathered(&self, sources: &Sources, file: FileId) -> Vec<Diagnostic> {
        let of_formulas = self.tellers.iter().flat_map(Teller::tells);
        let all = self.of_file.iter().chain(of_formulas).filter(|fault| fault.primary.place.file == file);
        in_order(sources, all.cloned().collect())
    }
}

/// By the paths of the files, then by position; nothing twice.
pub(super) fn in_order(sources: &Sources, mut all: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let file = |fault: &Diagnostic| fault.primary.place.file;
    let first = all.first().map(file);
    // Where all are of one file, which is the rule, its path is not asked for.
    let one_file = all.iter().all(|fault| first == Some(file(fault)));
    // Two pairs that are to be kept apart, or two materials out of one window, can be told of at one place: what else is
    // pointed at tells them apart.
    let pointed_at = |fault: &Diagnostic| fault.secondary.iter().map(|label| label.place).collect::<Vec<_>>();
    if all.len() > 1 {
        let path = |fault: &Diagnostic| if one_file { String::new() } else { sources.path_in_workspace(file(fault)) };
        all.sort_by_cached_key(|fault| (path(fault), fault.primary.place, fault.code, pointed_at(fault)));
        all.dedup_by(|a, b| a.code == b.code && a.primary.place == b.primary.place && pointed_at(a) == pointed_at(b));
    }
    want_the_shelf_once(all)
}
