//! Why a figure is what it is: each step from the literals to the rounded weight, with the place it rests on.
//!
//! [`why`] gives the derivations of a name; each ends at a figure of the batch sheet, to the digit.

mod batch;
mod line;
mod ph;
mod substance;

use crate::diagnostic::Place;
use crate::model::Formula;
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::session::FormulaReport;
use crate::sheet::{Order, Plan};

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
    pub steps: Vec<Step>,
}

/// A step of a derivation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What it says, with its figures.
    pub says: String,
    /// What it rests on in the source.
    pub place: Option<Place>,
}

/// What a derivation may look at.
pub(crate) struct WhyContext<'l, 's> {
    pub resolver: &'l Resolver<'s>,
    pub formula: &'l Formula,
    pub order: &'l Order,
    pub plan: &'l Plan,
}

/// Digits of a printed percentage, as on the sheet.
pub(crate) const DIGITS: u32 = 10;

/// The derivations of a name in a formula: `batch`, `pH`, a line's material or premix, a substance. Empty where the formula
/// has none of that name, or no plan.
#[must_use]
pub fn why(resolver: &Resolver<'_>, report: &FormulaReport, order: &Order, name: &str) -> Vec<Derivation> {
    let Some(plan) = &report.plan else { return Vec::new() };
    let context = WhyContext { resolver, formula: &report.formula, order, plan };
    let mut all = Vec::new();
    if name == "batch" {
        all.extend(batch::batch(&context));
    }
    if name.eq_ignore_ascii_case("pH") {
        all.extend(ph::ph(&context, report));
    }
    all.extend(line::lines(&context, name));
    all.extend(substance::substance(&context, name));
    all
}

/// The names that can be asked for in a formula.
#[must_use]
pub fn names(resolver: &Resolver<'_>, formula: &Formula) -> Vec<String> {
    let mut names = vec!["batch".to_string(), "pH".to_string()];
    names.extend(formula.lines.iter().map(|line| line.name.to_string()));
    if let Some(composition) = &formula.composition {
        names.extend(composition.parts.keys().map(|id| resolver.substance_name(*id)));
    }
    names.sort();
    names.dedup();
    names
}

/// A step that rests on a place.
fn at(place: Place, says: String) -> Step {
    Step { says, place: Some(place) }
}

/// A step that follows from those before it.
fn so(says: String) -> Step {
    Step { says, place: None }
}

/// A figure with its exact form beside it where the decimal is not the whole of it.
fn shown(figure: &Exact) -> String {
    let short = figure.to_significant(DIGITS);
    if Exact::parse(&short).as_ref() == Some(figure) {
        short
    } else {
        format!("{short} (exactly {})", figure.to_fraction())
    }
}

/// A weight to a scale's step.
fn grams(weight: &Exact, step: &Exact) -> String {
    weight.to_fixed(step.decimals().unwrap_or(4))
}
