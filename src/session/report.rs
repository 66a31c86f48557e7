//! A whole session checked: every file, every formula, once.

use super::memory::Memory;
use crate::check::allow::{self, Allowed};
use crate::check::{
    CHECKS, CheckContext, CheckOptions, caution, growth, ounce, reading, records, release, run as run_checks, unused,
};
use crate::diagnostic::{Code, Diagnostic, Family, FileId, Level, Place};
use crate::model::{Batch, DeclId, Formula, Happened};
use crate::resolve::{Resolved, Resolver, declared, is_formula, want_the_shelf_once, with_uses};
use crate::sheet::ph::{MODEL, Outlook, Unadjusted, outlook};
use crate::sheet::{BatchOrder, Plan, plan};
use crate::syntax::tree::Item;
use crate::workspace::{Source, Sources};
use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};
use std::sync::Arc;

/// Formulas checked at once are worth several threads from here on.
const WORTH_THREADS: usize = 64;

/// A session, checked.
pub struct Report<'s> {
    /// The names of the session.
    pub resolver: Resolver<'s>,
    /// Every diagnostic that is not allowed, by file, then by position, nothing twice.
    pub diagnostics: Vec<Diagnostic>,
    /// The formulas of the files that were named, in the order they stand.
    pub formulas: Vec<FormulaReport>,
}

/// A formula, checked.
#[derive(Debug)]
pub struct FormulaReport {
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

    /// What stands against releasing a batch: the worst error that is open in its record. Of one that is released any
    /// error is: that more was sold than filled, too.
    #[must_use]
    pub fn unfit(&self, batch: &Batch) -> Option<&str> {
        let is_released = batch.events.iter().any(|event| matches!(event.what, Happened::Released));
        let errors = || self.of_batch(batch).filter(|fault| fault.level == Level::Error && is_released);
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

fn run<'s>(sources: &'s Sources, order: &BatchOrder, asked: CheckOptions) -> Report<'s> {
    run_with(sources, order, asked, &mut Memory::default(), &[])
}

/// The same, where some formulas and records are known from before.
pub(super) fn run_with<'s>(
    sources: &'s Sources,
    order: &BatchOrder,
    asked: CheckOptions,
    memory: &mut Memory,
    versions: &[u64],
) -> Report<'s> {
    let mut of_files: Vec<Diagnostic> = sources.files.iter().flat_map(|source| source.faults.iter().cloned()).collect();
    let resolver = Resolver::new(sources, &mut of_files);
    memory.look_at(&resolver, versions);
    for source in &sources.files {
        of_files.extend(check_declarations(&resolver, source, memory));
    }
    let wanted: Vec<DeclId> = sources.files.iter().flat_map(|source| declared(source, is_formula)).collect();
    resolver.take_formulas(&wanted, |id| memory.formula(id).map(|known| Arc::clone(&known.resolved)));
    let made = resolver.formulas(&wanted, &mut of_files);
    let checked = check_formulas(&resolver, &made, order, asked, memory);
    let mut used = FxHashSet::default();
    let mut reports = Vec::with_capacity(made.len());
    for (resolved, Checked { found, plan, unpreserved, unadjusted }) in made.iter().zip(checked) {
        let mut faults = resolved.faults.clone();
        faults.extend(found);
        let (mut left, allowed) = allow::quiet(&resolved.formula, faults, &mut used);
        allow::no_reason(&resolved.formula, &mut left);
        let remark = reading::remark(&resolver, &resolved.formula, order);
        let formula = Arc::clone(&resolved.formula);
        reports.push(FormulaReport { formula, plan, diagnostics: left, allowed, remark, unpreserved, unadjusted });
    }
    for source in &sources.files {
        unused::unused(&resolver, source, &mut of_files);
        caution::missing(&resolver, source, &mut of_files);
        ounce::containers(source, &mut of_files);
        of_files.extend(check_records(&resolver, source, order, memory));
    }
    let errors = Errors::new(of_files.iter());
    let of_formulas: FxHashMap<DeclId, Vec<Diagnostic>> = reports
        .iter()
        .map(|report| {
            let errors = report.diagnostics.iter().filter(|fault| fault.level == Level::Error);
            (report.formula.id, errors.cloned().collect())
        })
        .collect();
    let bearing: Vec<Vec<Diagnostic>> =
        reports.iter().map(|report| what_bears(&resolver, &of_files, report, &errors, &of_formulas)).collect();
    unused_allowances(&mut reports, &bearing, &used);
    let diagnostics = gather(&resolver, &of_files, &reports);
    for (report, bearing) in reports.iter_mut().zip(bearing) {
        report.diagnostics.extend(bearing);
        report.diagnostics = in_order(sources, std::mem::take(&mut report.diagnostics));
    }
    reports.retain(|report| is_named(sources, report.formula.id.file));
    Report { resolver, diagnostics, formulas: reports }
}

fn is_named(sources: &Sources, file: FileId) -> bool {
    sources.home(file).is_some_and(|source| source.named)
}

/// Every declaration of a file that is no formula, looked at once.
fn check_declarations(resolver: &Resolver<'_>, source: &Source, memory: &mut Memory) -> Vec<Diagnostic> {
    if let Some(known) = memory.declarations(source.id) {
        known.uses.iter().for_each(|id| resolver.mark_used(*id));
        return known.found.clone();
    }
    let (found, uses) = with_uses(|| {
        let mut found = Vec::new();
        for (at, item) in source.tree.items.iter().enumerate() {
            let id = DeclId { file: source.id, item: u32::try_from(at).unwrap_or(u32::MAX) };
            check_declaration(resolver, id, item, &mut found);
        }
        found
    });
    memory.keep_declarations(source.id, found.clone(), uses);
    found
}

fn check_declaration(resolver: &Resolver<'_>, id: DeclId, item: &Item, faults: &mut Vec<Diagnostic>) {
    match item {
        Item::Substance(_) => resolver.check_substance(id, faults),
        Item::Material(_) => resolver.check_material(id, faults),
        Item::Group(_)
        | Item::Rule(_)
        | Item::Batch(_)
        | Item::Container(_)
        | Item::Rate(_)
        | Item::Planned(_)
        | Item::Stock(_)
        | Item::Maker(_) => {
            resolver.check_declaration(id, faults);
        }
        Item::Use(_) | Item::Let(_) | Item::Formula(_) | Item::Variant(_) | Item::Broken(_) => {}
    }
}

/// What the checks of one formula came to.
#[derive(Clone)]
pub(super) struct Checked {
    found: Vec<Diagnostic>,
    plan: Option<Plan>,
    unpreserved: Option<String>,
    unadjusted: Option<Unadjusted>,
}

impl Checked {
    /// The same, its diagnostics moved; none where what is foreseen is kept, which has places of its own.
    pub fn moved(&self, faults: impl FnOnce(&[Diagnostic]) -> Option<Vec<Diagnostic>>) -> Option<Checked> {
        if self.unadjusted.is_some() {
            return None;
        }
        let (plan, unpreserved) = (self.plan.clone(), self.unpreserved.clone());
        Some(Checked { found: faults(&self.found)?, plan, unpreserved, unadjusted: None })
    }
}

/// Checks the formulas that nothing is known of, and keeps what came of them.
fn check_formulas(
    resolver: &Resolver<'_>,
    made: &[Arc<Resolved>],
    order: &BatchOrder,
    asked: CheckOptions,
    memory: &mut Memory,
) -> Vec<Checked> {
    let new: Vec<&Arc<Resolved>> =
        made.iter().filter(|resolved| memory.formula(resolved.formula.id).is_none()).collect();
    let mut fresh: FxHashMap<DeclId, Checked> = FxHashMap::default();
    let (mut told, mut untold) = (Vec::new(), Vec::new());
    for resolved in new {
        match memory.carried(resolved) {
            Some(carried) => told.push((resolved, carried)),
            None => untold.push(resolved),
        }
    }
    let checked = check_new(resolver, &untold, order, asked);
    for (resolved, (checked, mut uses)) in untold.into_iter().zip(checked).chain(told) {
        let id = resolved.formula.id;
        uses.iter().for_each(|id| resolver.mark_used(*id));
        uses.extend(resolver.uses_of_formula(id).iter().flat_map(|uses| uses.iter().copied()));
        memory.keep_formula(resolved, &checked, uses);
        fresh.insert(id, checked);
    }
    let one = |resolved: &Arc<Resolved>| {
        let id = resolved.formula.id;
        fresh.remove(&id).or_else(|| {
            let known = memory.formula(id)?;
            known.uses.iter().for_each(|id| resolver.mark_used(*id));
            Some(known.checked.clone())
        })
    };
    made.iter().filter_map(one).collect()
}

fn check_new(
    resolver: &Resolver<'_>,
    formulas: &[&Arc<Resolved>],
    order: &BatchOrder,
    asked: CheckOptions,
) -> Vec<(Checked, Vec<DeclId>)> {
    let check_one = |resolved: &&Arc<Resolved>| {
        let formula = &resolved.formula;
        let plan = plan(formula, order);
        let context = CheckContext::new(formula, resolver, order, plan.as_ref(), asked);
        let found = run_checks(&context, CHECKS);
        let unpreserved = growth::unpreserved(&context);
        let unadjusted = context.into_forecast();
        Checked { found, plan, unpreserved, unadjusted }
    };
    let one = |resolved: &&Arc<Resolved>| with_uses(|| check_one(resolved));
    if formulas.len() >= WORTH_THREADS {
        formulas.par_iter().map(one).collect()
    } else {
        formulas.iter().map(one).collect()
    }
}

/// What is wrong in the records of a file.
fn check_records(resolver: &Resolver<'_>, source: &Source, order: &BatchOrder, memory: &mut Memory) -> Vec<Diagnostic> {
    if !source.tree.items.iter().any(|item| matches!(item, Item::Batch(_))) {
        return Vec::new();
    }
    if let Some(known) = memory.records(source.id) {
        known.uses.iter().for_each(|id| resolver.mark_used(*id));
        return known.found.clone();
    }
    let (found, uses) = with_uses(|| {
        let mut found = Vec::new();
        records::records(resolver, source, order, &mut found);
        found
    });
    memory.keep_records(source.id, found.clone(), uses);
    found
}

/// All that is to be shown: what is wrong in files, what is wrong in the formulas of named files, and what is wrong
/// in the formulas that those rest on.
fn gather(resolver: &Resolver<'_>, of_files: &[Diagnostic], reports: &[FormulaReport]) -> Vec<Diagnostic> {
    let sources = resolver.sources;
    let named = |report: &&FormulaReport| is_named(sources, report.formula.id.file);
    let rests: FxHashSet<DeclId> =
        reports.iter().filter(named).flat_map(|report| report.formula.rests_on.iter().copied()).collect();
    let mut all: Vec<Diagnostic> = of_files.to_vec();
    for report in reports {
        if named(&report) {
            all.extend(report.diagnostics.iter().cloned());
        } else if rests.contains(&report.formula.id) {
            all.extend(report.diagnostics.iter().filter(|fault| fault.level == Level::Error).cloned());
        }
    }
    in_order(sources, all)
}

/// By file, then by position; nothing twice.
fn in_order(sources: &Sources, mut all: Vec<Diagnostic>) -> Vec<Diagnostic> {
    // Two pairs that are to be kept apart, or two materials out of one window, can be told of at one place: what else
    // is pointed at tells them apart.
    let pointed_at = |fault: &Diagnostic| fault.secondary.iter().map(|label| label.place).collect::<Vec<_>>();
    all.sort_by_cached_key(|fault| {
        (sources.path_in_workspace(fault.primary.place.file), fault.primary.place, fault.code, pointed_at(fault))
    });
    all.dedup_by(|a, b| a.code == b.code && a.primary.place == b.primary.place && pointed_at(a) == pointed_at(b));
    want_the_shelf_once(all)
}

/// The errors of a session by file and position, to find those within a stretch of text at once.
struct Errors<'e>(FxHashMap<FileId, Vec<&'e Diagnostic>>);

impl<'e> Errors<'e> {
    fn new(all: impl Iterator<Item = &'e Diagnostic>) -> Errors<'e> {
        let mut by_file: FxHashMap<FileId, Vec<&Diagnostic>> = FxHashMap::default();
        for fault in all.filter(|fault| fault.level == Level::Error) {
            by_file.entry(fault.primary.place.file).or_default().push(fault);
        }
        by_file.values_mut().for_each(|faults| faults.sort_by_key(|fault| fault.primary.place.span));
        Errors(by_file)
    }

    fn within(&self, place: Place) -> impl Iterator<Item = &'e Diagnostic> + '_ {
        let faults = self.0.get(&place.file).map(Vec::as_slice).unwrap_or_default();
        let first = faults.partition_point(|fault| fault.primary.place.span.start < place.span.start);
        let from = faults.get(first..).unwrap_or_default().iter();
        from.take_while(move |fault| fault.primary.place.span.start < place.span.end)
            .filter(move |fault| place.span.holds(fault.primary.place.span))
            .copied()
    }
}

/// Tells of allowances that quieted nothing, where all that they might have quieted was asked.
fn unused_allowances(reports: &mut [FormulaReport], bearing: &[Vec<Diagnostic>], used: &FxHashSet<Place>) {
    let hides = |fault: &Diagnostic| fault.level == Level::Error && !fault.code.entry().allowable;
    let mut hidden: FxHashSet<DeclId> = FxHashSet::default();
    for (report, bearing) in reports.iter().zip(bearing) {
        if report.diagnostics.iter().chain(bearing).any(hides) {
            hidden.insert(report.formula.id);
            hidden.extend(&report.formula.bases);
        }
    }
    for report in reports {
        let known =
            allow::FormulaFaults { used, hidden: hidden.contains(&report.formula.id), weighed: report.plan.is_some() };
        allow::unused(&report.formula, &known, &mut report.diagnostics);
    }
}

/// The errors of what a formula rests on.
fn what_bears(
    resolver: &Resolver<'_>,
    of_files: &[Diagnostic],
    report: &FormulaReport,
    errors: &Errors<'_>,
    of_formulas: &FxHashMap<DeclId, Vec<Diagnostic>>,
) -> Vec<Diagnostic> {
    let formula = &report.formula;
    let mut bearing = Vec::new();
    for id in &formula.rests_on {
        let Some(item) = resolver.scopes.item(*id) else { continue };
        bearing.extend(errors.within(Place { file: id.file, span: item.span() }).cloned());
        if *id != formula.id && !formula.bases.contains(id) {
            bearing.extend(of_formulas.get(id).into_iter().flatten().cloned());
        }
    }
    if resolver.scopes.use_failed(formula.id.file) {
        let reached: Vec<FileId> = resolver.scopes.reached(formula.id.file).collect();
        let uses = of_files.iter().filter(|fault| {
            fault.code.family() == Family::Import || !is_readable(resolver.sources, fault.primary.place.file)
        });
        bearing.extend(uses.filter(|fault| reached.contains(&fault.primary.place.file)).cloned());
    }
    bearing
}

fn is_readable(sources: &Sources, file: FileId) -> bool {
    sources.home(file).is_none_or(|source| source.readable)
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
