//! `stillroom sheet`.

use super::arguments::{AskArguments, SheetArguments, SheetFormat, SheetReader};
use super::input::{day, did_you_mean, input_with_past, input_with_quiet_past, pretty, stderr_is_terminal, style};
use super::out::Destination;
use super::stream::{tell, tell_line};
use super::{Failure, Outcome};
use stillroom::batch::View;
use stillroom::diagnostic::{Diagnostic, FileId};
use stillroom::model::{MakesSize, Scale};
use stillroom::page::{SheetPage, sheet_html};
use stillroom::quantity::Dimension;
use stillroom::render::{RecordJson, Sheet, Sheets, Summary, human, markdown, sheet, shown, shown_path, text};
use stillroom::resolve::{Evaluator, asked_size};
use stillroom::session::{FormulaReport, Report};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::tree::Item;
use stillroom::workspace::Sources;

/// Prints the sheets of a file's formulas.
///
/// # Errors
/// Wrong arguments, or input that cannot be read.
pub fn run(arguments: &SheetArguments) -> Result<Outcome, Failure> {
    let out = Destination::of(arguments.out.as_deref())?;
    if arguments.reader == SheetReader::Assessor {
        return super::assessor::run(arguments, &out);
    }
    if let Some(name) = &arguments.record {
        return record(arguments, name, &out);
    }
    let ask = &arguments.ask;
    let order = order(ask)?;
    let session = input_with_quiet_past(std::slice::from_ref(&ask.path))?;
    let report = session.check_for_sheet(&order);
    let chosen = choose(&report, ask)?;
    // A formula in a ring is declared and yet not made: then everything that is wrong is told.
    let told = diagnostics_of(&report, &chosen, ask.formula.is_some() && !chosen.is_empty());
    tell(&human(session.sources(), &told, style(stderr_is_terminal())));
    if chosen.is_empty() && !may_have_a_formula(session.sources()) {
        return Err(Failure(no_sheet(session.sources(), ask)));
    }
    let (of, sheets): (Vec<&FormulaReport>, Vec<Sheet>) = chosen
        .iter()
        .filter(|formula| !formula.is_blocked())
        .filter_map(|formula| Some((*formula, sheet(session.sources(), &report, formula, &order)?)))
        .unzip();
    let summary = Summary::of(&told);
    let unprinted = chosen.iter().filter(|formula| !formula.is_blocked()).count() - sheets.len();
    if unprinted > 0 {
        tell_line(&format!("{unprinted} cannot be weighed yet: `stillroom check` says why."));
    }
    if summary.errors > 0 {
        tell_line(&format!("{}.", summary.words()));
    }
    if !sheets.is_empty() {
        let text = match arguments.format {
            SheetFormat::Html => pages(&report, &of, sheets),
            _ => written(&sheets, arguments, chosen.len() > 1)?,
        };
        out.write(&text, session.sources())?;
    }
    Ok(if summary.errors > 0 || unprinted > 0 { Outcome::Errors } else { Outcome::Clean })
}

/// The sheets as one page.
fn pages(report: &Report<'_>, of: &[&FormulaReport], sheets: Vec<Sheet>) -> String {
    let pages = of.iter().zip(sheets).map(|(formula, sheet)| SheetPage::of(&report.resolver, formula, sheet));
    sheet_html(&pages.collect::<Vec<_>>())
}

/// Whether a formula stands in the files that were named, or something that did not parse and may be one.
pub(super) fn may_have_a_formula(sources: &Sources) -> bool {
    let mut named = sources.files.iter().filter(|source| source.named);
    named.any(|source| {
        let may_be = |item: &Item| match item {
            Item::Formula(_) | Item::Variant(_) => true,
            Item::Broken(span) => !span.of(&source.text).starts_with("batch"),
            _ => false,
        };
        !source.readable || source.tree.items.iter().any(may_be)
    })
}

/// That there is no formula, and what can be printed instead.
fn no_sheet(sources: &Sources, ask: &AskArguments) -> String {
    let path = shown_path(&ask.path);
    let named = sources.files.iter().filter(|source| source.named);
    let mut items = named.flat_map(|source| &source.tree.items);
    let batch = items.find_map(|item| if let Item::Batch(batch) = item { Some(&batch.name.text) } else { None });
    let instead = batch.map(|name| format!(" The record of a batch is printed by its name: `--record {name}`."));
    format!("`{path}` has no formula, so there is no sheet to print.{}", instead.unwrap_or_default())
}

/// The record of a batch as a document. One with deviations is printed all the same: they stand in it.
fn record(arguments: &SheetArguments, name: &str, out: &Destination) -> Result<Outcome, Failure> {
    let path = &arguments.ask.path;
    let session = input_with_past(std::slice::from_ref(path))?;
    let report = session.check(&BatchOrder::default());
    let chosen = super::bench::chosen(session.sources(), &report, path, Some(name))?;
    let Some((batch, view)) = chosen.first().and_then(|batch| Some((batch, View::of(&report.resolver, batch)?))) else {
        tell(&human(session.sources(), &report.diagnostics, style(stderr_is_terminal())));
        return Ok(Outcome::Errors);
    };
    // A frozen plan says what its formula came to; only without one is that worked out.
    let digest = view.setting.digest(&report.resolver, batch);
    let faults = super::bench::own_faults(session.sources(), &report, batch);
    let errors = faults.iter().any(|fault| fault.level == "error");
    let record = RecordJson::new(batch, &view, digest, faults);
    let text = match arguments.format {
        SheetFormat::Json => pretty(&record)?,
        SheetFormat::Markdown | SheetFormat::Text => record.markdown(),
        SheetFormat::Html => return Err(no_page("The record of a batch")),
    };
    out.write(&text, session.sources())?;
    Ok(if errors { Outcome::Errors } else { Outcome::Clean })
}

fn written(sheets: &[Sheet], arguments: &SheetArguments, several: bool) -> Result<String, Failure> {
    let join = |sheets: Vec<String>, between: &str| sheets.join(between);
    Ok(match arguments.format {
        SheetFormat::Markdown => join(sheets.iter().map(markdown).collect(), "\n---\n\n"),
        SheetFormat::Text | SheetFormat::Html => join(sheets.iter().map(text).collect(), "\n"),
        SheetFormat::Json => match sheets {
            [only] if !several => pretty(only)?,
            _ => pretty(&Sheets { schema: "stillroom.sheets/1".to_string(), sheets: sheets.to_vec() })?,
        },
    })
}

/// That something is no page.
pub(super) fn no_page(what: &str) -> Failure {
    Failure(format!("{what} is printed as Markdown, text or JSON: `--format html` is for the sheet at the bench."))
}

/// The formulas asked for.
pub(super) fn choose<'r>(report: &'r Report<'_>, ask: &AskArguments) -> Result<Vec<&'r FormulaReport>, Failure> {
    let Some(name) = &ask.formula else { return Ok(report.formulas.iter().collect()) };
    let chosen: Vec<&FormulaReport> = report.formulas.iter().filter(|formula| formula.formula.name == *name).collect();
    let declared = report.resolver.sources.files.iter().flat_map(|file| &file.tree.items);
    let declared = declared.filter(|item| matches!(item, Item::Formula(_) | Item::Variant(_)));
    let known = declared.filter_map(Item::name).any(|declared| declared.text == *name);
    if chosen.is_empty() && !known {
        let hint = did_you_mean(name, report.formulas.iter().map(|formula| formula.formula.name.as_str()));
        return Err(Failure(format!("`{}` has no formula `{}`.{hint}", shown_path(&ask.path), shown(name))));
    }
    Ok(chosen)
}

/// What is to be told beside the sheets: of one formula what bears on it, else everything.
pub(super) fn diagnostics_of(report: &Report<'_>, chosen: &[&FormulaReport], named: bool) -> Vec<Diagnostic> {
    if !named {
        return report.diagnostics.clone();
    }
    chosen.iter().flat_map(|formula| formula.diagnostics.iter().cloned()).collect()
}

/// The batch, the scales and the day of the command line.
pub(super) fn order(ask: &AskArguments) -> Result<BatchOrder, Failure> {
    let makes = ask.batch.as_deref().map(batch).transpose()?;
    let on = ask.on.as_deref().map(day).transpose()?;
    let scales = ask.scale.iter().map(|text| scale(text)).collect::<Result<Vec<Scale>, Failure>>()?;
    Ok(BatchOrder { makes, scales, on, ..BatchOrder::default() })
}

fn refused(option: &str, text: &str, faults: &[Diagnostic]) -> Failure {
    let why = faults.first().map(|fault| fault.message.clone()).unwrap_or_default();
    let help = faults.first().and_then(|fault| fault.help.clone()).map(|help| format!(" {help}")).unwrap_or_default();
    Failure(format!("`{option} {}`: {}{}", shown(text), shown(&why), shown(&help)))
}

fn batch(text: &str) -> Result<MakesSize, Failure> {
    size("--batch", text)
}

/// The size of a batch as an option of the command line has it.
pub(super) fn size(option: &str, text: &str) -> Result<MakesSize, Failure> {
    asked_size(text).map_err(|faults| refused(option, text, &faults))
}

fn scale(text: &str) -> Result<Scale, Failure> {
    let scale = stillroom::syntax::scale_argument(text).map_err(|faults| refused("--scale", text, &faults))?;
    let evaluator = Evaluator { file: FileId(u32::MAX), text };
    let mut faults = Vec::new();
    let mut want =
        |expression| evaluator.want(expression, "A scale", &[Dimension::Mass], &mut |_, _| None, &mut faults);
    let step = want(&scale.step);
    let max = scale.max.as_ref().map(want);
    match (step, max) {
        (Some(step), None) if step.is_positive() => Ok(Scale { step, max: None }),
        (Some(step), Some(Some(max))) if step.is_positive() => Ok(Scale { step, max: Some(max) }),
        _ if faults.is_empty() => {
            Err(Failure(format!("`--scale {}`: a scale needs a step above nought.", shown(text))))
        }
        _ => Err(refused("--scale", text, &faults)),
    }
}
