//! The checker: each check a small function over a formula as it is resolved, in a file for its family.
//!
//! [`check`] runs a whole session. A new check is a function, an entry in [`CHECKS`], an entry in the catalogue
//! (`src/diagnostic/code.rs`) with its page, and a case in `tests/`.

mod allow;
mod amount;
mod caution;
mod contents;
mod ensure;
mod heat;
mod mixing;
mod ounce;
mod preservation;
mod reading;
mod reserve;
mod rule;
mod rule_text;
mod scale;
mod session;
mod steps;
mod strength;
mod together;
mod total;
mod unused;
mod usage;
mod version;
mod window;

pub use session::{FormulaReport, Report, check};
pub use usage::{Total, totals};

use crate::diagnostic::Diagnostic;
use crate::model::Formula;
use crate::plan::{Order, Plan};
use crate::resolve::Resolver;
use contents::Held;
use std::cell::OnceCell;

/// What a check may look at.
pub struct Look<'l, 's> {
    /// The formula.
    pub formula: &'l Formula,
    /// The names of the session.
    pub resolver: &'l Resolver<'s>,
    /// What the command asked for.
    pub order: &'l Order,
    /// The weights, where they can be planned.
    pub plan: Option<&'l Plan>,
    /// Whether a weight is needed: for a sheet, never for a check.
    pub needs_weight: bool,
    /// The raw materials, once they have been asked for.
    contents: OnceCell<Vec<Held<'l>>>,
}

impl<'l> Look<'l, '_> {
    /// Every raw material of the formula, through premixes, in the order of its lines.
    fn held(&self) -> &[Held<'l>] {
        self.contents.get_or_init(|| contents::held(self.formula))
    }
}

/// A check of one formula.
pub type Check = fn(&Look<'_, '_>, &mut Vec<Diagnostic>);

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
];
