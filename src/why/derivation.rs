//! A derivation: steps that come to a figure, and what they are made with.

use crate::diagnostic::Place;
use crate::model::Formula;
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::sheet::{BatchOrder, Plan};

/// How a figure came about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Derivation {
    /// What the figure is: "grams of `glycerin`".
    pub of: String,
    /// The figure, as the sheet prints it.
    pub result: String,
    /// Its unit: `g`, `%`, or nothing for a verdict.
    pub unit: &'static str,
    /// The steps, the last of which comes to the figure.
    pub steps: Vec<DerivationStep>,
}

/// A step of a derivation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DerivationStep {
    /// What it says, with its figures.
    pub says: String,
    /// What it rests on in the source.
    pub place: Option<Place>,
}

/// What a derivation may look at.
pub(super) struct WhyContext<'l, 's> {
    pub resolver: &'l Resolver<'s>,
    pub formula: &'l Formula,
    pub order: &'l BatchOrder,
    pub plan: &'l Plan,
}

/// Digits of a printed percentage, as on the sheet.
pub(super) const DIGITS: u32 = 10;

/// A step that rests on a place.
pub(super) fn at(place: Place, says: String) -> DerivationStep {
    DerivationStep { says, place: Some(place) }
}

/// A step that follows from those before it.
pub(super) fn so(says: String) -> DerivationStep {
    DerivationStep { says, place: None }
}

/// A figure with its exact form beside it where the decimal is not the whole of it.
pub(super) fn shown(figure: &Exact) -> String {
    let short = figure.to_significant(DIGITS);
    if Exact::parse(&short).as_ref() == Some(figure) {
        short
    } else {
        format!("{short} (exactly {})", figure.to_fraction())
    }
}

/// A weight to a scale's step.
pub(super) fn grams(weight: &Exact, step: &Exact) -> String {
    weight.to_fixed(step.decimals().unwrap_or(4))
}
