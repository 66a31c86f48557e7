//! The next addition: towards the middle of the window by the true pH, and never past the far edge by the reading.

use super::posterior::{Posterior, Predicted, crossing};
use super::priors;
use super::situation::{Addition, Situation, Verdict};
use crate::quantity::Range;

/// A window, as the adjuster comes to it.
#[derive(Clone, Copy, Debug)]
pub struct Goal {
    window: Range<f64>,
    /// Up, 1, or down, -1.
    direction: f64,
    /// The edge met first, and the last, times `direction`: so that all that is said of them is said of going up.
    near: Option<f64>,
    far: Option<f64>,
    /// The pH aimed at, times `direction`.
    target: f64,
    /// How far from the edges the reading is kept by the mean.
    margin: f64,
    /// By how much the meter is known to show more than there is.
    shows_more: f64,
}

impl Goal {
    /// The goal of a window, for a meter that is known to show so much too much. None where it is open on both sides.
    #[must_use]
    pub fn of(window: Range<f64>, direction: f64, shows_more: f64) -> Option<Goal> {
        let turned = |edge: Option<f64>| edge.map(|edge| edge * direction);
        let (near, far) = window.edges_towards(direction);
        let (near, far) = (turned(near), turned(far));
        let (target, margin) = match (near, far) {
            (Some(near), Some(far)) => (f64::midpoint(near, far), priors::MARGIN.min((far - near) / 4.0)),
            (Some(near), None) => (near + priors::INTO_OPEN, priors::MARGIN),
            (None, Some(far)) => (far - priors::INTO_OPEN, priors::MARGIN),
            (None, None) => return None,
        };
        Some(Goal { window, direction, near, far, target, margin, shows_more })
    }

    /// Whether a reading, less what the meter shows too much, lies before the window, past it, or in it.
    #[must_use]
    pub fn lies(&self, reading: f64) -> std::cmp::Ordering {
        // What was taken off may lie a hair beside the edge that it is meant to be on.
        const HAIR: f64 = 1e-9;
        let turned = (reading - self.shows_more) * self.direction;
        if self.near.is_some_and(|near| turned < near - HAIR) {
            std::cmp::Ordering::Less
        } else if self.far.is_some_and(|far| turned > far + HAIR) {
            std::cmp::Ordering::Greater
        } else {
            std::cmp::Ordering::Equal
        }
    }

    /// The chance that the true pH is as far as the pH aimed at.
    #[must_use]
    pub fn arrived(&self, outcome: &Predicted) -> f64 {
        let below = outcome.truth_below(self.target * self.direction);
        if self.direction > 0.0 { 1.0 - below } else { below }
    }

    /// The chance that a reading lies past the far edge.
    fn past(&self, outcome: &Predicted) -> f64 {
        self.far.map_or(0.0, |far| {
            let below = outcome.reading_below(far * self.direction + self.shows_more);
            if self.direction > 0.0 { 1.0 - below } else { below }
        })
    }

    /// The dose that is best by the mean, in grams: the true pH at the target, as far as the reading stays inside.
    fn best(&self, ahead: &Posterior<'_>, most: f64, step: f64) -> f64 {
        let truth = crossing(0.0, most, step / 2.0, |grams| ahead.after(grams).truth() * self.direction - self.target);
        let shown = |grams: f64| (ahead.after(grams).reading() - self.shows_more) * self.direction;
        let reading = |edge: f64| crossing(0.0, most, step / 2.0, |grams| shown(grams) - edge);
        let at_least = self.near.map_or(0.0, |near| reading(near + self.margin));
        let at_most = self.far.map_or(most, |far| reading(far - self.margin));
        truth.max(at_least).min(at_most)
    }

    /// The dose that is as likely too little as too much, in grams: far from the window a mean is led astray by the few
    /// explanations that leave nothing to hold the pH.
    #[must_use]
    pub fn likely(&self, ahead: &Posterior<'_>, most: f64, steps: &ScaleSteps) -> f64 {
        let near_enough = steps.step / 2.0;
        let truth = crossing(0.0, most, near_enough, |grams| self.arrived(&ahead.after(grams)) - 0.5);
        let shown = |grams: f64| (ahead.after(grams).reading_at(0.5) - self.shows_more) * self.direction;
        let reading = |edge: f64| crossing(0.0, most, near_enough, |grams| shown(grams) - edge);
        let at_least = self.near.map_or(0.0, |near| reading(near + self.margin));
        let at_most = self.far.map_or(most, |far| reading(far - self.margin));
        truth.max(at_least).min(at_most)
    }

    /// The dose after which the risk of going past the far edge is as large as is allowed.
    #[must_use]
    pub fn safe(&self, ahead: &Posterior<'_>, most: f64, steps: &ScaleSteps) -> f64 {
        self.safe_at(ahead, most, steps, priors::RISK)
    }

    /// The same at another risk.
    #[must_use]
    pub fn safe_at(&self, ahead: &Posterior<'_>, most: f64, steps: &ScaleSteps, risk: f64) -> f64 {
        let risky = |grams: f64| self.past(&ahead.after(grams)) - risk;
        let found = steps.down(crossing(0.0, most, steps.step / 2.0, risky));
        // What was found may lie a step too high.
        if risky(found) > 0.0 { found - steps.step } else { found }
    }
}

/// Doses as a scale weighs them.
#[derive(Clone, Copy, Debug)]
pub struct ScaleSteps {
    step: f64,
    /// The smallest that is worth the while.
    pub smallest: f64,
}

impl ScaleSteps {
    /// Those of a scale's step in grams.
    #[must_use]
    pub fn of(step: f64) -> ScaleSteps {
        let step = if step.is_finite() && step > 0.0 { step } else { priors::SMALLEST };
        ScaleSteps { step, smallest: (priors::SMALLEST / step - 1e-6).ceil().max(1.0) * step }
    }

    /// The most steps that do not go over a dose.
    #[must_use]
    pub fn down(&self, grams: f64) -> f64 {
        (grams / self.step + 1e-6).floor() * self.step
    }

    /// The fewest steps that are not below a dose.
    #[must_use]
    pub fn up(&self, grams: f64) -> f64 {
        (grams / self.step - 1e-6).ceil() * self.step
    }

    /// The step itself, in grams.
    #[must_use]
    pub fn step(&self) -> f64 {
        self.step
    }

    /// The steps nearest to a dose.
    #[must_use]
    pub fn nearest(&self, grams: f64) -> f64 {
        (grams / self.step).round() * self.step
    }
}

/// What to do, where the last reading is of the beaker as it stands.
#[must_use]
pub fn choose(situation: &Situation, ahead: &Posterior<'_>, goal: &Goal, reading: f64) -> (Verdict, Option<Addition>) {
    let lies = goal.lies(reading);
    if lies.is_gt() {
        return (Verdict::PastFarEdge, None);
    }
    let steps = ScaleSteps::of(situation.step);
    let left = steps.down(situation.left_grams.min(situation.at_most.unwrap_or(f64::MAX)).max(0.0));
    let short = lies.is_lt();
    if left < steps.smallest {
        return (if short { Verdict::OutOfReserve } else { Verdict::Inside }, None);
    }
    let moved = situation.readings.iter().any(|seen| seen.adjuster_grams < situation.adjuster_now);
    let best = goal.best(ahead, left, steps.step) * if moved { 1.0 } else { priors::FIRST };
    let safe = goal.safe(ahead, left, &steps);
    let mut grams = steps.nearest(best).min(safe).min(left);
    // A crumb left over is not worth a reading of its own.
    if short && grams < steps.smallest {
        grams = steps.smallest;
    }
    let enough = grams >= steps.smallest && grams <= safe;
    let worth = || {
        let now = ahead.after(0.0).inside(goal.window);
        now < priors::ASSURED && ahead.after(grams).inside(goal.window) - now >= priors::WORTH
    };
    match (short, enough) {
        (true, true) => (Verdict::Add, Some(addition(ahead, grams))),
        (true, false) => (Verdict::ReadFirst, None),
        (false, true) if worth() => (Verdict::Add, Some(addition(ahead, grams))),
        (false, _) => (Verdict::Inside, None),
    }
}

fn addition(ahead: &Posterior<'_>, grams: f64) -> Addition {
    let after = ahead.after(grams);
    Addition {
        grams,
        reading: after.reading(),
        low: after.reading_at(priors::SURELY),
        high: after.reading_at(1.0 - priors::SURELY),
    }
}
