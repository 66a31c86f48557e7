//! Her own materials: those of the files beside which the formula is to stand.

use super::comment::string;
use super::index::Index;
use crate::model::DeclId;
use crate::resolve::Resolver;
use crate::shelf::{ShelfKind, find_anywhere};
use crate::syntax::tree::{Item, Material};
use crate::workspace::{Source, Sources};
use smol_str::SmolStr;
use std::collections::{BTreeMap, BTreeSet};

/// The materials of a maker's own files, by all that leads to them.
#[derive(Debug, Default)]
pub struct OwnShelf {
    pub(super) index: Index,
    /// The file of each material, as `use` names it.
    pub(super) files: BTreeMap<SmolStr, String>,
    /// Every name that those files give to something.
    pub(super) taken: BTreeSet<SmolStr>,
    /// Files with materials that cannot be used: why.
    pub(super) passed_over: Vec<String>,
}

impl OwnShelf {
    /// The materials of all files; `path` says how the new file names each in a `use`, or that it cannot.
    ///
    /// Files that could not be used side by side are not taken: of two that declare one name, the first by its path, and
    /// what has no formula before what has one.
    #[must_use]
    pub fn of(sources: &Sources, path: impl Fn(&Source) -> Option<String>) -> OwnShelf {
        let resolver = Resolver::new(sources, &mut Vec::new());
        let mut own = OwnShelf::default();
        let has_materials = |source: &&Source| source.tree.items.iter().any(|item| matches!(item, Item::Material(_)));
        let files = sources.files.iter().filter(has_materials);
        let mut files: Vec<(String, &Source)> =
            files.filter_map(|source| Some((string(&path(source)?)?, source))).collect();
        files.sort_by_key(|(path, source)| (source.tree.items.iter().any(is_formula), path.clone()));
        for (path, source) in files {
            own.take(&path, source, &resolver);
        }
        own
    }

    fn take(&mut self, path: &str, source: &Source, resolver: &Resolver<'_>) {
        let names = || source.tree.items.iter().filter_map(Item::name).map(|name| name.text.as_str());
        if let Some(name) = names().find(|name| self.taken.contains(*name)) {
            return self.pass_over(path, &format!("another of the files has a `{name}` too"));
        }
        if let Some(name) = source.tree.items.iter().find_map(of_the_shelf) {
            return self.pass_over(path, &format!("the shelf has a `{name}` too, and theirs is not `like {name}`"));
        }
        self.taken.extend(names().map(SmolStr::new));
        for (item, at) in source.tree.items.iter().zip(0u32..) {
            if let Item::Material(Material { name, .. }) = item
                && let Some(material) = resolver.material(DeclId { file: source.id, item: at })
            {
                let name = SmolStr::new(&name.text);
                self.index.learn(&name, &material, resolver);
                self.files.insert(name, path.to_string());
            }
        }
    }

    fn pass_over(&mut self, path: &str, why: &str) {
        self.passed_over.push(format!("The materials of {path} are passed over: {why}."));
    }
}

fn is_formula(item: &Item) -> bool {
    matches!(item, Item::Formula(_) | Item::Variant(_))
}

/// The name of what cannot stand beside the whole shelf, which has another thing of that name.
fn of_the_shelf(item: &Item) -> Option<&str> {
    let (kind, name) = match item {
        Item::Material(material) if material.like.as_ref().is_some_and(|like| like.text == material.name.text) => None,
        Item::Let(_) | Item::Material(_) | Item::Formula(_) | Item::Variant(_) => {
            Some((ShelfKind::Material, item.name()?.text.as_str()))
        }
        Item::Substance(substance) => Some((ShelfKind::Substance, substance.name.text.as_str())),
        _ => None,
    }?;
    find_anywhere(kind, name).map(|_| name)
}
