//! `stillroom bench`.

use super::arguments::{BenchArguments, BenchFormat};
use super::input::{did_you_mean, input_with_past, pretty, stderr_is_terminal, style};
use super::stream::{print, tell, tell_line};
use super::{Failure, Outcome};
use std::path::Path;
use stillroom::batch::View;
use stillroom::diagnostic::{Diagnostic, Level};
use stillroom::model::{Batch, FrozenPlan};
use stillroom::render::{BenchJson, BenchesJson, DiagnosticJson, Summary, human, shown, shown_path};
use stillroom::session::Report;
use stillroom::sheet::BatchOrder;
use stillroom::workspace::Sources;

/// Shows where the batches of a file stand, and what is next.
///
/// # Errors
/// Wrong arguments, or input that cannot be read.
pub fn run(arguments: &BenchArguments) -> Result<Outcome, Failure> {
    let session = input_with_past(std::slice::from_ref(&arguments.path))?;
    let report = session.check(&BatchOrder::default());
    let chosen = chosen(session.sources(), &report, &arguments.path, arguments.batch.as_deref())?;
    tell(&human(session.sources(), &report.diagnostics, style(stderr_is_terminal())));
    let shown: Vec<BenchJson> =
        chosen.iter().filter_map(|batch| show(session.sources(), &report, batch, arguments)).collect();
    let unshown = chosen.len() - shown.len();
    if unshown > 0 {
        tell_line(&format!("{unshown} cannot be held against a formula: the messages above say why."));
    }
    if !shown.is_empty() {
        print(&written(&shown, arguments.format, chosen.len() > 1)?);
    }
    let errors = bearing(session.sources(), &report, &chosen);
    Ok(if errors > 0 || unshown > 0 { Outcome::Errors } else { Outcome::Clean })
}

/// How many errors bear on batches: those that go by their plans need no other file.
fn bearing(sources: &Sources, report: &Report<'_>, batches: &[Batch]) -> usize {
    if !batches.iter().all(|batch| batch.plan.as_ref().is_some_and(FrozenPlan::is_complete)) {
        return Summary::of(&report.diagnostics).errors;
    }
    let named = |file| sources.home(file).is_some_and(|source| source.named);
    let own = report.diagnostics.iter().filter(|fault| named(fault.primary.place.file));
    own.filter(|fault| fault.level == Level::Error).count()
}

/// The batch of a name, or all of them.
pub(super) fn chosen(
    sources: &Sources,
    report: &Report<'_>,
    path: &Path,
    name: Option<&str>,
) -> Result<Vec<Batch>, Failure> {
    let all = batches(sources, report);
    let known: Vec<String> = all.iter().map(|batch| batch.name.to_string()).collect();
    let chosen: Vec<Batch> = all.into_iter().filter(|batch| name.is_none_or(|name| batch.name == name)).collect();
    if !chosen.is_empty() {
        return Ok(chosen);
    }
    let path = shown_path(path);
    Err(Failure(match name {
        Some(name) => {
            let hint = did_you_mean(name, known.iter().map(String::as_str));
            format!("`{path}` has no batch `{}`.{hint}", shown(name))
        }
        None => format!("`{path}` has no batch."),
    }))
}

/// The batches of the files that were named, in their order.
fn batches(sources: &Sources, report: &Report<'_>) -> Vec<Batch> {
    let named = sources.files.iter().filter(|source| source.named);
    named.flat_map(|source| report.resolver.batches_of(source)).collect()
}

fn show(sources: &Sources, report: &Report<'_>, batch: &Batch, arguments: &BenchArguments) -> Option<BenchJson> {
    let view = View::with(&report.resolver, batch, arguments.back_with.as_deref(), report.unfit(batch))?;
    if let (Some(name), None) = (&arguments.back_with, &view.back) {
        tell_line(&format!(
            "`{}` has no fresh reading past its window: nothing has to be led back with `{}`.",
            batch.name,
            shown(name)
        ));
    }
    Some(BenchJson::new(batch, &view, own_faults(sources, report, batch)))
}

/// What is told of a record itself.
pub(super) fn own_faults(sources: &Sources, report: &Report<'_>, batch: &Batch) -> Vec<DiagnosticJson> {
    let own: Vec<Diagnostic> = report.of_batch(batch).cloned().collect();
    DiagnosticJson::all(sources, &own)
}

fn written(all: &[BenchJson], format: BenchFormat, several: bool) -> Result<String, Failure> {
    Ok(match format {
        BenchFormat::Text => all.iter().map(BenchJson::text).collect::<Vec<_>>().join("\n"),
        BenchFormat::Json => match all {
            [only] if !several => pretty(only)?,
            _ => pretty(&BenchesJson { schema: "stillroom.benches/1".to_string(), batches: all.to_vec() })?,
        },
    })
}
