//! What the index of the shelf holds. `build.rs` makes values of these types and writes them down.

use crate::syntax::vocabulary::Market;

/// A file of the shelf.
#[derive(Debug)]
pub struct ShelfFile {
    /// Its name, as `use shelf/NAME` has it.
    pub name: &'static str,
    /// Its text.
    pub text: &'static str,
    /// The numbers of the files it reaches: itself, those it uses, and all they use. From the least to the greatest.
    pub reach: &'static [u32],
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

/// What a name comes to where writing it apart, together or in capitals makes no difference: its letters and digits.
#[must_use]
pub fn everyday_key(name: &str) -> String {
    name.chars().filter(|letter| letter.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// A rule of the shelf.
#[derive(Debug)]
pub struct ShelfRule {
    /// Its number in the index of declarations.
    pub entry: u32,
    /// The markets it is of; none where it holds in every one.
    pub markets: &'static [Market],
    /// The first day it applies.
    pub from: Option<&'static str>,
    /// The last day it applies.
    pub until: Option<&'static str>,
}
