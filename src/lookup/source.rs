//! Where a fact comes from, and how much that is worth.

use crate::resolve::Evidence;

/// How much a source is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SourceKind {
    /// Something that can be read: a law, a handbook, a paper, a table.
    Published,
    /// Worked out from something published.
    Computed,
    /// What the trade does, with nothing to read.
    CommonPractice,
    /// From memory: to be looked up before it is leaned on.
    FromMemory,
}

impl SourceKind {
    /// All kinds, the firmest first.
    pub const ALL: [SourceKind; 4] =
        [SourceKind::Published, SourceKind::Computed, SourceKind::CommonPractice, SourceKind::FromMemory];

    /// The kind in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            SourceKind::Published => "published",
            SourceKind::Computed => "computed",
            SourceKind::CommonPractice => "common practice",
            SourceKind::FromMemory => "from memory",
        }
    }

    fn of(text: &str) -> SourceKind {
        match Evidence::of_source(Some(text)) {
            Evidence::Memory => SourceKind::FromMemory,
            Evidence::Practice => SourceKind::CommonPractice,
            Evidence::Law | Evidence::Published if text.starts_with("computed") => SourceKind::Computed,
            Evidence::Law | Evidence::Published => SourceKind::Published,
        }
    }
}

/// A source as it is written, and its kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sourced {
    /// What it says.
    pub text: String,
    /// How much it is worth.
    pub kind: SourceKind,
}

impl Sourced {
    /// A source that speaks of one fact.
    #[must_use]
    pub fn new(text: &str) -> Sourced {
        Sourced { text: text.to_string(), kind: SourceKind::of(text) }
    }
}

/// What a block's source says of one of its fields.
///
/// A block's source is a list of clauses with `; ` between them. A clause may open with the fields it speaks of
/// (`molar mass computed …`, `CAS agrees …`); one that does not, or that
/// opens with `the rest`, speaks of all that no other clause names.
pub(super) fn of_block(block: &str, field: &str) -> Option<Sourced> {
    let mut rest = None;
    for clause in block.split("; ") {
        let (fields, said) = clause_fields(clause);
        if fields.contains(&field) {
            return Some(Sourced::new(said));
        }
        if fields.is_empty() && rest.is_none() {
            rest = Some(Sourced::new(said));
        }
    }
    rest
}

/// How a clause may open, and the fields it then speaks of.
const OPENINGS: &[(&str, &[&str])] = &[
    ("molar mass and salt ", &["molar-mass", "salt"]),
    ("molar mass ", &["molar-mass"]),
    ("CAS ", &["cas"]),
    ("the rest ", &[]),
];

/// The fields a clause opens with, and what it says of them.
fn clause_fields(clause: &str) -> (&'static [&'static str], &str) {
    let opened = OPENINGS.iter().find_map(|(opening, fields)| Some((*fields, clause.strip_prefix(opening)?)));
    opened.unwrap_or((&[], clause))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_field_has_its_own_clause_or_the_rest() {
        let block =
            "molar mass computed from standard atomic weights; CAS agrees with a table of 1999; the rest from memory";
        let kind = |field| of_block(block, field).map(|source| (source.text, source.kind));
        assert_eq!(
            kind("molar-mass"),
            Some(("computed from standard atomic weights".to_string(), SourceKind::Computed))
        );
        assert_eq!(kind("cas"), Some(("agrees with a table of 1999".to_string(), SourceKind::Published)));
        assert_eq!(kind("inci"), Some(("from memory".to_string(), SourceKind::FromMemory)));
        assert_eq!(of_block("CAS agrees with a table of 1999", "inci"), None);
    }
}
