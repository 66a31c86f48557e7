//! What the checks ask of the pH model: no more than each needs.

use super::Look;
use super::window::sound;
use crate::chemistry::{Activity, Equilibrium, Mixture};
use crate::predict::spread::{self, Slack};
use crate::predict::{Beaker, Ground, Way, Window};

/// The model that checks go by.
pub const MODEL: Activity = Activity::Davies;
/// Where missing data leave this much of the pH open, only what fails all the same is told of.
const TOO_LITTLE_KNOWN: f64 = 0.5;

/// A formula in the chemistry's eyes, and its state before adjustment once what hydrolyses has done so; none of that
/// where gas leaves.
pub type Seen = (Beaker, Option<Equilibrium>);

/// A formula's pH before adjustment.
#[derive(Clone, Copy)]
pub struct Foreseen<'b> {
    /// The formula in the chemistry's eyes.
    pub beaker: &'b Beaker,
    /// The state before adjustment.
    pub before: &'b Equilibrium,
}

/// How far a pH may be off.
#[derive(Clone, Copy)]
pub struct Uncertainty {
    /// What is known of: meter, chemistry, ionic strength, strength ranges, traces.
    pub known: f64,
    /// All of it: what missing data and the choice of the model add, too.
    pub all: f64,
    /// What of it a dose may be off by, without missing data and with them.
    pub slack: Slack,
    /// All of that.
    pub slack_of_all: Slack,
    /// Whether so little is known that only what fails over all of it is to be told of.
    pub too_wide: bool,
}

/// Sees a formula as the chemistry does; none where nothing in it takes part.
pub fn see(look: &Look<'_, '_>) -> Option<Seen> {
    let beaker = Beaker::of(look.resolver, look.formula)?;
    let before = beaker.at_rest(MODEL);
    Some((beaker, before))
}

impl<'b> Foreseen<'b> {
    /// The adjusters and which way each leads.
    pub fn ways(self) -> impl Iterator<Item = Way<'b>> {
        self.beaker.adjusters.iter().map(move |adjuster| Way::of(adjuster, self.before, MODEL))
    }

    /// How far the pH of a state may be off.
    pub fn uncertainty(self, look: &Look<'_, '_>, mixture: &Mixture, found: &Equilibrium) -> Uncertainty {
        let ground = Ground::of(look.resolver, self.beaker, mixture, found);
        let common = spread::common(look.formula, &ground);
        let known = common
            + spread::of_strengths(self.beaker, mixture, found.ph, MODEL)
            + spread::of_traces(mixture, found.ph, MODEL);
        let missing = spread::of_missing(self.beaker, mixture, found.ph, MODEL);
        // The difference of the models is asked for only where it could matter.
        let models = if ground.is_strong() { spread::of_models(mixture) } else { 0.0 };
        Uncertainty {
            known,
            all: known + missing + models,
            slack: Slack::of_known(common),
            slack_of_all: Slack::with_missing(self.beaker, common + models),
            too_wide: missing > TOO_LITTLE_KNOWN,
        }
    }
}

/// The window of a formula, where it has one whose edges stand the right way round.
pub fn window(look: &Look<'_, '_>) -> Option<Window> {
    sound(look.formula.window.as_ref()).map(Window::of)
}
