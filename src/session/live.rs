//! A session that can be asked again after a file changed: what did not change keeps its tree and what came of it.

use super::carried::{alike_from_end, alike_from_start};
use super::memory::Memory;
use super::report::Report;
use super::run::{Stand, run_with};
use crate::check::CheckOptions;
use crate::diagnostic::FileId;
use crate::sheet::BatchOrder;
use crate::syntax::tree::{Item, UseTarget};
use crate::syntax::{MAX_FILE, Memo, Parsed, SyntaxTree};
use crate::workspace::{KeptFiles, Layered, Loaded, Source, Sources, UseOutcome, World, load_again};
use std::collections::{BTreeMap, BTreeSet};
use std::mem::take;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// What became of a file.
#[derive(Clone, Debug)]
pub enum FileChange {
    /// It has a text that is not saved.
    Text(PathBuf, String),
    /// The text that is not saved is given up.
    Forgotten(PathBuf),
    /// It was written, made or taken away on disk. A text that is not saved stays before it.
    OnDisk(PathBuf),
}

/// Files with their trees, names and results, over a world of files. What is not saved yet lies over that world.
pub struct Session<'w> {
    world: Box<dyn World + Send + 'w>,
    /// The files that were named.
    paths: Vec<PathBuf>,
    /// Standard input, where it was named: the folder it counts as being in, and its bytes.
    given: Option<(PathBuf, Vec<u8>)>,
    /// Texts that are not saved, by where their links lead.
    unsaved: BTreeMap<PathBuf, Vec<u8>>,
    /// The trees of texts that are being written, each beside its text.
    trees: BTreeMap<PathBuf, SyntaxTree>,
    /// The statements met so far.
    memo: Arc<Memo>,
    loaded: Loaded,
    /// How often each file on disk has changed, in the order of the sources.
    versions: Vec<u64>,
    /// The last number that was given to a file that changed.
    last_version: u64,
    memory: Mutex<Memory>,
}

impl<'w> Session<'w> {
    /// Reads the files named and all they use; `given` is what is named `-`. What cannot be opened stands in
    /// [`Loaded::failures`].
    #[must_use]
    pub fn open(world: impl World + Send + 'w, paths: &[PathBuf], given: Option<(PathBuf, Vec<u8>)>) -> Session<'w> {
        let mut session = Session {
            world: Box::new(world),
            paths: paths.to_vec(),
            given,
            unsaved: BTreeMap::new(),
            trees: BTreeMap::new(),
            memo: Arc::default(),
            loaded: Loaded::default(),
            versions: Vec::new(),
            last_version: 0,
            memory: Mutex::default(),
        };
        session.load(&BTreeSet::new());
        session
    }

    /// The same, its files told of as they are seen from a folder.
    #[must_use]
    pub fn seen_from(mut self, folder: Option<PathBuf>) -> Session<'w> {
        self.loaded.sources.seen_from = folder;
        self
    }

    /// Tells of its files as they are seen from a folder from now on.
    pub fn see_from(&mut self, folder: Option<PathBuf>) {
        self.loaded.sources.seen_from = folder;
    }

    /// The files, and what could not be opened.
    #[must_use]
    pub fn loaded(&self) -> &Loaded {
        &self.loaded
    }

    /// The files.
    #[must_use]
    pub fn sources(&self) -> &Sources {
        &self.loaded.sources
    }

    /// The files, to be added to by hand: a plan found in git. What is added lasts until a file changes.
    pub fn loaded_mut(&mut self) -> &mut Loaded {
        self.versions.clear();
        *self.memory.get_mut().unwrap_or_else(PoisonError::into_inner) = Memory::default();
        &mut self.loaded
    }

    /// Puts a text that is not saved in the place of a file's. A file that is not there yet is one from now on.
    pub fn set_text(&mut self, path: &Path, text: &str) {
        self.update([FileChange::Text(path.to_path_buf(), text.to_string())], None);
    }

    /// The same for a file that is loaded, however it came: of what was given by hand too.
    pub fn set_text_of(&mut self, file: FileId, text: &str) {
        let Some(path) = self.loaded.sources.home(file).map(|source| source.absolute.clone()) else { return };
        match self.given.as_mut().filter(|(folder, _)| folder.join("-") == path) {
            Some((_, bytes)) => {
                *bytes = text.as_bytes().to_vec();
                self.load(&BTreeSet::from([path]));
            }
            None => self.set_text(&path, text),
        }
    }

    /// Goes back to a file as it is saved.
    pub fn forget_text(&mut self, path: &Path) {
        self.update([FileChange::Forgotten(path.to_path_buf())], None);
    }

    /// Reads a file anew that was written, made or taken away on disk. A text that is not saved stays before it.
    pub fn changed_on_disk(&mut self, path: &Path) {
        self.update([FileChange::OnDisk(path.to_path_buf())], None);
    }

    /// Takes in what became of several files at once, and, where `paths` has some, other files than those that were named.
    pub fn update(&mut self, changes: impl IntoIterator<Item = FileChange>, paths: Option<Vec<PathBuf>>) {
        let mut changed = BTreeSet::new();
        for change in changes {
            changed.insert(match change {
                FileChange::Text(path, text) => {
                    let path = self.canonical(&path);
                    self.edit_tree(&path, &text);
                    self.unsaved.insert(path.clone(), text.into_bytes());
                    path
                }
                FileChange::Forgotten(path) => {
                    let path = self.canonical(&path);
                    self.trees.remove(&path);
                    self.unsaved.remove(&path);
                    path
                }
                FileChange::OnDisk(path) => self.canonical(&path),
            });
        }
        match paths {
            Some(paths) => self.paths = paths,
            None if self.put_texts(&changed) => return,
            None => {}
        }
        self.load(&changed);
    }

    /// Puts texts that are not saved in the place of those of files that are loaded, where what they use stays as it is:
    /// no other file has to be looked at then. Otherwise nothing is done.
    fn put_texts(&mut self, changed: &BTreeSet<PathBuf>) -> bool {
        let files = &mut self.loaded.sources.files;
        if changed.is_empty() || self.versions.len() != files.len() {
            return false;
        }
        let mut put = Vec::with_capacity(changed.len());
        for path in changed {
            let at = files.iter().position(|source| source.readable && source.absolute == *path);
            let (Some(at), Some(bytes), Some(tree)) = (at, self.unsaved.get(path), self.trees.get(path)) else {
                return false;
            };
            let text = tree.text();
            if bytes.len() > MAX_FILE || text.as_bytes() != bytes.as_slice() || text.starts_with('\u{feff}') {
                return false;
            }
            put.push((at, path));
        }
        for (at, path) in put {
            let (Some(source), Some(version), Some(tree)) =
                (files.get_mut(at), self.versions.get_mut(at), self.trees.get_mut(path))
            else {
                return false;
            };
            // Where what it uses is not as it was, the file is read anew: its tree is not missed.
            let used = targets(&source.tree.items);
            let before = Parsed { tree: take(&mut source.tree), faults: take(&mut source.faults) };
            let parsed = tree.parsed_from(source.id, before, source.text.len());
            let Some(uses) = uses_again(source, &used, &parsed) else { return false };
            (source.text, source.tree, source.faults, source.uses) =
                (tree.text().to_string(), parsed.tree, parsed.faults, uses);
            self.last_version += 1;
            *version = self.last_version;
        }
        true
    }

    /// A number that a file has as long as its text and what it uses stay as they are, and no other state of it has; none
    /// where files were added by hand.
    #[must_use]
    pub fn change_number(&self, file: FileId) -> Option<u64> {
        let source = self.loaded.sources.home(file)?;
        let first = self.loaded.sources.files.first()?;
        self.versions.get(source.id.0.checked_sub(first.id.0)? as usize).copied()
    }

    /// The file that lies at a path, its links followed.
    #[must_use]
    pub fn file_at(&self, path: &Path) -> Option<FileId> {
        let files = &self.loaded.sources.files;
        let at = |path: &Path| files.iter().find(|source| source.absolute == path).map(|source| source.id);
        at(path).or_else(|| at(&self.canonical(path)))
    }

    /// The same files with other texts in the place of some, to see what would come of it. Nothing here changes.
    #[must_use]
    pub fn trial(&self, texts: BTreeMap<PathBuf, String>) -> Session<'_> {
        let mut unsaved = self.unsaved.clone();
        unsaved.extend(texts.into_iter().map(|(path, text)| (path, text.into_bytes())));
        let mut trial = Session {
            world: Box::new(&*self.world),
            paths: self.paths.clone(),
            given: self.given.clone(),
            unsaved,
            trees: BTreeMap::new(),
            memo: Arc::clone(&self.memo),
            loaded: Loaded::default(),
            versions: Vec::new(),
            last_version: 0,
            memory: Mutex::default(),
        };
        trial.load(&BTreeSet::new());
        trial.seen_from(self.loaded.sources.seen_from.clone())
    }

    /// What is wrong, and what each formula comes to.
    #[must_use]
    pub fn check(&self, order: &BatchOrder) -> Report<'_> {
        self.report(order, CheckOptions { needs_weight: false, foresees: true, keeps_forecast: false })
    }

    /// As [`check`](Session::check), for a sheet: a weight is needed, and what is foreseen is kept.
    #[must_use]
    pub fn check_for_sheet(&self, order: &BatchOrder) -> Report<'_> {
        self.report(order, CheckOptions { needs_weight: true, foresees: true, keeps_forecast: true })
    }

    /// As [`check`](Session::check), and what is foreseen of the pH is kept.
    #[must_use]
    pub fn check_to_foresee(&self, order: &BatchOrder) -> Report<'_> {
        self.report(order, CheckOptions { needs_weight: false, foresees: true, keeps_forecast: true })
    }

    fn report(&self, order: &BatchOrder, asked: CheckOptions) -> Report<'_> {
        let mut memory = self.memory.lock().unwrap_or_else(PoisonError::into_inner);
        memory.asked_for(order, asked);
        let cuts = |source: &Source| {
            let tree = self.trees.get(&source.absolute)?;
            (tree.text() == source.text).then(|| tree.cuts())
        };
        run_with(&self.loaded.sources, order, asked, &mut memory, &Stand { versions: &self.versions, cuts: &cuts })
    }

    /// Where the links of a path lead; of one that is not there yet, its name in its folder.
    fn canonical(&self, path: &Path) -> PathBuf {
        if self.unsaved.contains_key(path) && self.loaded.sources.files.iter().any(|source| source.absolute == path) {
            return path.to_path_buf();
        }
        let folder = || {
            let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
            Some(self.world.canonical(folder).ok()?.join(path.file_name()?))
        };
        self.world.canonical(path).ok().or_else(folder).unwrap_or_else(|| path.to_path_buf())
    }

    /// Changes the tree of a text where the text changed: what stands before and after that is not cut anew.
    fn edit_tree(&mut self, path: &Path, text: &str) {
        let known = self.loaded.sources.files.iter().find(|source| source.absolute == path && source.readable);
        let Some(tree) = self.trees.get_mut(path) else {
            let mut tree = match known {
                Some(source) => SyntaxTree::new(source.text.clone(), Arc::clone(&self.memo)),
                None => SyntaxTree::new(text.to_string(), Arc::clone(&self.memo)),
            };
            change(&mut tree, text);
            self.trees.insert(path.to_path_buf(), tree);
            return;
        };
        change(tree, text);
    }

    /// Loads what changed, and takes what did not as it stands.
    fn load(&mut self, changed: &BTreeSet<PathBuf>) {
        let seen_from = self.loaded.sources.seen_from.take();
        // What was added by hand has no numbers, and is not taken over.
        let is_own = self.versions.len() == self.loaded.sources.files.len();
        let before = std::mem::take(&mut self.loaded).sources.files;
        let before: Vec<_> = before.into_iter().zip(std::mem::take(&mut self.versions)).filter(|_| is_own).collect();
        let mut known = KeptFiles::new(&self.memo, &self.trees);
        for (source, version) in before {
            known.keep(source, version, changed);
        }
        let world = Layered { beneath: &*self.world, texts: &self.unsaved };
        let loaded = load_again(&world, &self.paths, self.given.clone(), &mut known);
        self.versions = known.versions(&loaded.sources, &mut self.last_version);
        self.loaded = loaded.seen_from(seen_from);
    }
}

/// What `use` statements name, each with the number of its item.
fn targets(items: &[Item]) -> Vec<(usize, String)> {
    let uses = items.iter().enumerate().filter_map(|(at, item)| match item {
        Item::Use(used) => Some((at, &used.target)),
        _ => None,
    });
    let written = uses.map(|(at, target)| match target {
        UseTarget::Path(path) => (at, format!("\"{}\"", path.value)),
        UseTarget::Shelf(name) => (at, name.text.to_string()),
    });
    written.collect()
}

/// What became of the `use` statements of a tree, where they are those that its file had and all of them were followed.
fn uses_again(source: &Source, before: &[(usize, String)], parsed: &Parsed) -> Option<Vec<(usize, UseOutcome)>> {
    let now = targets(&parsed.tree.items);
    let is_same = before.len() == now.len() && before.iter().zip(&now).all(|(one, other)| one.1 == other.1);
    let all_followed = source.uses.iter().all(|(_, outcome)| matches!(outcome, UseOutcome::File(_)));
    if !is_same || !all_followed || source.uses.len() != now.len() {
        return None;
    }
    Some(now.into_iter().zip(&source.uses).map(|((at, _), (_, outcome))| (at, *outcome)).collect())
}

/// Makes a tree one of another text: the stretch between what both begin with and what both end with is put in.
fn change(tree: &mut SyntaxTree, text: &str) {
    let old = tree.text();
    let mut begins = alike_from_start(old.as_bytes(), text.as_bytes());
    // What both begin with and end with ends between characters of both.
    while !(old.is_char_boundary(begins) && text.is_char_boundary(begins)) {
        begins -= 1;
    }
    let (Some(old_rest), Some(new_rest)) = (old.get(begins..), text.get(begins..)) else { return };
    let mut ends = alike_from_end(old_rest.as_bytes(), new_rest.as_bytes());
    while !(old_rest.is_char_boundary(old_rest.len() - ends) && new_rest.is_char_boundary(new_rest.len() - ends)) {
        ends -= 1;
    }
    let range = begins..old.len() - ends;
    let with = new_rest.get(..new_rest.len() - ends).unwrap_or_default().to_string();
    tree.edit(range, &with);
}
