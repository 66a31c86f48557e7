//! Less held back than the adjuster may take.

use super::context::CheckContext;
use super::foreseen::{Forecast, Leading, MODEL, Uncertainty, two_digits, window};
use crate::chemistry::equilibrium;
use crate::diagnostic::{Code, Diagnostic, Level, Sureness};
use crate::model::{HeldBack, Line};
use crate::quantity::{Exact, Range};
use crate::sheet::ph::uncertainty::DoseUncertainty;
use crate::sheet::ph::{Direction, is_wide};

/// Less held back than the adjuster may take: an error where even the near edge is out of reach over all that is not
/// sure, a warning where the middle is, or the near edge over part of it.
pub fn short(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(window) = window(context.formula) else { return };
    let Some(foreseen) = context.forecast() else { return };
    for leading in foreseen.leading(&window) {
        let Some(adjuster) = context.formula.lines.get(leading.direction.adjuster.line) else { continue };
        let source = context.formula.reserve_of(adjuster).and_then(|at| context.formula.lines.get(at));
        let Some((source, held)) = source.and_then(|source| Some((source, source.hold_back.as_ref()?))) else {
            continue;
        };
        let over_line = |percent: &Exact| source.percent.as_ref().is_some_and(|there| percent > there);
        if let Some(percent) = held.percent.as_ref().filter(|percent| !over_line(percent)) {
            let reaching = Reaching { foreseen, leading, window };
            faults.extend(told(
                context,
                &reaching,
                &AdjusterWater { adjuster, source, held, percent: percent.to_f64() },
            ));
        }
    }
}

/// An adjuster on its way to the window.
struct Reaching<'b> {
    foreseen: Forecast<'b>,
    leading: Leading<'b>,
    window: Range<f64>,
}

/// What is held back, and for what.
struct AdjusterWater<'l> {
    adjuster: &'l Line,
    source: &'l Line,
    held: &'l HeldBack,
    percent: f64,
}

fn told(context: &CheckContext<'_, '_>, reaching: &Reaching<'_>, of: &AdjusterWater<'_>) -> Option<Diagnostic> {
    let (near, _) = reaching.window.edges_towards(reaching.leading.direction.sign);
    let near = near?;
    if reaching.is_plenty(near, of.percent) {
        return None;
    }
    let need = reaching.need(context)?;
    let enough = |dose: Option<f64>| dose.is_some_and(|dose| dose <= of.percent);
    let doses = |dose_uncertainty: &DoseUncertainty| {
        dose_uncertainty.doses(reaching.foreseen.solution, &reaching.leading.direction, near)
    };
    let over_all = doses(&need.uncertainty.dose_uncertainty_of_all);
    let least = over_all.low;
    let most = doses(&need.uncertainty.dose_uncertainty).high;
    let middle = reaching.window.middle().is_none_or(|_| enough(reaching.leading.middle));
    let (whole, part) = (!enough(least), !middle || !enough(most));
    let level = match (whole, part) {
        (true, _) => Level::Error,
        // So little is known that it may as well be enough.
        (false, true) if need.uncertainty.too_wide => Level::Note,
        (false, true) => Level::Warning,
        (false, false) => return None,
    };
    let (edge, dose) = match (whole, reaching.window.middle()) {
        (false, Some(aim)) if !middle => (aim, reaching.leading.middle),
        _ => (near, reaching.leading.near),
    };
    let takes = match (dose, least) {
        (None, _) => format!("pH {} takes more of `{}` than there is water for", ph(edge), of.adjuster.name),
        (Some(_), Some(least)) if whole && is_wide(&over_all) => {
            format!("pH {} takes at least {} % of `{}`", ph(edge), two_digits(least), of.adjuster.name)
        }
        (Some(_), _) if is_wide(&over_all) => format!("pH {} may take more of `{}`", ph(edge), of.adjuster.name),
        (Some(dose), _) => format!("pH {} takes about {} % of `{}`", ph(edge), two_digits(dose), of.adjuster.name),
    };
    Some(fault(of, &need, &takes).at_level(level))
}

fn fault(of: &AdjusterWater<'_>, need: &Need, takes: &str) -> Diagnostic {
    let message = format!("{} of `{}` is held back, and {takes}.", of.held.written, of.source.name);
    let fault = Diagnostic::new(Code::ReserveShort, of.held.place, message).and(of.adjuster.mark, "comes out of it");
    match &need.hold_back {
        Some(figure) => fault
            .help(format!(
                "Hold back {figure} %: that carries the pH to the middle of the window, and covers what is not sure of \
                 the forecast (give or take {:.2}).",
                need.uncertainty.dose_uncertainty.ph
            ))
            .fix(of.held.place, format!("hold back {figure} %"), Sureness::NeedsALook),
        None => fault
            .help(format!("Take a stronger `{}`: even all of `{}` would not do.", of.adjuster.name, of.source.name)),
    }
}

/// What an adjuster may take.
struct Need {
    uncertainty: Uncertainty,
    /// What to hold back, in whole percent; none where there is not so much.
    hold_back: Option<Exact>,
}

/// More than any uncertainty in pH that has no strength range in it.
const WIDEST: f64 = 0.7;

impl Reaching<'_> {
    /// Whether so much is held back that no closer look is needed: enough for the middle, and for the near edge with
    /// more that is not sure than there ever is. Most formulas are done with here.
    fn is_plenty(&self, near: f64, held: f64) -> bool {
        let solution = self.foreseen.solution;
        let middle = self.window.middle().is_none() || self.leading.middle.is_some_and(|dose| dose <= held);
        if !middle || !solution.all.unsure.is_empty() {
            return false;
        }
        DoseUncertainty::with_missing(solution, WIDEST).is_covered(&self.leading.direction, near, held)
    }

    /// How sure the doses are, and what covers the middle (or the near edge, where there is no middle) and the near
    /// edge with what is not sure.
    fn need(&self, context: &CheckContext<'_, '_>) -> Option<Need> {
        let (near, _) = self.window.edges_towards(self.leading.direction.sign);
        let aim = self.window.middle().or(near)?;
        let dose = if self.window.middle().is_some() { self.leading.middle } else { self.leading.near };
        let mixture = self.leading.direction.adjuster.at(dose.unwrap_or(0.0));
        let uncertainty =
            self.foreseen.uncertainty(context.resolver, context.formula, &mixture, &equilibrium(&mixture, MODEL)?);
        let sure = uncertainty
            .dose_uncertainty
            .doses(self.foreseen.solution, &self.leading.direction, near.unwrap_or(aim))
            .high;
        let most = [dose, sure].into_iter().flatten().fold(0.0, f64::max);
        // A little over is soon topped up; a little short is a batch with adjuster missing and no water left for it.
        let whole = (most * 1.05).ceil().max(1.0);
        let known = dose.is_some() && sure.is_some() && whole <= self.leading.direction.adjuster.blend.most;
        Some(Need { uncertainty, hold_back: known.then(|| Exact::whole(whole as i64)) })
    }
}

/// What to hold back for an adjuster that has nothing held back for it, in whole percent of the batch.
pub fn needed(context: &CheckContext<'_, '_>, adjuster: &Line) -> Option<Exact> {
    let (window, foreseen) = (window(context.formula)?, context.forecast()?);
    let is_it = |direction: &Direction<'_>| {
        context.formula.lines.get(direction.adjuster.line).is_some_and(|line| line.place == adjuster.place)
    };
    let leading = foreseen.leading(&window).find(|leading| is_it(&leading.direction))?;
    Reaching { foreseen, leading, window }.need(context)?.hold_back
}

/// A pH as it is written: as many decimals as it has, one at the least.
fn ph(value: f64) -> String {
    let hundredths = Exact::ratio((value * 100.0).round() as i64, 100);
    if hundredths.decimals() == Some(2) { hundredths.to_fixed(2) } else { hundredths.to_fixed(1) }
}
