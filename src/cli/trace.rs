//! `stillroom trace`.

use super::arguments::{TraceArguments, TraceFormat};
use super::input::{CommandInput, did_you_mean, here, named, pretty, say_recovered, within_here};
use super::stream::{print, tell_line};
use super::{Failure, Outcome};
use rustc_hash::FxHashSet;
use std::path::{Path, PathBuf};
use stillroom::batch::trail::{NotRead, Records, Trail, compare, trace};
use stillroom::model::DeclId;
use stillroom::render::{ComparisonJson, NotReadJson, TraceJson, shown};
use stillroom::versions::recover_for;
use stillroom::workspace::{Disk, Loaded, load};

/// Follows a code through the batch records of files or folders. What cannot be read is named, and the rest is followed.
///
/// # Errors
/// Wrong arguments, a code that no record knows, or input that cannot be read: then after all that could be.
pub fn run(arguments: &TraceArguments) -> Result<Outcome, Failure> {
    let first = arguments.code.as_ref().filter(|_| arguments.compare).map(PathBuf::from);
    let paths: Vec<PathBuf> = first.into_iter().chain(arguments.paths.iter().cloned()).collect();
    let whole_folder = [PathBuf::from(".")];
    let CommandInput { files, given, problems, unread } = named(if paths.is_empty() { &whole_folder } else { &paths })?;
    if !problems.is_empty() {
        return Err(Failure(problems.join("\n")));
    }
    let loaded = load(&Disk, &files, given).seen_from(here());
    let unread = unread.iter().chain(loaded.failures.iter().filter(|failure| failure.named));
    let mut left_out: Vec<NotRead> = unread
        .map(|failure| NotRead {
            path: within_here(Path::new(&failure.path)),
            line: None,
            batch: None,
            why: format!("It cannot be opened: {}.", failure.reason),
        })
        .collect();
    let records = Records::of_files(&loaded, &mut left_out);
    left_out.iter().for_each(|of| tell_line(&shown(&NotReadJson::from(of).words())));
    let out = match (&arguments.code, arguments.compare) {
        (_, true) => {
            let found = compare(&records).ok_or_else(|| none(&left_out, "No batch was complained of or rejected."))?;
            let json = ComparisonJson::new(&found, &left_out);
            match arguments.format {
                TraceFormat::Markdown => json.markdown(),
                TraceFormat::Json => pretty(&json)?,
            }
        }
        (Some(code), false) => {
            let trail = trace(&records, code).ok_or_else(|| none(&left_out, &unknown(&records, code)))?;
            let json = followed(loaded, &records, &trail, &left_out);
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
    match left_out.iter().any(|of| of.line.is_none()) {
        true => Err(Failure(NOT_WHOLE.to_string())),
        false if left_out.is_empty() => Ok(Outcome::Clean),
        false => {
            tell_line(NOT_WHOLE);
            Ok(Outcome::Errors)
        }
    }
}

const NOT_WHOLE: &str = "Not everything could be read, so a batch may be missing here.";

/// That nothing was found; with a word of what could not be read, where there is such.
fn none(left_out: &[NotRead], why: &str) -> Failure {
    Failure(if left_out.is_empty() { why.to_string() } else { format!("{why}\n{NOT_WHOLE}") })
}

/// A trail as data, each batch with its formula as it was.
fn followed(mut loaded: Loaded, records: &Records, trail: &Trail, left_out: &[NotRead]) -> TraceJson {
    let on_trail = || trail.batches.iter().filter_map(|traced| records.all.get(traced.record));
    let ids: FxHashSet<DeclId> = on_trail().map(|record| record.batch.id).collect();
    say_recovered(&recover_for(&mut loaded, &|id| ids.contains(&id)));
    TraceJson::of_files(&loaded.sources, records, trail, left_out)
}

fn unknown(records: &Records, code: &str) -> String {
    let known = records.known_names();
    let hint = did_you_mean(code, known.iter().map(String::as_str));
    format!("No batch record here knows `{}`: no lot, no material, no code on a jar.{hint}", shown(code))
}
