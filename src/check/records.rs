//! Batch records: what happened beside what was to happen, what was made beside what may be, and whether it may go out.

use super::{as_made, release};
use crate::batch::checks;
use crate::diagnostic::Diagnostic;
use crate::resolve::Resolver;
use crate::sheet::BatchOrder;
use crate::workspace::Source;

/// Every batch record of a file.
pub fn records(resolver: &Resolver<'_>, source: &Source, order: &BatchOrder, faults: &mut Vec<Diagnostic>) {
    for batch in resolver.batches_of(source) {
        let mut own = Vec::new();
        let held = checks::record(resolver, &batch, &mut own);
        if let Some((setting, ledger)) = &held {
            as_made::judge(resolver, order, &batch, setting, ledger, &mut own);
        }
        let window = held.as_ref().and_then(|(setting, _)| setting.formula.window.as_ref());
        let own: Vec<Diagnostic> = own.into_iter().map(|fault| resolver.as_sure_as_its_facts(fault)).collect();
        let unfit = release::unfit(resolver, &batch, window, &own);
        faults.extend(own);
        faults.extend(unfit);
    }
}
