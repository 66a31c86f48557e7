//! What a forecast of the pH rests on, and where it ends: missing data, the ground of the model, what drifts.

use super::context::CheckContext;
use super::foreseen::{Forecast, MODEL, window};
use crate::chemistry::equilibrium;
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::quantity::Exact;
use crate::sheet::ph::{VAGUE, Validity};

/// Acid-base data missing for over 1 % of the batch, oils not counted. Told where there is a pH to meet.
pub fn unpredictable(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if formula.window.is_none() && formula.adjusters().next().is_none() {
        return;
    }
    let Some(foreseen) = context.forecast() else { return };
    let missing = foreseen.solution.missing();
    if missing <= Exact::ONE {
        return;
    }
    let named: Vec<String> =
        foreseen.solution.left_out.iter().filter(|of| !of.in_oil).map(|of| format!("`{}`", of.material)).collect();
    let message = format!(
        "{} % of the batch has no acid-base data, and the pH foreseen leaves it out: {}.",
        missing.to_significant(3),
        named.join(", ")
    );
    faults.push(Diagnostic::new(Code::PhUnpredictable, place(context), message).help(
        "Give their substances `acid`, `base`, `salt of` or `neutral`, or the material `as supplied pH … at … %`.",
    ));
}

/// A beaker test that says the opposite of what its adjuster does.
pub fn contradicted(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(foreseen) = context.forecast() else { return };
    for number in &foreseen.solution.contradicted {
        let line = context.formula.lines.get(*number);
        let Some((line, titration)) = line.and_then(|line| Some((line, line.titrated.as_deref()?))) else { continue };
        let rises = titration.points.first().map(|(_, ph)| ph) < titration.points.last().map(|(_, ph)| ph);
        let (goes, does) = if rises { ("rises", "lowers") } else { ("falls", "raises") };
        let message =
            format!("The pH {goes} in this beaker test, and `{}` {does} it: the test is not gone by.", line.name);
        faults.push(
            Diagnostic::new(Code::TitrationContradicted, titration.place, message)
                .help("Look whether it was made with this line's material, and of this formula; then write it again."),
        );
    }
}

/// How far the same batch read twice may lie apart beside what the meter is good to, and what that is where nobody says.
/// Common practice, no source.
const REPEAT: (i64, i64) = (1, 20);

/// Two beaker tests of one formula that begin at another pH, with nothing put in yet.
pub fn begin_apart(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let repeat = Exact::ratio(REPEAT.0, REPEAT.1);
    let meter = context.formula.meter.clone().unwrap_or_else(|| repeat.clone());
    let most = &(&meter + &repeat) * &Exact::whole(2);
    let begins = context.formula.lines.iter().filter_map(|line| {
        let titration = line.titrated.as_deref()?;
        let (_, ph) = titration.points.first().filter(|(grams, _)| grams.is_zero())?;
        Some((titration.place, ph))
    });
    let mut begins = begins;
    let Some((first_place, first)) = begins.next() else { return };
    for (place, ph) in begins {
        let apart = if ph > first { ph - first } else { first - ph };
        if apart > most {
            let message =
                format!("This beaker test begins at pH {ph} with nothing put in, and the other one at {first}.");
            faults.push(
                Diagnostic::new(Code::TitrationContradicted, place, message)
                    .and(first_place, "the other one")
                    .help("Read the batch again before anything goes in, and keep the test that begins there."),
            );
        }
    }
}

/// Where the model leaves its ground: high ionic strength, glycols or alcohol, acid that does not dissolve. Gas that
/// leaves is told of by itself.
pub fn beyond_model(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if context.formula.is_stock() {
        return;
    }
    let Some(foreseen) = context.forecast() else { return };
    let Some(validity) = validity(context, foreseen) else { return };
    let validity = without_told(context, foreseen, validity);
    let reasons = validity.reasons();
    if !reasons.is_empty() {
        let message = format!("The pH foreseen is less sure here: {}.", reasons.join("; "));
        faults.push(
            Diagnostic::new(Code::PhBeyondModel, place(context), message)
                .help("The range of the forecast is wider for it. Go by the meter."),
        );
    }
}

/// The ground at the middle of the window, where an adjuster leads there, else before adjustment.
fn validity(context: &CheckContext<'_, '_>, foreseen: Forecast<'_>) -> Option<Validity> {
    let leading = window(context.formula).and_then(|window| foreseen.leading(&window).next());
    let Some((leading, dose)) = leading.and_then(|leading| Some((leading, leading.middle?))) else {
        return Some(Validity::of(context.resolver, foreseen.solution, &foreseen.solution.rest, foreseen.before));
    };
    let mixture = leading.direction.adjuster.at(dose);
    match leading.at_middle {
        Some(state) => Some(Validity::of(context.resolver, foreseen.solution, &mixture, state)),
        None => Some(Validity::of(context.resolver, foreseen.solution, &mixture, &equilibrium(&mixture, MODEL)?)),
    }
}

/// Leaves out what was weighed in as it is and is more than dissolves: that is told of by itself.
fn without_told(context: &CheckContext<'_, '_>, foreseen: Forecast<'_>, mut validity: Validity) -> Validity {
    let Some(composition) = &context.formula.composition else { return validity };
    // A beaker is 100 g, so that grams of water are percent of the batch.
    let water = foreseen.solution.rest.water_kg * 1000.0;
    validity.undissolved.retain(|of| {
        let parts = composition.parts.iter();
        let own: f64 = parts
            .filter(|(id, _)| context.resolver.substance_name(**id) == of.substance)
            .map(|(_, share)| share.middle().to_f64())
            .sum();
        own <= of.limit * water / 100.0
    });
    validity
}

/// Urea from this much of the batch on, in percent, and self-made esters.
const SOME: f64 = 0.5;

/// What moves the pH for days after making.
pub fn drifts(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if context.formula.is_stock() {
        return;
    }
    let Some(foreseen) = context.forecast() else { return };
    let all = &foreseen.solution.all;
    let mut tell = |message: String, days: &str| {
        faults.push(
            Diagnostic::new(Code::PhDrifts, place(context), message)
                .help(format!("Read the pH again after {days}, before you fill the lot.")),
        );
    };
    if let Some(fresh) = foreseen.solution.fresh(MODEL) {
        // What a beaker test has shown of the end says nothing of the start, and what no sheet tells is no figure here.
        let told = foreseen.give_on_the_sheet(context.resolver, context.formula) <= VAGUE;
        let message = match told && foreseen.solution.read_at.is_empty() {
            true => format!(
                "A lactone turns to its acid here: before adjustment the pH goes from {:.1} to {:.1}.",
                fresh.ph, foreseen.before.ph
            ),
            false => "A lactone turns to its acid here: the pH falls.".to_string(),
        };
        tell(message, "1 and 7 days");
    } else if all.urea > SOME {
        tell("Urea gives off ammonia over time, and the pH rises.".to_string(), "7 and 30 days");
    } else if all.esters > SOME {
        let message =
            "A strong solution of a hydroxy acid holds esters of itself, which turn back to acid: the pH falls.";
        tell(message.to_string(), "7 days");
    }
}

/// The pH line, or the formula's name where there is none.
fn place(context: &CheckContext<'_, '_>) -> Place {
    context.formula.window.as_ref().map_or(context.formula.place, |window| window.place)
}
