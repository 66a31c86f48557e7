//! `stillroom sheet --for assessor`.

use super::arguments::{SheetArguments, SheetFormat};
use super::input::{input_with_quiet_past, pretty, stderr_is_terminal, style};
use super::label::{is_record, no_such_batch};
use super::out::Destination;
use super::sheet::{choose, diagnostics_of, may_have_a_formula, order, size};
use super::stream::{tell, tell_line};
use super::{Failure, Outcome};
use stillroom::batch::Setting;
use stillroom::diagnostic::Level;
use stillroom::render::{AssessorExtras, AssessorJson, LabelJson, Summary, assessor_markdown, human, ph, shown_path};
use stillroom::session::{AssessorFile, FormulaReport, Report, Session};
use stillroom::sheet::BatchOrder;

/// Prints the files for an assessor: of formulas, or of a batch as it was made.
///
/// # Errors
/// Wrong arguments, or input that cannot be read.
pub fn run(arguments: &SheetArguments, out: &Destination) -> Result<Outcome, Failure> {
    let path = &arguments.ask.path;
    let session = input_with_quiet_past(std::slice::from_ref(path))?;
    let named = arguments.ask.batch.as_deref().filter(|name| is_record(session.sources(), name));
    let order = match (&arguments.ask.batch, named) {
        (Some(text), None) => {
            let makes = size("--batch", text).map_err(|failure| no_such_batch(session.sources(), text, &failure))?;
            BatchOrder { makes: Some(makes), ..order(&without_batch(arguments))? }
        }
        _ => order(&without_batch(arguments))?,
    };
    let report = session.check_to_foresee(&order);
    let found = match arguments.record.as_deref().or(named) {
        Some(name) => of_batch(&session, &report, arguments, &order, name)?,
        None => of_formulas(&session, &report, arguments, &order)?,
    };
    if !found.files.is_empty() {
        out.write(&written(&found, arguments.format)?, session.sources())?;
    }
    Ok(if found.errors { Outcome::Errors } else { Outcome::Clean })
}

/// The same question without `--batch`, which may be the name of a record.
fn without_batch(arguments: &SheetArguments) -> super::arguments::AskArguments {
    let ask = &arguments.ask;
    super::arguments::AskArguments {
        scale: ask.scale.clone(),
        on: ask.on.clone(),
        ..super::arguments::AskArguments::as_it_stands(&ask.path, ask.formula.as_deref())
    }
}

fn stock(name: &str) -> String {
    format!("`{name}` is `product stock`: it is for the bench, and no product to be assessed.")
}

/// What is to be printed.
struct Found {
    files: Vec<AssessorJson>,
    /// Whether errors were told, or some file is not printed.
    errors: bool,
}

fn of_formulas(
    session: &Session<'_>,
    report: &Report<'_>,
    arguments: &SheetArguments,
    order: &BatchOrder,
) -> Result<Found, Failure> {
    let ask = &arguments.ask;
    let chosen = choose(report, ask)?;
    let told = diagnostics_of(report, &chosen, ask.formula.is_some() && !chosen.is_empty());
    tell(&human(session.sources(), &told, style(stderr_is_terminal())));
    if chosen.is_empty() && !may_have_a_formula(session.sources()) {
        return Err(Failure(format!(
            "`{}` has no formula, so there is nothing for an assessor.",
            shown_path(&ask.path)
        )));
    }
    let summary = Summary::of(&told);
    if summary.errors > 0 {
        tell_line(&format!("{}.", summary.words()));
    }
    let for_skin: Vec<&&FormulaReport> = chosen.iter().filter(|of| !of.formula.is_stock()).collect();
    if for_skin.is_empty() {
        for of in &chosen {
            tell_line(&stock(&of.formula.name));
        }
    }
    let files: Vec<AssessorJson> = for_skin
        .iter()
        .filter(|of| !of.is_blocked())
        .filter_map(|of| {
            let file = report.assessor_file(of, order)?;
            let outlook = of.outlook(&report.resolver);
            let batch = of.plan.as_ref().map(|plan| plan.batch.clone()).unwrap_or(stillroom::quantity::Exact::HUNDRED);
            let extras = AssessorExtras {
                digest: report.resolver.digest(&of.formula),
                ph: ph(&of.formula, outlook.as_ref(), &batch),
                unpreserved: of.unpreserved.clone(),
                label: label(session, &file),
            };
            Some(AssessorJson::new(session.sources(), &file, extras))
        })
        .collect();
    let errors = summary.errors > 0 || files.len() < for_skin.len() || for_skin.is_empty();
    Ok(Found { files, errors })
}

fn of_batch(
    session: &Session<'_>,
    report: &Report<'_>,
    arguments: &SheetArguments,
    order: &BatchOrder,
    name: &str,
) -> Result<Found, Failure> {
    let chosen = super::bench::chosen(session.sources(), report, &arguments.ask.path, Some(name))?;
    let Some(batch) = chosen.first() else { return Err(Failure(String::new())) };
    let told: Vec<_> = report.of_batch(batch).cloned().collect();
    tell(&human(session.sources(), &told, style(stderr_is_terminal())));
    let setting = Setting::of(&report.resolver, batch);
    if setting.as_ref().is_some_and(|setting| setting.formula.is_stock()) {
        tell_line(&stock(&batch.name));
        return Ok(Found { files: Vec::new(), errors: true });
    }
    let file = setting.zip(report.assessor_file_of_batch(batch, order)).map(|(setting, file)| {
        let extras = AssessorExtras {
            digest: setting.digest(&report.resolver, batch),
            ph: None,
            unpreserved: None,
            label: label(session, &file),
        };
        AssessorJson::new(session.sources(), &file, extras)
    });
    if file.is_none() {
        tell_line(&format!("What went into `{}` is not known: `stillroom check` says why.", batch.name));
    }
    let errors = file.is_none() || told.iter().any(|fault| fault.level == Level::Error);
    Ok(Found { files: file.into_iter().collect(), errors })
}

fn label(session: &Session<'_>, file: &AssessorFile) -> Option<LabelJson> {
    file.labels.as_ref().map(|labels| LabelJson::new(session.sources(), labels))
}

fn written(found: &Found, format: SheetFormat) -> Result<String, Failure> {
    match (format, found.files.as_slice()) {
        (SheetFormat::Json, [only]) => pretty(only),
        (SheetFormat::Json, _) => Err(Failure(
            "There are several formulas, and a file for programs is of one: say which with `--formula NAME`."
                .to_string(),
        )),
        (SheetFormat::Html, _) => Err(super::sheet::no_page("A file for an assessor")),
        (SheetFormat::Markdown | SheetFormat::Text, all) => {
            Ok(all.iter().map(assessor_markdown).collect::<Vec<_>>().join("\n---\n\n"))
        }
    }
}
