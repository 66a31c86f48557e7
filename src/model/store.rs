//! What is to be made, and what went into and out of the store room.

use super::{DeclId, MakesSize};
use crate::diagnostic::Place;
use crate::quantity::{Exact, Money};
use crate::syntax::vocabulary::StockWord;
use smol_str::SmolStr;

/// `planned NAME …`: one batch to be made.
#[derive(Clone, Debug)]
pub struct Planned {
    /// The formula or variant.
    pub formula: DeclId,
    /// Its name.
    pub name: SmolStr,
    /// How much of it.
    pub makes: MakesSize,
    /// The whole statement.
    pub place: Place,
}

/// What the store room holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Stocked {
    /// A raw material, in grams.
    Material(DeclId),
    /// A premix, in grams.
    Premix(DeclId),
    /// A container, in pieces.
    Container(DeclId),
}

/// `counted …`, `bought …` or `spent …`.
#[derive(Clone, Debug)]
pub struct StockEntry {
    /// What happened.
    pub word: StockWord,
    /// What it happened to.
    pub of: Stocked,
    /// Its name.
    pub name: SmolStr,
    /// Where the name stands.
    pub name_place: Place,
    /// Grams, or pieces of a container.
    pub amount: Exact,
    /// The day.
    pub on: SmolStr,
    /// The lot.
    pub lot: Option<SmolStr>,
    /// What was paid for all of it.
    pub paid: Option<Money>,
    /// Who sold it.
    pub from: Option<SmolStr>,
    /// The day it expires.
    pub expires: Option<SmolStr>,
    /// Why it was spent.
    pub because: Option<SmolStr>,
    /// The whole statement.
    pub place: Place,
}
