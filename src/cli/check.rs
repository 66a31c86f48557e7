//! `stillroom check`.

use super::arguments::{CheckArguments, CheckFormat};
use super::input::{day, input_with_past, line, pretty, stdout_is_terminal, style};
use super::mend::{edits, mend};
use super::sides::as_they_were;
use super::stream::{print, tell_line};
use super::watch::watch;
use super::{Failure, Outcome};
use similar::TextDiff;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::{Diagnostic, Level};
use stillroom::render::{CheckJson, Summary, brief, github, human, sarif, says_more, shown};
use stillroom::session::{Report, Session};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::tree::Item;
use stillroom::versions::{FormulaMeaning, compared, version_not_bumped};
use stillroom::workspace::Loaded;

/// Checks and prints what is wrong, and mends what is surely mended where that is asked.
///
/// # Errors
/// Input that cannot be read, or a file that cannot be written.
pub fn run(arguments: &CheckArguments) -> Result<Outcome, Failure> {
    let on = arguments.on.as_deref().map(day).transpose()?;
    let order = BatchOrder { on, ..BatchOrder::default() };
    let here = [PathBuf::from(".")];
    let paths = if arguments.paths.is_empty() { &here[..] } else { &arguments.paths };
    if arguments.fix && paths.iter().any(|path| path == Path::new("-")) {
        return Err(Failure("`--fix` mends files, and standard input is none.".to_string()));
    }
    if arguments.dry_run {
        return patch(paths, &order);
    }
    if arguments.fix {
        mend(paths, &order)?;
    }
    if arguments.watch {
        if paths.iter().any(|path| path == Path::new("-")) {
            return Err(Failure("`--watch` watches files, and standard input is none.".to_string()));
        }
        watch(paths, &mut |session| checked(session, &order, paths, arguments).map(|_| ()))?;
        return Ok(Outcome::Clean);
    }
    checked(&input_with_past(paths)?, &order, paths, arguments)
}

/// Checks a session and prints what is wrong.
fn checked(
    session: &Session<'_>,
    order: &BatchOrder,
    paths: &[PathBuf],
    arguments: &CheckArguments,
) -> Result<Outcome, Failure> {
    let report = session.check(order);
    let mut found = report.diagnostics.clone();
    if let Some(revision) = &arguments.since {
        found = with(&report, found, versions(&report, paths, revision)?);
    }
    let diagnostics = by_strictness(found, arguments.strict);
    let summary = Summary::of(&diagnostics);
    if arguments.format == CheckFormat::Human {
        // Said once, however many formulas it holds for.
        let remarks: BTreeSet<&String> = report.formulas.iter().filter_map(|formula| formula.remark.as_ref()).collect();
        remarks.iter().for_each(|remark| tell_line(remark));
    }
    show(session.loaded(), &diagnostics, report.formulas.len(), arguments)?;
    Ok(if summary.errors > 0 { Outcome::Errors } else { Outcome::Clean })
}

/// The formulas that are not what they were at a revision, and have the version that they had.
fn versions(report: &Report<'_>, paths: &[PathBuf], revision: &str) -> Result<Vec<Diagnostic>, Failure> {
    let mut old = Vec::new();
    for session in as_they_were(paths, revision)? {
        old.extend(FormulaMeaning::of_session(session.sources()));
    }
    let new: Vec<FormulaMeaning> =
        report.formulas.iter().map(|found| FormulaMeaning::of(&report.resolver, &found.formula)).collect();
    let mut told = Vec::new();
    // What is there now comes first and in the order of the report; what is gone comes after.
    for (one, found) in compared(old, new).iter().zip(&report.formulas) {
        told.extend(version_not_bumped(one, report.resolver.version_place(&found.formula), revision));
    }
    Ok(told)
}

/// More diagnostics in their places among those that are in order.
fn with(report: &Report<'_>, mut all: Vec<Diagnostic>, more: Vec<Diagnostic>) -> Vec<Diagnostic> {
    all.extend(more);
    all.sort_by_cached_key(|fault| {
        (report.resolver.sources.path_in_workspace(fault.primary.place.file), fault.primary.place)
    });
    all
}

/// With `--strict` a warning counts as an error.
fn by_strictness(mut diagnostics: Vec<Diagnostic>, strict: bool) -> Vec<Diagnostic> {
    for diagnostic in diagnostics.iter_mut().filter(|one| strict && one.level == Level::Warning) {
        diagnostic.level = Level::Error;
    }
    diagnostics
}

fn show(
    loaded: &Loaded,
    diagnostics: &[Diagnostic],
    formulas: usize,
    arguments: &CheckArguments,
) -> Result<(), Failure> {
    let sources = &loaded.sources;
    match arguments.format {
        // One document a line, so that a program sees where each ends.
        CheckFormat::Json if arguments.watch => print(&line(&CheckJson::new(sources, diagnostics))?),
        CheckFormat::Sarif if arguments.watch => print(&line(&sarif(sources, diagnostics))?),
        CheckFormat::Json => print(&pretty(&CheckJson::new(sources, diagnostics))?),
        CheckFormat::Sarif => print(&pretty(&sarif(sources, diagnostics))?),
        CheckFormat::Github => print(&github(sources, diagnostics)),
        CheckFormat::Human => {
            let style = style(stdout_is_terminal());
            let form = if arguments.verbose { human } else { brief };
            print(&form(sources, diagnostics, style));
            let what = looked_at(formulas, batches(loaded));
            match Summary::of(diagnostics).words() {
                words if words.is_empty() => tell_line(&format!("{what} checked, nothing to mend.")),
                words => tell_line(&format!("{what} checked: {words}.")),
            }
            if !arguments.verbose && says_more(diagnostics) {
                tell_line("`--verbose` shows what else bears on each, and the sources.");
            }
        }
    }
    Ok(())
}

/// The batch records of the files that were named.
fn batches(loaded: &Loaded) -> usize {
    let named = loaded.sources.files.iter().filter(|source| source.named);
    named.flat_map(|source| &source.tree.items).filter(|item| matches!(item, Item::Batch(_))).count()
}

/// `1 formula and 2 batches`.
fn looked_at(formulas: usize, batches: usize) -> String {
    let count =
        |number: usize, one: &str, several: &str| format!("{number} {}", if number == 1 { one } else { several });
    let formulas_words = count(formulas, "formula", "formulas");
    match (formulas, batches) {
        (_, 0) => formulas_words,
        (0, batches) => count(batches, "batch", "batches"),
        (_, batches) => format!("{formulas_words} and {}", count(batches, "batch", "batches")),
    }
}

/// Prints the edits as a patch and writes nothing.
fn patch(paths: &[PathBuf], order: &BatchOrder) -> Result<Outcome, Failure> {
    let (session, edits) = edits(paths, order)?;
    for edit in &edits {
        let Some(source) = session.sources().home(edit.file) else { continue };
        let diff = TextDiff::from_lines(source.text.as_str(), edit.text.as_str());
        let path = session.sources().path(edit.file);
        let path = shown(&path);
        print(&diff.unified_diff().header(&path, &path).to_string());
    }
    Ok(if edits.is_empty() { Outcome::Clean } else { Outcome::Errors })
}
