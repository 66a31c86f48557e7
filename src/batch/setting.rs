//! The formula of a batch as its lots make it, and the plan of its weight.

use crate::model::{Batch, Formula, MakesSize};
use crate::resolve::Resolver;
use crate::sheet::{BatchOrder, Plan, plan};
use std::sync::Arc;

/// What a batch is held against.
pub struct Setting<'s> {
    /// The names as this batch has them: those of its plan, and the strengths that its lots were measured at; none where
    /// it has neither.
    own: Option<Resolver<'s>>,
    /// The formula.
    pub formula: Arc<Formula>,
    /// Its weights at the size of the batch.
    pub plan: Plan,
}

impl<'s> Setting<'s> {
    /// The setting of a batch: by the plan frozen into it, else by the formula it names. None where that cannot be
    /// reached, is of another version, or cannot be planned.
    #[must_use]
    pub fn of(resolver: &Resolver<'s>, batch: &Batch) -> Option<Setting<'s>> {
        if let Some((own, formula)) = resolver.frozen_formula(batch) {
            let plan = plan(&formula, &order(batch))?;
            return Some(Setting { own: Some(own), formula: Arc::new(formula), plan });
        }
        let own = resolver.with_assays(batch);
        let formula = own.as_ref().unwrap_or(resolver).formula_of_batch(batch)?;
        let formula = Arc::clone(&formula.formula);
        if !is_version(batch, &formula) {
            return None;
        }
        let plan = plan(&formula, &order(batch))?;
        Some(Setting { own, formula, plan })
    }

    /// The digest of the formula: as the plan of the batch keeps it, else of what it comes to, lots counted as measured.
    #[must_use]
    pub fn digest(&self, session: &Resolver<'s>, batch: &Batch) -> String {
        let plan = batch.plan.as_ref().filter(|plan| !plan.is_faulty);
        let frozen = plan.and_then(|plan| plan.digest.as_ref());
        frozen.map_or_else(|| self.resolver(session).digest(&self.formula), ToString::to_string)
    }

    /// The names as this batch has them.
    #[must_use]
    pub fn resolver<'r>(&'r self, session: &'r Resolver<'s>) -> &'r Resolver<'s> {
        self.own.as_ref().unwrap_or(session)
    }
}

/// Whether a formula is of the version that a batch names; one that names none takes what there is.
#[must_use]
pub fn is_version(batch: &Batch, formula: &Formula) -> bool {
    batch.version.as_ref().is_none_or(|version| formula.version.as_ref() == Some(&version.text))
}

/// The size of the batch in place of what the formula makes.
fn order(batch: &Batch) -> BatchOrder {
    let makes = batch.size.clone().map(|grams| MakesSize {
        count: None,
        grams: Some(grams),
        millilitres: None,
        plus: None,
        place: None,
    });
    BatchOrder { makes, ..BatchOrder::default() }
}
