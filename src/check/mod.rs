//! The checker: each check a small function over a formula as it is resolved, in a file for its family.
//!
//! [`check`] runs a whole session. A new check is a function, an entry in [`CHECKS`], an entry in the catalogue
//! (`src/diagnostic/code.rs`) with its page, and a case in `tests/`.

mod allow;
mod amount;
mod ensure;
mod reading;
mod reserve;
mod rule;
mod rule_text;
mod scale;
mod session;
mod steps;
mod total;
mod unused;
mod usage;
mod version;
mod window;

pub use session::{FormulaReport, Report, check};

use crate::diagnostic::Diagnostic;
use crate::model::Formula;
use crate::plan::{Order, Plan};
use crate::resolve::Resolver;

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
