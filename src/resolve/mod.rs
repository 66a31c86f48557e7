//! Names looked up, expressions worked out, amounts brought to percentages.
//!
//! [`Resolver::new`] reads the names of all files; substances and materials are made when something asks for
//! them; [`Resolver::formulas`] makes every formula asked for, each premix and base before what rests on it.

mod amounts;
mod avoid;
mod batch;
mod bounds;
mod count;
mod declaration;
mod definition;
mod demand;
mod digest;
mod figure;
mod formula;
mod frozen;
pub mod graph;
mod header;
mod in_water;
mod material;
mod names;
mod plan_names;
mod rule;
mod scope;
mod steps;
mod substance;

pub use batch::day_after;
pub use bounds::Bounds;
pub use count::Count;
pub use figure::{Evaluator, Figure, capital};
pub use header::makes_size;
pub use in_water::{InWater, Unsure, substance_of};
pub use scope::{NameSet, Scopes, declared, is_formula};

use crate::diagnostic::{Diagnostic, FileId};
use crate::model::{DeclId, Formula, Material, Rule, Substance};
use crate::workspace::Sources;
use rustc_hash::{FxHashMap, FxHashSet};
use std::sync::{Arc, PoisonError, RwLock};

/// A table that is filled as things are asked for, from several threads.
struct Table<V>(RwLock<FxHashMap<DeclId, V>>);

impl<V: Clone> Table<V> {
    fn new() -> Table<V> {
        Table(RwLock::new(FxHashMap::default()))
    }

    fn get(&self, id: DeclId) -> Option<V> {
        self.0.read().unwrap_or_else(PoisonError::into_inner).get(&id).cloned()
    }

    fn put(&self, id: DeclId, value: V) {
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
    lets: Arc<FxHashMap<DeclId, Option<Figure>>>,
    substances: Table<Option<Arc<Substance>>>,
    materials: Table<Option<Arc<Material>>>,
    rules: Table<Option<Arc<Rule>>>,
    in_water: Table<Arc<InWater>>,
    /// The rules declared in each file on disk that has any, so that no formula searches for them.
    declared_rules: Arc<FxHashMap<FileId, Vec<DeclId>>>,
    formulas: Table<Arc<Resolved>>,
    used: RwLock<FxHashSet<DeclId>>,
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
            declared_rules: Arc::new(rule::declared(sources)),
            formulas: Table::new(),
            used: RwLock::new(FxHashSet::default()),
        };
        resolver.work_lets_out(faults);
        resolver
    }

    /// The same names with nothing made of them yet, and those of a plan before them: what is changed in it changes
    /// nothing here.
    fn apart(&self, plan: Option<plan_names::PlanNames<'s>>) -> Resolver<'s> {
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

pub use formula::{batch_grams, finest, unused_let};
