//! What bears on a formula from elsewhere: the errors of what it rests on.

use super::settled::Settled;
use crate::diagnostic::{Diagnostic, Family, FileId, Level, Place};
use crate::model::{DeclId, Formula};
use crate::resolve::Resolver;
use crate::workspace::Sources;
use rustc_hash::{FxHashMap, FxHashSet};
use std::sync::Arc;

/// The errors of a session.
pub(super) struct Errors<'e, 's> {
    resolver: &'e Resolver<'s>,
    of_files: &'e [Diagnostic],
    /// Those of files by file and position, to find those within a stretch of text at once.
    by_file: FxHashMap<FileId, Vec<&'e Diagnostic>>,
    /// Those of formulas, in their order.
    of_formulas: FxHashMap<DeclId, Vec<&'e Diagnostic>>,
    /// Every declaration in which one stands, so that a formula that rests on none of them is done with at once; none
    /// where one stands in no file on disk.
    declarations: Option<FxHashSet<DeclId>>,
}

impl<'e, 's> Errors<'e, 's> {
    /// The errors of files, and those of formulas by themselves and of their allowances.
    pub fn new(
        resolver: &'e Resolver<'s>,
        of_files: &'e [Diagnostic],
        formulas: impl Iterator<Item = &'e Arc<Settled>>,
    ) -> Errors<'e, 's> {
        let is_error = |fault: &&Diagnostic| fault.level == Level::Error;
        let mut by_file: FxHashMap<FileId, Vec<&Diagnostic>> = FxHashMap::default();
        for fault in of_files.iter().filter(is_error) {
            by_file.entry(fault.primary.place.file).or_default().push(fault);
        }
        by_file.values_mut().for_each(|faults| faults.sort_by_key(|fault| fault.primary.place.span));
        let with_errors = formulas.filter(|settled| settled.errs);
        let of_formulas: FxHashMap<DeclId, Vec<&Diagnostic>> =
            with_errors.map(|settled| (settled.formula.id, settled.left.iter().filter(is_error).collect())).collect();
        let mut errors = Errors { resolver, of_files, by_file, of_formulas, declarations: None };
        errors.declarations = errors.declarations_with_errors();
        errors
    }

    fn declarations_with_errors(&self) -> Option<FxHashSet<DeclId>> {
        let mut all: FxHashSet<DeclId> = self.of_formulas.keys().copied().collect();
        self.by_file.iter().try_for_each(|(file, faults)| {
            let items = &self.resolver.sources.home(*file)?.tree.items;
            for fault in faults {
                let start = fault.primary.place.span.start;
                let after = items.partition_point(|item| item.span().start <= start);
                let item = after.checked_sub(1).and_then(|at| u32::try_from(at).ok());
                all.extend(item.map(|item| DeclId { file: *file, item }));
            }
            Some(())
        })?;
        Some(all)
    }

    /// The errors of what a formula rests on.
    pub fn bearing_on(&self, formula: &Formula) -> Vec<Diagnostic> {
        let mut bearing = Vec::new();
        let use_failed = self.resolver.scopes.use_failed(formula.id.file);
        let rests_on_one =
            |all: &FxHashSet<DeclId>| !all.is_empty() && formula.rests_on.iter().any(|id| all.contains(id));
        if self.declarations.as_ref().is_none_or(rests_on_one) {
            for id in &formula.rests_on {
                let Some(item) = self.resolver.scopes.item(*id) else { continue };
                bearing.extend(self.within(Place { file: id.file, span: item.span() }).cloned());
                if *id != formula.id && !formula.bases.contains(id) {
                    bearing.extend(self.of_formulas.get(id).into_iter().flatten().copied().cloned());
                }
            }
        }
        if use_failed {
            let reached: Vec<FileId> = self.resolver.scopes.reached(formula.id.file).collect();
            let uses = self.of_files.iter().filter(|fault| {
                fault.code.family() == Family::Import || !is_readable(self.resolver.sources, fault.primary.place.file)
            });
            bearing.extend(uses.filter(|fault| reached.contains(&fault.primary.place.file)).cloned());
        }
        bearing
    }

    fn within(&self, place: Place) -> impl Iterator<Item = &'e Diagnostic> + '_ {
        let faults = self.by_file.get(&place.file).map(Vec::as_slice).unwrap_or_default();
        let first = faults.partition_point(|fault| fault.primary.place.span.start < place.span.start);
        let from = faults.get(first..).unwrap_or_default().iter();
        from.take_while(move |fault| fault.primary.place.span.start < place.span.end)
            .filter(move |fault| place.span.holds(fault.primary.place.span))
            .copied()
    }
}

fn is_readable(sources: &Sources, file: FileId) -> bool {
    sources.home(file).is_none_or(|source| source.readable)
}
