//! What a formula's batch is filled into, for the sheet.

use super::filling::Filled;
use super::vessel::Vessel;
use crate::model::{Content, Formula};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::sheet::{BatchOrder, Plan};
use smol_str::SmolStr;

/// What a batch is filled into, and how many there will be.
#[derive(Clone, Debug)]
pub struct Fill {
    /// The container that is filled; none where none is known.
    pub container: Option<SmolStr>,
    /// What it holds by name.
    pub content: Content,
    /// What is filled in beyond that, in percent.
    pub overfill: Exact,
    /// What stays in the pot, in percent.
    pub loss: Exact,
    /// How many, and what goes into each.
    pub filled: Filled,
}

impl Fill {
    /// What a planned batch is filled into; none where nothing says, or a volume has no density.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, formula: &Formula, order: &BatchOrder, plan: &Plan) -> Option<Fill> {
        let vessel = Vessel::of(resolver, formula, order.makes(formula))?;
        let each = vessel.grams(formula.density.as_ref())?;
        let loss = super::reckoning::loss(formula);
        let filled = Filled::by_plan(&plan.batch, &loss, &each, vessel.asked.as_ref())?;
        let known = vessel.packing.iter().filter_map(|(_, container)| container.as_ref().ok());
        let container =
            known.filter(|container| container.holds.is_some()).map(|container| container.name.clone()).next();
        Some(Fill { container, content: vessel.content, overfill: vessel.overfill, loss, filled })
    }
}
