//! A formula before adjustment: what every forecast begins with, so that checks and sheets begin with the same.

use super::solution::Solution;
use crate::chemistry::{Activity, Equilibrium};
use crate::model::Formula;
use crate::resolve::Resolver;
use std::sync::Arc;

/// The model of activity that checks and sheets go by.
pub const MODEL: Activity = Activity::Davies;

/// A formula in the chemistry's eyes, with its state before adjustment. Copies share the solution.
#[derive(Clone, Debug)]
pub struct Unadjusted {
    /// The formula.
    pub solution: Arc<Solution>,
    /// Its state, once what hydrolyses has done so; none where gas leaves. Where a beaker test read the pH before anything
    /// went in, that is the pH.
    pub state: Option<Equilibrium>,
    /// The model of activity.
    pub model: Activity,
}

impl Unadjusted {
    /// Sees a formula as the chemistry does; none where nothing in it takes part, or its total is not known.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, formula: &Formula, model: Activity) -> Option<Unadjusted> {
        let solution = Solution::of(resolver, formula)?;
        let state = solution.at_rest(model).map(|state| match solution.before_read() {
            Some((ph, _)) => Equilibrium { ph, ..state },
            None => state,
        });
        Some(Unadjusted { solution: Arc::new(solution), state, model })
    }
}
