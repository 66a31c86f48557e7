//! What a record names besides its plan: corrections with materials and premixes of one's own, which are in no line of
//! the formula. The plan is to say of them what it says of its own, so that the record still stands alone.

use super::local::{LocalDefinition, own_of};
use crate::diagnostic::FileId;
use crate::model::{DeclId, LineMaterial};
use crate::resolve::{NameSet, Resolver};
use crate::shelf;
use crate::syntax::tree::{AmountKind, FrozenPlan, Item, MaterialField, SubstanceField};
use rustc_hash::FxHashSet;
use smol_str::SmolStr;

/// What a record names besides its plan.
#[derive(Debug)]
pub struct AddedDefinitions {
    /// The names of those of which it is known what they are made of, in the order of the record.
    pub names: Vec<SmolStr>,
    /// What the plan is to say of them and of all that they are made of.
    pub statements: Vec<String>,
    /// The names of the others.
    pub unknown: Vec<SmolStr>,
}

/// What a batch names that neither its plan nor the shelf knows, and the files do; none where there is nothing, or no
/// plan.
#[must_use]
pub fn added_definitions(resolver: &Resolver<'_>, batch: DeclId) -> Option<AddedDefinitions> {
    let Some(Item::Batch(declared)) = resolver.scopes.item(batch) else { return None };
    let plan = declared.plan().filter(|plan| !plan.is_faulty)?;
    let in_plan = resolver.with_plan(batch)?;
    let mut own = LocalDefinition::new(resolver);
    keep_names(&mut own, resolver, &in_plan, batch.file, plan);
    let planned: FxHashSet<&str> = things(plan).into_iter().collect();
    let mut found: Vec<(SmolStr, LineMaterial)> = Vec::new();
    for name in declared.entries.iter().filter_map(|statement| statement.entry.material()) {
        let text = name.text.as_str();
        if planned.contains(text) || found.iter().any(|(known, _)| known == text) {
            continue;
        }
        let Some(id) = in_plan.scopes.find(batch.file, NameSet::Weighable, text) else { continue };
        own.things.keep(text, Some(id));
        if !is_the_shelfs(id)
            && let Some(thing) = resolver.line_material(id)
        {
            found.push((name.text.clone(), thing));
        }
    }
    if found.is_empty() {
        return None;
    }
    // One that is not known in full does not keep the others out.
    let is_known = |of: &(SmolStr, LineMaterial)| own_of(own.clone(), std::slice::from_ref(&of.1)).is_some();
    let (known, unknown): (Vec<_>, Vec<_>) = found.into_iter().partition(is_known);
    let (names, things): (Vec<_>, Vec<_>) = known.into_iter().unzip();
    let unknown = unknown.into_iter().map(|(name, _)| name).collect();
    Some(AddedDefinitions { names, statements: own_of(own, &things)?, unknown })
}

fn is_the_shelfs(id: DeclId) -> bool {
    shelf::FILES.get(id.file.0 as usize).is_some()
}

/// Keeps the names of a plan for what they stand for in it. What the plan declares and the file still sees under that
/// name is the plan's, whatever has become of it: it is not said again.
fn keep_names(
    own: &mut LocalDefinition<'_, '_>,
    resolver: &Resolver<'_>,
    in_plan: &Resolver<'_>,
    file: FileId,
    plan: &FrozenPlan,
) {
    for name in things(plan) {
        own.things.keep(name, in_plan.scopes.find(file, NameSet::Weighable, name));
    }
    for name in substances(plan) {
        own.substances.keep(name, in_plan.scopes.find(file, NameSet::Substance, name));
    }
    let declared = plan.declared.iter().filter_map(|item| Some((matches!(item, Item::Substance(_)), item.name()?)));
    let premixes = plan.premixes.iter().map(|premix| (false, &premix.name));
    for (is_substance, name) in declared.chain(premixes) {
        let set = if is_substance { NameSet::Substance } else { NameSet::Weighable };
        let Some(id) = resolver.scopes.find(file, set, &name.text).filter(|id| !is_the_shelfs(*id)) else { continue };
        own.said.insert(id);
        let names = if is_substance { &mut own.substances } else { &mut own.things };
        names.keep(&name.text, Some(id));
    }
}

/// The premixes and materials that a plan names.
fn things(plan: &FrozenPlan) -> Vec<&str> {
    let lines = plan.lines.iter().chain(plan.premixes.iter().flat_map(|premix| &premix.parts));
    let premixes = plan.premixes.iter().map(|premix| &premix.name);
    let materials = plan.declared.iter().filter(|item| matches!(item, Item::Material(_))).filter_map(Item::name);
    let names = lines.map(|line| &line.material).chain(premixes).chain(materials);
    names.map(|name| name.text.as_str()).collect()
}

/// The substances that a plan names.
fn substances(plan: &FrozenPlan) -> Vec<&str> {
    let lines = plan.lines.iter().chain(plan.premixes.iter().flat_map(|premix| &premix.parts));
    let asked =
        lines.filter_map(|line| if let AmountKind::Of(_, name) = &line.amount.kind { Some(name) } else { None });
    let mut names: Vec<&str> = asked.map(|name| name.text.as_str()).collect();
    for item in &plan.declared {
        match item {
            Item::Substance(of) => {
                names.push(&of.name.text);
                for fact in &of.facts {
                    match &fact.field {
                        SubstanceField::Salt { of, with, .. } => names.extend([of.text.as_str(), with.text.as_str()]),
                        SubstanceField::HydrolysesTo(into)
                        | SubstanceField::BaseOf(into, _)
                        | SubstanceField::Binds(into, _)
                        | SubstanceField::Precipitates(Some(into), ..) => names.push(&into.text),
                        _ => {}
                    }
                }
            }
            Item::Material(of) => {
                for fact in &of.facts {
                    if let MaterialField::Contains(parts) = &fact.field {
                        names.extend(parts.iter().map(|part| part.substance.text.as_str()));
                    }
                }
            }
            _ => {}
        }
    }
    names
}
