//! How sure a fact is: what its source is worth, from a law down to somebody's memory.

use super::Resolver;
use crate::diagnostic::{Diagnostic, Level, Place};
use crate::shelf;
use crate::syntax::tree::{BatchEntry, Fact, Item, MaterialField, RuleStatement, SubstanceField, Text};

/// What a fact rests on; the strongest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Evidence {
    /// A law, or a book that a law makes binding.
    Law,
    /// Something published that anyone can open: a book, a journal, a standard, the opinion of a panel.
    Published,
    /// A supplier's word, the habit of the trade, or no source at all.
    Practice,
    /// Somebody's memory, or an opinion.
    Memory,
}

/// What a law is called, where it is named as a source.
const LAWS: &[&str] = &[
    "regulation",
    "directive",
    "cfr",
    "statutory instrument",
    "pub. l.",
    " act, ",
    "u.s.c.",
    "federal register",
    "pharmacopoeia",
    "pharmacopeia",
    "ph. eur.",
    "usp-nf",
];

/// What somebody says for whom nobody answers.
const PRACTICE: &[&str] = &["common practice", "no source", "supplier", "leaflet", "data sheet", "datasheet"];

/// What somebody remembers or holds.
const MEMORY: &[&str] = &["memory", "our opinion", "an opinion", "a guess", "rule of thumb"];

/// What tells a publication without a year, and what was worked out from one.
const PUBLICATIONS: &[&str] = &["computed", "doi", "isbn", "pmc", "iso ", "astm ", "vol ", "handbook", "journal"];

impl Evidence {
    /// What a source is worth, by its own words. Of a source that names several things the weakest counts: nobody can
    /// tell which of them this fact was taken from.
    #[must_use]
    pub fn of_source(source: Option<&str>) -> Evidence {
        let Some(source) = source else { return Evidence::Practice };
        let source = source.to_lowercase();
        let names = |words: &[&str]| words.iter().any(|word| source.contains(word));
        if names(MEMORY) {
            Evidence::Memory
        } else if names(PRACTICE) {
            Evidence::Practice
        } else if names(LAWS) {
            Evidence::Law
        } else if names(PUBLICATIONS) || has_year(&source) {
            Evidence::Published
        } else {
            Evidence::Practice
        }
    }

    /// The gravest that anything resting on it may be.
    #[must_use]
    pub fn gravest(self) -> Level {
        match self {
            Evidence::Law | Evidence::Published => Level::Error,
            Evidence::Practice => Level::Warning,
            Evidence::Memory => Level::Note,
        }
    }
}

/// Whether a text has the year of a publication in it.
fn has_year(text: &str) -> bool {
    text.split(|c: char| !c.is_ascii_digit()).any(|digits| digits.len() == 4 && ("1800".."2100").contains(&digits))
}

impl Resolver<'_> {
    /// What the fact is worth that stands at a place: by its own source, else by that of the block it stands in. A fact that
    /// a material has from the one it is like stands there.
    #[must_use]
    pub fn evidence(&self, place: Place) -> Evidence {
        let source = self.declaration_at(place).and_then(|item| source_at(item, place));
        Evidence::of_source(source.map(|source| source.value.as_str()))
    }

    /// A diagnostic made no graver than the weakest of the facts it rests on. There is no other place where this is done.
    pub(crate) fn as_sure_as_its_facts(&self, mut fault: Diagnostic) -> Diagnostic {
        let weakest = fault.rests_on.iter().map(|place| self.evidence(*place)).max();
        if let Some(weakest) = weakest {
            fault.level = fault.level.max(weakest.gravest());
        }
        fault
    }

    /// The declaration that a place lies in.
    fn declaration_at(&self, place: Place) -> Option<&Item> {
        let of_shelf = || {
            let holds = |entry: &shelf::ShelfEntry| entry.file == place.file.0 && entry.span().holds(place.span);
            shelf::item(u32::try_from(shelf::ENTRIES.iter().position(holds)?).ok()?)
        };
        match self.sources.home(place.file) {
            Some(source) => source.tree.items.iter().find(|item| item.span().holds(place.span)),
            None => of_shelf(),
        }
    }
}

/// The source of what stands at a place of a declaration.
fn source_at(item: &Item, place: Place) -> Option<&Text> {
    match item {
        Item::Material(material) => source_of(&material.facts, place, |field| match field {
            MaterialField::Source(text) => Some(text),
            _ => None,
        }),
        Item::Substance(substance) => source_of(&substance.facts, place, |field| match field {
            SubstanceField::Source(text) => Some(text),
            _ => None,
        }),
        Item::Rule(rule) => rule.statements.iter().find_map(|statement| match statement {
            RuleStatement::Source(text) => Some(text),
            _ => None,
        }),
        // What the plan of a record declares.
        Item::Batch(batch) => batch.entries.iter().find_map(|entry| match &entry.entry {
            BatchEntry::Plan(plan) => {
                let declared = plan.declared.iter().find(|item| item.span().holds(place.span))?;
                source_at(declared, place)
            }
            _ => None,
        }),
        _ => None,
    }
}

fn source_of<F>(facts: &[Fact<F>], place: Place, whole: impl Fn(&F) -> Option<&Text>) -> Option<&Text> {
    let own = facts.iter().find(|fact| fact.span.holds(place.span)).and_then(|fact| fact.source.as_ref());
    own.or_else(|| facts.iter().find_map(|fact| whole(&fact.field)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_source_is_worth_what_its_weakest_word_says() {
        for (source, worth) in [
            (Some("Regulation (EC) No 1223/2009, Annex III, entry 12"), Evidence::Law),
            (Some("21 CFR 700.15"), Evidence::Law),
            (Some("J. Soc. Cosmet. Chem. vol 18, 211-212"), Evidence::Published),
            (Some("Goldberg, Kishore & Lennen 2002, J. Phys. Chem. Ref. Data 31:231"), Evidence::Published),
            (Some("common practice, no source"), Evidence::Practice),
            (Some("the supplier's leaflet of 2019"), Evidence::Practice),
            (Some("house book"), Evidence::Practice),
            (None, Evidence::Practice),
            (Some("from memory"), Evidence::Memory),
            (Some("21 CFR 700.15; CAS from memory"), Evidence::Memory),
        ] {
            assert_eq!(Evidence::of_source(source), worth, "{source:?}");
        }
    }

    #[test]
    fn only_law_and_what_is_published_can_be_an_error() {
        let all = [Evidence::Law, Evidence::Published, Evidence::Practice, Evidence::Memory];
        assert_eq!(all.map(Evidence::gravest), [Level::Error, Level::Error, Level::Warning, Level::Note]);
    }
}
