//! A statement struck out where it stands: it stays, with its reason, and nothing else in the file changes.

use super::place::Insertion;
use super::words::quoted;
use crate::diagnostic::FileId;
use crate::syntax::tree::{Batch, BatchEntry, BatchStatement, Item};
use crate::syntax::{Wording, format, one_blank, parse};

/// What a record has that can be struck out, and is not what was asked for: the nearest first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unlike {
    /// The statement that was asked for.
    pub wanted: String,
    /// The statements nearest to it, each with the line it stands on.
    pub nearest: Vec<(usize, String)>,
}

/// So many of the nearest are named.
const NEAREST: usize = 3;

/// The edit by which the last statement of a batch is struck out that says what `statement` strikes; none where that is
/// no `struck STATEMENT because "…"`.
#[must_use]
pub fn strike(text: &str, batch: &Batch, statement: &str) -> Option<Result<Insertion, Unlike>> {
    let alone = format!("batch b {{\n{statement}\n}}\n");
    let parsed = parse(FileId(u32::MAX), &alone);
    let [Item::Batch(asked)] = parsed.tree.items.as_slice() else { return None };
    let [BatchStatement { entry: BatchEntry::Struck(struck), entry_span, span, .. }] = asked.entries.as_slice() else {
        return None;
    };
    if !parsed.faults.is_empty() {
        return None;
    }
    let wanted = Wording::of(&struck.statement)?;
    let stamps = alone.get(entry_span.end as usize..span.end as usize).unwrap_or("");
    let found = batch
        .entries
        .iter()
        .enumerate()
        .rev()
        .find(|(_, entry)| written(text, entry).and_then(Wording::of).is_some_and(|has| wanted.is_said_by(&has)));
    let Some((number, found)) = found else {
        return Some(Err(Unlike { nearest: nearest(text, batch, &wanted), wanted: struck.statement.to_string() }));
    };
    let whole = one_blank(written(text, found)?);
    let line = format!("struck {whole} because {}{}", quoted(&struck.because.value), stamps.trim_end());
    let range = found.span.range();
    let line = laid_out(text, batch, number, &line).unwrap_or(line);
    Some(Ok(Insertion { at: range.start, replaces: range.len(), text: line }))
}

/// The last thing that happened in a batch, as it is written; what its head says is no slip of the bench.
#[must_use]
pub fn last_entry(text: &str, batch: &Batch) -> Option<String> {
    let head = |entry: &&BatchStatement| {
        matches!(entry.entry, BatchEntry::Formula(..) | BatchEntry::Started(_) | BatchEntry::Size(_))
    };
    let said = batch.entries.iter().rev().filter(|entry| !head(entry)).filter_map(|entry| written(text, entry));
    said.filter(|statement| Wording::of(statement).is_some()).map(|said| one_blank(said).to_string()).next()
}

/// The text of a statement that can be struck out.
fn written<'t>(text: &'t str, statement: &BatchStatement) -> Option<&'t str> {
    match statement.entry {
        BatchEntry::Plan(_) | BatchEntry::Struck(_) | BatchEntry::Broken => None,
        _ => text.get(statement.span.range()),
    }
}

/// The statements with the most words in common with what was asked for, the later ones first.
fn nearest(text: &str, batch: &Batch, wanted: &Wording) -> Vec<(usize, String)> {
    let mut all: Vec<(usize, usize, String)> = Vec::new();
    for entry in batch.entries.iter().rev() {
        let Some(said) = written(text, entry) else { continue };
        let Some(wording) = Wording::of(said) else { continue };
        let before = text.get(..entry.span.range().start).unwrap_or("");
        let line = before.matches('\n').count() + 1;
        all.push((wanted.common(&wording), line, one_blank(said).to_string()));
    }
    all.sort_by_key(|(common, ..)| std::cmp::Reverse(*common));
    all.into_iter().take(NEAREST).map(|(_, line, said)| (line, said)).collect()
}

/// A statement in the place of another, as the formatter lays it out there.
fn laid_out(text: &str, batch: &Batch, number: usize, line: &str) -> Option<String> {
    let (whole, old) = (batch.span.range(), batch.entries.get(number)?.span.range());
    let block = [text.get(whole.start..old.start)?, line, text.get(old.end..whole.end)?].concat();
    let among = format(&block);
    let parsed = parse(FileId(u32::MAX), &among);
    let [Item::Batch(batch)] = parsed.tree.items.as_slice() else { return None };
    if !parsed.faults.is_empty() {
        return None;
    }
    among.get(batch.entries.get(number)?.span.range()).map(str::to_string)
}

#[cfg(test)]
mod tests {
    use super::{last_entry, strike};
    use crate::diagnostic::FileId;
    use crate::syntax::parse;
    use crate::syntax::tree::{Batch, Item};

    fn batch(text: &str) -> Batch {
        let parsed = parse(FileId(0), text);
        let found = parsed
            .tree
            .items
            .into_iter()
            .find_map(|item| if let Item::Batch(batch) = item { Some(batch) } else { None });
        found.unwrap()
    }

    const RECORD: &str = "# mine\nbatch a {\n  weighed  water 3 g  # by hand\n  reading  pH 38.60  at 14:05\n  \
                          removed  5 g because \"spilt\"\n  reading  pH 38.6\n}\n";

    #[test]
    fn the_last_statement_like_it_is_struck_where_it_stands() {
        let struck = |statement: &str| strike(RECORD, &batch(RECORD), statement).unwrap().unwrap().put_into(RECORD);
        for (statement, from, to) in [
            (
                "struck reading pH 38.60 because \"slip\"",
                "  reading  pH 38.6\n}",
                "  struck   reading pH 38.6 because \"slip\"\n}",
            ),
            (
                "struck reading pH 38.6 at 14:05 because \"slip\" by \"M.\"",
                "reading  pH 38.60  at 14:05",
                "struck   reading pH 38.60  at 14:05 because \"slip\"  by \"M.\"",
            ),
            (
                "struck weighed water 3.0 g because \"x\"",
                "weighed  water 3 g ",
                "struck   weighed water 3 g because \"x\" ",
            ),
            (
                "struck removed 5 g because \"x\"",
                "removed  5 g because \"spilt\"",
                "struck   removed 5 g because \"spilt\" because \"x\"",
            ),
        ] {
            assert_eq!(struck(statement), RECORD.replacen(from, to, 1), "{statement}");
        }
    }

    #[test]
    fn where_none_is_like_it_the_nearest_are_named() {
        let unlike = strike(RECORD, &batch(RECORD), "struck reading pH 3.86 because \"x\"").unwrap().unwrap_err();
        assert_eq!(unlike.nearest.first(), Some(&(6, "reading pH 38.6".to_string())));
        assert_eq!(unlike.nearest.len(), 3);
        assert!(strike(RECORD, &batch(RECORD), "reading pH 38.6").is_none());
        assert!(strike(RECORD, &batch(RECORD), "struck reading pH 38.6").is_none());
    }

    #[test]
    fn the_last_entry_is_what_can_be_struck() {
        assert_eq!(last_entry(RECORD, &batch(RECORD)).as_deref(), Some("reading pH 38.6"));
        let struck = "batch a { released\n struck yield 3 g because \"x\" }";
        assert_eq!(last_entry(struck, &batch(struck)).as_deref(), Some("released"));
        // What its head says is no slip of the bench.
        let begun = "batch a {\n  formula f\n  started 2026-11-28\n  size 3 g\n}";
        assert_eq!(last_entry(begun, &batch(begun)), None);
    }
}
