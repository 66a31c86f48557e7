//! How far a prediction may be off, in pH, and what makes it wider.

use super::doses::Direction;
use super::solution::Solution;
use super::told::PhUncertainty;
use super::validity::Validity;
use crate::chemistry::{Activity, Equilibrium, Mixture, equilibrium};
use crate::model::Formula;
use crate::quantity::Range;
use crate::resolve::Resolver;

/// The error of a meter of which nothing is declared, in pH.
pub const METER: f64 = 0.05;
/// What constants at another temperature, strengths within their tolerance and the model itself leave open.
const CHEMISTRY: f64 = 0.1;
/// What high ionic strength leaves open beyond that.
const STRONG: f64 = 0.3;
/// What the solubility of what lies undissolved leaves open: half as much again, or two thirds (common practice, no
/// source).
const SATURATED: f64 = 0.18;

/// What metals held by acids leave open: stability constants, and that an acid holds one at a time (common practice, no
/// source).
const METALS: f64 = 0.1;

/// The uncertainty that holds of any state: the meter's error, that of the chemistry, and more where the model leaves
/// its ground. What strength ranges and missing data add is asked for apart.
#[must_use]
pub fn common(formula: &Formula, validity: &Validity) -> f64 {
    let meter = formula.meter.as_ref().map_or(METER, |meter| meter.to_f64());
    let strong = if validity.is_strong() { STRONG } else { 0.0 };
    let saturated = if validity.undissolved.is_empty() { 0.0 } else { SATURATED };
    let metals = if validity.holds_metals { METALS } else { 0.0 };
    meter + CHEMISTRY + strong + saturated + metals + validity.solvents_off + validity.hydroxides_off
}

/// All of it at a mixture, beside what holds of any state.
#[must_use]
pub fn of(solution: &Solution, mixture: &Mixture, ph: f64, model: Activity, common: f64) -> PhUncertainty {
    PhUncertainty {
        common,
        strengths: of_strengths(solution, mixture, ph, model),
        traces: of_traces(mixture, ph, model),
        missing: of_missing(solution, mixture, ph, model),
        models: of_models(mixture),
    }
}

/// All of it before adjustment, for checks and for sheets: what a beaker test read is as sure as a reading.
#[must_use]
pub fn before_adjustment(
    resolver: &Resolver<'_>,
    formula: &Formula,
    solution: &Solution,
    before: &Equilibrium,
    model: Activity,
) -> PhUncertainty {
    if let Some((_, give)) = solution.before_read() {
        return PhUncertainty { common: give, ..PhUncertainty::default() };
    }
    let validity = Validity::of(resolver, solution, &solution.rest, before);
    of(solution, &solution.rest, before.ph, model, common(formula, &validity))
}

/// What strengths that are ranges add at a mixture: each range at its ends, all of them together.
#[must_use]
pub fn of_strengths(solution: &Solution, mixture: &Mixture, ph: f64, model: Activity) -> f64 {
    let mut spread = 0.0;
    for unsure in &solution.all.unsure {
        let ends = [&unsure.low, &unsure.high].into_iter().filter(|end| end.is_active());
        let off = ends.filter_map(|end| Some((equilibrium(&mixture.plus(end, 1.0), model)?.ph - ph).abs()));
        spread += off.fold(0.0, f64::max);
    }
    spread
}

/// What the gas of the air and traces in raw materials may bring of acid or base, in mol per kg of batch: nothing in a
/// buffer, and more than all else where nothing buffers (common practice, no source).
const TRACES: f64 = 1e-4;

/// What traces add at a mixture of 100 g.
#[must_use]
pub fn of_traces(mixture: &Mixture, ph: f64, model: Activity) -> f64 {
    of_moles(mixture, ph, TRACES * 0.1, model)
}

/// What ten times as many traces would add: of a batch that nothing buffers raw materials may well bring that.
#[must_use]
pub fn of_many_traces(mixture: &Mixture, ph: f64, model: Activity) -> f64 {
    of_moles(mixture, ph, TRACES, model)
}

/// What missing data add at a mixture: all that was left out as acid, or as base.
#[must_use]
pub fn of_missing(solution: &Solution, mixture: &Mixture, ph: f64, model: Activity) -> f64 {
    of_moles(mixture, ph, solution.could_be_missing_at(ph), model)
}

/// How far so much strong base, or strong acid, moves the pH.
fn of_moles(mixture: &Mixture, ph: f64, moles: f64, model: Activity) -> f64 {
    if moles <= 0.0 {
        return 0.0;
    }
    let with = |charge: f64| {
        let mut beside = mixture.clone();
        beside.put_ion(charge, moles);
        Some((equilibrium(&beside, model)?.ph - ph).abs())
    };
    with(1.0).into_iter().chain(with(-1.0)).fold(0.0, f64::max)
}

/// The acid or base in 100 g of batch that nobody knows of, in mol: traces, and all that missing data could be.
#[must_use]
pub fn unknown_moles(solution: &Solution) -> f64 {
    TRACES * 0.1 + solution.could_be_missing()
}

/// What a dose may be off by: the pH aimed at, and acid or base that is not known of, in mol per 100 g.
#[derive(Clone, Copy, Debug)]
pub struct DoseUncertainty {
    /// In pH.
    pub ph: f64,
    /// In mol of acid or base.
    pub moles: f64,
}

impl DoseUncertainty {
    /// With this uncertainty in pH, traces, and all that missing data could be.
    #[must_use]
    pub fn with_missing(solution: &Solution, ph: f64) -> DoseUncertainty {
        DoseUncertainty { ph, moles: unknown_moles(solution) }
    }

    /// With this uncertainty in pH, and traces.
    #[must_use]
    pub fn of_known(ph: f64) -> DoseUncertainty {
        DoseUncertainty { ph, moles: TRACES * 0.1 }
    }

    /// The least dose that may lead to a pH, and the most; none where it cannot be reached so.
    #[must_use]
    pub fn doses(&self, solution: &Solution, direction: &Direction<'_>, ph: f64) -> Range<f64> {
        if let Some(range) = direction.titrated_range(ph, solution.could_be_missing()) {
            return range;
        }
        let strengths = of_strengths_in_dose(solution, direction, ph);
        let least = self.dose(direction, ph, -1.0).map(|least| (least - strengths).max(0.0));
        Range { low: least, high: self.dose(direction, ph, 1.0).map(|most| most + strengths) }
    }

    /// Whether so much covers the most that a pH may take, of a batch in which no strength is a range.
    #[must_use]
    pub fn is_covered(&self, direction: &Direction<'_>, ph: f64, dose: f64) -> bool {
        if let Some(range) = direction.titrated_range(ph, self.moles) {
            return range.high.is_some_and(|high| high <= dose);
        }
        direction.reaches_from(dose, ph + direction.sign * self.ph, -direction.sign, self.moles)
    }

    fn dose(&self, direction: &Direction<'_>, ph: f64, more: f64) -> Option<f64> {
        direction.to_from(ph + more * direction.sign * self.ph, -more * direction.sign, self.moles)
    }
}

/// What strengths that are ranges add to a dose or take off it: each range at its ends, all of them together.
fn of_strengths_in_dose(solution: &Solution, direction: &Direction<'_>, ph: f64) -> f64 {
    let ends = |unsure: &crate::resolve::Unsure| {
        let usual = direction.to(ph)?;
        let ends = [&unsure.low, &unsure.high].into_iter().filter(|end| end.is_active());
        let off = ends.filter_map(|end| Some((direction.to_with(ph, end)? - usual).abs()));
        Some(off.fold(0.0, f64::max))
    };
    solution.all.unsure.iter().filter_map(ends).sum()
}

/// How far the two models of activity are apart at a mixture.
#[must_use]
pub fn of_models(mixture: &Mixture) -> f64 {
    match (equilibrium(mixture, Activity::Davies), equilibrium(mixture, Activity::Best)) {
        (Some(davies), Some(best)) => (davies.ph - best.ph).abs(),
        _ => 0.0,
    }
}
