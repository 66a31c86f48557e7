//! Which names a file can see, and what they stand for.

use super::graph;
use super::known_scopes::{KnownScopes, NowDeclared};
use super::name_set::{NameSet, on_whole_shelf, shelf_decl};
use super::plan_names::PlanNames;
use super::resolver::mark_excused;
use super::ring::shorten_ring;
use crate::diagnostic::{Code, Diagnostic, FileId, Place};
use crate::model::DeclId;
use crate::shelf;
use crate::syntax::tree::{Item, Name};
use crate::syntax::{IndexedName, cut_name};
use crate::workspace::{Source, Sources, UseOutcome};
use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;
use std::collections::BTreeSet;
use std::sync::{Arc, Mutex, PoisonError};

/// The names of every file of a session; cheap to clone.
#[derive(Clone)]
pub struct Scopes<'s> {
    sources: &'s Sources,
    files: Arc<Vec<Arc<FileScope>>>,
    /// The names that were asked for last as those that may be meant.
    seen: Arc<Mutex<Option<FileNames>>>,
    /// The names that stand in the plan of a batch, which go before all others as its file sees them.
    plan: Option<Arc<PlanNames<'s>>>,
}

/// The names of a set that a file sees.
type FileNames = (FileId, NameSet, Arc<Vec<IndexedName>>);

/// So many files may stand between one and another that it uses through others.
const MAX_USES: usize = 100;

/// What a file declares, wherever in it that stands.
#[derive(Default, PartialEq, Eq)]
pub(super) struct OwnNames {
    /// Each name with the number of its item.
    names: FxHashMap<(NameSet, SmolStr), u32>,
    /// The items that are `material X like X`, which take the place of the X that is used.
    refining: FxHashSet<u32>,
    /// Names of declarations that did not parse.
    broken: FxHashSet<SmolStr>,
}

impl OwnNames {
    /// The names that one state of a file declares and another does not, or that stand for another item; `same_item` says
    /// whether an item of this state is one of the other.
    pub fn differing(&self, other: &OwnNames, same_item: impl Fn(u32, u32) -> bool) -> Vec<SmolStr> {
        let stays = |key, item| other.names.get(key).is_some_and(|found| same_item(item, *found));
        let own = self.names.iter().filter(|(key, item)| !stays(*key, **item)).map(|(key, _)| key);
        let others = other.names.keys().filter(|key| !self.names.contains_key(*key));
        let mut all: Vec<SmolStr> = own.chain(others).map(|(_, name)| name.clone()).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Whether the same names are those of declarations that did not parse.
    pub fn same_broken(&self, other: &OwnNames) -> bool {
        self.broken == other.broken
    }
}

/// All names that a file sees.
#[derive(Clone, Default)]
pub(super) struct FileScope {
    own: Arc<OwnNames>,
    /// The files on disk that this one reaches, the nearest first, without itself.
    pub reach: Arc<Vec<FileId>>,
    /// The files of the shelf that it reaches, by number.
    shelf: Arc<BTreeSet<u32>>,
    /// Names seen from here whose nearest declaration is refined by another: the refined one stands.
    winners: FxHashMap<SmolStr, DeclId>,
    /// Names of declarations that did not parse, in reach; its own stand in `own`.
    broken: Arc<FxHashSet<SmolStr>>,
    /// Whether it uses others through more files than are followed.
    uses_too_far: bool,
    /// Whether a `use`, here or in reach, could not be followed.
    use_failed: bool,
    /// Whether a `use` here names a file that is gone and that nothing here needs any more.
    use_gone: bool,
}

/// The declarations of a file that pass, in their order.
pub fn declared<'f>(source: &'f Source, pass: impl Fn(&Item) -> bool + 'f) -> impl Iterator<Item = DeclId> + 'f {
    let items = source.tree.items.iter().enumerate().filter(move |(_, item)| pass(item));
    items.map(|(at, _)| DeclId { file: source.id, item: u32::try_from(at).unwrap_or(u32::MAX) })
}

/// Whether something is a formula, or a variant of one.
#[must_use]
pub fn is_formula(item: &Item) -> bool {
    matches!(item, Item::Formula(_) | Item::Variant(_))
}

impl<'s> Scopes<'s> {
    /// Reads the names of all files, and tells of names taken twice and rings of `use`.
    pub fn new(sources: &'s Sources, faults: &mut Vec<Diagnostic>) -> Scopes<'s> {
        Scopes::knowing(sources, &mut KnownScopes::default(), &[], faults)
    }

    /// The same. What is known from before is gone by where nothing has changed it; each file has the number of its last
    /// change, or none has any.
    pub(crate) fn knowing(
        sources: &'s Sources,
        known: &mut KnownScopes,
        versions: &[u64],
        faults: &mut Vec<Diagnostic>,
    ) -> Scopes<'s> {
        known.look_at(&sources.files);
        let declared = known.declared(&sources.files, versions, faults);
        let changed = |file: FileId| {
            let at = (file.0 as usize).checked_sub(shelf::FILES.len());
            at.and_then(|at| declared.get(at)).is_some_and(|declared| declared.changed)
        };
        let kept: Vec<Option<Arc<FileScope>>> = (0..sources.files.len()).map(|at| known.scope(at, changed)).collect();
        let mut scopes = Scopes { sources, files: Arc::default(), seen: Arc::default(), plan: None };
        scopes.files = Arc::new(scopes.reach(known, &declared, &kept));
        let told = faults.len();
        if !known.uses_are_sound() {
            scopes.long_uses(faults);
            use_rings(sources, faults);
        }
        let uses_at_fault = faults.len() > told;
        let free = scopes.clashes(&kept, faults);
        if versions.len() == sources.files.len() {
            known.keep(scopes.files.iter().cloned().zip(free), uses_at_fault);
        }
        scopes
    }

    /// The same names with those of a plan before them.
    #[must_use]
    pub(super) fn with_plan(&self, plan: Option<PlanNames<'s>>) -> Scopes<'s> {
        Scopes { plan: plan.map(Arc::new), ..self.clone() }
    }

    /// The substances and materials that the plan declares.
    pub(super) fn declared_in_plan(&self) -> impl Iterator<Item = DeclId> + '_ {
        self.plan.iter().flat_map(|plan| plan.declared())
    }

    fn scope(&self, file: FileId) -> Option<&FileScope> {
        self.files.get((file.0 as usize).checked_sub(shelf::FILES.len())?).map(|scope| &**scope)
    }

    /// Whether a file reaches one of the shelf by `use`.
    fn reaches_on_shelf(&self, file: FileId, on_shelf: u32) -> bool {
        match self.scope(file) {
            Some(scope) => scope.shelf.contains(&on_shelf),
            None => shelf::FILES.get(file.0 as usize).is_some_and(|file| file.reach.contains(&on_shelf)),
        }
    }

    /// For every file, all that it sees but for what is refined.
    fn reach(
        &self,
        known: &KnownScopes,
        declared: &[NowDeclared],
        kept: &[Option<Arc<FileScope>>],
    ) -> Vec<Arc<FileScope>> {
        let mut shared: FxHashMap<Vec<FileId>, Arc<Vec<FileId>>> = FxHashMap::default();
        let own = |file: &FileId| {
            let at = (file.0 as usize).checked_sub(shelf::FILES.len())?;
            declared.get(at).map(|declared| &declared.own)
        };
        let mut all = Vec::with_capacity(declared.len());
        for (at, source) in self.sources.files.iter().enumerate() {
            if let Some(scope) = kept.get(at).and_then(Option::as_ref) {
                all.push(Arc::clone(scope));
                continue;
            }
            let mut scope = match known.reached(at) {
                Some(known) => known.clone(),
                None => self.reached_from(source, &mut shared),
            };
            scope.own = own(&source.id).map(Arc::clone).unwrap_or_default();
            let broken = scope.reach.iter().filter_map(own).flat_map(|own| own.broken.iter().cloned());
            scope.broken = Arc::new(broken.collect());
            scope.winners.clear();
            all.push(Arc::new(scope));
        }
        all
    }

    /// The files that a file reaches by `use`, nearest first.
    fn reached_from(&self, source: &Source, shared: &mut FxHashMap<Vec<FileId>, Arc<Vec<FileId>>>) -> FileScope {
        let mut seen = FxHashSet::from_iter([source.id]);
        let mut queue = vec![source.id];
        let mut next = 0;
        // Where in the queue the files end that are as far away as the one looked at, and how far that is.
        let (mut level_end, mut level) = (1, 0);
        let mut too_far = false;
        let (mut on_shelf, mut failed) = (BTreeSet::new(), !source.readable);
        while let Some(file) = queue.get(next).copied() {
            if next == level_end {
                (level_end, level) = (queue.len(), level + 1);
            }
            next += 1;
            let Some(source) = self.sources.home(file) else { continue };
            failed |= !source.readable;
            for (_, outcome) in &source.uses {
                match outcome {
                    UseOutcome::Failed => failed = true,
                    UseOutcome::Gone => {}
                    UseOutcome::File(used) => match shelf::FILES.get(used.0 as usize) {
                        Some(file) => on_shelf.extend(file.reach),
                        None if level == MAX_USES => too_far |= !seen.contains(used),
                        None if seen.insert(*used) => queue.push(*used),
                        None => {}
                    },
                }
            }
        }
        let reached: Vec<FileId> = queue.into_iter().skip(1).collect();
        let reach = match shared.get(&reached) {
            Some(same) => Arc::clone(same),
            None => {
                let new = Arc::new(reached.clone());
                shared.insert(reached, Arc::clone(&new));
                new
            }
        };
        FileScope {
            reach,
            shelf: Arc::new(on_shelf),
            uses_too_far: too_far,
            use_failed: failed || too_far,
            use_gone: source.uses.iter().any(|(_, outcome)| *outcome == UseOutcome::Gone),
            ..FileScope::default()
        }
    }

    /// Tells of the file from which on a chain of `use` is too long to be followed; of a ring that is told already.
    fn long_uses(&self, faults: &mut Vec<Diagnostic>) {
        let is_far = |outcome: &UseOutcome| match outcome {
            UseOutcome::File(used) => self.scope(*used).is_some_and(|scope| scope.uses_too_far),
            UseOutcome::Failed | UseOutcome::Gone => false,
        };
        for source in &self.sources.files {
            let begins = self.scope(source.id).is_some_and(|scope| scope.uses_too_far)
                && !source.uses.iter().any(|(_, outcome)| is_far(outcome));
            let first = source.uses.iter().find(|(_, outcome)| matches!(outcome, UseOutcome::File(_)));
            if let Some((item, _)) = first.filter(|_| begins)
                && let Some(Item::Use(statement)) = source.tree.items.get(*item)
            {
                let place = Place { file: source.id, span: statement.target.span() };
                let message = format!("Files are used here through more than {MAX_USES} others, one after the other.");
                let fault = Diagnostic::new(Code::ChainTooLong, place, message);
                faults.push(fault.help("Name what is needed in this file itself: `use` the files that declare it."));
            }
        }
    }

    /// What a name stands for, seen from a file.
    #[must_use]
    pub fn find(&self, file: FileId, set: NameSet, name: &str) -> Option<DeclId> {
        let Some(plan) = self.plan.as_ref().filter(|plan| plan.file == file) else {
            return self.find_declared(file, set, name);
        };
        // A record that stands alone needs no file to bring the shelf to it.
        plan.find(set, name).or_else(|| self.find_declared(file, set, name)).or_else(|| on_whole_shelf(set, name))
    }

    fn find_declared(&self, file: FileId, set: NameSet, name: &str) -> Option<DeclId> {
        let Some(scope) = self.scope(file) else {
            let entry = shelf::find(set.on_shelf()?, name, |used| self.reaches_on_shelf(file, used))?;
            return Some(shelf_decl(entry));
        };
        if let Some(item) = scope.own.names.get(&(set, SmolStr::new(name)) as &(NameSet, SmolStr)) {
            return Some(DeclId { file, item: *item });
        }
        self.find_used(file, set, name)
    }

    /// What a name stands for, seen from a file, or else on the shelf, whether the file uses that or not.
    #[must_use]
    pub fn find_or_on_shelf(&self, file: FileId, set: NameSet, name: &str) -> Option<DeclId> {
        self.find(file, set, name).or_else(|| on_whole_shelf(set, name))
    }

    /// What a name stands for among what a file uses, its own declarations left out.
    #[must_use]
    pub fn find_used(&self, file: FileId, set: NameSet, name: &str) -> Option<DeclId> {
        let scope = self.scope(file)?;
        let key = (set, SmolStr::new(name));
        if set == NameSet::Weighable
            && let Some(winner) = scope.winners.get(&key.1)
        {
            return Some(*winner);
        }
        for reached in scope.reach.iter() {
            if let Some(item) = self.scope(*reached).and_then(|scope| scope.own.names.get(&key)) {
                return Some(DeclId { file: *reached, item: *item });
            }
        }
        shelf::find(set.on_shelf()?, name, |used| scope.shelf.contains(&used)).map(shelf_decl)
    }

    /// Whether an unknown name seen from a file is explained by a fault already told: a `use` that failed,
    /// or a declaration of that name that did not parse.
    #[must_use]
    pub fn is_excused(&self, file: FileId, name: &str) -> bool {
        let is_broken = |scope: &FileScope| scope.own.broken.contains(name) || scope.broken.contains(name);
        let excused = self.scope(file).is_some_and(|scope| scope.use_failed || is_broken(scope));
        if excused {
            mark_excused();
        }
        excused
    }

    /// Whether a file names another that is gone, which nothing in it needs any more.
    #[must_use]
    pub fn use_gone(&self, file: FileId) -> bool {
        self.scope(file).is_some_and(|scope| scope.use_gone)
    }

    /// Whether a `use` in a file or in its reach could not be followed.
    #[must_use]
    pub fn use_failed(&self, file: FileId) -> bool {
        self.scope(file).is_some_and(|scope| scope.use_failed)
    }

    /// The files on disk that a file reaches, itself first.
    pub fn reached(&self, file: FileId) -> impl Iterator<Item = FileId> + '_ {
        let reach = self.scope(file).map(|scope| scope.reach.iter().copied()).into_iter().flatten();
        std::iter::once(file).chain(reach)
    }

    /// Every name of a set that a file sees, as one that may be meant. Kept until another file or set is asked for.
    #[must_use]
    pub fn may_be_meant(&self, file: FileId, set: NameSet) -> Arc<Vec<IndexedName>> {
        let mut last = self.seen.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, _, known)) = last.as_ref().filter(|(of, which, _)| (*of, *which) == (file, set)) {
            return Arc::clone(known);
        }
        let known: Arc<Vec<IndexedName>> =
            Arc::new(self.visible(file, set).into_iter().map(IndexedName::new).collect());
        *last = Some((file, set, Arc::clone(&known)));
        known
    }

    /// Every name of a set that a file sees.
    #[must_use]
    pub fn visible(&self, file: FileId, set: NameSet) -> Vec<&str> {
        let Some(scope) = self.scope(file) else { return Vec::new() };
        let own = std::iter::once(scope).chain(scope.reach.iter().filter_map(|file| self.scope(*file)));
        let mut names: Vec<&str> = own
            .flat_map(|scope| scope.own.names.keys())
            .filter(|(of, _)| *of == set)
            .map(|(_, name)| name.as_str())
            .collect();
        if let Some(kind) = set.on_shelf() {
            let entries = shelf::ENTRIES.iter().filter(|entry| entry.kind == kind && scope.shelf.contains(&entry.file));
            names.extend(entries.map(|entry| entry.name));
        }
        names.sort_unstable();
        names.dedup();
        names
    }

    /// The item of a declaration.
    #[must_use]
    pub fn item(&self, id: DeclId) -> Option<&'s Item> {
        if shelf::FILES.get(id.file.0 as usize).is_some() {
            return shelf::item(id.item);
        }
        if let Some(item) = self.plan.as_ref().filter(|plan| plan.file == id.file).and_then(|plan| plan.item(id)) {
            return Some(item);
        }
        self.sources.item(id.file, id.item)
    }

    /// Names that two files bring into a third, and own names that a used file has too: of each file that is not known to
    /// have none. Gives for each whether it has none.
    fn clashes(&mut self, kept: &[Option<Arc<FileScope>>], faults: &mut Vec<Diagnostic>) -> Vec<bool> {
        let mut winners: Vec<(usize, SmolStr, DeclId)> = Vec::new();
        let mut free = Vec::with_capacity(kept.len());
        for (at, source) in self.sources.files.iter().enumerate() {
            let told = faults.len();
            if kept.get(at).is_none_or(Option::is_none)
                && let Some(scope) = self.scope(source.id)
            {
                self.own_clashes(source, scope, faults);
                if !scope.shelf.is_empty() {
                    self.shelf_clashes(source, scope, faults);
                }
                if scope.reach.len() > 1 {
                    let found = self.brought_clashes(source, scope, faults);
                    winners.extend(found.into_iter().map(|(name, id)| (at, name, id)));
                }
            }
            free.push(faults.len() == told);
        }
        for (at, name, id) in winners {
            if let Some(scope) = Arc::make_mut(&mut self.files).get_mut(at) {
                Arc::make_mut(scope).winners.insert(name, id);
            }
        }
        free
    }

    fn own_clashes(&self, source: &Source, scope: &FileScope, faults: &mut Vec<Diagnostic>) {
        if scope.reach.is_empty() && scope.shelf.is_empty() {
            return;
        }
        let mut own: Vec<(&(NameSet, SmolStr), &u32)> = scope.own.names.iter().collect();
        own.sort_unstable_by_key(|(_, item)| **item);
        for ((set, name), item) in own {
            let Some(other) = self.find_used(source.id, *set, name) else { continue };
            let id = DeclId { file: source.id, item: *item };
            if !self.refines(id)
                && let (Some(here), Some(there)) = (self.name_place(id), self.name_place(other))
            {
                faults.push(taken(name, here, there));
            }
        }
    }

    /// Names that a used file has by itself and the shelf has too, where this file is the first to see both.
    fn shelf_clashes(&self, source: &Source, scope: &FileScope, faults: &mut Vec<Diagnostic>) {
        for reached in scope.reach.iter() {
            let Some(there) = self.scope(*reached) else { continue };
            let mut names: Vec<(&(NameSet, SmolStr), &u32)> = there.own.names.iter().collect();
            names.sort_unstable_by_key(|(_, item)| **item);
            for ((set, name), item) in names {
                let brought = |used: u32| scope.shelf.contains(&used) && !there.shelf.contains(&used);
                let found = set.on_shelf().and_then(|kind| shelf::find(kind, name, brought));
                let id = DeclId { file: *reached, item: *item };
                if let Some(entry) = found.filter(|_| !self.refines(id)) {
                    self.tell_brought(source, name, id, shelf_decl(entry), faults);
                }
            }
        }
    }

    fn brought_clashes(
        &self,
        source: &Source,
        scope: &FileScope,
        faults: &mut Vec<Diagnostic>,
    ) -> Vec<(SmolStr, DeclId)> {
        let mut first: FxHashMap<&(NameSet, SmolStr), DeclId> = FxHashMap::default();
        let mut winners = Vec::new();
        for reached in scope.reach.iter() {
            let Some(there) = self.scope(*reached) else { continue };
            let mut names: Vec<(&(NameSet, SmolStr), &u32)> = there.own.names.iter().collect();
            names.sort_unstable_by_key(|(_, item)| **item);
            for (key, item) in names {
                let id = DeclId { file: *reached, item: *item };
                let Some(other) = first.get(key).copied() else {
                    first.insert(key, id);
                    continue;
                };
                if self.refines(id) && self.reaches(id.file, other.file) {
                    winners.push((key.1.clone(), id));
                } else if !(scope.own.names.contains_key(key)
                    || self.refines(other) && self.reaches(other.file, id.file))
                {
                    self.tell_brought(source, &key.1, other, id, faults);
                }
            }
        }
        winners
    }

    /// Two files bring the same name: told on the later `use`, once, in the file where the two meet.
    fn tell_brought(&self, source: &Source, name: &str, one: DeclId, two: DeclId, faults: &mut Vec<Diagnostic>) {
        let brings = |outcome: &UseOutcome, file: FileId| match outcome {
            UseOutcome::File(used) if shelf::FILES.get(file.0 as usize).is_some() => {
                self.reaches_on_shelf(*used, file.0)
            }
            UseOutcome::File(used) => *used == file || self.reaches(*used, file),
            UseOutcome::Failed | UseOutcome::Gone => false,
        };
        if source.uses.iter().any(|(_, outcome)| brings(outcome, one.file) && brings(outcome, two.file)) {
            return;
        }
        let Some((item, _)) =
            source.uses.iter().rev().find(|(_, outcome)| brings(outcome, two.file) || brings(outcome, one.file))
        else {
            return;
        };
        let Some(Item::Use(statement)) = source.tree.items.get(*item) else { return };
        let place = Place { file: source.id, span: statement.target.span() };
        let mut fault =
            Diagnostic::new(Code::NameTaken, place, format!("This brings `{name}`, which another file brings too."));
        for (id, text) in [(one, "declared here"), (two, "and here")] {
            if let Some(place) = self.name_place(id) {
                fault = fault.and(place, text);
            }
        }
        faults.push(fault.help("Rename one of them, or take one file's `use` out."));
    }

    /// Whether a declaration is `material X like X`, which takes the place of the X that is used.
    fn refines(&self, id: DeclId) -> bool {
        self.item(id).is_some_and(is_refining)
    }

    fn reaches(&self, from: FileId, to: FileId) -> bool {
        self.scope(from).is_some_and(|scope| scope.reach.contains(&to))
    }

    /// Where the name of a declaration stands.
    #[must_use]
    pub fn name_place(&self, id: DeclId) -> Option<Place> {
        self.item(id)?.name().map(|name| Place { file: id.file, span: name.span })
    }
}

/// The names that a file declares, and the faults of those that it takes twice.
pub(super) fn own_names(source: &Source, faults: &mut Vec<Diagnostic>) -> OwnNames {
    let mut own = OwnNames::default();
    // A name that is too long is told of as that, and as nothing else.
    let long = source.faults.iter().filter(|fault| fault.code == Code::NameTooLong);
    own.broken.extend(long.map(|fault| SmolStr::new(cut_name(fault.primary.place.span.of(&source.text)))));
    for (at, item) in source.tree.items.iter().enumerate() {
        let at = u32::try_from(at).unwrap_or(u32::MAX);
        if let Item::Broken(span) = item {
            let second = span
                .of(&source.text)
                .split(|c: char| c.is_whitespace() || c == '{')
                .filter(|word| !word.is_empty())
                .nth(1);
            own.broken.extend(second.map(|word| SmolStr::new(word.to_lowercase().replace('_', "-"))));
            continue;
        }
        let (Some(set), Some(name)) = (NameSet::of(item), item.name()) else { continue };
        if is_refining(item) {
            own.refining.insert(at);
        }
        let key = (set, name.text.clone());
        let first = own.names.get(&key).and_then(|first| source.tree.items.get(*first as usize)).and_then(Item::name);
        match first {
            None => {
                own.names.insert(key, at);
            }
            Some(_) if own.broken.contains(&name.text) => {}
            Some(first) => faults.push(taken(&name.text, place_of(source, name), place_of(source, first))),
        }
    }
    own
}

/// Whether a declaration is `material X like X`, which takes the place of the X that is used.
fn is_refining(item: &Item) -> bool {
    matches!(item, Item::Material(material) if material.like.as_ref().is_some_and(|like| like.text == material.name.text))
}

fn place_of(source: &Source, name: &Name) -> Place {
    Place { file: source.id, span: name.span }
}

fn taken(name: &str, here: Place, first: Place) -> Diagnostic {
    Diagnostic::new(Code::NameTaken, here, format!("`{name}` is taken already."))
        .label("declared again here")
        .and(first, "declared here first")
        .help("Give one of the two another name.")
}

/// Tells of each ring of `use`, whole, on the `use` that closes it.
fn use_rings(sources: &Sources, faults: &mut Vec<Diagnostic>) {
    let used = |file: FileId| -> Vec<FileId> {
        let uses = sources.home(file).map(|source| source.uses.as_slice()).unwrap_or_default();
        uses.iter()
            .filter_map(|(_, outcome)| if let UseOutcome::File(used) = outcome { Some(*used) } else { None })
            .filter(|used| sources.home(*used).is_some())
            .collect()
    };
    for ring in graph::order(sources.files.iter().map(|source| source.id), used).rings {
        let mut places = Vec::new();
        for (at, file) in ring.iter().enumerate() {
            let next = ring.get(at + 1).or(ring.first());
            let source = sources.home(*file);
            let statement = source.and_then(|source| {
                let (item, _) = source
                    .uses
                    .iter()
                    .find(|(_, outcome)| Some(outcome) == next.map(|n| UseOutcome::File(*n)).as_ref())?;
                source.tree.items.get(*item)
            });
            if let Some(Item::Use(statement)) = statement {
                places.push(Place { file: *file, span: statement.target.span() });
            }
        }
        let mut names: Vec<String> = ring.iter().map(|file| format!("`{}`", sources.path(*file))).collect();
        names.extend(names.first().cloned());
        shorten_ring(&mut names);
        let Some(closing) = places.pop() else { continue };
        let mut fault =
            Diagnostic::new(Code::UseCycle, closing, format!("Files use each other in a ring: {}.", names.join(" → ")));
        for place in places.into_iter().take(8) {
            fault = fault.and(place, "used here");
        }
        faults.push(fault.help("Move what both need into a file of its own that uses neither."));
    }
}
