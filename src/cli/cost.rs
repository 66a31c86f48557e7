//! `stillroom cost`.

use super::arguments::{AskArguments, CostArguments, CostFormat};
use super::input::{day, input_with_quiet_past, pretty, stderr_is_terminal, style};
use super::out::Destination;
use super::stream::{tell, tell_line};
use super::{Failure, Outcome, bench, sheet};
use stillroom::cost::{of, of_batch};
use stillroom::diagnostic::Diagnostic;
use stillroom::model::Batch;
use stillroom::page::cost_html;
use stillroom::quantity::{Currency, Unit};
use stillroom::render::{
    BatchCostJson, BatchCostsJson, DiagnosticJson, Summary, cost_markdown, cost_text, human, shown, shown_path,
};
use stillroom::session::{Report, Session};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::tree::Item;
use stillroom::workspace::Sources;

/// What is printed, whether several were asked for, and what it comes to.
type Costs = (Vec<BatchCostJson>, bool, Outcome);

/// Prints what the formulas of a file cost, or a batch by its record.
///
/// # Errors
/// Wrong arguments, or input that cannot be read.
pub fn run(arguments: &CostArguments) -> Result<Outcome, Failure> {
    let out = Destination::of(arguments.out.as_deref())?;
    let into = arguments.currency.as_deref().map(currency).transpose()?;
    let on = arguments.on.as_deref().map(day).transpose()?;
    let session = input_with_quiet_past(std::slice::from_ref(&arguments.path))?;
    let record = arguments.batch.as_deref().filter(|name| has_record(session.sources(), name));
    let (costs, several, outcome) = match record {
        Some(name) => of_record(&session, arguments, name, on.as_deref(), into)?,
        None => {
            let makes = arguments.batch.as_deref().map(|text| size(text, &session)).transpose()?;
            of_formulas(&session, arguments, &BatchOrder { makes, on, ..BatchOrder::default() }, into)?
        }
    };
    if !costs.is_empty() {
        out.write(&written(&costs, several, arguments.format)?, session.sources())?;
    }
    Ok(outcome)
}

/// A currency of the command line.
///
/// # Errors
/// What is none.
pub(super) fn currency(code: &str) -> Result<Currency, Failure> {
    match Unit::from_word(code) {
        Some(Unit::Money(code)) => Ok(Currency::new(code)),
        _ => Err(Failure(format!(
            "`--in {}`: a currency is written by its ISO 4217 code, in capital letters: `EUR`.",
            shown(code)
        ))),
    }
}

/// Whether a batch of that name is recorded in a file that was named.
pub(super) fn has_record(sources: &Sources, name: &str) -> bool {
    let named = sources.files.iter().filter(|source| source.named);
    let mut items = named.flat_map(|source| &source.tree.items);
    items.any(|item| matches!(item, Item::Batch(batch) if batch.name.text == name))
}

/// A size, where no record has that name.
fn size(text: &str, session: &Session<'_>) -> Result<stillroom::model::MakesSize, Failure> {
    if text.starts_with(|first: char| first.is_ascii_digit()) {
        return sheet::size("--batch", text);
    }
    let named = session.sources().files.iter().filter(|source| source.named);
    let known = named.flat_map(|source| &source.tree.items).filter_map(|item| match item {
        Item::Batch(batch) => Some(batch.name.text.as_str()),
        _ => None,
    });
    let hint = super::input::did_you_mean(text, known);
    Err(Failure(format!("`--batch {}`: no record has that name, and it is no size such as `372g`.{hint}", shown(text))))
}

fn of_formulas(
    session: &Session<'_>,
    arguments: &CostArguments,
    order: &BatchOrder,
    into: Option<Currency>,
) -> Result<Costs, Failure> {
    let ask = AskArguments::as_it_stands(&arguments.path, arguments.formula.as_deref());
    let sources = session.sources();
    let report = session.check_for_sheet(order);
    let chosen = sheet::choose(&report, &ask)?;
    let told = sheet::diagnostics_of(&report, &chosen, ask.formula.is_some() && !chosen.is_empty());
    tell(&human(sources, &told, style(stderr_is_terminal())));
    if chosen.is_empty() && !sheet::may_have_a_formula(sources) {
        let path = shown_path(&arguments.path);
        return Err(Failure(format!(
            "`{path}` has no formula, so there is nothing to price. The record of a batch is priced by its name: \
             `--batch NAME`."
        )));
    }
    let sound: Vec<_> = chosen.iter().filter(|formula| !formula.is_blocked()).collect();
    let costs: Vec<BatchCostJson> = sound
        .iter()
        .filter_map(|formula| {
            let cost = of(&report.resolver, &formula.formula, order, into)?;
            Some(BatchCostJson::new(&cost, DiagnosticJson::all(sources, &formula.diagnostics)))
        })
        .collect();
    let unprinted = sound.len() - costs.len();
    if unprinted > 0 {
        tell_line(&format!("{unprinted} cannot be weighed yet: `stillroom check` says why."));
    }
    Ok((costs, chosen.len() > 1, outcome(&told, unprinted)))
}

fn of_record(
    session: &Session<'_>,
    arguments: &CostArguments,
    name: &str,
    on: Option<&str>,
    into: Option<Currency>,
) -> Result<Costs, Failure> {
    let report: Report<'_> = session.check(&BatchOrder::default());
    let batches: Vec<Batch> = bench::chosen(session.sources(), &report, &arguments.path, Some(name))?;
    let mut told: Vec<Diagnostic> = Vec::new();
    let mut costs = Vec::new();
    for batch in &batches {
        let own: Vec<Diagnostic> = report.of_batch(batch).cloned().collect();
        if let Some(cost) = of_batch(&report.resolver, batch, on, into) {
            costs.push(BatchCostJson::new(&cost, DiagnosticJson::all(session.sources(), &own)));
            told.extend(own);
        } else {
            told.extend(report.diagnostics.iter().cloned());
        }
    }
    tell(&human(session.sources(), &told, style(stderr_is_terminal())));
    let unprinted = batches.len() - costs.len();
    if unprinted > 0 {
        tell_line(&format!("`{}` cannot be held against a formula: the messages above say why.", shown(name)));
    }
    Ok((costs, batches.len() > 1, outcome(&told, unprinted)))
}

fn outcome(told: &[Diagnostic], unprinted: usize) -> Outcome {
    let errors = Summary::of(told).errors;
    if errors > 0 || unprinted > 0 { Outcome::Errors } else { Outcome::Clean }
}

fn written(costs: &[BatchCostJson], several: bool, format: CostFormat) -> Result<String, Failure> {
    Ok(match format {
        CostFormat::Text => costs.iter().map(cost_text).collect::<Vec<_>>().join("\n"),
        CostFormat::Markdown => costs.iter().map(cost_markdown).collect::<Vec<_>>().join("\n---\n\n"),
        CostFormat::Html => cost_html(costs),
        CostFormat::Json => match costs {
            [only] if !several => pretty(only)?,
            _ => pretty(&BatchCostsJson { schema: "stillroom.costs/1".to_string(), costs: costs.to_vec() })?,
        },
    })
}
