//! What comes of a formula with another material in a line's place: each candidate is swapped in as the language
//! swaps, and the whole check is run over it. Nothing is written: the variants stand in a text in memory.

use super::live::Session;
use super::report::FormulaReport;
use super::swap_line::{Kept, swap_line};
use crate::diagnostic::{Diagnostic, Level};
use crate::lookup::{Candidate, Price, candidates, price_of};
use crate::model::{DeclId, Formula, LineAmount, LineMaterial, Material};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::sheet::BatchOrder;
use crate::sheet::ph::Outlook;
use std::collections::BTreeSet;
use std::sync::Arc;

/// How many candidates are tried, of all that do what the material does: the nearest.
const TRIED: usize = 16;

/// A formula, and what comes of it with each candidate in the place of one of its materials.
#[derive(Debug)]
pub struct Swaps {
    /// As it is now.
    pub now: Outcome,
    /// What is wrong with it by itself. No candidate is blamed for that.
    pub own_faults: Vec<Diagnostic>,
    /// What came of each candidate: clean ones first, then by the gravest fault, then the nearest first.
    pub tried: Vec<Swapped>,
    /// How many more could stand in, that were not tried.
    pub untried: usize,
}

/// A candidate swapped in.
#[derive(Debug)]
pub struct Swapped {
    /// What comes of it.
    pub outcome: Outcome,
    /// Whether it has the same active, in another strength.
    pub same_active: bool,
    /// Why it could stand in.
    pub why: String,
    /// The file of the shelf that has to be used for it, where its name is not known yet.
    pub to_use: Option<&'static str>,
    /// The statement of a variant that swaps it in.
    pub statement: String,
    /// What its amount was kept by.
    pub kept: Kept,
    /// What is wrong then, and was not before.
    pub faults: Vec<Diagnostic>,
}

impl Swapped {
    /// Whether nothing is wrong that was not wrong before.
    #[must_use]
    pub fn is_clean(&self) -> bool {
        self.faults.is_empty()
    }
}

/// A formula with a material in it.
#[derive(Debug)]
pub struct Outcome {
    /// The formula.
    pub formula: Arc<Formula>,
    /// The material.
    pub material: Arc<Material>,
    /// How much of it there is, as supplied, in percent; none where it is weighed at the bench.
    pub percent: Option<Exact>,
    /// How much more there could be by its usage in such a product, as supplied, in percent; below nought where there
    /// is too much already, and none where the usage has no upper end.
    pub left: Option<Exact>,
    /// Its price, where the maker has stated one.
    pub price: Option<Price>,
    /// What is foreseen of the pH.
    pub outlook: Option<Outlook>,
}

/// Tries what could stand in for a material of a formula. None where the formula is not there or has no line of a
/// material of that name.
#[must_use]
pub fn swaps(session: &mut Session<'_>, formula: DeclId, name: &str, order: &BatchOrder) -> Option<Swaps> {
    let (now, own_faults, found) = {
        let report = session.check_to_foresee(order);
        let here = report.formulas.iter().find(|report| report.formula.id == formula)?;
        let material = material_called(&here.formula, name)?;
        let found = candidates(&report.resolver, &material, formula.file);
        (outcome(&report.resolver, here, material), here.diagnostics.clone(), found)
    };
    let untried = found.len().saturating_sub(TRIED);
    let found: Vec<Candidate> = found.into_iter().take(TRIED).collect();
    let before = session.sources().home(formula.file)?.text.clone();
    let mut tried = Vec::new();
    for (place, of_file) in by_file(found) {
        let made =
            try_all(session, &Trial { now: &now, own_faults: &own_faults, name, before: &before }, of_file, order);
        tried.extend(place.into_iter().zip(made));
    }
    session.set_text_of(formula.file, &before);
    tried.sort_by_key(|(place, one)| (gravest(one), *place));
    Some(Swaps { now, own_faults, tried: tried.into_iter().filter_map(|(_, one)| one).collect(), untried })
}

/// The material of a line, where it is one and no premix.
fn material_called(formula: &Formula, name: &str) -> Option<Arc<Material>> {
    let mut lines = formula.lines.iter().filter(|line| line.name == name);
    lines.find_map(|line| match &line.material {
        Some(LineMaterial::Material(material)) => Some(Arc::clone(material)),
        _ => None,
    })
}

/// The candidates apart by the file of the shelf that they need, each with its place among all: what one file brings
/// is not to disturb those that need no file.
fn by_file(found: Vec<Candidate>) -> Vec<(Vec<usize>, Vec<Candidate>)> {
    let files: BTreeSet<Option<&'static str>> = found.iter().map(|candidate| candidate.to_use).collect();
    let of = |file: &Option<&'static str>| {
        found.iter().cloned().enumerate().filter(|(_, candidate)| candidate.to_use == *file).unzip()
    };
    files.iter().map(of).collect()
}

/// What a trial begins with.
struct Trial<'t> {
    now: &'t Outcome,
    own_faults: &'t [Diagnostic],
    name: &'t str,
    /// The text of the formula's file.
    before: &'t str,
}

/// Tries candidates that need the same file of the shelf, in one text; none for one that could not be tried.
fn try_all(
    session: &mut Session<'_>,
    trial: &Trial<'_>,
    found: Vec<Candidate>,
    order: &BatchOrder,
) -> Vec<Option<Swapped>> {
    let formula = &trial.now.formula;
    let base = unused_name(trial.before);
    let lines: Vec<(String, Kept)> = {
        let report = session.check_to_foresee(order);
        found.iter().map(|candidate| swap_line(&report.resolver, trial.now, trial.name, &candidate.material)).collect()
    };
    let mut text = format!("{}\n", trial.before);
    if let Some(file) = found.first().and_then(|candidate| candidate.to_use) {
        text.push_str(&format!("use shelf/{file}\n"));
    }
    for (at, (line, _)) in lines.iter().enumerate() {
        text.push_str(&format!("variant {base}-{at} of {} {{\n  {line}\n}}\n", formula.name));
    }
    session.set_text_of(formula.id.file, &text);
    let report = session.check_to_foresee(order);
    let made = found.into_iter().zip(lines).enumerate().map(|(at, (candidate, (statement, kept)))| {
        let own_name = format!("{base}-{at}");
        let here = report.formulas.iter().find(|report| report.formula.name == own_name)?;
        let faults = here.diagnostics.iter().map(|fault| told_of(fault, &own_name, &formula.name));
        let was_there = |fault: &Diagnostic| {
            trial.own_faults.iter().any(|own| own.code == fault.code && own.message == fault.message)
        };
        Some(Swapped {
            faults: faults.filter(|fault| !was_there(fault)).collect(),
            outcome: outcome(&report.resolver, here, candidate.material),
            same_active: candidate.same_active,
            why: candidate.why,
            to_use: candidate.to_use,
            statement,
            kept,
        })
    });
    made.collect()
}

/// A name that nothing in a text begins with.
fn unused_name(text: &str) -> String {
    let mut name = "stand-in-trial".to_string();
    while text.contains(&name) {
        name.push('x');
    }
    name
}

/// A fault as it is told of the formula, and not of the variant that was made to try.
fn told_of(fault: &Diagnostic, trial: &str, formula: &str) -> Diagnostic {
    let mut fault = fault.clone();
    fault.message = fault.message.replace(trial, formula);
    fault.help = fault.help.map(|help| help.replace(trial, formula));
    fault
}

/// Nothing, then notes, then warnings, then errors; what could not be tried last.
fn gravest(swapped: &Option<Swapped>) -> u8 {
    let Some(swapped) = swapped else { return 4 };
    let grave = |fault: &Diagnostic| match fault.level {
        Level::Note => 1,
        Level::Warning => 2,
        Level::Error => 3,
    };
    swapped.faults.iter().map(grave).max().unwrap_or(0)
}

fn outcome(resolver: &Resolver<'_>, report: &FormulaReport, material: Arc<Material>) -> Outcome {
    let formula = Arc::clone(&report.formula);
    let of_it = || formula.lines.iter().filter(|line| line.name == material.name);
    let known = of_it().all(|line| line.percent.is_some() && line.amount != LineAmount::AtBench);
    let percent = known.then(|| of_it().filter_map(|line| line.percent.as_ref()).sum::<Exact>());
    let left = percent.as_ref().and_then(|percent| Some(&most_as_supplied(resolver, &formula, &material)? - percent));
    let price = price_of(resolver, &material);
    let outlook = report.outlook(resolver);
    Outcome { formula, material, percent, left, price, outlook }
}

/// The top of a material's usage in such a product, as supplied.
fn most_as_supplied(resolver: &Resolver<'_>, formula: &Formula, material: &Material) -> Option<Exact> {
    let usage = material.usage_in(&formula.products)?;
    let most = usage.range.high.as_ref()?;
    match usage.active {
        false => Some(most.clone()),
        true => (most * &Exact::HUNDRED).over(&resolver.active_strength_of(material)?),
    }
}
