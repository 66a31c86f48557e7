//! Sure edits carried out: each file whole, nothing else in it touched, and no file that was not named.

use crate::diagnostic::{Diagnostic, FileId, Sureness};
use crate::workspace::Sources;
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

/// Carries the sure edits out in the files that were named; one they only `use` is another's work. Where two overlap the first stands, and the other waits for the next run.
#[must_use]
pub fn fixed(sources: &Sources, diagnostics: &[Diagnostic]) -> Vec<Fixed> {
    let mut by_file: BTreeMap<FileId, Vec<&Diagnostic>> = BTreeMap::new();
    for diagnostic in diagnostics {
        if let Some(fix) = diagnostic.fix.as_ref().filter(|fix| fix.sureness == Sureness::Safe)
            && sources.home(fix.place.file).is_some_and(|source| source.named)
        {
            by_file.entry(fix.place.file).or_default().push(diagnostic);
        }
    }
    by_file.into_iter().map(|(file, diagnostics)| fix_file(sources, file, diagnostics)).collect()
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
