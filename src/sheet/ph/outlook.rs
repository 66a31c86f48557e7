//! All that is foreseen of a formula's pH, with how sure it is.

use super::doses::{Direction, Doses};
use super::solution::Solution;
use super::told::{PhUncertainty, VAGUE};
use super::unadjusted::Unadjusted;
use super::uncertainty::{self, DoseUncertainty};
use super::validity::Validity;
use crate::chemistry::{Activity, Equilibrium, Mixture, buffer_capacity, equilibrium, undissociated};
use crate::model::{AcidBase, DeclId, Formula};
use crate::quantity::{Exact, Range};
use crate::resolve::Resolver;
use std::sync::Arc;

/// What is foreseen of a formula's pH.
#[derive(Debug)]
pub struct Outlook {
    /// The formula in the chemistry's eyes.
    pub solution: Arc<Solution>,
    /// The model of activity.
    pub model: Activity,
    /// The window; none where the formula has none.
    pub window: Option<Range<f64>>,
    /// The state before adjustment, once what hydrolyses has done so; none where no prediction can be made.
    pub before: Option<Equilibrium>,
    /// How far the pH before adjustment may be off.
    pub before_uncertainty: f64,
    /// What that comes from.
    pub before_parts: PhUncertainty,
    /// The pH before adjustment as it is weighed, where something is yet to hydrolyse.
    pub fresh: Option<f64>,
    /// The pH before adjustment that a beaker test read, and how far that may be off.
    pub before_read: Option<(f64, f64)>,
    /// Each adjuster.
    pub adjusters: Vec<AdjusterOutlook>,
    /// The mixture at the middle of the window where an adjuster leads there, else before adjustment.
    pub at: Mixture,
    /// Its state.
    pub state: Option<Equilibrium>,
    /// Its buffer capacity in mol of strong base per kg of water per pH.
    pub buffer_capacity: Option<f64>,
    /// How far the pH there may be off.
    pub uncertainty: f64,
    /// Where the model leaves its ground there.
    pub validity: Validity,
    /// Free acid of the acids asked for.
    pub free: Vec<FreeAcid>,
}

/// What an adjuster does, in grams per 100 g of batch.
#[derive(Debug)]
pub struct AdjusterOutlook {
    /// The number of its line.
    pub line: usize,
    /// Up, above nought, or down; nought where it moves nothing.
    pub direction: f64,
    /// Whether it leads away from the window.
    pub leads_away: bool,
    /// Whether it may lead there all the same: where the pH begins is too unsure to say.
    pub may_lead: bool,
    /// The doses.
    pub doses: Doses,
    /// The range in which the dose to each may lie: near, middle, far. The upper end is none where it is out of reach.
    pub ranges: [Option<Range<f64>>; 3],
    /// Whether a beaker test read it: near, middle, far. Such a dose is the beaker's, however wide its range.
    pub read: [bool; 3],
}

/// How much of an acid is free, as shares of all of it, its salts counted as the acid: by Henderson and Hasselbalch, as
/// the trade has it.
#[derive(Clone, Copy, Debug)]
pub struct FreeAcid {
    /// The acid.
    pub substance: DeclId,
    /// At the edge of the window that takes least adjuster.
    pub near: Option<f64>,
    /// At the other edge.
    pub far: Option<f64>,
}

/// Foresees a formula's pH. None where nothing in it takes part, or its total is not known.
#[must_use]
pub fn outlook(resolver: &Resolver<'_>, formula: &Formula, model: Activity) -> Option<Outlook> {
    Some(Unadjusted::of(resolver, formula, model)?.outlook(resolver, formula))
}

impl Unadjusted {
    /// Foresees the pH of the formula that this is of.
    #[must_use]
    pub fn outlook(&self, resolver: &Resolver<'_>, formula: &Formula) -> Outlook {
        let (solution, model) = (&*self.solution, self.model);
        let window = formula.sound_window().map(|window| window.to_f64());
        let Some(before) = &self.state else { return without_prediction(self, window) };
        let start = &solution.rest;
        let directions: Vec<Direction<'_>> =
            solution.adjusters.iter().map(|adjuster| Direction::of(adjuster, before, model)).collect();
        let at = at_middle(&directions, window.as_ref()).unwrap_or_else(|| start.clone());
        let state = equilibrium(&at, model);
        let validity = state.as_ref().map(|state| Validity::of(resolver, solution, &at, state)).unwrap_or_default();
        let there = state.as_ref().map_or(before.ph, |state| state.ph);
        let uncertainty = uncertainty::of(solution, &at, there, model, uncertainty::common(formula, &validity)).all();
        let before_parts = uncertainty::before_adjustment(resolver, formula, solution, before, model);
        let dose_uncertainty = DoseUncertainty::with_missing(
            solution,
            uncertainty::common(formula, &validity) + uncertainty::of_models(&at),
        );
        let adjusters = directions
            .iter()
            .map(|direction| {
                let open = before_parts.all();
                AdjusterOutlook {
                    may_lead: open > VAGUE
                        && window.as_ref().is_some_and(|window| direction.started_off(-open).leads_to(window)),
                    ..adjuster_outlook(solution, direction, window.as_ref(), dose_uncertainty)
                }
            })
            .collect();
        let free = free_acids(resolver, formula, &directions, before, window.as_ref());
        Outlook {
            model,
            window,
            before_uncertainty: before_parts.all(),
            before_parts,
            before_read: solution.before_read(),
            fresh: solution.fresh(model).filter(|_| solution.read_at.is_empty()).map(|fresh| fresh.ph),
            adjusters,
            buffer_capacity: buffer_capacity(&at, model),
            state,
            at,
            uncertainty,
            validity,
            free,
            before: Some(before.clone()),
            solution: Arc::clone(&self.solution),
        }
    }
}

fn without_prediction(unadjusted: &Unadjusted, window: Option<Range<f64>>) -> Outlook {
    Outlook {
        model: unadjusted.model,
        window,
        before: None,
        before_uncertainty: 0.0,
        before_parts: PhUncertainty::default(),
        before_read: None,
        fresh: None,
        adjusters: Vec::new(),
        at: Mixture::default(),
        state: None,
        buffer_capacity: None,
        uncertainty: 0.0,
        validity: Validity::default(),
        free: Vec::new(),
        solution: Arc::clone(&unadjusted.solution),
    }
}

fn at_middle(directions: &[Direction<'_>], window: Option<&Range<f64>>) -> Option<Mixture> {
    let middle = window?.middle()?;
    let leading = directions.iter().filter(|direction| window.is_some_and(|window| !direction.leads_away(window)));
    leading.filter_map(|direction| Some(direction.adjuster.at(direction.to(middle)?))).next()
}

fn adjuster_outlook(
    solution: &Solution,
    direction: &Direction<'_>,
    window: Option<&Range<f64>>,
    dose_uncertainty: DoseUncertainty,
) -> AdjusterOutlook {
    let line = direction.adjuster.line;
    let Some(window) = window else {
        return AdjusterOutlook {
            line,
            direction: direction.sign,
            leads_away: false,
            may_lead: false,
            doses: Doses::default(),
            ranges: [None; 3],
            read: [false; 3],
        };
    };
    let leads_away = direction.leads_away(window);
    let (near, far) = window.edges_towards(direction.sign);
    let range = |ph: Option<f64>| {
        let doses = dose_uncertainty.doses(solution, direction, ph.filter(|_| !leads_away)?);
        doses.low.is_some().then_some(doses)
    };
    let ranges = [range(near), range(window.middle()), range(far)];
    let read = [near, window.middle(), far].map(|ph| !leads_away && ph.is_some_and(|ph| direction.is_read(ph)));
    let doses = direction.doses(window);
    AdjusterOutlook { line, direction: direction.sign, leads_away, may_lead: false, doses, ranges, read }
}

/// The free acid of every acid that a line asks for, at the edges of the window.
fn free_acids(
    resolver: &Resolver<'_>,
    formula: &Formula,
    directions: &[Direction<'_>],
    before: &Equilibrium,
    window: Option<&Range<f64>>,
) -> Vec<FreeAcid> {
    let Some(window) = window else { return Vec::new() };
    let leading = directions.iter().find(|direction| !direction.leads_away(window));
    let (near, far) =
        window.edges_towards(leading.map_or_else(|| towards(window, before.ph), |direction| direction.sign));
    let mut found: Vec<FreeAcid> = Vec::new();
    for target in formula.lines.iter().filter_map(|line| line.target.as_ref()) {
        let substance = target.substance;
        let acid = resolver.substance(substance).and_then(|of| match &of.acid_base {
            Some(AcidBase::Acid(pka)) => Some(pka.iter().map(Exact::to_f64).collect::<Vec<f64>>()),
            _ => None,
        });
        let Some(pka) = acid.filter(|_| found.iter().all(|known| known.substance != substance)) else { continue };
        let share = |ph: Option<f64>| ph.map(|ph| undissociated(ph, &pka));
        found.push(FreeAcid { substance, near: share(near), far: share(far) });
    }
    found
}

/// Which way a window lies from a pH: up where nothing says otherwise.
fn towards(window: &Range<f64>, ph: f64) -> f64 {
    match (window.low, window.high) {
        (Some(low), Some(high)) if (ph - low).abs() > (ph - high).abs() => -1.0,
        (None, Some(_)) => -1.0,
        _ => 1.0,
    }
}
