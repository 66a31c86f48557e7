//! The names that stand in the plan of a batch: what the plan itself declares, and the shelf's for all else it names.
//!
//! A plan may declare what no line of it names: a correction brought that into the batch.

use super::name_set::{NameSet, on_whole_shelf};
use crate::diagnostic::FileId;
use crate::model::DeclId;
use crate::syntax::tree::{FrozenPlan, Item};
use rustc_hash::FxHashMap;
use smol_str::SmolStr;

/// Declarations of a plan are numbered from here on: no file has so many of its own.
const PLAN_ITEMS: u32 = 1 << 31;

/// The names of a plan, as the file of its record sees them.
pub(super) struct PlanNames<'s> {
    /// The file of the record.
    pub file: FileId,
    declared: &'s [Item],
    things: FxHashMap<SmolStr, DeclId>,
    substances: FxHashMap<SmolStr, DeclId>,
}

impl<'s> PlanNames<'s> {
    /// Reads the names of a plan.
    pub fn new(file: FileId, plan: &'s FrozenPlan) -> PlanNames<'s> {
        let mut names = PlanNames {
            file,
            declared: &plan.declared,
            things: FxHashMap::default(),
            substances: FxHashMap::default(),
        };
        for (at, item) in plan.declared.iter().enumerate() {
            let Some(name) = item.name() else { continue };
            let set = if matches!(item, Item::Substance(_)) { &mut names.substances } else { &mut names.things };
            set.entry(name.text.clone()).or_insert(DeclId { file, item: number(at) });
        }
        for (at, premix) in plan.premixes.iter().enumerate() {
            let id = premix_id(file, plan, at);
            names.things.entry(premix.name.text.clone()).or_insert(id);
        }
        // What the plan names and does not declare was the shelf's, whatever is called so now.
        for line in plan.lines.iter().chain(plan.premixes.iter().flat_map(|premix| &premix.parts)) {
            let name = &line.material.text;
            if !names.things.contains_key(name)
                && let Some(id) = on_whole_shelf(NameSet::Weighable, name)
            {
                names.things.insert(name.clone(), id);
            }
        }
        names
    }

    /// What a name stands for in the plan.
    pub fn find(&self, set: NameSet, name: &str) -> Option<DeclId> {
        match set {
            NameSet::Weighable => self.things.get(name).copied(),
            NameSet::Substance => self.substances.get(name).copied().or_else(|| on_whole_shelf(set, name)),
            _ => None,
        }
    }

    /// The numbers of what the plan declares.
    pub fn declared(&self) -> impl Iterator<Item = DeclId> + '_ {
        (0..self.declared.len()).map(|at| DeclId { file: self.file, item: number(at) })
    }

    /// A declaration of the plan.
    pub fn item(&self, id: DeclId) -> Option<&'s Item> {
        self.declared.get(id.item.checked_sub(PLAN_ITEMS)? as usize)
    }
}

/// Whether a declaration is one of a plan.
pub(super) fn is_of_plan(id: DeclId) -> bool {
    id.item >= PLAN_ITEMS
}

/// The number that a premix of a plan is known by.
pub(super) fn premix_id(file: FileId, plan: &FrozenPlan, at: usize) -> DeclId {
    DeclId { file, item: number(plan.declared.len().saturating_add(at)) }
}

fn number(at: usize) -> u32 {
    PLAN_ITEMS.saturating_add(u32::try_from(at).unwrap_or(u32::MAX))
}
