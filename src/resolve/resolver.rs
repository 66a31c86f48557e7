//! Everything that is known of a session's names, filled as it is asked for.

use super::figure::Figure;
use super::gram::InWater;
use super::known_scopes::KnownScopes;
use super::plan_names::PlanNames;
use super::scope::{Scopes, declared};
use crate::diagnostic::{Diagnostic, FileId};
use crate::model::{DeclId, Formula, Material, Rule, Substance};
use crate::shelf;
use crate::syntax::tree::Item;
use crate::workspace::Sources;
use rustc_hash::{FxHashMap, FxHashSet};
use std::cell::RefCell;
use std::sync::{Arc, PoisonError, RwLock};

/// A table that is filled as things are asked for, from several threads.
pub(super) struct Table<V>(RwLock<FxHashMap<DeclId, V>>);

impl<V: Clone> Table<V> {
    pub(super) fn new() -> Table<V> {
        Table(RwLock::new(FxHashMap::default()))
    }

    pub(super) fn get(&self, id: DeclId) -> Option<V> {
        self.0.read().unwrap_or_else(PoisonError::into_inner).get(&id).cloned()
    }

    pub(super) fn put(&self, id: DeclId, value: V) {
        self.0.write().unwrap_or_else(PoisonError::into_inner).insert(id, value);
    }

    fn keep(&self, stays: impl Fn(DeclId) -> bool) {
        self.0.write().unwrap_or_else(PoisonError::into_inner).retain(|id, _| stays(*id));
    }
}

/// What was made of declarations, formulas left out; shared by all that look at the same state of the files.
pub(crate) struct Made {
    pub(super) substances: Table<Option<Arc<Substance>>>,
    /// The shelf's own record of each substance declared at home.
    pub(super) twins: Table<Option<Arc<Substance>>>,
    pub(super) materials: Table<Option<Arc<Material>>>,
    pub(super) rules: Table<Option<Arc<Rule>>>,
    pub(super) in_water: Table<Arc<InWater>>,
}

impl Default for Made {
    fn default() -> Made {
        Made {
            substances: Table::new(),
            twins: Table::new(),
            materials: Table::new(),
            rules: Table::new(),
            in_water: Table::new(),
        }
    }
}

impl Made {
    /// Forgets what was made of files on disk that are not to be kept: those that see anything that is not as it was.
    pub fn keep(&self, keeps: impl Fn(FileId) -> bool) {
        let stays = |id: DeclId| (id.file.0 as usize) < shelf::FILES.len() || keeps(id.file);
        self.substances.keep(stays);
        self.twins.keep(stays);
        self.materials.keep(stays);
        self.rules.keep(stays);
        self.in_water.keep(stays);
    }
}

thread_local! {
    /// What is marked as used while something is worked out whose uses are to be known.
    static MARKED: RefCell<Option<Vec<DeclId>>> = const { RefCell::new(None) };
}

/// Stands among what something uses where an unknown name was excused there: by a declaration that did not parse, or a
/// `use` that failed.
pub(crate) const EXCUSED: DeclId = DeclId { file: FileId(u32::MAX), item: u32::MAX };

/// Notes that an unknown name is excused.
pub(super) fn mark_excused() {
    MARKED.with_borrow_mut(|marked| marked.as_mut().map(|marked| marked.push(EXCUSED)));
}

/// Works something out, on this thread alone, and says what it uses.
pub(crate) fn with_uses<T>(work: impl FnOnce() -> T) -> (T, Vec<DeclId>) {
    let outer = MARKED.replace(Some(Vec::new()));
    let made = work();
    let mut uses = MARKED.replace(outer).unwrap_or_default();
    uses.sort_unstable();
    uses.dedup();
    (made, uses)
}

/// A formula made, with what was found wrong on the way.
#[derive(Debug)]
pub struct Resolved {
    /// The formula.
    pub formula: Arc<Formula>,
    /// What was wrong in it.
    pub faults: Vec<Diagnostic>,
}

/// Everything that is known of a session's names.
pub struct Resolver<'s> {
    /// The files.
    pub sources: &'s Sources,
    /// The names of each file.
    pub scopes: Scopes<'s>,
    pub(super) lets: Arc<FxHashMap<DeclId, Option<Figure>>>,
    pub(super) made: Arc<Made>,
    /// The rules declared in each file on disk that has any, so that no formula searches for them.
    pub(super) declared_rules: Arc<FxHashMap<FileId, Vec<DeclId>>>,
    pub(super) formulas: Table<Arc<Resolved>>,
    /// What each formula uses that was made here.
    pub(super) uses_of_formulas: Table<Arc<Vec<DeclId>>>,
    pub(super) used: RwLock<FxHashSet<DeclId>>,
}

impl<'s> Resolver<'s> {
    /// Reads the names of all files, works the figures at file level out, and tells of what is wrong there.
    #[must_use]
    pub fn new(sources: &'s Sources, faults: &mut Vec<Diagnostic>) -> Resolver<'s> {
        Resolver::knowing(sources, &mut KnownScopes::default(), &[], faults)
    }

    /// The same, where names may be known from before; each file has the number of its last change, or none has any.
    pub(crate) fn knowing(
        sources: &'s Sources,
        known: &mut KnownScopes,
        versions: &[u64],
        faults: &mut Vec<Diagnostic>,
    ) -> Resolver<'s> {
        let scopes = Scopes::knowing(sources, known, versions, faults);
        let mut resolver = Resolver {
            sources,
            scopes,
            lets: Arc::default(),
            made: Arc::default(),
            declared_rules: Arc::new(rules_declared(sources)),
            formulas: Table::new(),
            uses_of_formulas: Table::new(),
            used: RwLock::new(FxHashSet::default()),
        };
        resolver.work_lets_out(faults);
        resolver
    }

    /// The same names with nothing made of them yet, and those of a plan before them: what is changed in it changes
    /// nothing here.
    pub(super) fn with_own_names(&self, plan: Option<PlanNames<'s>>) -> Resolver<'s> {
        Resolver {
            sources: self.sources,
            scopes: self.scopes.with_plan(plan),
            lets: Arc::clone(&self.lets),
            made: Arc::default(),
            declared_rules: Arc::clone(&self.declared_rules),
            formulas: Table::new(),
            uses_of_formulas: Table::new(),
            used: RwLock::new(FxHashSet::default()),
        }
    }

    /// Goes by what was made before of declarations that see nothing that has changed since, and adds to it.
    pub(crate) fn take_made(&mut self, made: &Arc<Made>) {
        self.made = Arc::clone(made);
    }

    /// Marks a declaration as used by something.
    pub(crate) fn mark_used(&self, id: DeclId) {
        MARKED.with_borrow_mut(|marked| marked.as_mut().map(|marked| marked.push(id)));
        if self.used.read().unwrap_or_else(PoisonError::into_inner).contains(&id) {
            return;
        }
        self.used.write().unwrap_or_else(PoisonError::into_inner).insert(id);
    }

    /// Marks declarations as used that are known to be.
    pub(crate) fn mark_all_used(&self, ids: impl Iterator<Item = DeclId>) {
        self.used.write().unwrap_or_else(PoisonError::into_inner).extend(ids);
    }

    /// Takes formulas as they were made before, where nothing that they rest on changed. The base of a variant that is to
    /// be made is made too: more of it is needed than what it came to.
    pub(crate) fn take_formulas(&self, wanted: &[DeclId], known: impl Fn(DeclId) -> Option<Arc<Resolved>>) {
        let mut made_anew: FxHashSet<DeclId> = FxHashSet::default();
        for id in wanted.iter().filter(|id| known(**id).is_none()) {
            let mut next = self.base_of(*id);
            while let Some(base) = next.filter(|base| made_anew.insert(*base)) {
                next = self.base_of(base);
            }
        }
        for id in wanted.iter().filter(|id| !made_anew.contains(id)) {
            if let Some(resolved) = known(*id) {
                self.formulas.put(*id, resolved);
            }
        }
    }

    /// What a formula uses, where it was made here.
    pub(crate) fn uses_of_formula(&self, id: DeclId) -> Option<Arc<Vec<DeclId>>> {
        self.uses_of_formulas.get(id)
    }

    /// Whether anything met so far uses a declaration.
    #[must_use]
    pub fn is_used(&self, id: DeclId) -> bool {
        self.used.read().unwrap_or_else(PoisonError::into_inner).contains(&id)
    }
}

/// The rules declared in each file on disk.
fn rules_declared(sources: &Sources) -> FxHashMap<FileId, Vec<DeclId>> {
    let mut found: FxHashMap<FileId, Vec<DeclId>> = FxHashMap::default();
    for source in &sources.files {
        let rules: Vec<DeclId> = declared(source, |item| matches!(item, Item::Rule(_))).collect();
        if !rules.is_empty() {
            found.insert(source.id, rules);
        }
    }
    found
}
