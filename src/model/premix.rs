//! A premix seen through: the raw materials it comes down to.

use super::{DeclId, Formula, LineMaterial, Material};
use crate::quantity::Exact;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The materials of a premix with their shares in percent, through premixes within it, without recursion. The shares
/// are not known where the premix's own composition is not.
#[must_use]
pub fn materials_of(premix: &Arc<Formula>) -> Vec<(Arc<Material>, Option<Exact>)> {
    // Each inner premix is met once, with the sum of its shares: in the order of a walk from the outside in.
    let mut order: Vec<Arc<Formula>> = Vec::new();
    let mut waiting = vec![(Arc::clone(premix), false)];
    let mut seen = rustc_hash::FxHashSet::default();
    while let Some((formula, done)) = waiting.pop() {
        if done {
            order.push(formula);
            continue;
        }
        if !seen.insert(formula.id) {
            continue;
        }
        waiting.push((Arc::clone(&formula), true));
        for line in &formula.lines {
            if let Some(LineMaterial::Premix(inner)) = &line.material {
                waiting.push((Arc::clone(inner), false));
            }
        }
    }
    if premix.composition.is_none() {
        let lines = order.iter().flat_map(|formula| &formula.lines);
        let materials: BTreeMap<DeclId, Arc<Material>> = lines
            .filter_map(|line| match &line.material {
                Some(LineMaterial::Material(material)) => Some((material.id, Arc::clone(material))),
                _ => None,
            })
            .collect();
        return materials.into_values().map(|material| (material, None)).collect();
    }
    let mut shares: BTreeMap<DeclId, Exact> = BTreeMap::from([(premix.id, Exact::HUNDRED)]);
    let mut materials: BTreeMap<DeclId, (Arc<Material>, Exact)> = BTreeMap::new();
    for formula in order.iter().rev() {
        let Some(share) = shares.get(&formula.id).map(Exact::hundredth) else { continue };
        for line in &formula.lines {
            let Some(percent) = line.percent.as_ref().map(|percent| percent * &share) else { continue };
            match &line.material {
                Some(LineMaterial::Material(material)) => {
                    let entry = materials.entry(material.id).or_insert_with(|| (Arc::clone(material), Exact::ZERO));
                    entry.1 = &entry.1 + &percent;
                }
                Some(LineMaterial::Premix(inner)) => {
                    let entry = shares.entry(inner.id).or_insert(Exact::ZERO);
                    *entry = &*entry + &percent;
                }
                None => {}
            }
        }
    }
    materials.into_values().map(|(material, share)| (material, Some(share))).collect()
}
