//! What a plan frozen into a record does not say of its materials: what they are for, and how much of them is used.

use crate::model::{Batch, Material};
use crate::resolve::{NameSet, Resolver};
use std::sync::Arc;

/// A material as the plan of a batch has it, with what the files say of it beside what it is made of.
#[must_use]
pub fn with_facts(session: &Resolver<'_>, batch: &Batch, material: &Arc<Material>) -> Arc<Material> {
    let declared = session.scopes.find(batch.id.file, NameSet::Weighable, &material.name);
    let declared = declared.filter(|id| *id != material.id).and_then(|id| session.material(id));
    // What is the shelf's has all its facts with it; only what a plan declares has none.
    let Some(declared) = declared.filter(|_| material.roles.is_empty() && material.usages.is_empty()) else {
        return Arc::clone(material);
    };
    Arc::new(Material {
        contains: material.contains.clone(),
        brings: material.brings.clone(),
        in_order: material.in_order,
        traces: material.traces.clone(),
        undisclosed: material.undisclosed.clone(),
        faulty: material.faulty,
        measured_ph: material.measured_ph.clone(),
        keeps: material.keeps.clone(),
        ..Material::clone(&declared)
    })
}
