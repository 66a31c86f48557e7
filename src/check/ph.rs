//! The window against the pH foreseen: whether it can be reached, whether what is held back is enough, and whether a
//! step of the scale is fine enough.

use super::Look;
use super::foreseen::{Foreseen, MODEL, Uncertainty, window};
use super::window::words;
use crate::chemistry::{Mixture, brought_to, equilibrium};
use crate::diagnostic::{Code, Diagnostic, Level, Sureness};
use crate::model::{HeldBack, Line, PhRange};
use crate::predict::{Way, Window};
use crate::quantity::Exact;

/// A window that the pH does not lie in, and nothing that brings it there.
pub fn unreachable(look: &Look<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let (Some(window), Some(range)) = (window(look), &look.formula.window) else { return };
    let Some(foreseen) = look.foreseen().filter(|foreseen| !foreseen.beaker.has_unknown_adjuster) else { return };
    let ph = foreseen.before.ph;
    if window.holds(ph) && look.formula.adjusters().next().is_some() {
        return;
    }
    let ways: Vec<Way<'_>> = foreseen.ways().collect();
    if ways.iter().any(|way| !way.leads_away(&window)) {
        return;
    }
    let uncertainty = foreseen.uncertainty(look, &foreseen.beaker.rest, foreseen.before);
    let Some(level) = how_far_out(&window, ph, uncertainty, ways.is_empty()) else { return };
    faults.push(unreachable_fault(look, foreseen, &window, range, uncertainty, level));
}

/// How grave it is that a pH lies where it does: an error where it is out of the window over the whole uncertainty; a
/// warning where it is out over part of it, or, with an adjuster that could only make it worse, out by the best
/// estimate. None where it is well.
fn how_far_out(window: &Window, ph: f64, uncertainty: Uncertainty, any_part: bool) -> Option<Level> {
    let Uncertainty { known, all, too_wide, .. } = uncertainty;
    let under = |ph: f64| window.low.is_some_and(|low| ph < low);
    let over = |ph: f64| window.high.is_some_and(|high| ph > high);
    if under(ph + all) || over(ph - all) {
        return Some(Level::Error);
    }
    let part = if any_part { under(ph - known) || over(ph + known) } else { under(ph) || over(ph) };
    (part && !too_wide).then_some(Level::Warning)
}

fn unreachable_fault(
    look: &Look<'_, '_>,
    foreseen: Foreseen<'_>,
    window: &Window,
    range: &PhRange,
    uncertainty: Uncertainty,
    level: Level,
) -> Diagnostic {
    let ph = foreseen.before.ph;
    let give = if level == Level::Error { uncertainty.all } else { uncertainty.known };
    let estimate = format!("The pH is foreseen at {ph:.1}, give or take {give:.2}");
    // Within the window by the best estimate: the nearer edge is the one in doubt.
    let too_low = window.low.is_some_and(|low| ph < low)
        || (window.holds(ph)
            && window.low.is_some_and(|low| ph - low < window.high.map_or(f64::MAX, |high| high - ph)));
    let adjuster = look.formula.adjusters().next();
    let message = match (adjuster, window.holds(ph)) {
        (Some(line), _) => {
            let (side, moves) = if too_low { ("under", "lowers") } else { ("over", "raises") };
            format!("{estimate}, {side} the window of {}, and `{}` only {moves} it.", words(range), line.name)
        }
        (None, true) => format!("{estimate}: part of that is out of the window of {}.", words(range)),
        (None, false) => {
            let (side, moves) = if too_low { ("under", "raises") } else { ("over", "lowers") };
            format!("{estimate}, {side} the window of {}, and nothing here {moves} it.", words(range))
        }
    };
    let fault = Diagnostic::new(Code::PhWindowUnreachable, range.place, message).at_level(level);
    let fault = match adjuster {
        Some(line) => fault.and(line.mark, "weighed to the pH"),
        None => fault,
    };
    fault.help(what_would_reach(&foreseen.beaker.rest, window, too_low, adjuster.is_some()))
}

/// What to weigh in: a base by its figure, an acid by its kind.
fn what_would_reach(start: &Mixture, window: &Window, too_low: bool, has_adjuster: bool) -> String {
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

/// Less held back than the adjuster may take.
pub fn reserve_short(look: &Look<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(window) = window(look) else { return };
    let Some(foreseen) = look.foreseen() else { return };
    for way in foreseen.ways().filter(|way| !way.leads_away(&window)) {
        let Some(adjuster) = look.formula.lines.get(way.adjuster.line) else { continue };
        let source = look.formula.reserve_of(adjuster).and_then(|at| look.formula.lines.get(at));
        let Some((source, held)) = source.and_then(|source| Some((source, source.hold_back.as_ref()?))) else {
            continue;
        };
        let over_line = |percent: &Exact| source.percent.as_ref().is_some_and(|there| percent > there);
        if let Some(percent) = held.percent.as_ref().filter(|percent| !over_line(percent)) {
            faults.extend(short(look, foreseen, &way, &window, Held { adjuster, source, held, percent }));
        }
    }
}

/// What is held back, and for what.
struct Held<'l> {
    adjuster: &'l Line,
    source: &'l Line,
    held: &'l HeldBack,
    percent: &'l Exact,
}

fn short(
    look: &Look<'_, '_>,
    foreseen: Foreseen<'_>,
    way: &Way<'_>,
    window: &Window,
    of: Held<'_>,
) -> Option<Diagnostic> {
    let (near, _) = window.edges(way.way);
    let near = near?;
    let need = need(look, foreseen, way, window)?;
    let held = of.percent.to_f64();
    let enough = |dose: Option<f64>| dose.is_some_and(|dose| dose <= held);
    let (least, _) = need.uncertainty.slack_of_all.doses(foreseen.beaker, way, near);
    let (_, most) = need.uncertainty.slack.doses(foreseen.beaker, way, near);
    let (whole, part) = (!enough(least), !enough(need.middle) || !enough(most));
    if !whole && (!part || need.uncertainty.too_wide) {
        return None;
    }
    let level = if whole { Level::Error } else { Level::Warning };
    let (edge, dose) = match (whole, window.middle()) {
        (false, Some(middle)) if !enough(need.middle) => (middle, need.middle),
        _ => (near, way.to(near)),
    };
    let takes = match dose {
        Some(dose) => format!("pH {} takes about {} % of `{}`", ph(edge), two_digits(dose), of.adjuster.name),
        None => format!("pH {} takes more of `{}` than there is water for", ph(edge), of.adjuster.name),
    };
    let message = format!("{} of `{}` is held back, and {takes}.", of.held.written, of.source.name);
    let fault = Diagnostic::new(Code::ReserveShort, of.held.place, message)
        .at_level(level)
        .and(of.adjuster.mark, "comes out of it");
    Some(match need.hold_back {
        Some(figure) => fault
            .help(format!(
                "Hold back {figure} %: that carries the pH to the middle of the window, and covers what is not sure of \
                 the forecast (give or take {:.2}).",
                need.uncertainty.slack.ph
            ))
            .fix(of.held.place, format!("hold back {figure} %"), Sureness::NeedsALook),
        None => fault
            .help(format!("Take a stronger `{}`: even all of `{}` would not do.", of.adjuster.name, of.source.name)),
    })
}

/// What an adjuster may take.
struct Need {
    middle: Option<f64>,
    uncertainty: Uncertainty,
    /// What to hold back, in whole percent; none where there is not so much.
    hold_back: Option<Exact>,
}

/// The dose to the middle (or the near edge, where there is no middle), how sure it is, and what covers it.
fn need(look: &Look<'_, '_>, foreseen: Foreseen<'_>, way: &Way<'_>, window: &Window) -> Option<Need> {
    let (near, _) = window.edges(way.way);
    let aim = window.middle().or(near)?;
    let middle = way.to(aim);
    let mixture = way.adjuster.at(middle.unwrap_or(0.0));
    let uncertainty = foreseen.uncertainty(look, &mixture, &equilibrium(&mixture, MODEL)?);
    let (_, sure) = uncertainty.slack.doses(foreseen.beaker, way, near.unwrap_or(aim));
    let covered = [middle, sure];
    let most = covered.into_iter().flatten().fold(0.0, f64::max);
    // A percent over is soon topped up; a percent short is a second batch of adjuster with no water left for it.
    let whole = (most * 1.05).ceil().max(1.0);
    let known = covered.iter().all(Option::is_some) && whole <= way.adjuster.blend.most;
    Some(Need { middle, uncertainty, hold_back: known.then(|| Exact::whole(whole as i64)) })
}

/// What to hold back for an adjuster that has nothing held back for it, in whole percent of the batch.
pub fn reserve_needed(look: &Look<'_, '_>, adjuster: &Line) -> Option<Exact> {
    let (window, foreseen) = (window(look)?, look.foreseen()?);
    let same =
        |way: &Way<'_>| look.formula.lines.get(way.adjuster.line).is_some_and(|line| line.place == adjuster.place);
    let way = foreseen.ways().find(|way| same(way) && !way.leads_away(&window))?;
    need(look, foreseen, &way, &window)?.hold_back
}

/// One step of the scale that moves the pH by more than half of the window.
pub fn step_coarse(look: &Look<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let (Some(window), Some(plan)) = (window(look), look.plan) else { return };
    let (Some(low), Some(high)) = (window.low, window.high) else { return };
    let Some(foreseen) = look.foreseen() else { return };
    for way in foreseen.ways().filter(|way| !way.leads_away(&window)) {
        let lines = look.formula.lines.get(way.adjuster.line).zip(plan.lines.get(way.adjuster.line));
        let Some((line, weight)) = lines else { continue };
        let step = weight.step.to_f64() * 100.0 / plan.batch.to_f64();
        let Some(moved) = steepest(&way, &window, step).filter(|moved| *moved > (high - low) / 2.0) else { continue };
        let parts = round_parts(moved / ((high - low) / 2.0));
        let message = format!(
            "One step of the scale, {} g of `{}`, moves the pH by {moved:.2}; the window is {:.2} wide.",
            weight.step,
            line.name,
            high - low
        );
        let fault = Diagnostic::new(Code::PhStepCoarse, line.mark, message);
        faults.push(
            fault.and(look.formula.window.as_ref().map_or(line.place, |window| window.place), "the window").help(
                format!(
                    "Dilute it: 1 part of `{}` in {parts} parts with water, and hold back more to make room for it. A \
                 larger batch or a finer scale does the same.",
                    line.name
                ),
            ),
        );
    }
}

/// A dilution of at least so many parts that is easily weighed.
fn round_parts(least: f64) -> f64 {
    let tens = 10f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|parts| parts * tens).find(|parts| *parts >= least).unwrap_or(10.0 * tens)
}

/// The most that one step of the scale moves the pH within the window.
fn steepest(way: &Way<'_>, window: &Window, step: f64) -> Option<f64> {
    let doses = way.doses(window);
    let (near, far) = (doses.near?, doses.far.unwrap_or(way.adjuster.blend.most));
    // A wide span of doses over a window cannot hold a step as coarse as that.
    if far - near > 50.0 * step {
        return None;
    }
    let after = |dose: f64| Some(equilibrium(&way.adjuster.at(dose), MODEL)?.ph);
    let moved = |dose: f64| Some((after(dose + step)? - after(dose)?).abs());
    [near, f64::midpoint(near, far)].into_iter().filter_map(moved).reduce(f64::max)
}

/// A pH as it is written: as many decimals as it has, one at the least.
fn ph(value: f64) -> String {
    let hundredths = Exact::ratio((value * 100.0).round() as i64, 100);
    if hundredths.decimals() == Some(2) { hundredths.to_fixed(2) } else { hundredths.to_fixed(1) }
}

/// Two significant digits.
fn two_digits(value: f64) -> String {
    Exact::ratio((value * 1e6).round() as i64, 1_000_000).to_significant(2)
}
