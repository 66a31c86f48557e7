//! What loses its hold in acid, where the formula states no window and the pH foreseen shows it.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic, Level};
use crate::model::HeaderLine;
use crate::syntax::vocabulary::Role;

/// An emulsifier or a thickener in a formula without a window that is surely more acid than it bears.
pub fn too_acid(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    let states_none = formula.window.is_none() && formula.lacks(HeaderLine::Ph) && formula.adjusters().next().is_none();
    if formula.is_stock() || !states_none || !formula.lacks(HeaderLine::Product) {
        return;
    }
    let Some(seen) = context.forecast() else { return };
    let mut most = None;
    let mut told = Vec::new();
    for ingredient in context.ingredients() {
        let holds = ingredient.has_role(Role::Emulsifier) || ingredient.has_role(Role::Thickener);
        let Some(works) = ingredient.material.works_in.as_ref().filter(|_| holds) else { continue };
        let Some(low) = works.low.as_ref().filter(|_| !told.contains(&ingredient.material.id)) else { continue };
        let most = *most.get_or_insert_with(|| {
            let sure = seen.uncertainty(context.resolver, formula, &seen.solution.rest, seen.before);
            (!sure.too_wide).then_some(seen.before.ph + sure.all)
        });
        let Some(most) = most.filter(|most| *most < low.to_f64()) else { continue };
        told.push(ingredient.material.id);
        let message = format!(
            "{} works in {}, and the pH is foreseen at {most:.1} at the most: it will not hold.",
            ingredient.named(),
            works.words()
        );
        let other = if ingredient.has_role(Role::Emulsifier) { "an emulsifier" } else { "a thickener" };
        faults.push(
            Diagnostic::new(Code::PhWindowClash, ingredient.line.place, message)
                .at_level(Level::Warning)
                .and(works.place, "where it works")
                .rests_on(works.place)
                .help(format!(
                    "Bring the pH into {}, and write that window into the head; or choose {other} that bears acid.",
                    works.words()
                )),
        );
    }
}
