//! What the shelf knows, asked by name or by words: facts with their sources, and what could stand in.
//!
//! [`known`] gives the facts of one declaration, [`stand_ins`] the materials that could take a material's place,
//! [`search`] what a few words lead to. Only the declarations that an answer needs are parsed.

mod facts;
mod price;
mod search;
mod source;
mod stand_in;

pub use facts::{KnownFact, NameFacts, facts_of, known};
pub use price::{Price, price_of};
pub use search::{SearchHit, nearest_names, search};
pub use source::{SourceKind, Sourced};
pub use stand_in::{Candidate, Difference, StandIn, StandIns, all_stand_ins, candidates, stand_ins};

use crate::shelf::{ENTRIES, FILES, ShelfEntry, ShelfKind};

/// A file of the shelf, and how much it declares.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileSummary {
    /// Its name, as `use shelf/NAME` has it.
    pub name: &'static str,
    /// What it is about: its first comment.
    pub about: &'static str,
    /// How many of each kind it declares, in the order of [`ShelfKind`].
    pub counts: Vec<(ShelfKind, usize)>,
}

/// The word for a kind of declaration.
#[must_use]
pub fn kind_word(kind: ShelfKind) -> &'static str {
    match kind {
        ShelfKind::Substance => "substance",
        ShelfKind::Material => "material",
        ShelfKind::Group => "group",
        ShelfKind::Rule => "rule",
    }
}

/// The kinds of declaration, in order.
pub const KINDS: [ShelfKind; 4] = [ShelfKind::Substance, ShelfKind::Material, ShelfKind::Group, ShelfKind::Rule];

/// The files of the shelf, by name.
#[must_use]
pub fn files() -> Vec<FileSummary> {
    let numbered = FILES.iter().zip(0u32..);
    numbered
        .map(|(file, number)| {
            let of = |kind| ENTRIES.iter().filter(|entry| entry.file == number && entry.kind == kind).count();
            let about = file.text.lines().next().and_then(|line| line.strip_prefix("# ")).unwrap_or("");
            FileSummary { name: file.name, about, counts: KINDS.map(|kind| (kind, of(kind))).to_vec() }
        })
        .collect()
}

/// The declarations of exactly this name, a material before a substance before the others, by their numbers.
#[must_use]
pub fn called(name: &str) -> Vec<u32> {
    let order = [ShelfKind::Material, ShelfKind::Substance, ShelfKind::Group, ShelfKind::Rule];
    order.into_iter().filter_map(|kind| crate::shelf::find_anywhere(kind, name)).collect()
}

/// The materials that hold a substance, by name; none for anything but a substance.
#[must_use]
pub fn held_by(entry: u32) -> Vec<&'static str> {
    let Some(substance) = entry_of(entry).filter(|entry| entry.kind == ShelfKind::Substance) else { return Vec::new() };
    let resolver = Shelf::default();
    let resolver = resolver.resolver();
    // A material holds what its text names, or what has its own name.
    let may_hold = |_: u32, material: &ShelfEntry| text_of(material).contains(substance.name);
    materials(may_hold)
        .filter(|(number, _)| {
            let material = resolver.material(decl(*number));
            material.is_some_and(|material| material.contains.iter().any(|component| component.substance.item == entry))
        })
        .map(|(_, material)| material.name)
        .collect()
}

/// An empty session, in which the shelf alone can be resolved.
#[derive(Default)]
struct Shelf(crate::workspace::Sources);

impl Shelf {
    fn resolver(&self) -> crate::resolve::Resolver<'_> {
        crate::resolve::Resolver::new(&self.0, &mut Vec::new())
    }
}

/// The materials of the shelf that pass, with their numbers.
fn materials(pass: impl Fn(u32, &ShelfEntry) -> bool) -> impl Iterator<Item = (u32, &'static ShelfEntry)> {
    numbered().filter(move |(number, entry)| entry.kind == ShelfKind::Material && pass(*number, entry))
}

fn numbered() -> impl Iterator<Item = (u32, &'static ShelfEntry)> {
    (0u32..).zip(ENTRIES)
}

fn entry_of(number: u32) -> Option<&'static ShelfEntry> {
    ENTRIES.get(number as usize)
}

/// The text of a declaration.
fn text_of(entry: &ShelfEntry) -> &'static str {
    entry.span().of(file_text(entry))
}

fn file_text(entry: &ShelfEntry) -> &'static str {
    FILES.get(entry.file as usize).map_or("", |file| file.text)
}

fn decl(number: u32) -> crate::model::DeclId {
    let file = entry_of(number).map_or(0, |entry| entry.file);
    crate::model::DeclId { file: crate::diagnostic::FileId(file), item: number }
}
