//! What materials are called every day: no name of the language, and so offered where one is written as if it were.

use super::Resolver;
use super::name_set::NameSet;
use super::names::quoted;
use crate::diagnostic::{Diagnostic, FileId, Place, Sureness};
use crate::shelf::{self, ShelfKind};
use crate::syntax::tree::{Item, Material, MaterialField};

/// A declaration that may be meant by an everyday name.
struct Meant {
    name: String,
    /// Whether the file sees it.
    seen: bool,
}

/// What to write in the place of an everyday name.
pub(super) struct Offer {
    help: String,
    /// What is meant, where only one thing can be.
    only: Option<String>,
}

impl Offer {
    /// The fault of the name at a place, with what to write there.
    pub(super) fn told(self, fault: Diagnostic, place: Place) -> Diagnostic {
        let fault = fault.help(self.help);
        match self.only {
            Some(name) => fault.fix(place, name, Sureness::NeedsALook),
            None => fault,
        }
    }
}

impl Resolver<'_> {
    /// What to write for a name that nothing declares; none where nothing is called so. What the file sees goes before
    /// what only the shelf has.
    pub(super) fn offer(&self, file: FileId, set: NameSet, name: &str) -> Option<Offer> {
        let mut meant = self.meant_every_day(file, set, name);
        if meant.iter().any(|meant| meant.seen) {
            meant.retain(|meant| meant.seen);
        }
        let using = match meant.iter().all(|meant| meant.seen) {
            true => "",
            false => ", with `use shelf/all` at the top of the file",
        };
        let names: Vec<&str> = meant.iter().map(|meant| meant.name.as_str()).collect();
        match names.as_slice() {
            [] => None,
            [only] => {
                let help = format!("That is an everyday name of `{only}`: write `{only}`{using}.");
                Some(Offer { help, only: Some((*only).to_string()) })
            }
            _ => {
                let help = format!("That is an everyday name of {}: write which{using}.", quoted(&names));
                Some(Offer { help, only: None })
            }
        }
    }

    /// What is called so every day, in the order of the names: materials, or the substances of the same name.
    fn meant_every_day(&self, file: FileId, set: NameSet, name: &str) -> Vec<Meant> {
        let kind = match set {
            NameSet::Weighable => ShelfKind::Material,
            NameSet::Substance => ShelfKind::Substance,
            _ => return Vec::new(),
        };
        let entries = shelf::called_every_day(name).iter().filter_map(|entry| shelf::ENTRIES.get(*entry as usize));
        let found = entries.filter(|entry| shelf::find_anywhere(kind, entry.name).is_some());
        let mut meant: Vec<Meant> = found
            .map(|entry| Meant {
                name: entry.name.to_string(),
                seen: self.scopes.find(file, set, entry.name).is_some(),
            })
            .collect();
        if kind == ShelfKind::Material {
            let own = self.own_called_so(file, name).filter(|own| meant.iter().all(|meant| meant.name != *own));
            let own: Vec<Meant> = own.map(|name| Meant { name, seen: true }).collect();
            meant.extend(own);
            meant.sort_by(|one, other| one.name.cmp(&other.name));
        }
        meant
    }

    /// The materials of a file, and of those it uses, that say of themselves that they are called so.
    fn own_called_so(&self, file: FileId, name: &str) -> impl Iterator<Item = String> + '_ {
        let key = shelf::everyday_key(name);
        let sources = self.scopes.reached(file).filter_map(|file| self.sources.home(file));
        let materials = sources.flat_map(|source| &source.tree.items).filter_map(|item| match item {
            Item::Material(material) => Some(material),
            _ => None,
        });
        materials.filter(move |material| says_also(material, &key)).map(|material| material.name.text.to_string())
    }
}

/// Whether a material says that it is called so, however that is written.
fn says_also(material: &Material, key: &str) -> bool {
    material.facts.iter().any(|fact| match &fact.field {
        MaterialField::Also(names) => names.iter().any(|name| shelf::everyday_key(&name.value) == key),
        _ => false,
    })
}
