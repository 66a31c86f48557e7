//! Sure edits carried out: each file whole, nothing else in it touched, and no file that was not named.

use crate::diagnostic::{Diagnostic, FileId, Fix, Span, Sureness};
use crate::syntax::tree::{BatchEntry, Item};
use crate::workspace::{Source, Sources};
use std::collections::BTreeMap;

/// A file with its sure edits carried out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fixed {
    /// The file.
    pub file: FileId,
    /// Its text afterwards.
    pub text: String,
    /// What was done: the code, and the edit in words.
    pub done: Vec<(String, String)>,
}

/// Carries the sure edits out in the files that were named; one they only `use` is another's work, and a frozen plan is
/// left as it is. Where two overlap the first stands, and the other waits for the next run.
#[must_use]
pub fn fixed(sources: &Sources, diagnostics: &[Diagnostic]) -> Vec<Fixed> {
    let mut by_file: BTreeMap<FileId, Vec<&Diagnostic>> = BTreeMap::new();
    for diagnostic in diagnostics {
        if let Some(fix) = diagnostic.fix.as_ref().filter(|fix| fix.sureness == Sureness::Safe)
            && sources.home(fix.place.file).is_some_and(|source| source.named && !is_in_a_plan(source, fix.place.span))
        {
            by_file.entry(fix.place.file).or_default().push(diagnostic);
        }
    }
    by_file.into_iter().map(|(file, diagnostics)| fix_file(sources, file, diagnostics)).collect()
}

/// The sure edits of one file, in their order, none over another: what [`fixed`] carries out there.
#[must_use]
pub fn sure_edits<'d>(source: &Source, diagnostics: &'d [Diagnostic]) -> Vec<&'d Fix> {
    let fixes = diagnostics.iter().filter_map(|fault| fault.fix.as_ref());
    let here = fixes.filter(|fix| fix.sureness == Sureness::Safe && fix.place.file == source.id);
    let mut edits: Vec<&Fix> = here.filter(|fix| source.named && !is_in_a_plan(source, fix.place.span)).collect();
    edits.sort_by_key(|fix| fix.place.span);
    let mut from = 0;
    edits.retain(|fix| {
        let stands = fix.place.span.start >= from;
        if stands {
            from = fix.place.span.end;
        }
        stands
    });
    edits
}

/// Whether a stretch of a file is of a plan frozen into a record: what was frozen is not edited by any program.
fn is_in_a_plan(source: &Source, span: Span) -> bool {
    let batches = source.tree.items.iter().filter_map(|item| if let Item::Batch(of) = item { Some(of) } else { None });
    let entries = batches.filter(|batch| batch.span.holds(span)).flat_map(|batch| &batch.entries);
    entries.filter(|entry| matches!(entry.entry, BatchEntry::Plan(_))).any(|entry| entry.span.holds(span))
}

fn fix_file(sources: &Sources, file: FileId, mut diagnostics: Vec<&Diagnostic>) -> Fixed {
    let source = sources.text(file);
    diagnostics.sort_by_key(|diagnostic| diagnostic.fix.as_ref().map(|fix| fix.place.span));
    let mut text = String::with_capacity(source.len() + 32);
    let mut done = Vec::new();
    let mut from = 0usize;
    for diagnostic in diagnostics {
        let Some(fix) = &diagnostic.fix else { continue };
        let range = fix.place.span.range();
        if range.start < from {
            continue;
        }
        text.push_str(source.get(from..range.start).unwrap_or(""));
        text.push_str(&fix.replacement);
        let old = source.get(range.clone()).unwrap_or("");
        let words = match old.is_empty() {
            true => format!("put in `{}`", fix.replacement.trim()),
            false => format!("`{old}` is now `{}`", fix.replacement),
        };
        done.push((diagnostic.code.to_string(), words));
        from = range.end;
    }
    text.push_str(source.get(from..).unwrap_or(""));
    Fixed { file, text, done }
}
