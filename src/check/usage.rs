//! How much of a material a finished product may have, by the material's own `use`.

use super::contents::{Ingredient, ingredients};
use super::context::CheckContext;
use super::scent::is_perfume;
use crate::diagnostic::{Code, Diagnostic, Level};
use crate::model::{Formula, HeaderLine, Line, LineAmount, Material, Usage};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::syntax::vocabulary::Role;
use std::sync::Arc;

/// A material in the finished product: its total, and what each line gives of it, directly or through a premix.
#[derive(Debug)]
pub struct Total<'f> {
    /// The material.
    pub material: Arc<Material>,
    /// How much of it a product of the formula's kind may have.
    pub usage: Usage,
    /// Its percentage as supplied; none where a line of it is not known.
    pub percent: Option<Exact>,
    /// The lines that give it, each with its part.
    pub lines: Vec<(&'f Line, Exact)>,
}

/// The total of every material of a formula that states a usage.
#[must_use]
pub fn totals(formula: &Formula) -> Vec<Total<'_>> {
    totals_of(formula, &ingredients(formula))
}

fn totals_of<'f>(formula: &Formula, all: &[Ingredient<'f>]) -> Vec<Total<'f>> {
    let mut totals: Vec<Total<'f>> = Vec::new();
    for ingredient in all {
        if ingredient.line.amount == LineAmount::AtBench {
            continue;
        }
        let Some(usage) = ingredient.material.usage_in(&formula.products) else { continue };
        let at = totals.iter().position(|total| total.material.id == ingredient.material.id).unwrap_or_else(|| {
            let material = Arc::clone(&ingredient.material);
            totals.push(Total { material, usage: usage.clone(), percent: Some(Exact::ZERO), lines: Vec::new() });
            totals.len() - 1
        });
        let Some(total) = totals.get_mut(at) else { continue };
        match (&total.percent, &ingredient.percent) {
            (Some(sum), Some(percent)) => {
                total.percent = Some(sum + percent);
                total.lines.push((ingredient.line, percent.clone()));
            }
            _ => total.percent = None,
        }
    }
    totals
}

/// A material over or under its `use` range, summed over its lines and over premixes. Stocks are no finished
/// products, so they are not asked.
pub fn over_and_under(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if context.formula.is_stock() || !context.formula.lacks(HeaderLine::Product) {
        return;
    }
    let is_perfume = is_perfume(context.formula);
    for total in totals_of(context.formula, context.ingredients()) {
        if is_perfume && total.material.roles.contains(&Role::Fragrance) {
            continue;
        }
        faults.extend(usage_fault(context.resolver, &total));
    }
}

fn usage_fault(resolver: &Resolver<'_>, total: &Total<'_>) -> Option<Diagnostic> {
    let material = &total.material;
    let usage = &total.usage;
    let supplied = total.percent.as_ref()?;
    // The line that gives most; of equal ones the first.
    let (line, _) = total.lines.iter().rev().max_by(|(_, a), (_, b)| a.cmp(b))?;
    let strength = if usage.active { resolver.active_strength_of(material)? } else { Exact::HUNDRED };
    let figure = &supplied.hundredth() * &strength;
    let what = if usage.active { " of its active" } else { "" };
    let as_supplied = |limit: &Exact| (limit * &Exact::HUNDRED).over(&strength).unwrap_or(Exact::ZERO);
    let (code, limit, message) = match (usage.range.edge_below(&figure), usage.range.edge_above(&figure)) {
        (Some(high), _) => (
            Code::UsageOver,
            high,
            format!("`{}` comes to {figure} %{what}, over its usage of {high} %.", material.name),
        ),
        (None, Some(low)) => (
            Code::UsageUnder,
            low,
            format!("`{}` comes to {figure} %{what}, under its usage of {low} %.", material.name),
        ),
        (None, None) => return None,
    };
    // Cut to the side that stays within it.
    let step = Exact::ratio(1, 10_000);
    let (end, kept) = match code {
        Code::UsageOver => ("most", as_supplied(limit).down_to_step(&step)),
        _ => ("least", as_supplied(limit).up_to_step(&step)),
    };
    // Too little of a preservative does not preserve; too little of anything else does less.
    let is_less = code == Code::UsageUnder && !material.roles.contains(&Role::Preservative);
    let mut fault =
        Diagnostic::new(code, line.mark, message).and(usage.place, "the material's usage").rests_on(usage.place);
    if is_less {
        fault = fault.at_level(Level::Note);
    }
    if total.lines.len() > 1 {
        for (other, percent) in total.lines.iter().filter(|(other, _)| other.place != line.place) {
            fault = fault.and(other.mark, format!("{percent} % more of it comes from here"));
        }
    }
    Some(fault.help(format!(
        "At {end} {} % as supplied stays within it. If you have a reason, write `allow {} because \"…\"` after the line.",
        kept,
        code
    )))
}
