//! A window that the pH foreseen does not lie in, and nothing that brings it there.

use super::context::CheckContext;
use super::foreseen::{Forecast, MODEL, Uncertainty, two_digits, window};
use crate::chemistry::{Mixture, brought_to};
use crate::diagnostic::{Code, Diagnostic, Level};
use crate::model::PhRange;
use crate::quantity::{Exact, Range};
use crate::sheet::ph::{VAGUE, uncertainty};
use crate::syntax::vocabulary::MaterialPhase;

/// A pH foreseen give or take more than this is no ground for an error or a warning.
const TOO_VAGUE: f64 = 0.5;

/// Over this pH alkali makes soap of fatty acids, and with time of fats (common practice, no source).
const SOAP: f64 = 8.5;

/// Percent of the oil phase from which that counts (common practice, no source).
const FAT: i64 = 5;

/// A window that the pH does not lie in, and nothing that brings it there.
pub fn unreachable(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let (Some(window), Some(range)) = (window(context.formula), &context.formula.window) else { return };
    let Some(foreseen) = context.forecast().filter(|foreseen| !foreseen.solution.has_unknown_adjuster) else { return };
    let ph = foreseen.before.ph;
    if window.contains(&ph) && context.formula.adjusters().next().is_some() {
        return;
    }
    let has_adjuster = !foreseen.solution.adjusters.is_empty();
    if has_adjuster && !foreseen.all_lead_away(&window) {
        return;
    }
    let uncertainty = foreseen.uncertainty(context.resolver, context.formula, &foreseen.solution.rest, foreseen.before);
    let Some(level) = how_far_out(&window, ph, uncertainty, !has_adjuster) else { return };
    let rich = uncertainty::of_many_traces(&foreseen.solution.rest, ph, MODEL);
    let level = if window.edge_above(&(ph + rich)).is_none() && window.edge_below(&(ph - rich)).is_none() {
        // So little would bring it in that the model cannot be sure that nothing does.
        level.max(Level::Note)
    } else {
        level
    };
    let is_soap = window.edge_below(&ph).is_some() && makes_soap(context, ph);
    let level = if is_soap { Level::Note } else { level };
    faults.push(unreachable_fault(context, foreseen, &window, range, level));
}

/// Whether alkali meets fat in it: what fats, waxes and fatty acids take up of alkali no model of water knows.
fn makes_soap(context: &CheckContext<'_, '_>, ph: f64) -> bool {
    let fats = context.ingredients().iter().filter(|ingredient| ingredient.material.phase == Some(MaterialPhase::Oil));
    let fat: Exact = fats.filter_map(|ingredient| ingredient.percent.clone()).sum();
    ph > SOAP && fat >= Exact::whole(FAT)
}

/// How grave it is that a pH lies where it does: an error where it is out of the window over the whole uncertainty; a
/// warning where it is out over part of it, or, with an adjuster that could only make it worse, out by the best
/// estimate; a note where it is only vaguely foreseen. None where it is well.
fn how_far_out(window: &Range<f64>, ph: f64, uncertainty: Uncertainty, any_part: bool) -> Option<Level> {
    let Uncertainty { known, all, too_wide, .. } = uncertainty;
    let under = |ph: f64| window.edge_above(&ph).is_some();
    let over = |ph: f64| window.edge_below(&ph).is_some();
    let is_vague = all > TOO_VAGUE;
    if under(ph + all) || over(ph - all) {
        return Some(if is_vague { Level::Note } else { Level::Error });
    }
    let part = if any_part { under(ph - known) || over(ph + known) } else { under(ph) || over(ph) };
    // A window no wider than what the forecast leaves open cannot hold all of that, wherever the pH lies in it.
    let width = window.low.zip(window.high).map(|(low, high)| high - low);
    let is_wider = window.contains(&ph) && width.is_some_and(|width| 2.0 * known >= width);
    // Out by less than what is left open may as well be in.
    let out = window.low.map_or(0.0, |low| low - ph).max(window.high.map_or(0.0, |high| ph - high));
    let is_hardly_out = out > 0.0 && out < known;
    let is_doubtful = known > TOO_VAGUE || is_wider || is_hardly_out;
    if too_wide {
        return (under(ph) || over(ph)).then_some(Level::Note);
    }
    part.then_some(if is_doubtful { Level::Note } else { Level::Warning })
}

fn unreachable_fault(
    context: &CheckContext<'_, '_>,
    foreseen: Forecast<'_>,
    window: &Range<f64>,
    range: &PhRange,
    level: Level,
) -> Diagnostic {
    let ph = foreseen.before.ph;
    // The sheet's own figure: the two have to say the same.
    let give = foreseen.give_on_the_sheet(context.resolver, context.formula);
    let estimate = format!("The pH is foreseen at {ph:.1}, give or take {give:.2}");
    // Within the window by the best estimate: the nearer edge is the one in doubt.
    let too_low = window.low.is_some_and(|low| ph < low)
        || (window.contains(&ph)
            && window.low.is_some_and(|low| ph - low < window.high.map_or(f64::MAX, |high| high - ph)));
    let adjuster = context.formula.adjusters().next();
    let message = match (adjuster, window.contains(&ph)) {
        (Some(line), _) if give > VAGUE => {
            let moves = if too_low { "lowers" } else { "raises" };
            format!("Where the pH lies is hardly foreseen, and `{}` only {moves} it.", line.name)
        }
        (None, _) if give > VAGUE => {
            format!("Where the pH lies is hardly foreseen, and nothing here brings it to {}.", range.words())
        }
        (Some(line), _) => {
            let (side, moves) = if too_low { ("under", "lowers") } else { ("over", "raises") };
            format!("{estimate}, {side} the window of {}, and `{}` only {moves} it.", range.words(), line.name)
        }
        (None, true) => format!("{estimate}: part of that is out of the window of {}.", range.words()),
        (None, false) => {
            let (side, moves) = if too_low { ("under", "raises") } else { ("over", "lowers") };
            format!("{estimate}, {side} the window of {}, and nothing here {moves} it.", range.words())
        }
    };
    let fault = Diagnostic::new(Code::PhWindowUnreachable, range.place, message).at_level(level);
    let fault = match adjuster {
        Some(line) => fault.and(line.mark, "weighed to the pH"),
        None => fault,
    };
    if give > VAGUE {
        return fault
            .help("Read it at the bench. A line `q.s. to pH` of an acid or a base, with water held back, sets it.");
    }
    fault.help(what_would_reach(&foreseen.solution.rest, window, too_low, adjuster.is_some()))
}

/// What to weigh in: a base by its figure, an acid by its kind.
fn what_would_reach(start: &Mixture, window: &Range<f64>, too_low: bool, has_adjuster: bool) -> String {
    let target = window.middle().or(window.low).or(window.high);
    let moles = target.and_then(|target| brought_to(start, target, MODEL)).map(|(moles, _)| moles.abs());
    let written = if has_adjuster { "Weigh" } else { "Add a line `q.s. to pH` with water held back, and weigh" };
    match (too_low, moles) {
        // 100 g take so many mol; a 10 % solution of sodium hydroxide has 0.1 g in each, at 40 g a mol.
        (true, Some(moles)) => format!(
            "{written} a base to the pH: of a 10 % solution of sodium hydroxide some {} % of the batch.",
            two_digits(moles * 400.0)
        ),
        (true, None) => format!("{written} a base to the pH."),
        (false, _) => format!("{written} an acid to the pH, such as a solution of citric or lactic acid."),
    }
}
