//! At the bench: how much adjuster to add next, and whether the readings can be believed.
//!
//! Weights and chemistry together are a second pH meter. [`advise`] draws thousands of explanations of what may
//! really be so (strength of the adjuster, assay of the acid, a buffer that nobody listed, a meter that is off), each
//! as likely as [`priors`] says; the beaker's chemistry tells what each would have read; and each counts by how near
//! that comes to what was read (Bayes). What shifts all readings alike, the meter's usual offset and slope and the
//! chemistry's own error, is worked out exactly beside each. The weighed explanations then foretell the reading and
//! the true pH after any addition.
//!
//! Nothing here reads a file or knows a formula. The same situation gives the same advice, to the last bit.

mod back;
mod check;
mod doubt;
mod drift;
mod explanation;
mod meter;
mod next;
mod posterior;
pub mod priors;
mod sequence;
mod situation;
mod slip;
mod solution;
mod titration;

pub use back::{Lead, LedBack, NotLed};
pub use meter::{MeterEvent, is_shown_right, nearest_buffer, settings, shows_more};
pub use situation::{Addition, Advice, Cause, Doubt, MeterSetting, Observation, Situation, TruePh, Verdict, near};

use crate::quantity::Range;
use next::Goal;
use posterior::Posterior;
use slip::Slips;
use titration::Titration;

/// What to do next with a batch, and what to think of its readings.
#[must_use]
pub fn advise(situation: &Situation) -> Advice {
    advised(situation, &Titration::of(situation))
}

/// The chemistry of a batch, worked out once for whatever may be read in it: a figure on a meter changes nothing in the
/// beaker.
#[derive(Clone, Debug)]
pub struct Course(Titration);

impl Course {
    /// The course of a batch.
    #[must_use]
    pub fn of(situation: &Situation) -> Course {
        Course(Titration::of(situation))
    }

    /// The course of another batch of the same adjuster: what beakers they have in common is not worked out again.
    #[must_use]
    pub fn beside(&self, situation: &Situation) -> Course {
        Course(Titration::beside(situation, &self.0))
    }

    /// The addition alone that [`Course::advise`] says, where the last reading is short of the window: sooner, as
    /// nothing is said of doubts and of the true pH.
    #[must_use]
    pub fn addition(&self, situation: &Situation) -> Option<Addition> {
        if !self.0.is_known() {
            return advise(situation).next;
        }
        let posterior = Posterior::of(situation, &self.0);
        // A slip makes it no more honest.
        if !Judged::may_be_honest(situation, &posterior) {
            return None;
        }
        let slips = Slips::of(situation, &self.0, &posterior);
        let judged = Judged::of(situation, &self.0, &posterior, &slips);
        let (_, next) = judged.verdict(situation, &self.0, &posterior, &[]);
        next
    }

    /// What [`advise`] says of a batch that differs from the one that this is the course of in what was read alone.
    #[must_use]
    pub fn advise(&self, situation: &Situation) -> Advice {
        // Without chemistry the course is taken from the readings.
        if self.0.is_known() { advised(situation, &self.0) } else { advise(situation) }
    }
}

fn advised(situation: &Situation, titration: &Titration) -> Advice {
    let posterior = Posterior::of(situation, titration);
    let slips = Slips::of(situation, titration, &posterior);
    let judged = Judged::of(situation, titration, &posterior, &slips);
    let doubts = doubt::doubts(situation, &posterior, judged.goal.as_ref(), &slips);
    let (verdict, next) = judged.verdict(situation, titration, &posterior, &doubts);
    let by = slips.without_likeliest.as_ref().unwrap_or(&posterior);
    let known = titration.is_known() || !situation.readings.is_empty();
    Advice {
        next,
        verdict,
        ph_true: true_ph(by, situation.window).filter(|_| known),
        doubts,
        honest: judged.honest,
        is_inside: judged.is_inside && judged.honest && matches!(verdict, Verdict::Inside | Verdict::CheckMeter { .. }),
        meter_shows_more: judged.shows_more,
    }
}

/// What is known of the true pH now; none where an explanation has no figure for it.
fn true_ph(by: &Posterior<'_>, window: Range<f64>) -> Option<TruePh> {
    let now = by.after(0.0);
    let middle = now.truth();
    middle.is_finite().then(|| TruePh {
        low: now.truth_at(0.025),
        middle,
        high: now.truth_at(0.975),
        inside: now.inside(window),
    })
}

/// What is made of a batch before it is said what to do.
struct Judged {
    goal: Option<Goal>,
    /// Whether an explanation without a gross fault, or with one that is known and allowed for, fits the readings.
    honest: bool,
    is_inside: bool,
    shows_more: f64,
}

impl Judged {
    /// The share of the explanations without a gross fault, or with one of the meter that is known.
    fn honest_share(situation: &Situation, posterior: &Posterior<'_>) -> f64 {
        let known_meter = if situation.calibrations.is_empty() { 0.0 } else { posterior.known_meter() };
        posterior.share(None) + known_meter
    }

    fn may_be_honest(situation: &Situation, posterior: &Posterior<'_>) -> bool {
        Judged::honest_share(situation, posterior) >= priors::HONEST && posterior.worst_of_best() <= priors::FITS
    }

    fn of(situation: &Situation, titration: &Titration, posterior: &Posterior<'_>, slips: &Slips<'_>) -> Judged {
        let shows_more = situation.meter_shows_more();
        let goal = Goal::of(situation.window, titration.direction(), shows_more);
        let honest = Judged::honest_share(situation, posterior) * (1.0 - slips.share()) >= priors::HONEST
            && posterior.worst_of_best() <= priors::FITS;
        let fresh = situation.fresh();
        let lies_in = |last: &Observation| goal.is_none_or(|goal| goal.lies(last.reading).is_eq());
        Judged { goal, honest, is_inside: fresh.is_some_and(lies_in), shows_more }
    }

    fn verdict(
        &self,
        situation: &Situation,
        titration: &Titration,
        posterior: &Posterior<'_>,
        doubts: &[Doubt],
    ) -> (Verdict, Option<Addition>) {
        let Some(last) = situation.fresh() else { return (Verdict::ReadFirst, None) };
        if !self.honest {
            let buffer = doubts.first().and_then(|doubt| doubt.buffer);
            return (buffer.map_or(Verdict::Doubtful, |buffer| Verdict::CheckMeter { buffer }), None);
        }
        let Some(goal) = &self.goal else { return (Verdict::Inside, None) };
        let chosen = next::choose(situation, posterior, goal, last.reading);
        match check::buffer_to_read(situation, titration, posterior, goal) {
            Some(buffer) => (Verdict::CheckMeter { buffer }, None),
            None => chosen,
        }
    }
}
