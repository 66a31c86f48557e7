//! Which material a name means, of her own or of the shelf: by what it is called every day, by INCI names, by CAS number,
//! and by what is nearly spelled so.

use super::index::{Facts, Index, Meant};
use super::own_shelf::OwnShelf;
use crate::lookup::search;
use crate::quantity::Exact;
use crate::shelf::{ShelfKind, find_anywhere};
use crate::syntax::vocabulary::Role;
use smol_str::SmolStr;
use std::collections::BTreeMap;

/// What the names of one table mean.
pub struct Names<'o> {
    /// Her own materials, which are asked first.
    own: &'o OwnShelf,
    /// What was asked already. A table may repeat a name as often as it likes.
    asked: BTreeMap<(String, String, String), Meant>,
    searches: usize,
}

/// The most searches through all that the shelf knows, for one table.
const SEARCHES: usize = 40;

impl<'o> Names<'o> {
    /// Nothing asked yet.
    pub fn beside(own: &'o OwnShelf) -> Names<'o> {
        Names { own, asked: BTreeMap::new(), searches: 0 }
    }

    /// What is meant by a name, the INCI name beside it and the CAS number, where the table has them.
    pub fn meant(&mut self, name: &str, inci: &str, cas: &str) -> Meant {
        let asked = (name.to_string(), inci.to_string(), cas.to_string());
        if let Some(known) = self.asked.get(&asked) {
            return known.clone();
        }
        let meant = self.weigh(name, inci, cas);
        self.asked.insert(asked, meant.clone());
        meant
    }

    /// Whether one name alone leads to a material beyond doubt.
    pub fn knows(&mut self, name: &str) -> bool {
        matches!(self.meant(name, "", ""), Meant::Surely(_))
    }

    /// Whether a material has one of some roles.
    pub fn has_role(&self, material: &str, roles: &[Role]) -> bool {
        self.facts(material).is_some_and(|facts| facts.roles.iter().any(|role| roles.contains(role)))
    }

    /// Whether a material is plain water.
    pub fn is_water(&self, material: &str) -> bool {
        material == "water" || self.facts(material).is_some_and(|facts| facts.is_whole && facts.is_of("water"))
    }

    /// Whether something of hers has a name already.
    pub fn is_taken(&self, name: &str) -> bool {
        self.own.taken.contains(name)
    }

    /// The file of hers that has a material, as `use` names it.
    pub fn file_of(&self, material: &str) -> Option<&'o str> {
        self.own.files.get(material).map(String::as_str)
    }

    /// The density of a material in g/mL, where it is known.
    pub fn density(&self, material: &str) -> Option<Exact> {
        self.facts(material)?.density.clone()
    }

    fn facts(&self, material: &str) -> Option<&Facts> {
        self.own.index.facts.get(material).or_else(|| Index::of_the_shelf().facts.get(material))
    }

    /// Hers where she has it beyond doubt, or the shelf knows nothing as sure.
    fn weigh(&mut self, name: &str, inci: &str, cas: &str) -> Meant {
        let hers = self.own.index.weigh(name, inci, cas, &mut |_| None);
        if matches!(hers, Meant::Surely(_)) {
            return hers;
        }
        let searches = &mut self.searches;
        let shelf = Index::of_the_shelf().weigh(name, inci, cas, &mut |name| by_search(name, searches));
        match (hers, shelf) {
            (_, sure @ Meant::Surely(_)) => sure,
            (likely @ Meant::Likely(..), _) => likely,
            (Meant::Unknown { near: hers, contains: of_hers }, Meant::Unknown { near, contains })
                if !hers.is_empty() =>
            {
                let near = hers.iter().cloned().chain(near.into_iter().filter(|name| !hers.contains(name)));
                Meant::Unknown { near: near.collect(), contains: of_hers.or(contains) }
            }
            (Meant::Unknown { contains: of_hers, .. }, Meant::Unknown { near, contains }) => {
                Meant::Unknown { near, contains: contains.or(of_hers) }
            }
            (_, shelf) => shelf,
        }
    }
}

/// What all the words speak of, where that is one material of the shelf; else no more than a hint.
fn by_search(name: &str, searches: &mut usize) -> Option<Meant> {
    let words: Vec<&str> = name.split(|c: char| !c.is_alphanumeric()).filter(|word| word.len() > 2).collect();
    if words.is_empty() || words.len() > 6 || *searches >= SEARCHES {
        return None;
    }
    *searches += 1;
    let hits: Vec<SmolStr> = search(&words)
        .into_iter()
        .filter(|hit| hit.kind == ShelfKind::Material)
        .map(|hit| SmolStr::new_static(hit.name))
        .collect();
    Some(match hits.as_slice() {
        [only] if words.len() > 1 => Meant::Likely(only.clone(), "all its words speak of that".into()),
        _ => Meant::Unknown { near: hits.into_iter().take(4).collect(), contains: None },
    })
}

/// Whether a name is taken by a material or a substance of the shelf.
pub fn is_of_the_shelf(name: &str) -> bool {
    [ShelfKind::Material, ShelfKind::Substance].into_iter().any(|kind| find_anywhere(kind, name).is_some())
}
