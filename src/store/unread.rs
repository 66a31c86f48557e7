//! What of a file speaks of the store room or of a plan and could not be read: what is on hand is not known without it.

use crate::batch::trail::{NotRead, not_read as not_read_of_records};
use crate::diagnostic::{Diagnostic, Family, Level};
use crate::model::{Batch, DeclId};
use crate::resolve::{Resolver, declared};
use crate::syntax::tree::Item;
use crate::workspace::{LineIndex, Source};

/// What of the records, the store room and the plans in a file could not be read, in the order of its lines. `batches` are
/// the records of it that could.
#[must_use]
pub fn not_read(resolver: &Resolver<'_>, source: &Source, batches: &[Batch]) -> Vec<NotRead> {
    let mut found = not_read_of_records(resolver, source, batches);
    if !source.readable {
        return found;
    }
    let lines = LineIndex::new(&source.text);
    let path = resolver.sources.path(source.id);
    let at = |fault: &Diagnostic| NotRead {
        path: path.clone(),
        line: Some(lines.line_column(fault.primary.place.span.start).0),
        batch: None,
        why: fault.message.clone(),
    };
    let speaks_of_it = |item: &Item| match item {
        Item::Stock(_) | Item::Planned(_) => true,
        Item::Broken(span) => {
            let text = span.of(&source.text);
            ["stock", "planned"].iter().any(|word| text.starts_with(word))
        }
        _ => false,
    };
    for item in source.tree.items.iter().filter(|item| speaks_of_it(item)) {
        let unparsed = source.faults.iter().filter(|fault| fault.code.family() != Family::Import);
        found.extend(unparsed.filter(|fault| item.span().holds(fault.primary.place.span)).map(at));
    }
    let stated: Vec<DeclId> = declared(source, |item| matches!(item, Item::Stock(_) | Item::Planned(_))).collect();
    for id in stated {
        let mut faults = Vec::new();
        resolver.check_declaration(id, &mut faults);
        found.extend(faults.iter().filter(|fault| fault.level == Level::Error).map(at));
    }
    found.sort();
    // One fault may have been met as one of a record too.
    found.dedup_by(|one, other| one.line == other.line && one.why == other.why && one.line.is_some());
    found
}
