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
    pub(super) materials: Table<Option<Arc<Material>>>,
    pub(super) rules: Table<Option<Arc<Rule>>>,
    pub(super) in_water: Table<Arc<InWater>>,
    /// The rules declared in each file on disk that has any, so that no formula searches for them.
    pub(super) declared_rules: Arc<FxHashMap<FileId, Vec<DeclId>>>,
    pub(super) formulas: Table<Arc<Resolved>>,
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
            materials: Table::new(),
            rules: Table::new(),
            in_water: Table::new(),
            declared_rules: Arc::new(rules_declared(sources)),
            formulas: Table::new(),
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
            materials: Table::new(),
            rules: Table::new(),
            in_water: Table::new(),
            declared_rules: Arc::clone(&self.declared_rules),
            formulas: Table::new(),
            used: RwLock::new(FxHashSet::default()),
        }
    }

    /// Marks a declaration as used by something.
    pub(crate) fn mark_used(&self, id: DeclId) {
        if self.used.read().unwrap_or_else(PoisonError::into_inner).contains(&id) {
            return;
        }
        self.used.write().unwrap_or_else(PoisonError::into_inner).insert(id);
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
