//! The checker: each check a small function over a formula as it is resolved, in a file for its family.
//!
//! [`check`] runs a whole session. A new check is a function, an entry in [`CHECKS`], an entry in the catalogue
//! (`src/diagnostic/code.rs`) with its page, and a case in `tests/`.

pub(crate) mod allow;
mod amount;
mod asked_rule;
pub(crate) mod caution;
mod contents;
mod ensure;
mod foreseen;
pub(crate) mod growth;
mod heat;
mod mixing;
pub(crate) mod ounce;
mod ph_notes;
mod ph_reach;
mod ph_reserve;
mod ph_step;
mod preservation;
pub(crate) mod reading;
mod reserve;
mod rule;
mod rule_adjuster;
mod rule_text;
mod scale;
mod steps;
mod strength;
mod together;
mod total;
pub(crate) mod unused;
mod usage;
mod version;
pub(crate) mod window;

pub use usage::{Total, totals};

use crate::diagnostic::Diagnostic;
use crate::model::Formula;
use crate::resolve::Resolver;
use crate::sheet::ph::Solution;
use crate::sheet::{Order, Plan};
use contents::Ingredient;
use foreseen::{Forecast, FormulaForecast};
use std::cell::OnceCell;

/// What a command asks of its checks.
#[derive(Clone, Copy)]
pub(crate) struct Asked {
    /// Whether a weight is needed: for a sheet, never for a check.
    pub needs_weight: bool,
    /// Whether the pH is foreseen; only a benchmark goes without.
    pub foresees: bool,
}

/// What a check may look at.
pub struct CheckContext<'l, 's> {
    /// The formula.
    pub formula: &'l Formula,
    /// The names of the session.
    pub resolver: &'l Resolver<'s>,
    /// What the command asked for.
    pub order: &'l Order,
    /// The weights, where they can be planned.
    pub plan: Option<&'l Plan>,
    /// What else the command asked for.
    asked: Asked,
    /// The raw materials, once they have been asked for.
    contents: OnceCell<Vec<Ingredient<'l>>>,
    /// What is foreseen of the pH, once it has been asked for.
    forecast: OnceCell<Option<FormulaForecast>>,
}

impl<'l, 's> CheckContext<'l, 's> {
    /// What a check may look at, before anything has been asked for.
    pub(crate) fn new(
        formula: &'l Formula,
        resolver: &'l Resolver<'s>,
        order: &'l Order,
        plan: Option<&'l Plan>,
        asked: Asked,
    ) -> CheckContext<'l, 's> {
        CheckContext { formula, resolver, order, plan, asked, contents: OnceCell::new(), forecast: OnceCell::new() }
    }

    /// The formula in the chemistry's eyes.
    fn beaker(&self) -> Option<&Solution> {
        self.forecast.get_or_init(|| foreseen::see(self)).as_ref().map(|seen| &seen.beaker)
    }

    /// What is foreseen of the pH; none where nothing is.
    fn forecast(&self) -> Option<Forecast<'_>> {
        self.forecast.get_or_init(|| foreseen::see(self)).as_ref()?.forecast()
    }

    /// Every raw material of the formula, through premixes, in the order of its lines.
    fn ingredients(&self) -> &[Ingredient<'l>] {
        self.contents.get_or_init(|| contents::ingredients(self.formula))
    }
}

/// A check of one formula.
pub type Check = fn(&CheckContext<'_, '_>, &mut Vec<Diagnostic>);

/// Every check of a formula.
pub const CHECKS: &[Check] = &[
    total::qs_twice,
    total::over_or_under,
    total::nothing_left,
    reserve::reserves,
    amount::line_twice,
    usage::over_and_under,
    window::missing,
    window::reversed,
    window::none,
    window::clash_or_partial,
    window::narrow,
    ph_reach::unreachable,
    ph_reserve::short,
    ph_step::coarse,
    ph_notes::unpredictable,
    ph_notes::beyond_model,
    ph_notes::drifts,
    heat::clash,
    heat::too_low,
    mixing::phase_clash,
    mixing::solubility,
    mixing::hlb,
    preservation::none,
    preservation::gap,
    preservation::free_acids,
    preservation::chelator,
    together::apart,
    strength::ignored,
    strength::off_target,
    ounce::makes,
    scale::density_missing,
    scale::batch_size_missing,
    scale::missing,
    scale::too_small_or_below,
    scale::overloaded,
    version::missing,
    steps::unknown_names,
    steps::missing_lines,
    ensure::broken,
    rule::market_unknown,
    rule::rules,
    rule_adjuster::not_counted,
];
