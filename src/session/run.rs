//! A whole session checked: every file, every formula, once; and what is known from before is not checked again.

use super::bearing::Errors;
use super::findings::Teller;
use super::memory::Memory;
use super::report::Report;
use super::settled::{Checked, Settled, hides};
use crate::check::allow;
use crate::check::{
    CHECKS, CheckContext, CheckOptions, caution, growth, ounce, reading, records, run as run_checks, unused,
};
use crate::diagnostic::{Diagnostic, FileId, Place};
use crate::model::DeclId;
use crate::resolve::{Resolved, Resolver, declared, is_formula, with_uses};
use crate::sheet::{BatchOrder, plan};
use crate::syntax::Cuts;
use crate::syntax::tree::Item;
use crate::workspace::{Source, Sources};
use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};
use std::sync::Arc;

/// Formulas checked at once are worth several threads from here on.
const WORTH_THREADS: usize = 8;

/// How the files of a session stand.
pub(super) struct Stand<'v> {
    /// The number of the last change of each file, in the order of the files; none where nothing is to be kept.
    pub versions: &'v [u64],
    /// How the text of a file is cut, where it is being written.
    pub cuts: &'v dyn Fn(&Source) -> Option<Cuts>,
}

/// Checks a session of which nothing is known yet.
pub(super) fn run<'s>(sources: &'s Sources, order: &BatchOrder, asked: CheckOptions) -> Report<'s> {
    run_with(sources, order, asked, &mut Memory::default(), &Stand { versions: &[], cuts: &|_| None })
}

/// The same, where some formulas and records are known from before.
pub(super) fn run_with<'s>(
    sources: &'s Sources,
    order: &BatchOrder,
    asked: CheckOptions,
    memory: &mut Memory,
    stand: &Stand<'_>,
) -> Report<'s> {
    let mut of_files: Vec<Diagnostic> = sources.files.iter().flat_map(|source| source.faults.iter().cloned()).collect();
    let mut resolver = Resolver::knowing(sources, &mut memory.scopes, stand.versions, &mut of_files);
    memory.look_at(&resolver, stand);
    resolver.take_made(&memory.made);
    let wanted: Vec<DeclId> = sources.files.iter().flat_map(|source| declared(source, is_formula)).collect();
    let marks = Marks { resolver: &resolver, asked: wanted.iter().map(|id| id.file).collect() };
    for source in &sources.files {
        of_files.extend(check_declarations(&marks, source, memory));
    }
    resolver.take_formulas(&wanted, |id| memory.formula(id).map(|known| Arc::clone(&known.resolved)));
    let made = resolver.formulas(&wanted, &mut of_files);
    let settled = settle_formulas(&marks, &made, order, asked, memory);
    drop(made);
    for source in &sources.files {
        unused::unused(&resolver, source, &mut of_files);
        of_files.extend(check_records(&marks, source, order, memory));
    }
    let errors = Errors::new(&resolver, &of_files, settled.iter());
    let bearing: Vec<Vec<Diagnostic>> = settled.iter().map(|settled| errors.bearing_on(&settled.formula)).collect();
    drop(errors);
    let unused = unused_allowances(&settled, &bearing);
    let tellers = tellers(sources, &settled, &unused);
    let diagnostics = memory.told.gather(sources, &of_files, &tellers, !stand.versions.is_empty());
    drop(tellers);
    let mut formulas = Vec::with_capacity(settled.len());
    for ((settled, bearing), unused) in settled.into_iter().zip(bearing).zip(unused) {
        if is_named(sources, settled.formula.id.file) {
            let more = Arc::unwrap_or_clone(unused).into_iter().chain(bearing).collect();
            formulas.push(Settled::report(settled, sources, more));
        }
    }
    Report { resolver, diagnostics, formulas }
}

/// Marks what known results use, so far as it is asked whether anything uses it: in files that have a formula.
struct Marks<'r, 's> {
    resolver: &'r Resolver<'s>,
    asked: FxHashSet<FileId>,
}

impl Marks<'_, '_> {
    fn mark(&self, uses: &[DeclId]) {
        self.resolver.mark_all_used(uses.iter().copied().filter(|id| self.asked.contains(&id.file)));
    }
}

fn is_named(sources: &Sources, file: FileId) -> bool {
    sources.home(file).is_some_and(|source| source.named)
}

/// Every declaration of a file that is no formula, looked at once.
fn check_declarations(marks: &Marks<'_, '_>, source: &Source, memory: &mut Memory) -> Vec<Diagnostic> {
    let resolver = marks.resolver;
    if let Some(known) = memory.declarations(source.id) {
        marks.mark(&known.uses);
        return known.found.clone();
    }
    let (found, uses) = with_uses(|| {
        let mut found = Vec::new();
        for (at, item) in source.tree.items.iter().enumerate() {
            let id = DeclId { file: source.id, item: u32::try_from(at).unwrap_or(u32::MAX) };
            check_declaration(resolver, id, item, &mut found);
        }
        caution::missing(resolver, source, &mut found);
        ounce::containers(source, &mut found);
        found
    });
    memory.keep_declarations(resolver, source.id, found.clone(), uses);
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

/// Checks the formulas that nothing is known of, and keeps what came of them.
fn settle_formulas(
    marks: &Marks<'_, '_>,
    made: &[Arc<Resolved>],
    order: &BatchOrder,
    asked: CheckOptions,
    memory: &mut Memory,
) -> Vec<Arc<Settled>> {
    let resolver = marks.resolver;
    let mut fresh: FxHashMap<DeclId, Arc<Settled>> = FxHashMap::default();
    let (mut told, mut untold) = (Vec::new(), Vec::new());
    for resolved in made {
        if memory.formula(resolved.formula.id).is_some() {
            continue;
        }
        match memory.carried(resolved) {
            Some(carried) => told.push((resolved, carried)),
            None => untold.push(resolved),
        }
    }
    let settled = settle_new(resolver, &untold, order, asked);
    for (resolved, (settled, mut uses)) in untold.into_iter().zip(settled).chain(told) {
        let id = resolved.formula.id;
        marks.mark(&uses);
        uses.extend(resolver.uses_of_formula(id).iter().flat_map(|uses| uses.iter().copied()));
        let settled = Arc::new(settled);
        memory.keep_formula(resolver, resolved, &settled, uses);
        fresh.insert(id, settled);
    }
    let one = |resolved: &Arc<Resolved>| {
        let id = resolved.formula.id;
        fresh.remove(&id).or_else(|| {
            let known = memory.formula(id)?;
            marks.mark(&known.uses);
            Some(Arc::clone(&known.settled))
        })
    };
    made.iter().filter_map(one).collect()
}

fn settle_new(
    resolver: &Resolver<'_>,
    formulas: &[&Arc<Resolved>],
    order: &BatchOrder,
    asked: CheckOptions,
) -> Vec<(Settled, Vec<DeclId>)> {
    let check_one = |resolved: &&Arc<Resolved>| {
        let formula = &resolved.formula;
        let plan = plan(formula, order);
        let context = CheckContext::new(formula, resolver, order, plan.as_ref(), asked);
        let found = run_checks(&context, CHECKS);
        let unpreserved = growth::unpreserved(&context);
        let unadjusted = context.into_forecast();
        let remark = reading::remark(resolver, formula, order);
        Settled::new(resolved, Checked { found, plan, remark, unpreserved, unadjusted })
    };
    let one = |resolved: &&Arc<Resolved>| with_uses(|| check_one(resolved));
    if formulas.len() >= WORTH_THREADS {
        formulas.par_iter().map(one).collect()
    } else {
        formulas.iter().map(one).collect()
    }
}

/// What is wrong in the records of a file.
fn check_records(marks: &Marks<'_, '_>, source: &Source, order: &BatchOrder, memory: &mut Memory) -> Vec<Diagnostic> {
    let resolver = marks.resolver;
    if !source.tree.items.iter().any(|item| matches!(item, Item::Batch(_))) {
        return Vec::new();
    }
    if let Some(known) = memory.records(source.id) {
        marks.mark(&known.uses);
        return known.found.clone();
    }
    let (found, uses) = with_uses(|| {
        let mut found = Vec::new();
        records::records(resolver, source, order, &mut found);
        found
    });
    memory.keep_records(resolver, source.id, found.clone(), uses);
    found
}

/// Of each formula its allowances that quieted nothing, where all that they might have quieted was asked.
fn unused_allowances(settled: &[Arc<Settled>], bearing: &[Vec<Diagnostic>]) -> Vec<Arc<Vec<Diagnostic>>> {
    let none = Arc::default();
    if settled.iter().all(|settled| settled.formula.allows.is_empty()) {
        return vec![none; settled.len()];
    }
    let used: FxHashSet<Place> = settled.iter().flat_map(|settled| settled.quieted.iter().copied()).collect();
    let mut hidden: FxHashSet<DeclId> = FxHashSet::default();
    for (settled, bearing) in settled.iter().zip(bearing) {
        if settled.hides || bearing.iter().any(hides) {
            hidden.insert(settled.formula.id);
            hidden.extend(&settled.formula.bases);
        }
    }
    let of_one = |settled: &Arc<Settled>| {
        let formula = &settled.formula;
        if formula.allows.is_empty() {
            return Arc::clone(&none);
        }
        let weighed = settled.plan.is_some();
        let known = allow::FormulaFaults { used: &used, hidden: hidden.contains(&formula.id), weighed };
        let mut unused = Vec::new();
        allow::unused(formula, &known, &mut unused);
        Arc::new(unused)
    };
    settled.iter().map(of_one).collect()
}

/// The formulas that have anything to tell: all of named files, and those that these rest on.
fn tellers(sources: &Sources, settled: &[Arc<Settled>], unused: &[Arc<Vec<Diagnostic>>]) -> Vec<Teller> {
    let named = |settled: &&Arc<Settled>| is_named(sources, settled.formula.id.file);
    let mut rests: Option<FxHashSet<DeclId>> = None;
    let mut tellers = Vec::new();
    for (settled_one, unused) in settled.iter().zip(unused) {
        let errors_only = !named(&settled_one);
        if settled_one.left.is_empty() && unused.is_empty() {
            continue;
        }
        let all_rests = || settled.iter().filter(named).flat_map(|one| one.formula.rests_on.iter().copied()).collect();
        if errors_only && !rests.get_or_insert_with(all_rests).contains(&settled_one.formula.id) {
            continue;
        }
        tellers.push(Teller { settled: Arc::clone(settled_one), unused: Arc::clone(unused), errors_only });
    }
    tellers
}
