//! Whether a statement may be recorded: what is wrong with the file after it that was not wrong before.

use super::Report;
use crate::batch::writing::Insertion;
use crate::diagnostic::{Code, Diagnostic, Family, FileId, Level, Place, Span};
use crate::resolve::{NameSet, Resolver};
use crate::syntax::tree::{Batch, BatchEntry, BatchStatement, FrozenPlan, Item};
use crate::syntax::{is_blank, nearest};
use std::collections::BTreeSet;

/// What a statement comes to.
#[derive(Debug, Default)]
pub struct Acceptance {
    /// Why it may not be recorded.
    pub refused: Vec<Diagnostic>,
    /// What is to be told of it all the same.
    pub told: Vec<Diagnostic>,
}

/// Compares a session before and after something was put into a file, each insertion into what the one before it left.
/// What went wrong at the bench is told of and recorded; what is wrong with the words is refused.
#[must_use]
pub fn acceptance(
    before: &Report<'_>,
    after: &Report<'_>,
    file: FileId,
    batch: &str,
    put_in: &[Insertion],
) -> Acceptance {
    let known: BTreeSet<(String, Span, Code)> = before
        .diagnostics
        .iter()
        .map(|fault| {
            (before.resolver.sources.path_in_workspace(fault.primary.place.file), fault.primary.place.span, fault.code)
        })
        .collect();
    let mut accepted = Acceptance::default();
    for fault in &after.diagnostics {
        let place = fault.primary.place;
        let span = if place.file == file { before_all(place.span, put_in) } else { Some(place.span) };
        let path = after.resolver.sources.path_in_workspace(place.file);
        let was = |code: Code| span.is_some_and(|span| known.contains(&(path.clone(), span, code)));
        if was(fault.code) {
            continue;
        }
        // The first statement that needs a file that is gone is not to blame for that, and happened all the same.
        let was_gone = fault.code == Code::UseNotFound && was(Code::UseGone);
        let is_of_bench = is_of_bench(fault, after, file, batch);
        match fault.level == Level::Error && !is_of_bench && !was_gone {
            true => accepted.refused.push(fault.clone()),
            false => accepted.told.push(fault.clone()),
        }
    }
    let batch = batch_of(after, file, batch);
    let entries = batch.into_iter().flat_map(|batch| batch.entries.iter().enumerate());
    let new: Vec<(usize, &BatchStatement)> = entries.filter(|(_, entry)| within(entry.span, put_in)).collect();
    for (batch, (number, entry)) in new.iter().filter_map(|new| Some((batch?, *new))) {
        let faults = [
            unknown(&after.resolver, file, batch, entry),
            twice(file, batch, number, entry),
            without_words(file, entry),
        ];
        accepted.refused.extend(faults.into_iter().flatten());
    }
    if new.is_empty() && accepted.refused.is_empty() {
        // A broken statement before it has taken in what was put in: nothing new is wrong, and nothing is recorded.
        let own = after.diagnostics.iter().filter(|fault| fault.primary.place.file == file);
        accepted.refused.extend(own.filter(|fault| fault.level == Level::Error).cloned());
    }
    accepted
}

/// The batch of that name in a file.
fn batch_of<'r>(report: &'r Report<'_>, file: FileId, name: &str) -> Option<&'r Batch> {
    let items = &report.resolver.sources.home(file)?.tree.items;
    items.iter().find_map(|item| match item {
        Item::Batch(batch) if batch.name.text == name => Some(batch),
        _ => None,
    })
}

/// Whether a fault is one of the batch itself, and not of the words: it happened at the bench, and a record that could not
/// say so would be worth nothing. So is what a formula can be told of, where a batch of it is, as it was made. Only a
/// material that is not in the formula is rather a slip of the pen.
fn is_of_bench(fault: &Diagnostic, report: &Report<'_>, file: FileId, batch: &str) -> bool {
    let place = fault.primary.place;
    let is_in_batch =
        || place.file == file && batch_of(report, file, batch).is_some_and(|batch| batch.span.holds(place.span));
    match fault.code.family() {
        Family::Batch | Family::Lot => fault.code != Code::BatchLineUnknown,
        Family::Usage
        | Family::Ph
        | Family::Mixing
        | Family::Preservation
        | Family::Together
        | Family::Ensure
        | Family::Rule => is_in_batch(),
        _ => false,
    }
}

/// Whether a stretch of the text was put in by one of several insertions.
fn within(span: Span, put_in: &[Insertion]) -> bool {
    let Some((last, others)) = put_in.split_last() else { return false };
    let range = span.range();
    let own = last.at <= range.start && range.end <= last.at + last.text.len();
    own || earlier(span, last).is_some_and(|span| within(span, others))
}

/// Where a stretch of the text stood before several insertions; none where one of them put it in.
fn before_all(span: Span, put_in: &[Insertion]) -> Option<Span> {
    put_in.iter().rev().try_fold(span, earlier)
}

/// Where a stretch of the text stood before; none where it was put in.
fn earlier(span: Span, put_in: &Insertion) -> Option<Span> {
    let back = |at: usize| match at.checked_sub(put_in.text.len()) {
        _ if at <= put_in.at => Some(at),
        Some(back) if back >= put_in.at => Some(back + put_in.replaces),
        _ => None,
    };
    Some(Span::new(back(span.range().start)?, back(span.range().end)?))
}

/// The fault of a material that neither the plan of the record nor the file knows.
fn unknown(resolver: &Resolver<'_>, file: FileId, batch: &Batch, statement: &BatchStatement) -> Option<Diagnostic> {
    let name = statement.entry.material()?;
    let plans = batch.entries.iter().filter_map(|entry| match &entry.entry {
        BatchEntry::Plan(plan) => Some(plan),
        _ => None,
    });
    let plans: Vec<&FrozenPlan> = plans.collect();
    let planned: Vec<&str> =
        plans.iter().flat_map(|plan| &plan.lines).map(|line| line.material.text.as_str()).collect();
    let known = planned.contains(&name.text.as_str()) || plans.iter().any(|plan| knows(plan, &name.text));
    if known || resolver.scopes.find(file, NameSet::Weighable, &name.text).is_some() {
        return None;
    }
    if resolver.scopes.use_gone(file) || resolver.scopes.is_excused(file, &name.text) {
        // The files are gone. A lot may be of what a premix is made of, and a correction may be anything.
        let free = matches!(statement.entry, BatchEntry::Lot { .. } | BatchEntry::Added(_, _, Some(_)));
        // Of a plan that does not parse nobody knows all it names.
        if free || planned.is_empty() || plans.iter().any(|plan| plan.is_faulty) {
            return None;
        }
    }
    let place = Place { file, span: name.span };
    // Where the files are gone, the plan is all that there is to be named.
    let fault = Some(file).filter(|file| !resolver.scopes.use_gone(*file));
    let fault = fault.and_then(|file| resolver.unknown(file, NameSet::Weighable, name)).unwrap_or_else(|| {
        let message = format!("`{}` is not in the plan of this record.", name.text);
        Diagnostic::new(Code::NameUnknown, place, message)
            .help("Write it as the plan does; with `because \"…\"`, `added` takes anything.")
    });
    let near = nearest(&name.text, planned.iter().copied());
    Some(match near.first() {
        Some(near) => fault.help(format!("Did you mean `{near}`?")),
        None => fault,
    })
}

/// Whether a plan has something of that name beside its lines: in a premix, or brought in by a correction.
fn knows(plan: &FrozenPlan, name: &str) -> bool {
    let parts = plan.premixes.iter().flat_map(|premix| &premix.parts).map(|part| &part.material);
    let premixes = plan.premixes.iter().map(|premix| &premix.name);
    let materials = plan.declared.iter().filter(|item| matches!(item, Item::Material(_))).filter_map(Item::name);
    parts.chain(premixes).chain(materials).any(|known| known.text == name)
}

/// The fault of what a record says once, said again.
fn twice(file: FileId, batch: &Batch, number: usize, statement: &BatchStatement) -> Option<Diagnostic> {
    let word = once(&statement.entry)?;
    let first = batch.entries.iter().take(number).find(|entry| once(&entry.entry) == Some(word))?;
    let message = format!("This record has `{word}` already.");
    Some(
        Diagnostic::new(Code::HeaderTwice, Place { file, span: statement.span }, message)
            .and(Place { file, span: first.span }, "it stands here")
            .help("Mend it in the file, or say what changed with `note`."),
    )
}

/// The fault of a text that is to be kept, or of a reason, in which nothing is said.
fn without_words(file: FileId, statement: &BatchStatement) -> Option<Diagnostic> {
    let (word, text, is_reason) = match &statement.entry {
        BatchEntry::Note(text) => ("note", text, false),
        BatchEntry::Observed(text) => ("observed", text, false),
        BatchEntry::Complaint(text) => ("complaint", text, false),
        BatchEntry::Added(_, _, Some(because)) => ("added", because, true),
        BatchEntry::Removed(_, because) => ("removed", because, true),
        BatchEntry::Rejected(because) => ("rejected", because, true),
        BatchEntry::Struck(struck) => ("struck", &struck.because, true),
        _ => return None,
    };
    if !is_blank(&text.value) {
        return None;
    }
    let (message, help) = match is_reason {
        true => (format!("This `{word}` gives no reason."), "Say why: `because \"…\"`.".to_string()),
        false => (format!("This `{word}` says nothing."), format!("Say what is to be kept: `{word} \"…\"`.")),
    };
    Some(Diagnostic::new(Code::Syntax, Place { file, span: text.span }, message).help(help))
}

/// The word of a statement that a record has once.
fn once(entry: &BatchEntry) -> Option<&'static str> {
    Some(match entry {
        BatchEntry::Formula(..) => "formula",
        BatchEntry::Started(_) => "started",
        BatchEntry::Size(_) => "size",
        BatchEntry::Yield(_) => "yield",
        BatchEntry::Released => "released",
        BatchEntry::Rejected(_) => "rejected",
        BatchEntry::Plan(_) => "plan",
        _ => return None,
    })
}
