//! A weight that is far from what is still asked of its line: rather a slip of the pen than of the hand.

use crate::batch::{Ledger, Setting};
use crate::diagnostic::FileId;
use crate::quantity::{Dimension, Exact};
use crate::session::Report;
use crate::syntax::parse;
use crate::syntax::tree::{Batch, BatchEntry, Item, Quantity};

/// A weight more than a fifth off.
pub struct OffPlan {
    /// The material.
    material: String,
    /// What is to be written down, in grams.
    grams: String,
    /// What is still asked, in grams.
    asked: String,
    /// Whether it is too little: that is told by no check until the batch is filled.
    pub too_little: bool,
}

impl OffPlan {
    /// What a statement weighs in, where that is more than a fifth off what is still asked of its line; none where it
    /// is not, or nobody knows what is asked.
    #[must_use]
    pub fn of(report: &Report<'_>, batch: &Batch, statement: &str) -> Option<OffPlan> {
        let (material, grams) = weighed(statement)?;
        let source = report.resolver.sources.files.first()?;
        let record = report.resolver.batches_of(source).into_iter().find(|record| record.name == batch.name.text)?;
        let setting = Setting::of(&report.resolver, &record)?;
        let ledger = Ledger::of(&setting.formula, &setting.plan, &record);
        let line = ledger.lines.iter().find(|line| line.name == material && line.planned.is_some())?;
        let asked = line.missing();
        let off = &grams - &asked;
        if off.abs() <= (&asked * &Exact::ratio(1, 5)).max(line.step.clone()) {
            return None;
        }
        let too_little = off.is_negative();
        Some(OffPlan { material, grams: ledger.grams(&grams), asked: ledger.grams(&asked), too_little })
    }

    /// As it is asked back.
    #[must_use]
    pub fn asked_back(&self) -> String {
        format!("{} g for {} g: sure?", self.grams, self.asked)
    }

    /// As a question at a terminal.
    #[must_use]
    pub fn question(&self) -> String {
        format!("{} 1 yes, Enter alone no: ", self.asked_back())
    }

    /// As it is told where nobody can be asked.
    #[must_use]
    pub fn told(&self) -> String {
        format!(
            "{} g of `{}` for {} g. If there is more to come, go on; a slip is struck out: `struck weighed {} {} g \
             because \"typed wrong\"`.\n",
            self.grams, self.material, self.asked, self.material, self.grams
        )
    }
}

/// The material and the grams of a statement that weighs a line in.
fn weighed(statement: &str) -> Option<(String, Exact)> {
    let parsed = parse(FileId(u32::MAX), &format!("batch b {{\n{statement}\n}}\n"));
    let entry = match parsed.tree.items.into_iter().next()? {
        Item::Batch(batch) => batch.entries.into_iter().next()?.entry,
        _ => return None,
    };
    match entry {
        BatchEntry::Weighed(material, Quantity { value: Some(value), unit, .. })
            if unit.dimension() == Dimension::Mass =>
        {
            Some((material.text.to_string(), unit.to_base(&value)))
        }
        _ => None,
    }
}
