//! What dissolves in water, in an oil that has none.

use super::contents::Ingredient;
use super::context::CheckContext;
use super::liquids::{Liquids, is_grain, joins};
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::DeclId;
use crate::quantity::Exact;
use crate::syntax::vocabulary::{MaterialPhase, Role};

/// Percent of oil and wax in the batch from which it is an oil with something in it (common practice, no source).
const MUCH_OIL: i64 = 30;

/// A solid that belongs into water, in a product of oil, with less of anything to dissolve it in than there is of it.
/// Powders and grains are meant to lie in the oil.
pub fn in_oil(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if !formula.total_known || formula.is_stock() {
        return;
    }
    let liquids = Liquids::of(context);
    let oil = &liquids.fat.percent + &liquids.scent.percent;
    // A bar of more emulsifier or surfactant than oil is no oil.
    if oil < Exact::whole(MUCH_OIL) || liquids.joining > oil {
        return;
    }
    let solvent = &liquids.watery() + &liquids.ethanol;
    let mut solids: Vec<(DeclId, Exact, &Ingredient<'_>)> = Vec::new();
    for ingredient in context.ingredients().iter().filter(|ingredient| is_for_water(context, ingredient)) {
        let Some(percent) = ingredient.percent.clone() else { continue };
        match solids.iter_mut().find(|(id, ..)| *id == ingredient.material.id) {
            Some((_, sum, _)) => *sum = &*sum + &percent,
            None => solids.push((ingredient.material.id, percent, ingredient)),
        }
    }
    let told: Vec<Place> =
        faults.iter().filter(|fault| fault.code == Code::SolubilityOver).map(|fault| fault.primary.place).collect();
    for (_, percent, ingredient) in solids {
        if solvent >= percent || told.contains(&ingredient.line.mark) {
            continue;
        }
        let there = match solvent.is_positive() {
            true => format!("only {} % here is anything of the kind", solvent.to_significant(2)),
            false => format!("there is none: {} % of this is oil", oil.to_significant(3)),
        };
        let message = format!("{} dissolves in water, and {there}.", ingredient.named());
        faults.push(Diagnostic::new(Code::SolubilityOver, ingredient.line.mark, message).help(
            "Take one that dissolves in oil, or make an emulsion of it. Where it is to lie in the oil as a fine \
             powder: `allow solubility-over because \"…\"`.",
        ));
    }
}

/// Whether it is a solid that belongs into water, to be dissolved there.
fn is_for_water(context: &CheckContext<'_, '_>, ingredient: &Ingredient<'_>) -> bool {
    let free = super::liquids::free_water_in(context.resolver, &ingredient.material);
    ingredient.material.phase == Some(MaterialPhase::Water)
        && !is_grain(ingredient)
        && !joins(ingredient)
        && !ingredient.has_role(Role::Solvent)
        && free < Exact::ONE
}
