//! What stands above a formula or the record of a batch: the pH foreseen and its dose, what a batch costs, what is under
//! way. Where each stands is told at once; what it says is worked out for those that are looked at.

use super::refusal::Refusal;
use super::sheet_beside::SHOW_SHEET;
use super::standing::Standing;
use crate::batch::{Do, View};
use crate::cost;
use crate::diagnostic::Place;
use crate::model::{Batch, DeclId};
use crate::quantity::Exact;
use crate::render::{BatchCostJson, BenchJson, Ph, PhAdjuster, ph, shown};
use crate::session::FormulaReport;
use crate::sheet::BatchOrder;
use crate::syntax::tree::Item;
use lsp_types::{CodeLens, CodeLensParams, Command, Uri};
use serde::{Deserialize, Serialize};
use serde_json::json;

/// What a lens tells of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
enum About {
    Ph,
    Cost,
    Batches,
    Batch,
}

/// What a lens is of, kept at the client until it is looked at.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct Of {
    uri: Uri,
    /// The version of the document; none where it is not open.
    version: Option<i32>,
    item: u32,
    about: About,
}

/// The lenses of a document.
///
/// # Errors
/// A document that is not known.
pub fn lenses(standing: &Standing<'_>, asked: CodeLensParams) -> Result<Option<Vec<CodeLens>>, Refusal> {
    let uri = asked.text_document.uri;
    let file = standing.file(&uri)?;
    let version = standing.document(file).map(|document| document.version);
    let Some(source) = standing.session.sources().home(file) else { return Ok(None) };
    let mut lenses = Vec::new();
    for (at, item) in source.tree.items.iter().enumerate() {
        let Ok(number) = u32::try_from(at) else { continue };
        let about: &[About] = match item {
            Item::Formula(_) | Item::Variant(_) => &[About::Ph, About::Cost, About::Batches],
            Item::Batch(_) => &[About::Batch],
            _ => &[],
        };
        let id = DeclId { file, item: number };
        let Some(name) = item.name() else { continue };
        let range = standing.range(Place { file, span: name.span });
        for about in about.iter().copied().filter(|about| has(standing, id, *about)) {
            let data = serde_json::to_value(Of { uri: uri.clone(), version, item: number, about }).ok();
            lenses.push(CodeLens { range, command: None, data });
        }
    }
    Ok(Some(lenses))
}

/// Whether there is something to tell, as far as that shows at once.
fn has(standing: &Standing<'_>, id: DeclId, about: About) -> bool {
    match about {
        About::Batch => true,
        About::Batches => !records(standing, id).is_empty(),
        About::Ph | About::Cost => report(standing, id).is_some_and(|report| report.plan.is_some()),
    }
}

fn report<'s>(standing: &Standing<'s>, id: DeclId) -> Option<&'s FormulaReport> {
    standing.report.formulas.iter().find(|report| report.formula.id == id)
}

/// What a lens says.
///
/// # Errors
/// A document that is another by now.
pub fn resolved(standing: &Standing<'_>, mut lens: CodeLens) -> Result<CodeLens, Refusal> {
    let of = lens.data.take().and_then(|data| serde_json::from_value::<Of>(data).ok());
    let of = of.ok_or_else(|| Refusal::invalid("The lens is none of this server's."))?;
    let file = standing.file(&of.uri)?;
    if standing.document(file).map(|document| document.version) != of.version {
        return Err(Refusal::stale());
    }
    let id = DeclId { file, item: of.item };
    let name = standing.session.sources().item(file, of.item).and_then(Item::name).ok_or_else(Refusal::stale)?;
    let title = match of.about {
        About::Ph => report(standing, id).and_then(|report| ph_words(standing, report)),
        About::Cost => report(standing, id).and_then(|report| cost_words(standing, report)),
        About::Batches => Some(batches_words(standing, id)),
        About::Batch => batch_words(standing, id),
    };
    let key = if of.about == About::Batch { "batch" } else { "formula" };
    let which = json!({ "uri": of.uri, key: name.text.as_str() });
    lens.command = Some(Command {
        title: title.unwrap_or_else(|| "Nothing can be foreseen: see the faults.".to_string()),
        command: SHOW_SHEET.to_string(),
        arguments: Some(vec![which]),
    });
    Ok(lens)
}

/// The pH foreseen before adjustment, and the dose to the window.
fn ph_words(standing: &Standing<'_>, report: &FormulaReport) -> Option<String> {
    let batch = &report.plan.as_ref()?.batch;
    let outlook = report.outlook(&standing.report.resolver);
    let Some(told) = ph(&report.formula, outlook.as_ref(), batch) else {
        return Some("No pH: nothing in it is dissolved in water with an acid or a base".to_string());
    };
    let before = match (told.before, told.before_uncertainty) {
        (Some(before), Some(give)) => format!("pH {before:.2} foreseen, give or take {give:.2}"),
        _ => "pH not foreseen: a beaker test tells it".to_string(),
    };
    let dose = told.adjusters.first().and_then(|first| dose_words(&told, first));
    Some(std::iter::once(before).chain(dose).collect::<Vec<_>>().join("; "))
}

/// `to pH 3.80 with 1.2 g of lye`: the dose to the middle of the window.
fn dose_words(told: &Ph, adjuster: &PhAdjuster) -> Option<String> {
    let [low, high] = told.window.each_ref().map(|edge| edge.as_ref()?.parse::<f64>().ok());
    let middle = low.zip(high).map(|(low, high)| f64::midpoint(low, high))?;
    let material = shown(&adjuster.material);
    match adjuster.grams_mid {
        Some(grams) => Some(format!("to pH {middle:.2} with about {} g of {material}", figures(grams))),
        None => Some(format!("the dose of {material} is not foreseen")),
    }
}

/// A figure to three digits that mean something.
fn figures(grams: f64) -> String {
    let decimals = match grams.abs() {
        size if size >= 100.0 => 0,
        size if size >= 10.0 => 1,
        size if size >= 1.0 => 2,
        _ => 3,
    };
    format!("{grams:.decimals$}")
}

/// What a batch costs, as far as it is known.
fn cost_words(standing: &Standing<'_>, report: &FormulaReport) -> Option<String> {
    let cost = cost::of(&standing.report.resolver, &report.formula, &BatchOrder::default(), None)?;
    let json = BatchCostJson::new(&cost, Vec::new());
    let Some(currency) = &json.currency else { return Some("cost not known: nothing in it has a price".to_string()) };
    let unpriced = match json.missing.len() {
        0 => String::new(),
        1 => ", and 1 more without a price".to_string(),
        count => format!(", and {count} more without a price"),
    };
    Some(format!("{} {currency} a batch of {} g{unpriced}", json.batch, grams(&report.plan.as_ref()?.batch)))
}

fn grams(weight: &Exact) -> String {
    weight.to_significant(6)
}

/// The records of a formula, each with its file.
fn records(standing: &Standing<'_>, formula: DeclId) -> Vec<Batch> {
    let resolver = &standing.report.resolver;
    let Some(name) = resolver.scopes.item(formula).and_then(Item::name) else { return Vec::new() };
    let named = |id: &DeclId| match resolver.scopes.item(*id) {
        Some(Item::Batch(batch)) => {
            batch.entries.iter().any(|entry| entry.entry.formula().is_some_and(|of| of.text == name.text))
        }
        _ => false,
    };
    let ids = standing.session.sources().files.iter().flat_map(|source| {
        let items = source.tree.items.iter().enumerate();
        let batches = items.filter(|(_, item)| matches!(item, Item::Batch(_)));
        batches.map(|(at, _)| DeclId { file: source.id, item: u32::try_from(at).unwrap_or(u32::MAX) })
    });
    let records = ids.filter(named).filter_map(|id| resolver.batch(id));
    records.filter(|batch| resolver.formula_of_batch(batch).is_some_and(|made| made.formula.id == formula)).collect()
}

/// What each batch under way waits for.
fn batches_words(standing: &Standing<'_>, formula: DeclId) -> String {
    let waiting: Vec<String> =
        records(standing, formula).iter().filter_map(|batch| waits_for(standing, batch)).collect();
    match waiting.len() {
        0 => "no batch under way".to_string(),
        1 => format!("1 batch under way: {}", waiting.join("")),
        count => format!("{count} batches under way: {}", waiting.join("; ")),
    }
}

/// What a batch waits for; none where it waits for nothing.
fn waits_for(standing: &Standing<'_>, batch: &Batch) -> Option<String> {
    let view = View::with(&standing.report.resolver, batch, None, standing.report.unfit(batch))?;
    let name = shown(&batch.name);
    (view.next.what != Do::Done)
        .then(|| format!("{name}: {}", shown(&BenchJson::new(batch, &view, Vec::new()).next_words())))
}

fn batch_words(standing: &Standing<'_>, id: DeclId) -> Option<String> {
    let batch = standing.report.resolver.batch(id)?;
    let view = View::with(&standing.report.resolver, &batch, None, standing.report.unfit(&batch))?;
    let bench = BenchJson::new(&batch, &view, Vec::new());
    Some(shown(&bench.next_line()).into_owned())
}
