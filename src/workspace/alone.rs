//! Whether the batches of a file stand alone: each has its plan, and the plan knows all that it and its batch name.

use crate::quantity::Unit;
use crate::shelf::{self, ShelfKind};
use crate::syntax::tree::{
    AmountKind, Batch, BatchEntry, File, FrozenPlan, FrozenPlanLine, Item, MaterialField, SubstanceField,
};
use rustc_hash::FxHashSet;

/// Whether a file has batches and no formula, and every batch goes by a plan that needs nothing but the shelf. What such
/// a file uses may be gone.
pub fn stands_alone(file: &File) -> bool {
    let mut batches = Vec::new();
    for item in &file.items {
        match item {
            Item::Batch(batch) => batches.push(batch),
            Item::Formula(_) | Item::Variant(_) | Item::Broken(_) => return false,
            _ => {}
        }
    }
    !batches.is_empty() && batches.into_iter().all(goes_by_its_plan)
}

/// Whether a batch has its plan, and the plan says or the shelf knows all that either names.
fn goes_by_its_plan(batch: &Batch) -> bool {
    let mut plans = batch.entries.iter().filter_map(|entry| match &entry.entry {
        BatchEntry::Plan(plan) => Some(plan),
        _ => None,
    });
    let mut named = batch.entries.iter().filter_map(|statement| statement.entry.material());
    let names_known = batch.plan().is_some_and(|plan| {
        let things = things_of(plan);
        named.all(|name| knows_thing(&things, &name.text))
    });
    names_known && plans.all(is_whole)
}

/// The premixes and materials of which a plan says what they are made of.
fn things_of(plan: &FrozenPlan) -> FxHashSet<&str> {
    let premixes = plan.premixes.iter().map(|premix| premix.name.text.as_str());
    let materials = plan.declared.iter().filter_map(|item| match item {
        Item::Material(of) if of.facts.iter().any(|fact| matches!(fact.field, MaterialField::Contains(_))) => {
            Some(of.name.text.as_str())
        }
        _ => None,
    });
    premixes.chain(materials).collect()
}

fn knows_thing(things: &FxHashSet<&str>, name: &str) -> bool {
    things.contains(name) || on_shelf(ShelfKind::Material, name)
}

/// Whether a plan says or the shelf knows all that it names.
fn is_whole(plan: &FrozenPlan) -> bool {
    let things = things_of(plan);
    let declared = plan.declared.iter().filter(|item| matches!(item, Item::Substance(_))).filter_map(Item::name);
    let substances: FxHashSet<&str> = declared.map(|name| name.text.as_str()).collect();
    let knows_substance = |name: &str| substances.contains(name) || on_shelf(ShelfKind::Substance, name);
    let knows_line = |line: &FrozenPlanLine| {
        let of = match &line.amount.kind {
            AmountKind::Of(_, name) => knows_substance(&name.text),
            _ => true,
        };
        of && has_share(line) && knows_thing(&things, &line.material.text)
    };
    let knows_item = |item: &Item| match item {
        Item::Material(of) => of.facts.iter().all(|fact| match &fact.field {
            MaterialField::Contains(parts) => parts.iter().all(|part| knows_substance(&part.substance.text)),
            _ => true,
        }),
        Item::Substance(of) => of.facts.iter().all(|fact| match &fact.field {
            SubstanceField::Salt { of, with, .. } => knows_substance(&of.text) && knows_substance(&with.text),
            SubstanceField::HydrolysesTo(into)
            | SubstanceField::BaseOf(into, _)
            | SubstanceField::Binds(into, _)
            | SubstanceField::Precipitates(Some(into), ..) => knows_substance(&into.text),
            _ => true,
        }),
        _ => true,
    };
    let mut parts = plan.premixes.iter().flat_map(|premix| &premix.parts);
    !plan.is_faulty
        && !plan.lines.is_empty()
        && plan.lines.iter().all(knows_line)
        && parts.all(knows_line)
        && plan.declared.iter().all(knows_item)
}

/// Whether a line says its percentage, or is weighed at the bench.
fn has_share(line: &FrozenPlanLine) -> bool {
    match &line.percent {
        Some(percent) => percent.unit == Unit::Percent && percent.value.is_some(),
        None => matches!(line.amount.kind, AmountKind::QuantumSatisToPh),
    }
}

fn on_shelf(kind: ShelfKind, name: &str) -> bool {
    shelf::find_anywhere(kind, name).is_some()
}
