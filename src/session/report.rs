//! A whole session checked: what came of every file and every formula.

use super::findings::Findings;
use super::run::run;
use crate::check::allow::Allowed;
use crate::check::{CheckOptions, release};
use crate::diagnostic::{Code, Diagnostic, Level};
use crate::model::{Batch, Formula, Happened};
use crate::resolve::Resolver;
use crate::sheet::ph::{MODEL, Outlook, Unadjusted, outlook};
use crate::sheet::{BatchOrder, Plan};
use crate::syntax::tree::Item;
use crate::workspace::Sources;
use std::ops::Deref;
use std::sync::Arc;

/// A session, checked.
pub struct Report<'s> {
    /// The names of the session.
    pub resolver: Resolver<'s>,
    /// Every diagnostic that is not allowed, by file, then by position, nothing twice.
    pub diagnostics: Findings,
    /// The formulas of the files that were named, in the order they stand.
    pub formulas: Vec<FormulaReport>,
}

/// A formula, checked. Cheap to clone: as long as nothing that bears on it changes, one is kept for all reports.
#[derive(Clone, Debug)]
pub struct FormulaReport(Arc<CheckedFormula>);

impl Deref for FormulaReport {
    type Target = CheckedFormula;

    fn deref(&self) -> &CheckedFormula {
        &self.0
    }
}

/// What a check of a formula came to.
#[derive(Debug)]
pub struct CheckedFormula {
    /// The formula.
    pub formula: Arc<Formula>,
    /// Its plan, where there is one.
    pub plan: Option<Plan>,
    /// The diagnostics that bear on it and are not allowed.
    pub diagnostics: Vec<Diagnostic>,
    /// What it allows.
    pub allowed: Vec<Allowed>,
    /// Which rules were read and on which day, where any were.
    pub remark: Option<String>,
    /// Why nothing preserves its water and none is asked for, where that is so.
    pub unpreserved: Option<String>,
    /// The formula before adjustment as the checks saw it, kept where the command prints what is foreseen.
    pub unadjusted: Option<Unadjusted>,
}

impl FormulaReport {
    /// A formula as it was checked.
    pub(super) fn new(checked: CheckedFormula) -> FormulaReport {
        FormulaReport(Arc::new(checked))
    }

    /// All that is foreseen of its pH: from what the checks saw, where that was kept.
    #[must_use]
    pub fn outlook(&self, resolver: &Resolver<'_>) -> Option<Outlook> {
        match &self.unadjusted {
            Some(unadjusted) => Some(unadjusted.outlook(resolver, &self.formula)),
            None => outlook(resolver, &self.formula, MODEL),
        }
    }

    /// Whether an error bears on the formula, so that no batch of it should be weighed.
    #[must_use]
    pub fn is_blocked(&self) -> bool {
        self.diagnostics.iter().any(|fault| fault.level == Level::Error)
    }
}

impl Report<'_> {
    /// What is told of a record itself.
    pub fn of_batch(&self, batch: &Batch) -> impl Iterator<Item = &Diagnostic> {
        let span = self.resolver.scopes.item(batch.id).map(Item::span);
        self.diagnostics.iter().filter(move |fault| {
            let place = fault.primary.place;
            place.file == batch.id.file && span.is_some_and(|span| span.holds(place.span))
        })
    }

    /// What stands against releasing a batch: the worst error that is open in its record. That more was kept back or sold
    /// than filled stands against it too, once there are jars; of a batch that is released any error does.
    #[must_use]
    pub fn unfit(&self, batch: &Batch) -> Option<&str> {
        let is_released = batch.events.iter().any(|event| matches!(event.what, Happened::Released));
        let counts = |fault: &&Diagnostic| is_released || fault.code == Code::BatchSoldOver;
        let errors = || self.of_batch(batch).filter(|fault| fault.level == Level::Error).filter(counts);
        let other = || errors().find(|fault| fault.code != Code::BatchReleasedUnfit).or_else(|| errors().next());
        release::worst(self.of_batch(batch)).or_else(other).map(|fault| fault.message.as_str())
    }
}

/// Checks a session. `order` is what the command asked for; `needs_weight` whether a sheet is wanted, which prints what
/// is foreseen.
#[must_use]
pub fn check<'s>(sources: &'s Sources, order: &BatchOrder, needs_weight: bool) -> Report<'s> {
    run(sources, order, CheckOptions { needs_weight, foresees: true, keeps_forecast: needs_weight })
}

/// Checks a session of which no sheet is wanted, and yet what is foreseen of the pH.
#[must_use]
pub fn check_to_foresee<'s>(sources: &'s Sources, order: &BatchOrder) -> Report<'s> {
    run(sources, order, CheckOptions { needs_weight: false, foresees: true, keeps_forecast: true })
}

/// The same without any forecast of the pH: for a benchmark of what forecasts cost.
#[must_use]
pub fn check_without_forecast<'s>(sources: &'s Sources, order: &BatchOrder) -> Report<'s> {
    run(sources, order, CheckOptions { needs_weight: false, foresees: false, keeps_forecast: false })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::workspace::{Disk, load};
    use std::path::PathBuf;

    const ACID: &str = "use shelf/all\n\nformula acid {\n  makes 100 g\n  phase a {\n    glycolic-acid-70  5 %\n    \
        water  q.s.\n  }\n}\n";

    #[test]
    fn a_sheet_goes_on_from_the_solution_that_its_checks_saw() {
        let loaded = load(&Disk, &[], Some((PathBuf::from("."), ACID.into())));
        for report in [
            check(&loaded.sources, &BatchOrder::default(), true),
            check_to_foresee(&loaded.sources, &BatchOrder::default()),
        ] {
            let found = &report.formulas[0];
            let kept = found.unadjusted.as_ref().expect("what the checks saw");
            let outlook = found.outlook(&report.resolver).expect("a forecast");
            assert!(Arc::ptr_eq(&kept.solution, &outlook.solution));
            assert_eq!(kept.state.as_ref().map(|state| state.ph), outlook.before.as_ref().map(|state| state.ph));
        }
        let alone = check(&loaded.sources, &BatchOrder::default(), false);
        assert!(alone.formulas[0].unadjusted.is_none(), "a check alone keeps nothing");
        assert!(alone.formulas[0].outlook(&alone.resolver).is_some());
    }
}
