//! Oils that turn rancid, and nothing that slows it.

use super::contents::Ingredient;
use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity::Exact;
use crate::syntax::vocabulary::{Doing, MaterialPhase, Role};

/// Percent of highly unsaturated oils from which an antioxidant is asked for (common practice, no source).
const MUCH: i64 = 10;

/// Much of highly unsaturated oils, and no antioxidant that goes into oil.
pub fn antioxidant(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if formula.is_stock() || !formula.total_known || context.ingredients().iter().any(guards_oil) {
        return;
    }
    let mut oils: Vec<(&Ingredient<'_>, Exact)> = Vec::new();
    for ingredient in context.ingredients().iter().filter(|ingredient| ingredient.material.turns_rancid.is_some()) {
        let Some(percent) = &ingredient.percent else { continue };
        match oils.iter_mut().find(|(oil, _)| oil.material.id == ingredient.material.id) {
            Some((_, sum)) => *sum = &*sum + percent,
            None => oils.push((ingredient, percent.clone())),
        }
    }
    let sum: Exact = oils.iter().map(|(_, percent)| percent.clone()).sum();
    let Some((most, _)) = oils.iter().rev().max_by(|(_, a), (_, b)| a.cmp(b)).filter(|_| sum >= Exact::whole(MUCH))
    else {
        return;
    };
    let message = match oils.len() {
        1 => format!("{} turns rancid, {} % of it is here, and nothing slows it.", most.named(), sum.to_significant(3)),
        count => format!(
            "{} and {} more turn rancid, {} % together, and nothing slows it.",
            most.named(),
            count - 1,
            sum.to_significant(3)
        ),
    };
    let mut fault = Diagnostic::new(Code::AntioxidantMissing, most.line.place, message);
    if let Some(place) = most.material.turns_rancid {
        fault = fault.and(place, "the material says so");
    }
    let others = oils.iter().filter(|(oil, _)| oil.at != most.at);
    let fault = others.fold(fault, |fault, (oil, _)| fault.and(oil.line.place, "this turns rancid too"));
    // 0.1 % to 0.5 %: common practice, no source.
    faults.push(fault.help("Add an antioxidant that goes into oil: 0.1 % to 0.5 % of tocopherol is usual."));
}

/// Whether it slows rancidity where the oil is: one for water does not get there.
fn guards_oil(ingredient: &Ingredient<'_>) -> bool {
    let material = &ingredient.material;
    material.does.contains(&Doing::GuardsOils)
        || ingredient.has_role(Role::Antioxidant) && material.phase != Some(MaterialPhase::Water)
}
