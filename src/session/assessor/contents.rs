//! What is in a product: each substance and each raw material with its share, what it is there for, and who says so.

use super::{AssessedMaterial, AssessedSubstance, NamedSubstance, Presence};
use crate::label::{Jar, Portion};
use crate::model::{Batch, Component, DeclId, LineMaterial, Material};
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::syntax::tree::{Item, MaterialField};
use crate::syntax::vocabulary::Role;
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;
use smol_str::SmolStr;
use std::sync::Arc;

type Shares<K, V> = IndexMap<K, (Interval, V), FxBuildHasher>;

/// The share of everything that portions are told apart by: what surely is in, and the least and the most of what is
/// decided at the bench.
fn shares<K: std::hash::Hash + Eq + Clone, V: Default>(
    jar: &Jar,
    of: &dyn Fn(&Portion) -> Vec<(K, Interval)>,
    mut meet: impl FnMut(&mut V, &Portion),
) -> Shares<K, V> {
    let mut all: Shares<K, V> = IndexMap::default();
    let sums = |portions: &[Portion]| {
        let mut sums: IndexMap<K, Interval, FxBuildHasher> = IndexMap::default();
        for (key, share) in portions.iter().flat_map(of) {
            let sum = sums.entry(key).or_insert_with(Interval::zero);
            *sum = &*sum + &share;
        }
        sums
    };
    for portion in jar.mixtures().flatten() {
        for (key, _) in of(portion) {
            meet(&mut all.entry(key).or_insert_with(|| (Interval::zero(), V::default())).1, portion);
        }
    }
    for (key, share) in sums(&jar.base) {
        if let Some((sum, _)) = all.get_mut(&key) {
            *sum = &*sum + &share;
        }
    }
    for reserve in &jar.reserves {
        let ends: Vec<IndexMap<K, Interval, FxBuildHasher>> = reserve.ends.iter().map(|end| sums(end)).collect();
        for (key, (sum, _)) in &mut all {
            let each: Vec<Interval> =
                ends.iter().map(|end| end.get(key).cloned().unwrap_or_else(Interval::zero)).collect();
            let low = each.iter().map(|share| &share.low).min().cloned().unwrap_or(Exact::ZERO);
            let high = each.iter().map(|share| &share.high).max().cloned().unwrap_or(Exact::ZERO);
            *sum = &*sum + &Interval::new(low, high);
        }
    }
    all
}

/// What a material has in it, each with how it is there.
pub(super) fn contents(material: &Material) -> impl Iterator<Item = (Presence, &Component)> {
    let parts = material.contains.iter().map(|part| (Presence::Ingredient, part));
    let brought = material.brings.iter().map(|part| (Presence::Brought, part));
    parts.chain(brought).chain(material.traces.iter().map(|part| (Presence::Trace, part)))
}

/// Gives each material of a batch the work that a file says it has today: the plan of a record keeps what a material is,
/// and not what it is there for.
pub(super) fn as_today(names: &Resolver<'_>, batch: &Batch, jar: &mut Jar) {
    let roles = |material: &mut Arc<Material>| {
        if let Some(LineMaterial::Material(today)) = names.weighs_out(batch.id.file, &material.name)
            && material.roles.is_empty()
            && !today.roles.is_empty()
        {
            Arc::make_mut(material).roles.clone_from(&today.roles);
        }
    };
    jar.base.iter_mut().for_each(|portion| roles(&mut portion.material));
    for line in &mut Arc::make_mut(&mut jar.formula).lines {
        if let Some(LineMaterial::Material(material)) = &mut line.material {
            roles(material);
        }
    }
}

pub(super) fn substances(names: &Resolver<'_>, jar: &Jar) -> (Vec<AssessedSubstance>, Option<Interval>) {
    let of = |portion: &Portion| -> Vec<((DeclId, Presence), Interval)> {
        let share = portion.share.hundredth();
        contents(&portion.material)
            .map(|(presence, part)| ((part.substance, presence), part.strength.times(&share)))
            .collect()
    };
    let meet = |met: &mut Vec<Arc<Material>>, portion: &Portion| {
        if !met.iter().any(|known| known.id == portion.material.id) {
            met.push(Arc::clone(&portion.material));
        }
    };
    let all = shares::<(DeclId, Presence), Vec<Arc<Material>>>(jar, &of, meet);
    let mut found: Vec<AssessedSubstance> = all
        .into_iter()
        .map(|((id, presence), (share, from))| AssessedSubstance {
            named: named(names, id),
            presence,
            share,
            target: None,
            from: from.iter().map(|material| material.name.clone()).collect(),
            functions: functions(id, &from),
        })
        .collect();
    found.sort_by(|one, other| {
        let key =
            |of: &AssessedSubstance| (of.presence, std::cmp::Reverse(of.share.high.clone()), of.named.key.clone());
        key(one).cmp(&key(other))
    });
    let open = |portion: &Portion| vec![((), portion.material.undisclosed.times(&portion.share.hundredth()))];
    let open = shares::<(), ()>(jar, &open, |(), _| ()).into_values().map(|(share, ())| share).next();
    (found, open.filter(|share| !share.high.is_zero()))
}

/// What a substance is there for: what those materials are for that it is the active or the most of; where it is that of
/// none, what all of them are for.
fn functions(id: DeclId, from: &[Arc<Material>]) -> Vec<Role> {
    let is_main = |material: &&Arc<Material>| {
        let active = material.contains.iter().find(|part| part.active);
        let main = active.or_else(|| material.contains.iter().max_by(|a, b| a.strength.high.cmp(&b.strength.high)));
        main.is_some_and(|part| part.substance == id)
    };
    let roles =
        |of: Vec<&Arc<Material>>| -> Vec<Role> { of.iter().flat_map(|material| material.roles.clone()).collect() };
    let mut found = roles(from.iter().filter(is_main).collect());
    if found.is_empty() {
        found = roles(from.iter().collect());
    }
    found.sort_by_key(|role| role.word());
    found.dedup();
    found
}

fn named(names: &Resolver<'_>, id: DeclId) -> NamedSubstance {
    let found = names.substance(id);
    let text = |of: &dyn Fn(&crate::model::Substance) -> Option<SmolStr>| {
        found.as_ref().and_then(|found| of(found)).map(|text| text.to_string())
    };
    NamedSubstance {
        key: found.as_ref().map_or_else(|| names.substance_name(id), |found| found.name.to_string()),
        inci: text(&|of| of.inci.clone()),
        cas: text(&|of| of.cas.clone()),
        colour_index: text(&|of| of.colour_index.clone()),
        source: text(&|of| of.source.clone()),
    }
}

pub(super) fn materials(names: &Resolver<'_>, jar: &Jar, batch: Option<&Batch>) -> Vec<AssessedMaterial> {
    let of = |portion: &Portion| vec![(portion.material.id, Interval::point(portion.share.clone()))];
    let meet = |met: &mut Option<Arc<Material>>, portion: &Portion| *met = Some(Arc::clone(&portion.material));
    let all = shares::<DeclId, Option<Arc<Material>>>(jar, &of, meet);
    let made = all.into_values().filter_map(|(share, material)| {
        let material = material?;
        let parts = contents(&material).map(|(presence, part)| (named(names, part.substance), presence, part.clone()));
        let lots = batch.into_iter().flat_map(|batch| &batch.lots);
        Some(AssessedMaterial {
            parts: parts.collect(),
            sources: sources(names, material.id),
            lots: lots.filter(|lot| lot.material.text == material.name).cloned().collect(),
            share,
            material,
        })
    });
    made.collect()
}

/// So many materials are looked at that are like one another.
const MAX_LIKE: usize = 100;

/// Who says what a material is: the source of what it contains, and that of its block; else those of the one it is like.
fn sources(names: &Resolver<'_>, material: DeclId) -> Vec<SmolStr> {
    let mut found: Vec<SmolStr> = Vec::new();
    let mut next = Some(material);
    for _ in 0..MAX_LIKE {
        let Some(id) = next else { break };
        let Some(Item::Material(declared)) = names.scopes.item(id) else { break };
        let mut states_contents = false;
        for fact in &declared.facts {
            let said = match &fact.field {
                MaterialField::Source(source) => Some(source),
                MaterialField::Contains(..) => {
                    states_contents = true;
                    fact.source.as_ref()
                }
                _ => None,
            };
            found.extend(said.map(|said| said.value.clone()));
        }
        if states_contents {
            break;
        }
        next = names.material(id).and_then(|material| material.like);
    }
    let mut met: Vec<SmolStr> = Vec::new();
    found.retain(|source| {
        let is_new = !met.contains(source);
        met.push(source.clone());
        is_new
    });
    found
}
