//! Why a figure is what it is: each step from the literals to the rounded weight, with the place it rests on.
//!
//! [`why`] gives the derivations of a name; each ends at a figure of the batch sheet, to the digit.

mod batch;
mod cost;
mod derivation;
mod line;
mod ph;
mod substance;

pub use cost::cost;
pub use derivation::{Derivation, DerivationStep};

use crate::model::Formula;
use crate::resolve::Resolver;
use crate::session::FormulaReport;
use crate::sheet::BatchOrder;
use derivation::WhyContext;

/// The derivations of a name in a formula: `batch`, `cost`, `pH`, a line's material or premix, a substance. Empty where the formula
/// has none of that name, or no plan.
#[must_use]
pub fn why(resolver: &Resolver<'_>, report: &FormulaReport, order: &BatchOrder, name: &str) -> Vec<Derivation> {
    let Some(plan) = &report.plan else { return Vec::new() };
    let context = WhyContext { resolver, formula: &report.formula, order, plan };
    let mut all = Vec::new();
    if name == "batch" {
        all.extend(batch::batch(&context));
    }
    if name == "cost" {
        let priced = crate::cost::of(resolver, &report.formula, order, None);
        all.extend(priced.iter().flat_map(cost));
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
    let mut names = vec!["batch".to_string(), "cost".to_string(), "pH".to_string()];
    names.extend(formula.lines.iter().map(|line| line.name.to_string()));
    if let Some(composition) = &formula.composition {
        names.extend(composition.parts.keys().map(|id| resolver.substance_name(*id)));
    }
    names.sort();
    names.dedup();
    names
}
