//! The store room of all the files of a session.

use super::room::StoreRoom;
use super::unread::not_read;
use crate::batch::trail::NotRead;
use crate::model::Batch;
use crate::resolve::{Resolver, declared, is_formula};

impl StoreRoom {
    /// The store room as the files leave it. What could not be read is put to `left_out`.
    #[must_use]
    pub fn of_files(resolver: &Resolver<'_>, on: Option<&str>, left_out: &mut Vec<NotRead>) -> StoreRoom {
        let mut records: Vec<Batch> = Vec::new();
        for source in &resolver.sources.files {
            let batches = resolver.batches_of(source);
            if source.readable {
                left_out.extend(not_read(resolver, source, &batches));
            }
            records.extend(batches);
        }
        StoreRoom::of(resolver, &resolver.store(), &records, on)
    }
}

/// Makes every formula, so that a premix is known by what its head says.
pub fn make_formulas(resolver: &Resolver<'_>) {
    let all: Vec<_> = resolver.sources.files.iter().flat_map(|source| declared(source, is_formula)).collect();
    let _ = resolver.formulas(&all, &mut Vec::new());
}
