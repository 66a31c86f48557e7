//! The words of a text by what they are, for an editor that colours them.

use super::occurrences::{Meaning, Names};
use crate::diagnostic::{FileId, Span};
use crate::syntax::survey::{MarkKind, NameRole};
use crate::syntax::tree::Item;

/// What a word is. The numbers are those of [`TYPES`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u32)]
pub enum TokenType {
    /// A comment.
    Comment,
    /// A text.
    Text,
    /// A figure, a date or a time.
    Number,
    /// A unit.
    Unit,
    /// A sign of reckoning.
    Operator,
    /// A word of the language.
    Keyword,
    /// A word out of a list.
    Listed,
    /// A material.
    Material,
    /// A substance.
    Substance,
    /// A formula or a variant.
    Formula,
    /// A figure with a name.
    Figure,
    /// A group, a rule, a batch, a container or a phase.
    Group,
    /// The code of a fault.
    Code,
}

/// The names of the types, in the words that editors have colours for.
pub const TYPES: &[&str] = &[
    "comment",
    "string",
    "number",
    "type",
    "operator",
    "keyword",
    "enumMember",
    "variable",
    "property",
    "function",
    "parameter",
    "namespace",
    "decorator",
];

/// The names of what may be said besides, each a bit.
pub const MODIFIERS: &[&str] = &["declaration", "defaultLibrary"];

/// Is declared here.
pub const DECLARATION: u32 = 1;
/// Is the shelf's.
pub const OF_THE_SHELF: u32 = 2;

/// A word and what it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token {
    /// Where it stands, on one line.
    pub span: Span,
    /// What it is.
    pub what: TokenType,
    /// What is said besides.
    pub modifiers: u32,
}

/// The words of a file within a stretch of it.
#[must_use]
pub fn tokens(names: &Names<'_>, file: FileId, within: Span) -> Vec<Token> {
    let survey = names.survey(file);
    let text = names.sources.text(file);
    let mut all = Vec::new();
    for (number, mark) in survey.marks.iter().enumerate() {
        if mark.span.end < within.start || within.end < mark.span.start {
            continue;
        }
        let (what, modifiers) = match mark.kind {
            MarkKind::Comment => (TokenType::Comment, 0),
            MarkKind::Text | MarkKind::Path => (TokenType::Text, 0),
            MarkKind::Number | MarkKind::Date => (TokenType::Number, 0),
            MarkKind::Unit => (TokenType::Unit, 0),
            MarkKind::Sign => (TokenType::Operator, 0),
            MarkKind::Keyword => (TokenType::Keyword, 0),
            MarkKind::Listed => (TokenType::Listed, 0),
            MarkKind::Code => (TokenType::Code, 0),
            MarkKind::Name(role) => named(names, role, &names.meanings(file, &survey, number)),
            MarkKind::Loose => {
                let is_opener = survey.statement_of(number).is_some_and(|of| of.marks.start == number);
                let meanings = names.meanings(file, &survey, number);
                match meanings.is_empty() {
                    true if is_opener => (TokenType::Keyword, 0),
                    true => continue,
                    false => named(names, NameRole::Line, &meanings),
                }
            }
        };
        lines(text, mark.span, |span| all.push(Token { span, what, modifiers }));
    }
    all
}

fn named(names: &Names<'_>, role: NameRole, meanings: &[Meaning]) -> (TokenType, u32) {
    let declaration = if role.declares() { DECLARATION } else { 0 };
    let Some(meaning) = meanings.first() else {
        let what = match role {
            NameRole::StepPart => TokenType::Keyword,
            NameRole::Solvent | NameRole::CountedAs | NameRole::KeptApart => TokenType::Listed,
            NameRole::Phase => TokenType::Group,
            NameRole::Figure => TokenType::Figure,
            NameRole::Substance | NameRole::Subject | NameRole::PlanSubstance => TokenType::Substance,
            _ => TokenType::Material,
        };
        return (what, declaration);
    };
    let of_shelf = if names.is_on_shelf(meaning) { OF_THE_SHELF } else { 0 };
    let what = match meaning {
        Meaning::Let(..) => TokenType::Figure,
        Meaning::Phase(..) => TokenType::Group,
        Meaning::Planned(_, _, true) => TokenType::Substance,
        Meaning::Planned(..) => TokenType::Material,
        Meaning::Declared(id) => match names.scopes.item(*id) {
            Some(Item::Let(_)) => TokenType::Figure,
            Some(Item::Substance(_)) => TokenType::Substance,
            Some(Item::Formula(_) | Item::Variant(_)) => TokenType::Formula,
            Some(Item::Group(_) | Item::Rule(_) | Item::Batch(_) | Item::Container(_)) => TokenType::Group,
            _ => TokenType::Material,
        },
    };
    (what, declaration | of_shelf)
}

/// Each line of a span: a token does not reach over a line's end.
fn lines(text: &str, span: Span, mut each: impl FnMut(Span)) {
    let mut at = span.start;
    for line in span.of(text).split_inclusive('\n') {
        let typed = line.trim_end_matches(['\n', '\r']);
        let end = at + u32::try_from(typed.len()).unwrap_or(u32::MAX);
        if end > at {
            each(Span { start: at, end });
        }
        at += u32::try_from(line.len()).unwrap_or(u32::MAX);
    }
}
