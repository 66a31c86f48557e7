//! What a batch is made of, from what was weighed, beside what it was to be: now, and once all that is still to come is
//! in.

use super::contents::in_water_of;
use super::ledger::Ledger;
use super::weights::Weights;
use crate::chemistry::{Activity, Mixture, brought_to, equilibrium, species, undissociated};
use crate::model::{AcidBase, Batch, Composition, DeclId, Formula, LineMaterial, Material, materials_of};
use crate::quantity::{Exact, Interval};
use crate::resolve::{NameSet, Resolver, substance_of};
use rustc_hash::FxHashSet;
use std::sync::Arc;

/// A substance as it was to be and as it was made, in percent of the whole; at the middle of what is a range.
#[derive(Clone, Debug)]
pub struct Made {
    /// The substance.
    pub substance: DeclId,
    /// Its name.
    pub name: String,
    /// What the formula asks for, without adjuster.
    pub target: Exact,
    /// What the beaker holds.
    pub made: Exact,
    /// What was asked for and what the beaker holds, from the least to the most, where how much of it a material has is
    /// not disclosed: there the middle is nobody's figure.
    pub undisclosed: Option<Box<(Interval, Interval)>>,
}

/// An active, or what a correction brings, in the finished batch: salts counted as the acid that they are of.
#[derive(Clone, Debug)]
pub struct Finished {
    /// The substance.
    pub substance: DeclId,
    /// Its name.
    pub name: String,
    /// What the formula asks for, without adjuster, in percent.
    pub target: Exact,
    /// What the batch will hold, in percent.
    pub made: Exact,
    /// Of an acid, at the pH: what is free of it, and what is its salt, in percent of the batch.
    pub free_and_salt: Option<(f64, f64)>,
}

/// The composition as made of all that went in so far; empty where nothing did.
#[must_use]
pub fn made(resolver: &Resolver<'_>, formula: &Formula, batch: &Batch, ledger: &Ledger) -> Vec<Made> {
    let named = named_in(resolver, batch);
    let Some(found) = composition(resolver, &ledger.weights, &named) else { return Vec::new() };
    let open = undisclosed(resolver, formula, &ledger.weights, &named);
    let mut all: Vec<Made> = Vec::new();
    let target = formula.composition.iter().flat_map(|of| &of.parts);
    for (substance, share) in target {
        all.push(entry(resolver, *substance, share, &found, open.contains(substance)));
    }
    for substance in found.parts.keys() {
        if !all.iter().any(|known| known.substance == *substance) {
            all.push(entry(resolver, *substance, &Interval::zero(), &found, open.contains(substance)));
        }
    }
    all.sort_by(|a, b| b.target.cmp(&a.target));
    all
}

/// The actives of the formula, its acids among them, and what some materials bring, in the batch once the rest of its
/// lines and what is left of the water are in, with `dose` more of something; acids at the pH that was read, or with a dose
/// as the weights have it: so much of an acid is its salt as there is base for.
#[must_use]
pub fn finished(
    resolver: &Resolver<'_>,
    formula: &Formula,
    batch: &Batch,
    ledger: &Ledger,
    dose: Option<(&str, DeclId, &Exact)>,
    bring: &[&str],
    ph: Option<f64>,
) -> Vec<Finished> {
    let weights = ledger.finished(dose.map(|(name, _, grams)| (name, grams)));
    let named = named_in(resolver, batch);
    let find = |name: &str| dose.filter(|dose| dose.0 == name).map(|dose| dose.1).or_else(|| named(name));
    let (Some(found), Some(target)) = (composition(resolver, &weights, &find), &formula.composition) else {
        return Vec::new();
    };
    let mut shown: Vec<DeclId> = Vec::new();
    let mut show = |substance: DeclId| {
        let is_water = resolver.substance(substance).is_some_and(|of| of.is_water());
        if !is_water && !shown.contains(&substance) {
            shown.push(substance);
        }
    };
    formula.lines.iter().filter_map(|line| line.target.as_ref()).for_each(|target| show(target.substance));
    target.parts.keys().filter(|substance| pka(resolver, **substance).is_some()).for_each(|substance| show(*substance));
    for thing in bring.iter().filter_map(|name| resolver.line_material(find(name)?)) {
        let mut brought = Composition::default();
        thing.put_into(&mut brought, &Exact::HUNDRED);
        brought.parts.keys().for_each(|substance| show(*substance));
    }
    let is_acid = |substance: &DeclId| pka(resolver, *substance).is_some();
    let ph = ph.filter(|_| shown.iter().any(is_acid));
    let shares = ph.map(|ph| free_shares(in_water(resolver, &weights, &find), Some(ph).filter(|_| dose.is_none())));
    let shares = shares.unwrap_or_default();
    let told = shown.into_iter().map(|substance| {
        let made = resolver.total_of(&found, substance);
        let free = ph.zip(pka(resolver, substance)).map(|(ph, pka)| {
            let share = shares.iter().find(|(of, _)| *of == substance);
            share.map_or_else(|| undissociated(ph, &pka), |(_, share)| *share)
        });
        let all = made.to_f64();
        Finished {
            substance,
            name: resolver.substance_name(substance),
            target: resolver.total_of(target, substance),
            free_and_salt: free.map(|free| (all * free, all * (1.0 - free))),
            made,
        }
    });
    told.collect()
}

/// What weights bring to water.
fn in_water(resolver: &Resolver<'_>, weights: &Weights, find: &impl Fn(&str) -> Option<DeclId>) -> Mixture {
    let parts = weights.parts.iter().filter_map(|(name, grams)| Some((in_water_of(resolver, find(name)?)?, grams)));
    parts.fold(Mixture::default(), |all, (of, grams)| all.plus(&of.mixture, grams.to_f64()))
}

/// The share of each acid that is free, with every proton on, in a mixture as it is, or brought to a pH; empty where that
/// cannot be foreseen. In a strong salt the ions fall short of their amounts, so that the salt is what its base is, and not
/// what the pKa alone has it.
fn free_shares(mixture: Mixture, ph: Option<f64>) -> Vec<(DeclId, f64)> {
    const MODEL: Activity = Activity::Davies;
    let mixture = ph.and_then(|ph| brought_to(&mixture, ph, MODEL)).map_or(mixture, |(_, brought)| brought);
    let Some(state) = equilibrium(&mixture, MODEL) else { return Vec::new() };
    let families = mixture.families.iter().zip(species(&mixture, &state, MODEL));
    let shares = families.filter(|(family, _)| family.constants.top_charge() == 0.0).filter_map(|(family, forms)| {
        // What is not dissolved has every proton on; what a metal holds has lost one.
        let ions: f64 = forms.iter().skip(1).map(|(_, molality)| molality).sum();
        let salt = ions * state.water_kg / family.moles;
        let whole = 1.0 - salt;
        whole.is_finite().then_some((substance_of(family.id), whole.clamp(0.0, 1.0)))
    });
    shares.collect()
}

fn pka(resolver: &Resolver<'_>, substance: DeclId) -> Option<Vec<f64>> {
    match &resolver.substance(substance)?.acid_base {
        Some(AcidBase::Acid(pka)) => Some(pka.iter().map(Exact::to_f64).collect()),
        _ => None,
    }
}

fn entry(resolver: &Resolver<'_>, substance: DeclId, target: &Interval, found: &Composition, is_open: bool) -> Made {
    let made = found.parts.get(&substance).cloned().unwrap_or_else(Interval::zero);
    Made {
        substance,
        name: resolver.substance_name(substance),
        target: target.middle(),
        made: made.middle(),
        undisclosed: is_open.then(|| Box::new((target.clone(), made))),
    }
}

/// The substances that some material of the formula or of the beaker has, and does not say how much of.
fn undisclosed(
    resolver: &Resolver<'_>,
    formula: &Formula,
    weights: &Weights,
    find: &impl Fn(&str) -> Option<DeclId>,
) -> FxHashSet<DeclId> {
    let weighed = weights.parts.iter().filter_map(|(name, _)| resolver.line_material(find(name)?));
    let lines = formula.lines.iter().filter_map(|line| line.material.clone());
    let materials = lines.chain(weighed).flat_map(|thing| match thing {
        LineMaterial::Material(material) => vec![material],
        LineMaterial::Premix(premix) => materials_of(&premix).into_iter().map(|(material, _)| material).collect(),
    });
    let open = |material: &Arc<Material>| -> Vec<DeclId> {
        material.contains.iter().filter(|part| part.undisclosed).map(|part| part.substance).collect()
    };
    materials.flat_map(|material| open(&material)).collect()
}

/// What the names of a record stand for.
fn named_in<'r>(resolver: &'r Resolver<'_>, batch: &'r Batch) -> impl Fn(&str) -> Option<DeclId> + 'r {
    |name| resolver.scopes.find(batch.id.file, NameSet::Weighable, name)
}

/// What weights come to, in percent of them all; none where there are none.
fn composition(
    resolver: &Resolver<'_>,
    weights: &Weights,
    find: &impl Fn(&str) -> Option<DeclId>,
) -> Option<Composition> {
    let whole = weights.total();
    let mut found = Composition::default();
    for (name, grams) in weights.parts.iter().filter(|(_, grams)| !grams.is_zero()) {
        let percent = (grams * &Exact::HUNDRED).over(&whole)?;
        if let Some(thing) = find(name).and_then(|id| resolver.line_material(id)) {
            thing.put_into(&mut found, &percent);
        }
    }
    whole.is_positive().then_some(found)
}
