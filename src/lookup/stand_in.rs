//! Which materials could stand in for one, and what would change.

use super::facts::{NameFacts, known};
use super::{Shelf, decl, entry_of, materials, text_of};
use crate::model::{AcidBase, Component, Material, PhRange, Substance};
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::shelf::{ShelfEntry, ShelfKind};
use crate::syntax::vocabulary::Role;
use smol_str::SmolStr;
use std::cmp::Reverse;
use std::sync::Arc;

/// How many stand-ins are told of.
const SHOWN: usize = 8;

/// What could stand in for a material.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StandIns {
    /// The nearest, the best first.
    pub nearest: Vec<StandIn>,
    /// How many more there are.
    pub more: usize,
}

/// A material that could stand in for another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StandIn {
    /// Its name.
    pub name: &'static str,
    /// What it is called.
    pub title: Option<String>,
    /// The file of the shelf that has it.
    pub file: &'static str,
    /// What would change.
    pub changes: Vec<Difference>,
}

/// What would change with a stand-in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// What it is about.
    pub about: &'static str,
    /// How it is with the material that is there; none where the shelf says nothing of it.
    pub from: Option<String>,
    /// How it would be.
    pub to: Option<String>,
}

/// The fields that are compared as they are told, with what they are about.
const COMPARED: &[(&str, &str)] = &[
    ("use", "use"),
    ("works", "works in"),
    ("stays", "stays below"),
    ("needs", "needs heat of"),
    ("hydrates", "hydrates in"),
    ("hlb", "HLB"),
    ("required-hlb", "required HLB"),
    ("protects", "protects against"),
];

/// The materials that share a material's first role and its phase, and whose usage and pH overlap with its own.
///
/// The nearest come first: the same active, then the same first role, then most roles shared, then the same charge,
/// then the nearest HLB, then the widest usage and pH in common, then by name.
#[must_use]
pub fn stand_ins(entry: u32) -> StandIns {
    let Some(place) = entry_of(entry).filter(|place| place.kind == ShelfKind::Material) else {
        return StandIns::default();
    };
    let shelf = Shelf::default();
    let resolver = shelf.resolver();
    let Some(wanted) = profile(&resolver, entry, place) else { return StandIns::default() };
    let Some(role) = wanted.material.roles.first() else { return StandIns::default() };
    // A material has a role that its text names, or that it takes from another: the others need no parsing.
    let may_fit = |number, other: &ShelfEntry| {
        let text = text_of(other);
        number != entry && (text.contains(role.word()) || text.contains(" like "))
    };
    let mut fitting: Vec<Profile> = materials(may_fit)
        .filter_map(|(number, other)| profile(&resolver, number, other))
        .filter(|other| fits(&wanted, other))
        .collect();
    fitting.sort_by_cached_key(|other| distance(&wanted, other));
    let Some(here) = known(entry) else { return StandIns::default() };
    let told = fitting.iter().take(SHOWN).filter_map(|other| {
        let there = known(other.entry)?;
        let changes = changes(&wanted, &here, other, &there);
        Some(StandIn { name: there.name, title: there.title, file: there.file, changes })
    });
    StandIns { nearest: told.collect(), more: fitting.len().saturating_sub(SHOWN) }
}

/// What is compared of a material.
struct Profile {
    entry: u32,
    name: &'static str,
    material: Arc<Material>,
    active: Option<(Component, Arc<Substance>)>,
    /// The names of what it contains.
    parts: Vec<SmolStr>,
    /// How much of it a finished product may have, as supplied.
    usage: Option<Interval>,
}

fn profile(resolver: &Resolver<'_>, entry: u32, place: &'static ShelfEntry) -> Option<Profile> {
    let material = resolver.material(decl(entry))?;
    let active = resolver.active_of(&material).cloned();
    let active = active.and_then(|part| resolver.substance(part.substance).map(|substance| (part, substance)));
    let usage = usage_as_supplied(&material, active.as_ref().map(|(component, _)| component));
    let parts = material.contains.iter().filter_map(|component| resolver.substance(component.substance));
    let parts = parts.map(|substance| substance.name.clone()).collect();
    Some(Profile { entry, name: place.name, material, active, parts, usage })
}

/// A usage of the active as a usage of the material, by the middle of its strength.
fn usage_as_supplied(material: &Material, active: Option<&Component>) -> Option<Interval> {
    let usage = material.usual_usage()?;
    let strength = if usage.active { active.map(|component| component.strength.middle()) } else { None };
    let as_supplied = |end: &Exact| match &strength {
        Some(strength) => (end * &Exact::HUNDRED).over(strength),
        None => Some(end.clone()),
    };
    let low = usage.range.low.as_ref().map_or(Some(Exact::ZERO), as_supplied)?;
    let high = usage.range.high.as_ref().map_or(Some(Exact::HUNDRED), as_supplied)?;
    Some(Interval::new(low, high.min(Exact::HUNDRED)))
}

fn fits(wanted: &Profile, other: &Profile) -> bool {
    let role = wanted.material.roles.first().is_some_and(|role| other.material.roles.contains(role));
    let usage = match (&wanted.usage, &other.usage) {
        (Some(one), Some(two)) => one.low <= two.high && two.low <= one.high,
        _ => true,
    };
    role && wanted.material.phase == other.material.phase
        && usage
        && !(wanted.material.roles.first() == Some(&Role::PhAdjuster) && pull_apart(wanted, other))
        && ph_overlaps(wanted.material.works_in.as_ref(), other.material.works_in.as_ref())
}

/// Whether one brings the pH down and the other up: as adjusters they cannot take each other's place.
fn pull_apart(one: &Profile, two: &Profile) -> bool {
    let lowers = |profile: &Profile| {
        let (_, substance) = profile.active.as_ref()?;
        match &substance.acid_base {
            Some(AcidBase::Acid(_) | AcidBase::StrongAcid) => Some(true),
            Some(AcidBase::Base(_) | AcidBase::StrongBase) => Some(false),
            Some(AcidBase::Ampholyte(pka, charge)) => isoelectric(pka, charge).map(|at| at < Exact::whole(7)),
            // Salts of the shelf are those of acids with a strong base.
            _ => substance.salt.as_ref().map(|_| false),
        }
    };
    matches!((lowers(one), lowers(two)), (Some(one), Some(two)) if one != two)
}

/// The pH at which an ampholyte bears no charge: halfway between the constants on either side of its neutral form.
fn isoelectric(pka: &[Exact], charge: &Exact) -> Option<Exact> {
    let above = charge.to_u32()? as usize;
    let (below, above) = (pka.get(above.checked_sub(1)?)?, pka.get(above)?);
    Some(&(below + above) * &Exact::ratio(1, 2))
}

/// Whether two ranges of pH have a pH in common; one that is not known is taken to.
fn ph_overlaps(one: Option<&PhRange>, two: Option<&PhRange>) -> bool {
    let (Some(one), Some(two)) = (one, two) else { return true };
    one.meets(two)
}

/// How far a stand-in is off, the nearest first.
fn distance(wanted: &Profile, other: &Profile) -> impl Ord + use<> {
    let id = |profile: &Profile| profile.active.as_ref().map(|(component, _)| component.substance);
    let charge = |profile: &Profile| profile.active.as_ref().and_then(|(_, substance)| substance.charge);
    let other_active = id(wanted).is_none() || id(wanted) != id(other);
    let other_first_role = wanted.material.roles.first() != other.material.roles.first();
    let shared = wanted.material.roles.iter().filter(|role| other.material.roles.contains(role)).count();
    let other_charge = charge(wanted) != charge(other);
    let hlb = difference(&wanted.material.hlb, &other.material.hlb);
    let required = difference(&wanted.material.required_hlb, &other.material.required_hlb);
    let usage = common_share(wanted.usage.as_ref(), other.usage.as_ref());
    let ph = common_share(ph_span(&wanted.material).as_ref(), ph_span(&other.material).as_ref());
    let in_common = &usage + &ph;
    (other_active, other_first_role, Reverse(shared), other_charge, hlb, required, Reverse(in_common), other.name)
}

/// How far two figures are apart; a figure that is missing comes after every one that is there.
fn difference(wanted: &Option<Exact>, other: &Option<Exact>) -> (bool, Exact) {
    match (wanted, other) {
        (Some(wanted), Some(other)) => (false, (wanted - other).abs()),
        (Some(_), None) => (true, Exact::ZERO),
        (None, _) => (false, Exact::ZERO),
    }
}

/// The pH at which a material works, within 0 to 14.
fn ph_span(material: &Material) -> Option<Interval> {
    let range = material.works_in.as_ref()?;
    let (low, high) = (range.low.clone().unwrap_or(Exact::ZERO), range.high.clone().unwrap_or(Exact::whole(14)));
    Some(Interval::new(low, high))
}

/// What two ranges have in common, over what either has; nought where one is not known.
fn common_share(one: Option<&Interval>, two: Option<&Interval>) -> Exact {
    let (Some(one), Some(two)) = (one, two) else { return Exact::ZERO };
    let common = &one.high.clone().min(two.high.clone()) - &one.low.clone().max(two.low.clone());
    let whole = &one.high.clone().max(two.high.clone()) - &one.low.clone().min(two.low.clone());
    common.over(&whole).unwrap_or(Exact::ONE)
}

fn changes(wanted: &Profile, here: &NameFacts, other: &Profile, there: &NameFacts) -> Vec<Difference> {
    let strength = strength_change(wanted, other);
    let charge = |profile: &Profile| {
        profile.active.as_ref().and_then(|(_, substance)| substance.charge).map(|charge| charge.word().to_string())
    };
    let said = |known: &NameFacts, field: &str| {
        known.facts.iter().find(|fact| fact.field == field).map(|fact| fact.says.clone())
    };
    let mut pairs = vec![strength];
    pairs.extend(COMPARED.iter().map(|(field, about)| (*about, said(here, field), said(there, field))));
    pairs.push(("charge", charge(wanted), charge(other)));
    pairs
        .into_iter()
        .filter(|(_, from, to)| from != to)
        .map(|(about, from, to)| Difference { about, from, to })
        .collect()
}

/// The strength alone where both have the same active, else what either is made of.
fn strength_change(wanted: &Profile, other: &Profile) -> (&'static str, Option<String>, Option<String>) {
    match (&wanted.active, &other.active) {
        (Some((one, _)), Some((two, _))) if one.substance == two.substance => {
            ("strength", Some(strength(one)), Some(strength(two)))
        }
        _ => ("made of", Some(made_of(wanted)), Some(made_of(other))),
    }
}

/// The active and its strength; of a blend without one, the first few names.
fn made_of(profile: &Profile) -> String {
    if let Some((component, substance)) = &profile.active {
        return format!("{} {}", substance.name, strength(component));
    }
    let names: Vec<&str> = profile.parts.iter().map(|name| name.as_str()).collect();
    match names.as_slice() {
        [one, two, three, _, ..] => format!("{one}, {two}, {three} and {} more", names.len() - 3),
        few => few.join(", "),
    }
}

fn strength(component: &Component) -> String {
    let figure = |figure: &Exact| figure.to_significant(4);
    let Interval { low, high } = &component.strength;
    match component.undisclosed {
        true => "of a strength that is not disclosed".to_string(),
        false if component.strength.is_point() => format!("{} %", figure(low)),
        false => format!("{} % to {} %", figure(low), figure(high)),
    }
}
