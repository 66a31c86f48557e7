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

mod doubt;
mod drift;
mod explanation;
mod next;
mod posterior;
pub mod priors;
mod sequence;
mod situation;
mod solution;
mod titration;

pub use situation::{Addition, Advice, Cause, Doubt, MeterSetting, Observation, Situation, Verdict};

use next::Goal;
use posterior::Posterior;
use titration::Titration;

/// What to do next with a batch, and what to think of its readings.
#[must_use]
pub fn advise(situation: &Situation) -> Advice {
    let titration = Titration::of(situation);
    let posterior = Posterior::of(situation, &titration);
    let goal = Goal::of(situation.window, titration.direction());
    let doubts = doubt::doubts(situation, &posterior, goal.as_ref());
    let now = posterior.after(0.0);
    let known = titration.is_known() || !situation.readings.is_empty();
    let true_ph = (known && now.truth().is_finite()).then(|| (now.truth(), now.truth_at(0.025), now.truth_at(0.975)));
    let honest = posterior.share(None) >= priors::HONEST && posterior.worst_of_best() <= priors::FITS;
    let fresh = situation.fresh();
    let (verdict, next) = match (fresh, goal) {
        (None, _) => (Verdict::ReadFirst, None),
        (Some(_), _) if !honest => (Verdict::Doubtful, None),
        (Some(_), None) => (Verdict::Inside, None),
        (Some(last), Some(goal)) => next::choose(situation, &posterior, &goal, last.reading),
    };
    Advice { next, verdict, true_ph, doubts, honest, inside: now.inside(situation.window) }
}
