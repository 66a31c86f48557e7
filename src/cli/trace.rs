//! `stillroom trace`.

use super::arguments::{TraceArguments, TraceFormat};
use super::input::{did_you_mean, input_with_past, pretty};
use super::stream::print;
use super::{Failure, Outcome};
use crate::bench::Setting;
use crate::check::{Report, check};
use crate::model::Batch;
use crate::plan::Order;
use crate::render::{ComparisonJson, TraceJson};
use crate::trace::{AsItWas, Record, Records, compare, trace};
use std::path::PathBuf;

/// Follows a code through the batch records of files or folders.
///
/// # Errors
/// Wrong arguments, a code that no record knows, or input that cannot be read.
pub fn run(arguments: &TraceArguments) -> Result<Outcome, Failure> {
    let first = arguments.code.as_ref().filter(|_| arguments.compare).map(PathBuf::from);
    let paths: Vec<PathBuf> = first.into_iter().chain(arguments.paths.iter().cloned()).collect();
    let here = [PathBuf::from(".")];
    let loaded = input_with_past(if paths.is_empty() { &here } else { &paths })?;
    let report = check(&loaded.sources, &Order::default(), false);
    let records = records(&report);
    let out = match (&arguments.code, arguments.compare) {
        (_, true) => {
            let found =
                compare(&records).ok_or_else(|| Failure("No batch was complained of or rejected.".to_string()))?;
            let json = ComparisonJson::new(&found);
            match arguments.format {
                TraceFormat::Markdown => json.markdown(),
                TraceFormat::Json => pretty(&json)?,
            }
        }
        (Some(code), false) => {
            let trail = trace(&records, code).ok_or_else(|| Failure(unknown(&records, code)))?;
            let json = TraceJson::new(&records, &trail, &|record| as_it_was(&report, &record.batch));
            match arguments.format {
                TraceFormat::Markdown => json.markdown(),
                TraceFormat::Json => pretty(&json)?,
            }
        }
        (None, false) => {
            return Err(Failure("Say what to trace: a lot, a material, or the code on a jar.".to_string()));
        }
    };
    print(&out);
    Ok(Outcome::Clean)
}

/// Every batch record of the files.
fn records(report: &Report<'_>) -> Records {
    let sources = report.resolver.sources;
    let mut records = Records::default();
    for source in sources.files.iter().filter(|source| source.named) {
        let file = sources.path(source.id);
        let batches = report.resolver.batches_of(source).into_iter();
        records.all.extend(batches.map(|batch| Record { batch, file: file.clone() }));
    }
    records
}

/// The formula of a batch as it was: by its plan, else by the file or by git.
fn as_it_was(report: &Report<'_>, batch: &Batch) -> Option<AsItWas> {
    let setting = Setting::of(&report.resolver, batch)?;
    let digest = setting.digest(&report.resolver, batch);
    let lines = setting.formula.lines.iter().map(|line| (line.name.clone(), line.percent.clone()));
    Some(AsItWas { digest, lines: lines.collect() })
}

fn unknown(records: &Records, code: &str) -> String {
    let mut known: Vec<&str> = Vec::new();
    for record in &records.all {
        known.push(record.batch.name.as_str());
        known.extend(record.batch.lots.iter().flat_map(|lot| [lot.code.as_str(), lot.material.text.as_str()]));
    }
    let hint = did_you_mean(code, known.into_iter());
    format!("No batch record here knows `{code}`: no lot, no material, no code on a jar.{hint}")
}
