//! What of the files no record could be read from: a trail that misses a batch for it must say so.

use super::records::NotRead;
use crate::diagnostic::{Diagnostic, Family, Place, Span};
use crate::model::{Batch, DeclId, Unread};
use crate::resolve::Resolver;
use crate::syntax::tree::Item;
use crate::workspace::{LineIndex, Source};

/// What opens a declaration that is no record.
const NO_RECORD: [&str; 10] =
    ["use", "let", "substance", "material", "formula", "variant", "group", "rule", "container", "rate"];

/// What of a file could not be read, in the order of its lines; the whole of it, where that is no text. `batches` are the
/// records of it that could.
#[must_use]
pub fn not_read(resolver: &Resolver<'_>, source: &Source, batches: &[Batch]) -> Vec<NotRead> {
    let path = resolver.sources.path(source.id);
    if !source.readable {
        let why = source.faults.first().map(|fault| fault.message.clone()).unwrap_or_default();
        return vec![NotRead { path, line: None, batch: None, why }];
    }
    let lines = LineIndex::new(&source.text);
    let at = |place: Place, batch: Option<&str>, why: String| NotRead {
        path: path.clone(),
        line: Some(lines.line_column(place.span.start).0),
        batch: batch.map(ToString::to_string),
        why,
    };
    let unparsed: Vec<&Diagnostic> =
        source.faults.iter().filter(|fault| fault.code.family() != Family::Import).collect();
    let mut found: Vec<NotRead> = Vec::new();
    for fault in unparsed.iter().filter(|fault| may_be_of_a_record(source, fault.primary.place.span)) {
        let batch = batch_at(source, fault.primary.place.span);
        found.push(at(fault.primary.place, batch, fault.message.clone()));
    }
    for batch in batches {
        let is_told = |unread: &&Unread| {
            // They are in their order.
            let first = unparsed.partition_point(|fault| fault.primary.place.span.start < unread.place.span.start);
            unparsed.get(first).is_some_and(|fault| unread.place.span.holds(fault.primary.place.span))
        };
        let untold: Vec<&Unread> = batch.unread.iter().filter(|unread| !is_told(unread)).collect();
        if untold.is_empty() {
            continue;
        }
        let faults = faults_of(resolver, batch.id);
        for unread in untold {
            let own = faults.iter().find(|fault| unread.place.span.holds(fault.primary.place.span));
            let why = own.map_or_else(|| "This says nothing that can be read.".to_string(), |own| own.message.clone());
            found.push(at(unread.place, Some(&batch.name), why));
        }
    }
    found.sort();
    found.dedup();
    found
}

/// Whether a fault can have hidden a record, or a part of one: one that lies in a declaration of something else, with no
/// record swallowed by it, has not.
fn may_be_of_a_record(source: &Source, fault: Span) -> bool {
    let Some(item) = item_at(source, fault) else { return true };
    let text = item.span().of(&source.text);
    let names_batch = text.split(|c: char| !c.is_alphanumeric() && c != '-').any(|word| word == "batch");
    match item {
        Item::Batch(_) => true,
        Item::Broken(_) => {
            let word = text.split(|c: char| c.is_whitespace() || c == '{').next().unwrap_or_default();
            names_batch || !NO_RECORD.contains(&word)
        }
        _ => names_batch,
    }
}

/// The batch whose record a stretch of a file is in.
fn batch_at(source: &Source, span: Span) -> Option<&str> {
    match item_at(source, span)? {
        Item::Batch(batch) => Some(batch.name.text.as_str()),
        _ => None,
    }
}

/// The declaration that a stretch of a file is in; they stand in their order.
fn item_at(source: &Source, span: Span) -> Option<&Item> {
    let after = source.tree.items.partition_point(|item| item.span().start <= span.start);
    let item = source.tree.items.get(after.checked_sub(1)?)?;
    item.span().holds(span).then_some(item)
}

/// What is wrong with the figures of a record.
fn faults_of(resolver: &Resolver<'_>, batch: DeclId) -> Vec<Diagnostic> {
    let mut faults = Vec::new();
    resolver.check_declaration(batch, &mut faults);
    faults
}
