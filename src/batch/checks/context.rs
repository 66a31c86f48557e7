//! What a check of a record may look at.

use crate::batch::{Ledger, LedgerEntry, LedgerLine, Setting};
use crate::model::Batch;
use crate::quantity::Exact;
use crate::resolve::Resolver;

/// A record, and what it is held against.
pub struct BatchContext<'l, 's> {
    /// The names of the session.
    pub resolver: &'l Resolver<'s>,
    /// The record.
    pub batch: &'l Batch,
    /// The formula and its plan.
    pub setting: &'l Setting<'s>,
    /// The record beside the plan.
    pub ledger: &'l Ledger,
}

impl BatchContext<'_, '_> {
    /// A weight to the finest step of the batch's scales.
    pub fn grams(&self, weight: &Exact) -> String {
        self.ledger.grams(weight)
    }

    /// The names of the formula nearest to one that it does not have.
    pub fn near(&self, entry: &LedgerEntry) -> Vec<String> {
        let names = self.ledger.lines.iter().map(|line| line.name.as_str());
        crate::syntax::nearest(&entry.material.text, names).into_iter().map(|near| near.to_string()).collect()
    }

    /// Whether a line stands in the record under a name that is nearly its own: that is told of instead.
    pub fn is_misspelled(&self, line: &LedgerLine) -> bool {
        self.ledger.strangers.iter().any(|entry| self.near(entry).iter().any(|near| *near == line.name))
    }
}
