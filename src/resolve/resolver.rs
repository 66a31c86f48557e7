//! Everything that is known of a session's names, filled as it is asked for.

use super::figure::Figure;
use super::gram::InWater;
use super::plan_names::PlanNames;
use super::scope::{Scopes, declared};
use crate::diagnostic::{Diagnostic, FileId};
use crate::model::{DeclId, Formula, Material, Rule, Substance};
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
}

thread_local! {
    /// What is marked as used while something is worked out whose uses are to be known.
    static MARKED: RefCell<Option<Vec<DeclId>>> = const { RefCell::new(None) };
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
    pub(super) substances: Table<Option<Arc<Substance>>>,
    /// The shelf's own record of each substance declared at home.
    pub(super) twins: Table<Option<Arc<Substance>>>,
    pub(super) materials: Table<Option<Arc<Material>>>,
    pub(super) rules: Table<Option<Arc<Rule>>>,
    pub(super) in_water: Table<Arc<InWater>>,
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
        let scopes = Scopes::new(sources, faults);
        let mut resolver = Resolver {
            sources,
            scopes,
            lets: Arc::default(),
            substances: Table::new(),
            twins: Table::new(),
            materials: Table::new(),
            rules: Table::new(),
            in_water: Table::new(),
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
            substances: Table::new(),
            twins: Table::new(),
            materials: Table::new(),
            rules: Table::new(),
            in_water: Table::new(),
            declared_rules: Arc::clone(&self.declared_rules),
            formulas: Table::new(),
            uses_of_formulas: Table::new(),
            used: RwLock::new(FxHashSet::default()),
        }
    }

    /// Marks a declaration as used by something.
    pub(crate) fn mark_used(&self, id: DeclId) {
        MARKED.with_borrow_mut(|marked| marked.as_mut().map(|marked| marked.push(id)));
        if self.used.read().unwrap_or_else(PoisonError::into_inner).contains(&id) {
            return;
        }
        self.used.write().unwrap_or_else(PoisonError::into_inner).insert(id);
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
