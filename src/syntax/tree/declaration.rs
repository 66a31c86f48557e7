//! Declarations that are a line, or little more: what is used, what is called by a name, who makes it and in what.

use super::literal::{Expression, Name, Quantity, Text};
use crate::diagnostic::Span;
use smol_str::SmolStr;

/// `use …`.
#[derive(Clone, Debug)]
pub struct Use {
    /// What is used.
    pub target: UseTarget,
    /// The whole statement.
    pub span: Span,
}

/// What a `use` names.
#[derive(Clone, Debug)]
pub enum UseTarget {
    /// A file, relative to the one that says so.
    Path(Text),
    /// A file of the shelf, without `shelf/`.
    Shelf(Name),
}

impl UseTarget {
    /// Where the path stands.
    #[must_use]
    pub fn span(&self) -> Span {
        match self {
            UseTarget::Path(text) => text.span,
            UseTarget::Shelf(name) => name.span,
        }
    }
}

/// `let NAME = EXPR`.
#[derive(Clone, Debug)]
pub struct Let {
    /// The name.
    pub name: Name,
    /// What it stands for.
    pub value: Expression,
    /// The whole statement.
    pub span: Span,
}

/// `group NAME = A, B`.
#[derive(Clone, Debug)]
pub struct Group {
    /// Its name.
    pub name: Name,
    /// Its members.
    pub members: Vec<Name>,
    /// The whole statement.
    pub span: Span,
}

/// `maker { … }`.
#[derive(Clone, Debug)]
pub struct Maker {
    /// Each field: its word and its text.
    pub fields: Vec<(Name, Text)>,
    /// The whole block.
    pub span: Span,
}

/// `container NAME { … }`.
#[derive(Clone, Debug)]
pub struct Container {
    /// Its name.
    pub name: Name,
    /// `holds Q`.
    pub holds: Option<Quantity>,
    /// `price M`.
    pub price: Option<Quantity>,
    /// The whole block.
    pub span: Span,
}

/// `rate A = B on DATE`.
#[derive(Clone, Debug)]
pub struct Rate {
    /// The one side.
    pub of: Quantity,
    /// What it is worth.
    pub worth: Quantity,
    /// On which day.
    pub on: SmolStr,
    /// The whole statement.
    pub span: Span,
}
