//! The records of the files of a session, and what of them could not be read.

use super::records::{AsItWas, NotRead, Record, Records};
use super::unread::not_read;
use crate::batch::Setting;
use crate::model::{Batch, DeclId, FrozenPlan};
use crate::resolve::{NameSet, Resolver};
use crate::workspace::Loaded;
use std::collections::BTreeSet;

impl Records {
    /// Every batch record of the files named. What of them could not be read is put to `left_out`.
    #[must_use]
    pub fn of_files(loaded: &Loaded, left_out: &mut Vec<NotRead>) -> Records {
        let resolver = Resolver::new(&loaded.sources, &mut Vec::new());
        let mut all = Vec::new();
        for source in loaded.sources.files.iter().filter(|source| source.named) {
            let file = loaded.sources.path(source.id);
            let batches = resolver.batches_of(source);
            // What could not be read at all was told of by the name that it was given.
            if source.readable || !loaded.failures.iter().any(|failure| failure.file == Some(source.id)) {
                left_out.extend(not_read(&resolver, source, &batches));
            }
            all.extend(batches.into_iter().map(|batch| Record { batch, file: file.clone() }));
        }
        Records::new(all)
    }

    /// All by which a trail could be asked for: batches, lots and materials.
    #[must_use]
    pub fn known_names(&self) -> Vec<String> {
        let mut known: Vec<String> = Vec::new();
        for record in &self.all {
            known.push(record.batch.name.to_string());
            known
                .extend(record.batch.lots.iter().flat_map(|lot| [lot.code.to_string(), lot.material.text.to_string()]));
        }
        known
    }
}

/// Resolves the formulas by which records without a whole plan go.
pub fn make_formulas_of<'r>(resolver: &Resolver<'_>, records: impl Iterator<Item = &'r Record>) {
    let planless = records.filter(|record| !record.batch.plan.as_ref().is_some_and(FrozenPlan::is_complete));
    let named = planless.filter_map(|record| {
        let formula = record.batch.formula.as_ref()?;
        resolver.scopes.find(record.batch.id.file, NameSet::Weighable, &formula.text)
    });
    let formulas: BTreeSet<DeclId> = named.collect();
    resolver.formulas(&Vec::from_iter(formulas), &mut Vec::new());
}

/// The formula of a batch as it was: by its plan, else by the files as they are loaded.
#[must_use]
pub fn as_it_was(resolver: &Resolver<'_>, batch: DeclId) -> Option<AsItWas> {
    let batch: Batch = resolver.batch(batch)?;
    let setting = Setting::of(resolver, &batch)?;
    let digest = setting.digest(resolver, &batch);
    let lines = setting.formula.lines.iter().map(|line| (line.name.clone(), line.percent.clone()));
    Some(AsItWas { digest, lines: lines.collect() })
}
