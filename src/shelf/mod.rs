//! The built-in shelf: substances, materials and rules, written in the language itself.
//!
//! The files are embedded as text. `index.rs` is made from them by `tests/generated.rs` and says which
//! declaration stands where, so that only the slices that a file reaches for are ever parsed.

mod ethanol;
mod index;
mod rule_index;
mod rules;

use crate::diagnostic::{FileId, Span};
use crate::syntax::tree::Item;
use crate::syntax::{Parsed, parse, parse_slice};
use std::sync::OnceLock;

pub use ethanol::ethanol_by_weight;
pub use index::{EDITION, EDITION_DATE, ENTRIES, FILES};
pub use rule_index::{RULE_KEYS, RULES, RULES_FOR_ALL, SUBSTANCE_KEYS};
pub use rules::{ShelfRule, days_of, has_rules, rules_by_key, substance_by_key};

/// A file of the shelf.
#[derive(Debug)]
pub struct ShelfFile {
    /// Its name, as `use shelf/NAME` has it.
    pub name: &'static str,
    /// Its text.
    pub text: &'static str,
    /// The files it uses, itself and all they use: a bit each, by number.
    pub reach: u64,
}

/// Which set of names a declaration of the shelf belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ShelfKind {
    /// A substance.
    Substance,
    /// A material.
    Material,
    /// A group.
    Group,
    /// A rule.
    Rule,
}

/// Where a declaration of the shelf stands.
#[derive(Debug)]
pub struct ShelfEntry {
    /// What it declares.
    pub kind: ShelfKind,
    /// Its name.
    pub name: &'static str,
    /// The number of its file.
    pub file: u32,
    /// Its first byte.
    pub start: u32,
    /// The byte after its last.
    pub end: u32,
}

impl ShelfEntry {
    /// Where the whole declaration stands.
    #[must_use]
    pub fn span(&self) -> Span {
        Span { start: self.start, end: self.end }
    }
}

/// The number of a file of the shelf.
#[must_use]
pub fn file_by_name(name: &str) -> Option<FileId> {
    FILES.iter().position(|file| file.name == name).and_then(|at| u32::try_from(at).ok()).map(FileId)
}

/// The entry of a name within the files of `reach`, by its number. The index is sorted by kind, then name.
#[must_use]
pub fn find(kind: ShelfKind, name: &str, reach: u64) -> Option<u32> {
    let at = ENTRIES.partition_point(|entry| (entry.kind, entry.name) < (kind, name));
    let entry = ENTRIES.get(at)?;
    let reached = reach >> entry.file & 1 == 1;
    (entry.kind == kind && entry.name == name && reached).then(|| u32::try_from(at).unwrap_or(u32::MAX))
}

/// A declaration of the shelf, parsed the first time it is asked for.
#[must_use]
pub fn item(entry: u32) -> Option<&'static Item> {
    static PARSED: OnceLock<Vec<OnceLock<Option<Item>>>> = OnceLock::new();
    let cells = PARSED.get_or_init(|| ENTRIES.iter().map(|_| OnceLock::new()).collect());
    let cell = cells.get(entry as usize)?;
    cell.get_or_init(|| {
        let entry = ENTRIES.get(entry as usize)?;
        let text = FILES.get(entry.file as usize)?.text.get(entry.span().range())?;
        parse_slice(FileId(entry.file), text, entry.start as usize).tree.items.into_iter().next()
    })
    .as_ref()
}

/// A whole file of the shelf parsed: for the tests and the generator, never at run time.
#[doc(hidden)]
#[must_use]
pub fn parse_file(file: FileId, text: &str) -> Parsed {
    parse(file, text)
}
