//! What the checks ask of the pH model: no more than each needs.

use crate::chemistry::{Equilibrium, Mixture};
use crate::model::Formula;
use crate::quantity::{Exact, Range};
use crate::resolve::Resolver;
use crate::sheet::ph::uncertainty::{self, DoseUncertainty};
use crate::sheet::ph::{Direction, Solution, Unadjusted, Validity};
use std::cell::OnceCell;

pub use crate::sheet::ph::MODEL;

/// Where missing data leave this much of the pH open, only what fails all the same is told of.
const TOO_LITTLE_KNOWN: f64 = 0.5;

/// A formula in the chemistry's eyes, and what has been worked out of it.
pub struct FormulaForecast {
    unadjusted: Unadjusted,
    /// How the adjusters lead to the window, once that has been asked for.
    reaches: OnceCell<Vec<Reach>>,
}

/// How an adjuster leads to the window; nowhere where it leads away from it.
struct Reach {
    number: usize,
    direction: f64,
    leads_away: bool,
    near: Dose,
    middle: Dose,
}

/// A dose to a pH; none where it is out of reach.
#[derive(Default)]
struct Dose {
    grams: Option<f64>,
    /// The state there, where it has been met on the way.
    state: Option<Equilibrium>,
}

/// An adjuster that leads to the window, with its doses to the near edge and to the middle.
#[derive(Clone, Copy)]
pub struct Leading<'b> {
    /// Which way it leads.
    pub direction: Direction<'b>,
    /// The dose to the edge met first; none where the window has none, or it is out of reach.
    pub near: Option<f64>,
    /// The dose to the middle.
    pub middle: Option<f64>,
    /// The state at the near edge, where it has been met on the way.
    pub at_near: Option<&'b Equilibrium>,
    /// The state at the middle, where it has been met on the way.
    pub at_middle: Option<&'b Equilibrium>,
}

/// A formula's pH before adjustment.
#[derive(Clone, Copy)]
pub struct Forecast<'b> {
    /// The formula in the chemistry's eyes.
    pub solution: &'b Solution,
    /// The state before adjustment.
    pub before: &'b Equilibrium,
    reaches: &'b OnceCell<Vec<Reach>>,
}

/// How far a pH may be off.
#[derive(Clone, Copy)]
pub struct Uncertainty {
    /// What is known of: meter, chemistry, ionic strength, strength ranges, traces.
    pub known: f64,
    /// All of it: what missing data and the choice of the model add, too.
    pub all: f64,
    /// What of it a dose may be off by, without missing data and with them.
    pub dose_uncertainty: DoseUncertainty,
    /// All of that.
    pub dose_uncertainty_of_all: DoseUncertainty,
    /// Whether so little is known that only what fails over all of it is to be told of.
    pub too_wide: bool,
}

fn reach(number: usize, direction: Direction<'_>, before: &Equilibrium, window: &Range<f64>) -> Reach {
    let leads_away = direction.leads_away(window);
    let (mut near, mut middle) = (Dose::default(), Dose::default());
    if !leads_away {
        // Each goes on from where the one before it ended.
        near = dose(direction, window.edges_towards(direction.sign).0, 0.0, before);
        middle = match (near.grams, &near.state) {
            (Some(grams), Some(state)) => dose(direction, window.middle(), grams, state),
            _ => dose(direction, window.middle(), 0.0, before),
        };
    }
    Reach { number, direction: direction.sign, leads_away, near, middle }
}

fn dose(direction: Direction<'_>, ph: Option<f64>, from: f64, state: &Equilibrium) -> Dose {
    let Some(ph) = ph else { return Dose::default() };
    if direction.adjuster.titrated.is_some() {
        return Dose { grams: direction.to(ph), state: None };
    }
    let ahead = Some(ph).filter(|ph| direction.sign != 0.0 && !direction.is_passed(*ph));
    match ahead.and_then(|ph| direction.adjuster.blend.dose_from(from, state.medium, ph, MODEL)) {
        Some((grams, state)) => Dose { grams: Some(grams), state: Some(state) },
        None => Dose { grams: direction.to(ph), state: None },
    }
}

impl FormulaForecast {
    /// Sees a formula as the chemistry does; none where nothing in it takes part.
    pub fn of(resolver: &Resolver<'_>, formula: &Formula) -> Option<FormulaForecast> {
        let unadjusted = Unadjusted::of(resolver, formula, MODEL)?;
        Some(FormulaForecast { unadjusted, reaches: OnceCell::new() })
    }

    /// The formula in the chemistry's eyes.
    pub fn solution(&self) -> &Solution {
        &self.unadjusted.solution
    }

    /// What is foreseen of it; none where nothing is.
    pub fn forecast(&self) -> Option<Forecast<'_>> {
        Some(Forecast { solution: self.solution(), before: self.unadjusted.state.as_ref()?, reaches: &self.reaches })
    }

    /// What it began with.
    pub fn into_unadjusted(self) -> Unadjusted {
        self.unadjusted
    }
}

impl<'b> Forecast<'b> {
    /// Whether there are adjusters, and every one of them leads away from the window.
    pub fn all_lead_away(self, window: &Range<f64>) -> bool {
        let reaches = self.reaches(window);
        !reaches.is_empty() && reaches.iter().all(|reach| reach.leads_away)
    }

    /// The adjusters that lead to the window, each with its doses.
    pub fn leading(self, window: &Range<f64>) -> impl Iterator<Item = Leading<'b>> {
        let reaches = self.reaches(window).iter().filter(|reach| !reach.leads_away);
        reaches.filter_map(move |reach| {
            let adjuster = self.solution.adjusters.get(reach.number)?;
            let direction = Direction::towards(adjuster, self.before, reach.direction, MODEL);
            let at_near = if reach.near.grams == Some(0.0) { Some(self.before) } else { reach.near.state.as_ref() };
            let at_middle = reach.middle.state.as_ref();
            Some(Leading { direction, near: reach.near.grams, middle: reach.middle.grams, at_near, at_middle })
        })
    }

    /// A formula has one window, so that it is asked of once.
    fn reaches(self, window: &Range<f64>) -> &'b [Reach] {
        self.reaches.get_or_init(|| {
            let reach =
                |(number, adjuster)| reach(number, Direction::of(adjuster, self.before, MODEL), self.before, window);
            self.solution.adjusters.iter().enumerate().map(reach).collect()
        })
    }

    /// How far the pH before adjustment may be off, as sheets say it.
    pub fn give_on_the_sheet(self, resolver: &Resolver<'_>, formula: &Formula) -> f64 {
        uncertainty::before_adjustment(resolver, formula, self.solution, self.before, MODEL).all()
    }

    /// How far the pH of a state may be off.
    pub fn uncertainty(
        self,
        resolver: &Resolver<'_>,
        formula: &Formula,
        mixture: &Mixture,
        found: &Equilibrium,
    ) -> Uncertainty {
        if let Some((_, give)) = self.solution.before_read().filter(|_| std::ptr::eq(mixture, &self.solution.rest)) {
            return Uncertainty {
                known: give,
                all: give,
                dose_uncertainty: DoseUncertainty::of_known(give),
                dose_uncertainty_of_all: DoseUncertainty::with_missing(self.solution, give),
                too_wide: false,
            };
        }
        let validity = Validity::of(resolver, self.solution, mixture, found);
        let common = uncertainty::common(formula, &validity);
        let known = common
            + uncertainty::of_strengths(self.solution, mixture, found.ph, MODEL)
            + uncertainty::of_traces(mixture, found.ph, MODEL);
        let missing = uncertainty::of_missing(self.solution, mixture, found.ph, MODEL);
        // The difference of the models is asked for only where it could matter.
        let models = if validity.is_strong() { uncertainty::of_models(mixture) } else { 0.0 };
        Uncertainty {
            known,
            all: known + missing + models,
            dose_uncertainty: DoseUncertainty::of_known(common),
            dose_uncertainty_of_all: DoseUncertainty::with_missing(self.solution, common + models),
            too_wide: missing > TOO_LITTLE_KNOWN,
        }
    }
}

/// The window of a formula, where it has one whose edges stand the right way round.
pub fn window(formula: &Formula) -> Option<Range<f64>> {
    formula.sound_window().map(|window| window.to_f64())
}

/// Two significant digits.
pub fn two_digits(value: f64) -> String {
    Exact::ratio((value * 1e6).round() as i64, 1_000_000).to_significant(2)
}
