//! The way back from past the far edge: how much of some other material, under every explanation that the readings leave,
//! as an addition of adjuster is foreseen.
//!
//! A reading that differs from what weights and chemistry say is not carried along as so much pH: where nothing holds the
//! pH, as in spare soda, a hair of base is half a pH, and half a pH at the window is much acid. Each explanation says by
//! itself what is in the beaker, and what it takes from there.

use super::Course;
use super::next::{Goal, ScaleSteps};
use super::posterior::{Posterior, crossing};
use super::priors;
use super::situation::{Addition, Situation};
use crate::chemistry::Mixture;

/// Something that may lead back.
#[derive(Clone, Copy, Debug)]
pub struct Lead<'a> {
    /// What a gram of it brings.
    pub per_gram: &'a Mixture,
    /// About what it will take, in grams: the nearer, the finer what is foreseen.
    pub about: f64,
    /// The most that may be put in, in grams.
    pub most: f64,
    /// The step of its scale, in grams.
    pub step: f64,
}

/// What leads back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LedBack {
    /// What goes in now, and the reading after it: one in 20 is below `low`, and one in 20 above `high`.
    pub addition: Addition,
    /// What leads to the middle of the window is less than this one time in 20, in grams,
    pub least: f64,
    /// and more than this one time in 20.
    pub most: f64,
    /// Whether what goes in now is only part of the way, as all of it might go past the other edge.
    pub is_part: bool,
}

/// Why something does not lead back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotLed {
    /// Not with the most that may be put in.
    TooWeak,
    /// A step of its scale may be too much already.
    TooFine,
    /// Nothing is foreseen of this batch.
    Unforeseen,
}

impl Course {
    /// What leads the batch back into its window.
    ///
    /// # Errors
    /// Why it does not.
    pub fn back(&self, situation: &Situation, lead: &Lead<'_>) -> Result<LedBack, NotLed> {
        // What is foreseen is worked out up to so many times what it takes about: further than its range ends.
        const FAR: [f64; 2] = [2.0, 5.0];
        let mut led = Err(NotLed::TooWeak);
        for far in FAR {
            let most = far * lead.about;
            led = self.back_within(situation, lead, most);
            if led.is_ok_and(|led| led.most < 0.99 * most) {
                break;
            }
        }
        led
    }

    fn back_within(&self, situation: &Situation, lead: &Lead<'_>, most: f64) -> Result<LedBack, NotLed> {
        let along = self.0.along(situation, lead.per_gram, most).ok_or(NotLed::Unforeseen)?;
        let goal = Goal::of(situation.window, along.direction(), situation.meter_shows_more());
        let goal = goal.ok_or(NotLed::Unforeseen)?;
        let ahead = Posterior::of(situation, &along);
        let steps = ScaleSteps::of(lead.step);
        let arrives =
            |chance: f64| crossing(0.0, most, steps.step() / 2.0, |grams| goal.arrived(&ahead.after(grams)) - chance);
        let whole = steps.nearest(goal.likely(&ahead, most, &steps));
        if goal.arrived(&ahead.after(most)) < 0.5 || whole > lead.most {
            return Err(NotLed::TooWeak);
        }
        let grams = whole.min(goal.safe_at(&ahead, most, &steps, priors::BACK_RISK));
        if grams < steps.step() / 2.0 {
            return Err(NotLed::TooFine);
        }
        let after = ahead.after(grams);
        Ok(LedBack {
            addition: Addition {
                grams,
                reading: after.reading_at(0.5),
                low: after.reading_at(priors::BACK_TAIL),
                high: after.reading_at(1.0 - priors::BACK_TAIL),
            },
            least: arrives(priors::BACK_TAIL),
            most: arrives(1.0 - priors::BACK_TAIL),
            is_part: grams < whole - steps.step() / 2.0,
        })
    }
}
