//! Whether a buffer is to be read before the batch goes on: only where the reading alone does not assure it, and where
//! the answer could change what to do.

use super::meter::nearest_buffer;
use super::next::{Goal, choose};
use super::posterior::Posterior;
use super::priors;
use super::situation::{Situation, Verdict};
use super::titration::Titration;

/// Answers that stand for all: each as likely as the next.
const ANSWERS: [f64; 5] = [0.1, 0.3, 0.5, 0.7, 0.9];

/// So many answers that lead to another act are too many to pass over.
const OTHERS: usize = 2;

/// The buffer to read before anything that cannot be undone; none where none is worth it, or one was read already, or
/// asked for already and passed over.
#[must_use]
pub fn buffer_to_read(situation: &Situation, titration: &Titration, ahead: &Posterior<'_>, goal: &Goal) -> Option<f64> {
    let asks = is_open(situation, ahead, goal) && could_change(situation, titration, ahead, goal);
    (asks && !was_asked(situation)).then(|| nearest_buffer(situation.near_window()))
}

/// Whether the reading says that the batch is in the window, and nothing else assures it.
fn is_open(situation: &Situation, ahead: &Posterior<'_>, goal: &Goal) -> bool {
    situation.calibrations.is_empty()
        && situation.fresh().is_some_and(|last| goal.lies(last.reading).is_eq())
        && ahead.after(0.0).inside(situation.window) < priors::ASSURED
}

/// Whether what a buffer shows could change what to do: another act after several of the answers that are likely, or a
/// chance of a true pH inside that grows by the answers on the average. So much of the same adjuster, or more or less of
/// it, is the same act: the reading after it says the rest.
fn could_change(situation: &Situation, titration: &Titration, ahead: &Posterior<'_>, goal: &Goal) -> bool {
    let Some(last) = situation.fresh() else { return false };
    let buffer = nearest_buffer(situation.near_window());
    let shown = ahead.buffer(buffer);
    let now = Act::of(situation, ahead, goal, last.reading);
    let acts = ANSWERS.map(|chance| {
        let mut answered = situation.clone();
        answered.calibrations.push((buffer, shown.reading_at(chance)));
        let posterior = Posterior::of(&answered, titration);
        let goal = Goal::of(situation.window, titration.direction(), answered.meter_shows_more());
        goal.map_or(now, |goal| Act::of(&answered, &posterior, &goal, last.reading))
    });
    let gained = acts.iter().map(|act| act.inside).sum::<f64>() / ANSWERS.len() as f64 - now.inside;
    let others = acts.iter().filter(|act| act.verdict != now.verdict).count();
    gained >= priors::WORTH_A_BUFFER || others >= OTHERS
}

/// An act, and what comes of it.
#[derive(Clone, Copy, Debug)]
struct Act {
    verdict: Verdict,
    /// The chance of a true pH inside after it.
    inside: f64,
}

impl Act {
    /// The best next act.
    fn of(situation: &Situation, ahead: &Posterior<'_>, goal: &Goal, reading: f64) -> Act {
        let (verdict, addition) = choose(situation, ahead, goal, reading);
        let grams = addition.map_or(0.0, |addition| addition.grams);
        let inside = match verdict {
            // What is known to be out can be led back, and then is as good as assured.
            Verdict::PastFarEdge | Verdict::OutOfReserve => priors::ASSURED,
            _ => ahead.after(grams).inside(situation.window),
        };
        Act { verdict, inside }
    }
}

/// Whether a buffer was asked for at an earlier reading of this setting, and passed over for something that went in.
fn was_asked(situation: &Situation) -> bool {
    let readings = situation.readings.iter().enumerate();
    let mut passed = readings.filter(|(number, seen)| {
        situation.setting_of(*number) == situation.setting_now() && !seen.is_of_now(situation)
    });
    passed.any(|(number, _)| situation.as_of(number).is_some_and(|then| asked_then(&then)))
}

fn asked_then(situation: &Situation) -> bool {
    let titration = Titration::of(situation);
    let posterior = Posterior::of(situation, &titration);
    let goal = Goal::of(situation.window, titration.direction(), situation.meter_shows_more());
    goal.is_some_and(|goal| {
        is_open(situation, &posterior, &goal) && could_change(situation, &titration, &posterior, &goal)
    })
}
