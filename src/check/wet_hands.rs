//! Food for microbes in something dry that wet hands go into.

use super::context::CheckContext;
use super::liquids::Liquids;
use crate::diagnostic::{Code, Diagnostic, Level};
use crate::model::HeaderLine;
use crate::quantity::Exact;
use crate::syntax::vocabulary::{Product, Role};

/// Percent of food from which it is worth preserving (common practice, no source).
const SOME: i64 = 1;
/// Percent of oil from which it is a scrub or a balm, and no powder (common practice, no source).
const OILY_FROM: i64 = 10;

/// A scrub or cleansing balm without water, with honey, milk or oats in it and nothing that preserves. Sugar and salt
/// alone bind what little water comes in, and a plain scrub of them is told nothing (common practice, no source).
pub fn fed(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    let told = faults.iter().any(|fault| fault.code == Code::NoPreservative);
    let dipped = formula.products.contains(&Product::RinseOff);
    if told || !dipped || formula.is_stock() || !formula.total_known || formula.has_role(Role::Preservative) {
        return;
    }
    // A powder is kept dry: it is the oily ones that are dipped into.
    if Liquids::of(context).fat.percent < Exact::whole(OILY_FROM) {
        return;
    }
    // What has water in it is asked about, or is let through for a reason, as all that has.
    if context.is_watery() || formula.water_activity.is_some() || !formula.lacks(HeaderLine::WaterActivity) {
        return;
    }
    let food = context.ingredients().iter().filter_map(|ingredient| {
        let parts = ingredient.material.contains.iter().filter(|part| context.resolver.feeds_microbes(part.substance));
        let share: Exact = parts.map(|part| part.strength.low.clone()).sum();
        Some((ingredient, &ingredient.percent.as_ref()?.hundredth() * &share)).filter(|(_, food)| food.is_positive())
    });
    let food: Vec<_> = food.collect();
    let sum: Exact = food.iter().map(|(_, percent)| percent.clone()).sum();
    let Some((most, _)) = food.iter().rev().max_by(|(_, a), (_, b)| a.cmp(b)).filter(|_| sum >= Exact::whole(SOME))
    else {
        return;
    };
    let message =
        format!("Wet hands bring water into it, {} feeds what grows there, and nothing preserves it.", most.named());
    faults.push(Diagnostic::new(Code::NoPreservative, most.line.place, message).at_level(Level::Warning).help(
        "Add a preservative that goes into oil, such as phenoxyethanol with ethylhexylglycerin, or fill single \
             portions and say so in an `allow no-preservative`.",
    ));
}
