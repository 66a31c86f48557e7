//! Declarations that are a line, or little more: what is used, what is called by a name, who makes it and in what.

use super::literal::{Expression, Name, Number, Quantity, Text};
use crate::diagnostic::Span;
use crate::syntax::vocabulary::Market;
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
    /// Its fields, in order.
    pub fields: Vec<MakerField>,
    /// The whole block.
    pub span: Span,
}

/// A field of a maker.
#[derive(Clone, Debug)]
pub struct MakerField {
    /// The word that opens it.
    pub word: Name,
    /// The market that `responsible` speaks of; none in the other fields, or where the word is no market.
    pub market: Option<Market>,
    /// What it says.
    pub text: Text,
    /// The whole field.
    pub span: Span,
}

/// `container NAME { … }`.
#[derive(Clone, Debug)]
pub struct Container {
    /// Its name.
    pub name: Name,
    /// Its fields, in order.
    pub fields: Vec<ContainerField>,
    /// The whole block.
    pub span: Span,
}

/// A field of a container.
#[derive(Clone, Debug)]
pub enum ContainerField {
    /// `holds Q`.
    Holds(Quantity, Span),
    /// `overfill P`.
    Overfill(Expression, Span),
    /// `price M per N, …`: the money, and for how many; one where none is written.
    Price(Vec<(Quantity, Option<Number>)>),
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
