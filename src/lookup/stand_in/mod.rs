//! Which materials could stand in for one, why, and what would change.
//!
//! What a material does decides: what does not do the thing that another is there for takes no place of its. Among
//! those that do it the nearest come first ([`nearness`]). No material is known here by its name.

mod changes;
mod fits;
mod nearness;
mod profile;
mod why;

pub use changes::Difference;

use super::facts::known;
use super::{Shelf, decl, entry_of, materials, text_of};
use crate::diagnostic::FileId;
use crate::model::{DeclId, Material};
use crate::resolve::{NameSet, Resolver};
use crate::shelf::{FILES, ShelfEntry, ShelfKind};
use crate::syntax::tree::Item;
use profile::Profile;
use smol_str::SmolStr;
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
    /// Whether it has the same active, in another strength.
    pub same_active: bool,
    /// Why it stands where it stands: what both do, and then the facts that placed it.
    pub why: String,
    /// What would change.
    pub changes: Vec<Difference>,
}

/// A material that could stand in for a line of a formula: of the maker's own files, or of the shelf.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// The material.
    pub material: Arc<Material>,
    /// Whether it has the same active, in another strength.
    pub same_active: bool,
    /// Why it stands where it stands.
    pub why: String,
    /// The file of the shelf that is still to be brought to the formula's file by `use`; none where its name is known
    /// there.
    pub to_use: Option<&'static str>,
}

/// What could stand in for a material of the shelf, with the nearest told of in full.
#[must_use]
pub fn stand_ins(entry: u32) -> StandIns {
    let shelf = Shelf::default();
    let resolver = shelf.resolver();
    let Some((wanted, fitting)) = ranked(&resolver, entry) else { return StandIns::default() };
    let Some(here) = known(entry) else { return StandIns::default() };
    let told = fitting.iter().take(SHOWN).filter_map(|(other_entry, other)| {
        let there = known(*other_entry)?;
        Some(StandIn {
            name: there.name,
            title: there.title.clone(),
            file: there.file,
            same_active: wanted.has_active_of(other),
            why: why::words(&wanted, other),
            changes: changes::between(&wanted, &here, other, &there),
        })
    });
    StandIns { nearest: told.collect(), more: fitting.len().saturating_sub(SHOWN) }
}

/// The names of all that could stand in for a material of the shelf, the nearest first.
#[must_use]
pub fn all_stand_ins(entry: u32) -> Vec<&'static str> {
    let shelf = Shelf::default();
    let resolver = shelf.resolver();
    let fitting = ranked(&resolver, entry).map(|(_, fitting)| fitting).unwrap_or_default();
    fitting.iter().filter_map(|(entry, _)| entry_of(*entry)).map(|entry| entry.name).collect()
}

/// A material of the shelf, and those that could stand in for it, the nearest first.
fn ranked(resolver: &Resolver<'_>, entry: u32) -> Option<(Profile, Vec<(u32, Profile)>)> {
    entry_of(entry).filter(|place| place.kind == ShelfKind::Material)?;
    let wanted = Profile::of(resolver, resolver.material(decl(entry))?);
    let others = materials(|number, other| number != entry && may_do(&wanted.material, other));
    let others =
        others.filter_map(|(number, _)| Some((number, Profile::of(resolver, resolver.material(decl(number))?))));
    let fitting = nearest_first(&wanted, others);
    Some((wanted, fitting))
}

/// Whether a material of the shelf may do the thing that another is there for: it does what its text names, or what it
/// takes from the one it is like. The others need no parsing.
fn may_do(wanted: &Material, other: &ShelfEntry) -> bool {
    let text = text_of(other);
    wanted.does.first().is_some_and(|main| text.contains(main.word()) || text.contains(" like "))
}

fn nearest_first<K>(wanted: &Profile, others: impl Iterator<Item = (K, Profile)>) -> Vec<(K, Profile)> {
    let mut fitting: Vec<(K, Profile)> = others.filter(|(_, other)| fits::fits(wanted, other)).collect();
    fitting.sort_by_cached_key(|(_, other)| nearness::distance(wanted, other));
    fitting
}

/// What could stand in for a material in a formula of a file, the nearest first: what that file sees, the maker's own
/// version of a material before the shelf's, and then the rest of the shelf.
#[must_use]
pub fn candidates(resolver: &Resolver<'_>, wanted: &Arc<Material>, file: FileId) -> Vec<Candidate> {
    let wanted = Profile::of(resolver, Arc::clone(wanted));
    let home = resolver.scopes.reached(file).flat_map(|reached| home_materials(resolver, file, reached));
    let shelf = materials(|_, other| may_do(&wanted.material, other)).filter_map(|(number, entry)| {
        match resolver.scopes.find(file, NameSet::Weighable, entry.name) {
            None => Some((decl(number), FILES.get(entry.file as usize).map(|file| file.name))),
            // A declaration of the maker's own that has its name has been met already.
            Some(seen) => (seen == decl(number)).then_some((seen, None)),
        }
    });
    let mut seen: Vec<DeclId> = Vec::new();
    let others = home.map(|id| (id, None)).chain(shelf).filter_map(|(id, to_use)| {
        let material = resolver.material(id).filter(|_| !seen.contains(&id))?;
        seen.push(id);
        let is_other = id != wanted.material.id && material.name != wanted.material.name;
        is_other.then(|| (to_use, Profile::of(resolver, material)))
    });
    let found = nearest_first(&wanted, others.collect::<Vec<_>>().into_iter());
    let made = found.into_iter().map(|(to_use, other)| Candidate {
        same_active: wanted.has_active_of(&other),
        why: why::words(&wanted, &other),
        material: other.material,
        to_use,
    });
    made.collect()
}

/// The materials that one file declares and another sees under their names.
fn home_materials(resolver: &Resolver<'_>, from: FileId, declared_in: FileId) -> Vec<DeclId> {
    let Some(source) = resolver.sources.home(declared_in) else { return Vec::new() };
    let is_material = |item: &Item| matches!(item, Item::Material(_));
    let sees = |id: &DeclId| {
        let name: Option<SmolStr> = resolver.scopes.item(*id).and_then(Item::name).map(|name| name.text.clone());
        name.and_then(|name| resolver.scopes.find(from, NameSet::Weighable, &name)) == Some(*id)
    };
    crate::resolve::declared(source, is_material).filter(sees).collect()
}
