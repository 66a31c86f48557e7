//! What a check may look at. What several checks ask for is worked out once, when the first of them asks.

use super::contents::{self, Ingredient};
use super::exemption::{self, Exemption};
use super::foreseen::{Forecast, FormulaForecast};
use crate::model::Formula;
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::sheet::ph::{Solution, Unadjusted};
use crate::sheet::{BatchOrder, Plan};
use std::cell::OnceCell;

/// Percent of water under which a batch is dry: what an extract, a humectant or a solution of a vitamin brings into an oil
/// is bound there (common practice, no source).
const TRACE: i64 = 1;

/// What a command asks of its checks.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) struct CheckOptions {
    /// Whether a weight is needed: for a sheet, never for a check.
    pub needs_weight: bool,
    /// Whether the pH is foreseen; only a benchmark goes without.
    pub foresees: bool,
    /// Whether what is foreseen is printed, and so kept.
    pub keeps_forecast: bool,
}

/// What a check may look at.
pub struct CheckContext<'l, 's> {
    /// The formula.
    pub formula: &'l Formula,
    /// The names of the session.
    pub resolver: &'l Resolver<'s>,
    /// What the command asked for.
    pub order: &'l BatchOrder,
    /// The weights, where they can be planned.
    pub plan: Option<&'l Plan>,
    /// What else the command asked for.
    asked: CheckOptions,
    /// The raw materials, once they have been asked for.
    contents: OnceCell<Vec<Ingredient<'l>>>,
    /// The water, once it has been asked for.
    water: OnceCell<Option<Interval>>,
    /// The ethanol, once it has been asked for.
    ethanol: OnceCell<Option<Interval>>,
    /// Whether a material brings water, once that has been asked for.
    is_watery: OnceCell<bool>,
    /// Why no preservative is asked for, once that has been asked for.
    exemption: OnceCell<Option<Exemption>>,
    /// What is foreseen of the pH, once it has been asked for.
    forecast: OnceCell<Option<FormulaForecast>>,
}

impl<'l, 's> CheckContext<'l, 's> {
    /// What a check may look at, before anything has been asked for.
    pub(crate) fn new(
        formula: &'l Formula,
        resolver: &'l Resolver<'s>,
        order: &'l BatchOrder,
        plan: Option<&'l Plan>,
        asked: CheckOptions,
    ) -> CheckContext<'l, 's> {
        CheckContext {
            formula,
            resolver,
            order,
            plan,
            asked,
            contents: OnceCell::new(),
            water: OnceCell::new(),
            ethanol: OnceCell::new(),
            is_watery: OnceCell::new(),
            exemption: OnceCell::new(),
            forecast: OnceCell::new(),
        }
    }

    /// Whether the command needs a weight.
    pub(super) fn needs_weight(&self) -> bool {
        self.asked.needs_weight
    }

    /// The formula in the chemistry's eyes.
    pub(super) fn solution(&self) -> Option<&Solution> {
        self.seen().map(FormulaForecast::solution)
    }

    /// What is foreseen of the pH; none where nothing is.
    pub(super) fn forecast(&self) -> Option<Forecast<'_>> {
        self.seen()?.forecast()
    }

    fn seen(&self) -> Option<&FormulaForecast> {
        let see = || FormulaForecast::of(self.resolver, self.formula).filter(|_| self.asked.foresees);
        self.forecast.get_or_init(see).as_ref()
    }

    /// What the checks saw of the pH, where the command prints what is foreseen.
    pub(crate) fn into_forecast(self) -> Option<Unadjusted> {
        if !self.asked.keeps_forecast {
            return None;
        }
        self.seen();
        self.forecast.into_inner().flatten().map(FormulaForecast::into_unadjusted)
    }

    /// Every raw material of the formula, through premixes, in the order of its lines.
    pub(super) fn ingredients(&self) -> &[Ingredient<'l>] {
        self.contents.get_or_init(|| contents::ingredients(self.formula))
    }

    /// The physical water of the batch in percent; none where the total is not known.
    pub(super) fn water(&self) -> Option<&Interval> {
        self.water.get_or_init(|| contents::water(self.resolver, self.formula)).as_ref()
    }

    /// The ethanol of the batch in percent; none where the total is not known.
    pub(super) fn ethanol(&self) -> Option<&Interval> {
        self.ethanol.get_or_init(|| contents::ethanol(self.resolver, self.formula)).as_ref()
    }

    /// Whether any raw material of the formula is known to bring water, and all of it is more than a trace.
    pub(super) fn is_watery(&self) -> bool {
        let is_wet = |ingredient: &Ingredient<'_>| contents::is_wet(self.resolver, &ingredient.material);
        let is_trace = || self.water().is_some_and(|water| water.high < Exact::whole(TRACE));
        *self.is_watery.get_or_init(|| self.ingredients().iter().any(is_wet) && !is_trace())
    }

    /// Why no preservative is asked for; none where one is.
    pub(super) fn exemption(&self) -> Option<&Exemption> {
        let work_out = || {
            exemption::at_once(self.formula, self.ethanol(), self.ingredients())
                .or_else(|| exemption::foreseen(self.resolver, self.formula, self.forecast()))
        };
        self.exemption.get_or_init(work_out).as_ref()
    }
}
