//! Heat: materials that must stay cool, and those that need it. Phases follow the bench, so a phase stays as hot as the
//! last one left it.

use super::contents::Ingredient;
use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::{Formula, Temperature};
use crate::quantity::Exact;
use crate::syntax::nearest;

/// How hot a phase is.
#[derive(Clone)]
enum Heat {
    /// As hot as this says.
    At(Exact, Place),
    /// Never heated so far.
    Room,
    /// Not known, since a temperature is at fault.
    Unknown,
}

/// How hot each phase gets, in the order of the bench.
fn heats(formula: &Formula) -> Vec<Heat> {
    let mut now = Heat::Room;
    let mut all = Vec::new();
    for phase in &formula.phases {
        if phase.heat_at_fault {
            now = Heat::Unknown;
        }
        let hottest = [&phase.heat, &phase.cool].into_iter().flatten().max_by(|(a, _), (b, _)| a.cmp(b));
        if let Some((celsius, place)) = hottest {
            now = Heat::At(celsius.clone(), *place);
        }
        all.push(now.clone());
        if let Some((celsius, place)) = &phase.cool {
            now = Heat::At(celsius.clone(), *place);
        }
    }
    all
}

/// Whether a statement about heat did not parse, so that nothing can be said of it.
fn is_torn(formula: &Formula) -> bool {
    formula.broken_words.iter().any(|word| !nearest(word, ["heat", "cool"].into_iter()).is_empty())
}

/// A material in a phase as hot as what it must stay below, or hotter. Of a premix the most tender one is told of.
pub fn clash(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if is_torn(context.formula) {
        return;
    }
    let heats = heats(context.formula);
    // What was cooled goes on cooling: a phase that opens at the limit is soon below it.
    let cooled: Vec<&Place> = context.formula.phases.iter().filter_map(|phase| Some(&phase.cool.as_ref()?.1)).collect();
    // Those of one line stand together.
    for of_line in context.ingredients().chunk_by(|one, next| one.at == next.at) {
        let limits = of_line
            .iter()
            .filter_map(|ingredient| ingredient.material.stays_below.as_ref().map(|limit| (ingredient, limit)));
        let Some((ingredient, limit)) = limits.min_by(|(_, a), (_, b)| a.celsius.cmp(&b.celsius)) else { continue };
        if let Some(Heat::At(celsius, place)) = heats.get(ingredient.line.phase)
            && (*celsius > limit.celsius || *celsius == limit.celsius && !cooled.contains(&place))
        {
            faults.push(too_hot(ingredient, limit, celsius, *place));
        }
    }
}

fn too_hot(ingredient: &Ingredient<'_>, limit: &Temperature, celsius: &Exact, place: Place) -> Diagnostic {
    let message =
        format!("{} must stay below {} °C, and its phase is at {celsius} °C.", ingredient.named(), limit.celsius);
    Diagnostic::new(Code::HeatClash, ingredient.line.place, message)
        .and(place, "as hot as this")
        .and(limit.place, "the material's limit")
        .rests_on(limit.place)
        .help(format!("Put it into a later phase that opens with `cool to …`, below {} °C.", limit.celsius))
}

/// A material that needs heat in a phase that is not so hot.
pub fn too_low(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if is_torn(context.formula) {
        return;
    }
    let heats = heats(context.formula);
    for ingredient in context.ingredients().iter().filter(|ingredient| !ingredient.through_premix) {
        let Some(needs) = &ingredient.material.needs else { continue };
        let (how, place) = match heats.get(ingredient.line.phase) {
            Some(Heat::Room) => ("is never heated".to_string(), None),
            Some(Heat::At(celsius, place)) if *celsius < needs.celsius => (format!("is at {celsius} °C"), Some(*place)),
            _ => continue,
        };
        let message = format!("{} needs {} °C, and its phase {how}.", ingredient.named(), needs.celsius);
        let fault = Diagnostic::new(Code::HeatTooLow, ingredient.line.place, message);
        let fault = place.map_or(fault.clone(), |place| fault.and(place, "as hot as this"));
        faults.push(
            fault
                .and(needs.place, "what the material needs")
                .rests_on(needs.place)
                .help(format!("Open the phase with `heat to {} °C`, or a few degrees more.", needs.celsius)),
        );
    }
}
