//! The sets of names, and what a name of one stands for on the shelf.

use crate::diagnostic::FileId;
use crate::model::DeclId;
use crate::shelf::{self, ShelfKind};
use crate::syntax::tree::Item;

/// The sets of names. `let`, materials, formulas and variants share one, since all can stand in a formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum NameSet {
    /// `let`, material, formula, variant.
    Weighable,
    /// Substance.
    Substance,
    /// Group.
    Group,
    /// Rule.
    Rule,
    /// Batch.
    Batch,
    /// Container.
    Container,
}

impl NameSet {
    /// The set an item's name belongs to.
    #[must_use]
    pub fn of(item: &Item) -> Option<NameSet> {
        Some(match item {
            Item::Let(_) | Item::Material(_) | Item::Formula(_) | Item::Variant(_) => NameSet::Weighable,
            Item::Substance(_) => NameSet::Substance,
            Item::Group(_) => NameSet::Group,
            Item::Rule(_) => NameSet::Rule,
            Item::Batch(_) => NameSet::Batch,
            Item::Container(_) => NameSet::Container,
            Item::Use(_) | Item::Maker(_) | Item::Rate(_) | Item::Planned(_) | Item::Stock(_) | Item::Broken(_) => {
                return None;
            }
        })
    }

    /// What the shelf has of it.
    pub(super) fn on_shelf(self) -> Option<ShelfKind> {
        match self {
            NameSet::Weighable => Some(ShelfKind::Material),
            NameSet::Substance => Some(ShelfKind::Substance),
            NameSet::Group => Some(ShelfKind::Group),
            NameSet::Rule => Some(ShelfKind::Rule),
            NameSet::Batch | NameSet::Container => None,
        }
    }
}

/// What a name stands for anywhere on the shelf.
pub(super) fn on_whole_shelf(set: NameSet, name: &str) -> Option<DeclId> {
    shelf::find_anywhere(set.on_shelf()?, name).map(shelf_decl)
}

/// A declaration of the shelf by its number in the index.
pub(super) fn shelf_decl(entry: u32) -> DeclId {
    let file = shelf::ENTRIES.get(entry as usize).map_or(0, |entry| entry.file);
    DeclId { file: FileId(file), item: entry }
}
