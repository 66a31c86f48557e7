//! What is to be made, and what goes into and out of the store room.

use super::formula::Makes;
use super::literal::{Name, Quantity, Text};
use crate::diagnostic::Span;
use crate::syntax::vocabulary::StockWord;
use smol_str::SmolStr;

/// `planned NAME [N x] Q [plus P]`.
#[derive(Clone, Debug)]
pub struct Planned {
    /// The formula.
    pub name: Name,
    /// How much of it.
    pub makes: Makes,
    /// The whole statement.
    pub span: Span,
}

/// `stock { … }`.
#[derive(Clone, Debug)]
pub struct Stock {
    /// Its statements, in order.
    pub entries: Vec<StockEntry>,
    /// The whole block.
    pub span: Span,
}

/// A statement of the store room.
#[derive(Clone, Debug)]
pub struct StockEntry {
    /// What happened.
    pub what: StockWord,
    /// A material, a premix or a container.
    pub name: Name,
    /// How much of it.
    pub amount: Quantity,
    /// `on DATE`.
    pub on: Option<SmolStr>,
    /// `lot "…"`.
    pub lot: Option<Text>,
    /// `for M`.
    pub paid: Option<Quantity>,
    /// `from "…"`.
    pub from: Option<Text>,
    /// `expires DATE`, and where it stands.
    pub expires: Option<(SmolStr, Span)>,
    /// `because "…"`.
    pub because: Option<Text>,
    /// The whole statement.
    pub span: Span,
}
