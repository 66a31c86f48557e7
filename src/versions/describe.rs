//! A formula of a session as names and figures alone.

use super::header::{header, phases};
use super::line::line_meaning;
use super::material::materials;
use super::meaning::{FindingMeaning, ForecastMeaning, FormulaMeaning};
use super::sold::{paid, sold};
use super::{demands, words};
use crate::diagnostic::{Diagnostic, Place};
use crate::model::{Composition, DeclId, Formula, StepMark, Steps};
use crate::quantity::Interval;
use crate::resolve::{Resolver, declared, is_formula};
use crate::session::{FormulaReport, Report};
use crate::sheet::{BatchOrder, plan};
use crate::syntax::tree::Item;
use crate::workspace::Sources;
use indexmap::IndexMap;
use rustc_hash::FxHashSet;
use std::sync::Arc;

impl FormulaMeaning {
    /// What a formula means by itself: nothing is foreseen, nothing told.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, formula: &Formula) -> FormulaMeaning {
        let composition = formula.composition.as_ref().filter(|_| formula.total_known);
        let base = |id: &DeclId| resolver.scopes.item(*id).and_then(Item::name);
        FormulaMeaning {
            name: formula.name.to_string(),
            batch: None,
            file: resolver.sources.path(formula.id.file),
            version: formula.version.as_ref().map(ToString::to_string),
            digest: resolver.digest(formula),
            bases: formula.bases.iter().filter_map(base).map(|name| name.text.to_string()).collect(),
            header: header(formula),
            paid: paid(resolver, formula),
            sold: Vec::new(),
            window: formula.window.as_ref().map(words::window),
            warnings: formula.warnings.iter().map(ToString::to_string).collect(),
            phases: phases(formula),
            lines: formula.lines.iter().map(|line| line_meaning(resolver, formula, line)).collect(),
            steps: formula
                .steps
                .iter()
                .flat_map(Steps::cut)
                .map(|marks| marks.iter().map(StepMark::written).collect())
                .collect(),
            demands: demands::stated(resolver, formula),
            materials: materials(resolver, formula),
            composition: composition.map(|of| by_name(resolver, of)).unwrap_or_default(),
            undisclosed: composition.and_then(|of| of.undisclosed.clone()),
            foreseen: None,
            told: Vec::new(),
        }
    }

    /// What each formula of the files named in a session means by itself; no check is run.
    #[must_use]
    pub fn of_session(sources: &Sources) -> Vec<FormulaMeaning> {
        let resolver = Resolver::new(sources, &mut Vec::new());
        let named = sources.files.iter().filter(|source| source.named);
        let wanted: Vec<DeclId> = named.flat_map(|source| declared(source, is_formula)).collect();
        let made = resolver.formulas(&wanted, &mut Vec::new());
        made.iter().map(|made| FormulaMeaning::of(&resolver, &made.formula)).collect()
    }

    /// The same with what follows for the jar.
    #[must_use]
    pub fn sold_of_session(sources: &Sources) -> Vec<FormulaMeaning> {
        let resolver = Resolver::new(sources, &mut Vec::new());
        let named = sources.files.iter().filter(|source| source.named);
        let wanted: Vec<DeclId> = named.flat_map(|source| declared(source, is_formula)).collect();
        let made = resolver.formulas(&wanted, &mut Vec::new());
        let order = BatchOrder::default();
        let one = |formula: &Arc<Formula>| FormulaMeaning {
            sold: sold(&resolver, formula, &order),
            ..FormulaMeaning::of(&resolver, formula)
        };
        made.iter().map(|made| one(&made.formula)).collect()
    }

    /// The same with what is foreseen of the pH and what is told of it; with grams where `order` names a batch.
    #[must_use]
    pub fn in_full(report: &Report<'_>, found: &FormulaReport, order: &BatchOrder) -> FormulaMeaning {
        let formula = &found.formula;
        let mut meaning = FormulaMeaning::of(&report.resolver, formula);
        meaning.foreseen = foreseen(&report.resolver, found);
        meaning.sold = sold(&report.resolver, formula, order);
        meaning.told = found.diagnostics.iter().map(|fault| told(&report.resolver, formula, fault)).collect();
        if order.makes.is_some() {
            meaning.weigh(formula, order);
        }
        meaning
    }

    fn weigh(&mut self, formula: &Formula, order: &BatchOrder) {
        let Some(plan) = plan(formula, order) else { return };
        for (line, weight) in self.lines.iter_mut().zip(&plan.lines) {
            line.grams = weight.printed.as_ref().map(|grams| grams.to_fixed(weight.step.decimals().unwrap_or(4)));
        }
    }
}

/// A composition by the names of its substances: two that files apart call alike are one.
fn by_name(resolver: &Resolver<'_>, composition: &Composition) -> Vec<(String, Interval)> {
    let mut all: IndexMap<String, Interval> = IndexMap::new();
    for (substance, share) in &composition.parts {
        let name = resolver.substance_name(*substance);
        let sum = all.get(&name).map_or_else(|| share.clone(), |have| have + share);
        all.insert(name, sum);
    }
    all.into_iter().collect()
}

fn foreseen(resolver: &Resolver<'_>, found: &FormulaReport) -> Option<ForecastMeaning> {
    let (formula, outlook) = (&found.formula, found.outlook(resolver)?);
    outlook.before.as_ref()?;
    let before = outlook.told_before().map(|(ph, _)| ph);
    let dose = |adjuster: &crate::sheet::ph::AdjusterOutlook| {
        let line = formula.lines.get(adjuster.line)?;
        Some((line.name.to_string(), adjuster.told().middle?))
    };
    Some(ForecastMeaning { before, doses: outlook.adjusters.iter().filter_map(dose).collect() })
}

/// A diagnostic by the line it is told of, else by the declaration that it stands in.
fn told(resolver: &Resolver<'_>, formula: &Formula, fault: &Diagnostic) -> FindingMeaning {
    let at = fault.primary.place;
    let holds = |place: Place| place.file == at.file && place.span.holds(at.span);
    let line = formula.lines.iter().find(|line| [line.whole, line.place, line.amount_place].into_iter().any(holds));
    let of = match line {
        Some(line) => line.name.to_string(),
        None if formula.own_span.is_some_and(holds) => String::new(),
        None => enclosing(resolver, at).unwrap_or_default(),
    };
    let mut substances = substances_in(resolver, formula, &fault.message);
    substances.retain(|name| *name != of);
    FindingMeaning { code: fault.code.to_string(), of, substances, message: fault.message.clone() }
}

/// The substances of a formula that a message names, in its order.
fn substances_in(resolver: &Resolver<'_>, formula: &Formula, message: &str) -> Vec<String> {
    let names: FxHashSet<String> =
        formula.composition.iter().flat_map(Composition::counted).map(|(id, _)| resolver.substance_name(id)).collect();
    // What stands between backticks is every second piece.
    let quoted = message.split('`').skip(1).step_by(2);
    quoted.filter(|name| names.contains(*name)).map(ToString::to_string).collect()
}

/// The name of the declaration that a place lies in.
fn enclosing(resolver: &Resolver<'_>, at: Place) -> Option<String> {
    let source = resolver.sources.home(at.file)?;
    let item = source.tree.items.iter().find(|item| item.span().holds(at.span))?;
    item.name().map(|name| name.text.to_string())
}
