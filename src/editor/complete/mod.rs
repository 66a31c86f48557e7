//! What may be written where the cursor is, as plain data: for an editor, and for a page.
//!
//! `place` finds out where in the language the cursor is, in a text that need not parse there; the grammar says what
//! may follow ([`Expectations`]); `offer` says which names and words there are of that, `lines` which a formula has.

mod lines;
mod offer;
mod place;

pub use place::{CursorPlace, Within, place_of};

use super::hover::{Asked, about_meaning};
use super::occurrences::{Meaning, Names};
use crate::diagnostic::{FileId, Span};
use crate::syntax::survey::{Expectations, Expected, MarkKind};

/// What a proposal is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ProposalKind {
    /// A material.
    Material,
    /// A substance.
    Substance,
    /// A formula or a variant.
    Formula,
    /// A figure with a name.
    Figure,
    /// A group.
    Group,
    /// A container.
    Container,
    /// A phase.
    Phase,
    /// A word that opens a statement.
    Field,
    /// Another word of the language.
    Word,
    /// A word out of a list.
    Listed,
    /// A unit.
    Unit,
    /// The code of a fault.
    Code,
    /// A file.
    File,
}

/// Something that may be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proposal {
    /// What it is called in a list.
    pub label: String,
    /// What it is.
    pub kind: ProposalKind,
    /// What is written.
    pub insert: String,
    /// What it takes the place of.
    pub replaces: Span,
    /// What is said beside it: a strength, a form, a meaning. Plain text.
    pub detail: String,
    /// What is known of it, in Markdown; of a name empty, and [`documentation`] has it.
    pub documentation: String,
    /// By what it is found: its name, and what it is called every day.
    pub found_by: String,
    /// What it stands for, where it is a name.
    pub meaning: Option<Meaning>,
    /// How near it is: what is nearer comes first.
    pub rank: u8,
}

impl Proposal {
    /// A proposal of which nothing but itself is known.
    #[must_use]
    pub fn plain(label: &str, kind: ProposalKind, replaces: Span) -> Proposal {
        Proposal {
            label: label.to_string(),
            kind,
            insert: label.to_string(),
            replaces,
            detail: String::new(),
            documentation: String::new(),
            found_by: label.to_string(),
            meaning: None,
            rank: 5,
        }
    }
}

/// What may be written at an offset of a file. Nothing is proposed in comments and where a name is given.
#[must_use]
pub fn complete(names: &Names<'_>, expectations: &Expectations, file: FileId, offset: u32) -> Vec<Proposal> {
    let text = names.sources.text(file);
    let place = place_of(text, offset as usize);
    let offers = offer::Offers { names, file, offset, place: &place };
    let mut all: Vec<Proposal> = match place.within {
        Within::Nothing => Vec::new(),
        Within::StepName => offers.step_names(),
        Within::StepPart => offers.step_parts(),
        Within::Path => offers.paths(),
        Within::Unit => {
            let expected = expectations.after(place.context, &format!("{} ", place.before));
            let is_asked_for = expected.contains(&Expected::Kind(MarkKind::Unit));
            if is_asked_for && !is_ph(place.before) { offers.units_behind_a_figure() } else { Vec::new() }
        }
        Within::Statement => {
            let expected = expectations.after(place.context, place.before);
            let mut all = Vec::new();
            for expected in expected.iter() {
                match expected {
                    Expected::Word(word) => all.extend(offers.word(word)),
                    Expected::Kind(kind) => all.extend(offers.of_kind(*kind)),
                    Expected::ShelfPath => all.extend(offers.shelf_paths()),
                    Expected::Text => {}
                }
            }
            all
        }
    };
    all.sort_by(|one, other| (one.rank, &one.label).cmp(&(other.rank, &other.label)));
    all.dedup_by(|one, other| one.label == other.label && one.kind == other.kind);
    all
}

/// Whether the figure that the text ends with is a pH, which has no unit: `pH 3`, or the far end of `pH 3 to 4`.
fn is_ph(before: &str) -> bool {
    let mut words = before.split_whitespace().rev().skip(1);
    match words.next() {
        Some("to") => words.nth(1) == Some("pH"),
        word => word == Some("pH"),
    }
}

/// What is known of a proposal, in Markdown.
#[must_use]
pub fn documentation(asked: &Asked<'_>, proposal: &Proposal) -> String {
    match &proposal.meaning {
        Some(meaning) if proposal.documentation.is_empty() => about_meaning(asked, meaning).unwrap_or_default(),
        _ => proposal.documentation.clone(),
    }
}
