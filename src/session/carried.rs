//! What a change within some formulas of a file leaves as it was: the items before and after them, which only stand
//! elsewhere, and all that was found of them.

use crate::diagnostic::{Diagnostic, FileId, Place, Span};
use crate::model::DeclId;
use crate::syntax::tree::Item;
use crate::workspace::Source;
use smol_str::SmolStr;

/// A file as it stood when it was last looked at.
#[derive(Debug)]
pub(super) struct Stood {
    /// The number of its last change.
    pub version: u64,
    text: String,
    items: Vec<Mark>,
}

/// An item of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Mark {
    kind: Kind,
    name: Option<SmolStr>,
    span: Span,
}

/// What an item is, as far as it matters to whoever does not rest on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// A formula, or a variant of one: known to others by its name.
    Formula,
    /// The record of a batch.
    Record,
    /// Text that did not parse.
    Broken,
    /// Anything else: others may go by it and not say so.
    Other,
}

impl Stood {
    /// A file as it stands.
    pub fn new(source: &Source, version: u64) -> Stood {
        Stood { version, text: source.text.clone(), items: source.tree.items.iter().map(Mark::of).collect() }
    }
}

impl Mark {
    fn of(item: &Item) -> Mark {
        let kind = match item {
            Item::Formula(_) | Item::Variant(_) => Kind::Formula,
            Item::Batch(_) => Kind::Record,
            Item::Broken(_) => Kind::Broken,
            _ => Kind::Other,
        };
        Mark { kind, name: item.name().map(|name| name.text.clone()), span: item.span() }
    }
}

/// A change of a file that lies within formulas and records, and changes none of the names that others see.
#[derive(Debug)]
pub(super) struct Shift {
    file: FileId,
    /// The number of the change before.
    before: u64,
    /// Where the change begins, and where it ended and ends.
    start: u32,
    old_end: u32,
    new_end: u32,
    /// The first item that it touches, and the one after the last.
    first: usize,
    old_after: usize,
    new_after: usize,
}

impl Shift {
    /// What changed between a file as it stood and as it stands; none where more than formulas and records may have.
    pub fn between(stood: &Stood, source: &Source) -> Option<Shift> {
        let (old, new) = (stood.text.as_bytes(), source.text.as_bytes());
        let start = old.iter().zip(new).take_while(|(one, other)| one == other).count();
        let most = old.len().min(new.len()) - start;
        let same = old.iter().rev().zip(new.iter().rev()).take(most).take_while(|(one, other)| one == other).count();
        let span = Span::new(start, old.len() - same);
        let (new_start, new_end) = (span.start, Span::new(0, new.len() - same).end);
        let (old_end, items) = (span.end, &stood.items);
        let now: Vec<Mark> = source.tree.items.iter().map(Mark::of).collect();
        let touched = |marks: &[Mark], end: u32| {
            let first = marks.iter().take_while(|mark| mark.span.end < new_start).count();
            let after = marks.iter().rev().take_while(|mark| mark.span.start > end).count();
            (first, marks.len().saturating_sub(after).max(first))
        };
        let (first, old_after) = touched(items, old_end);
        let (first_now, new_after) = touched(&now, new_end);
        let shift = Shift {
            file: source.id,
            before: stood.version,
            start: new_start,
            old_end,
            new_end,
            first,
            old_after,
            new_after,
        };
        let (before, before_now) = (items.get(..first)?, now.get(..first_now)?);
        let (after, after_now) = (items.get(old_after..)?, now.get(new_after..)?);
        let moved = |one: &Mark, other: &Mark| {
            one.kind == other.kind && one.name == other.name && shift.span(one.span) == Some(other.span)
        };
        let stays = before == before_now
            && after.len() == after_now.len()
            && after.iter().zip(after_now).all(|(one, other)| moved(one, other));
        let inside = |marks: &[Mark], after: usize| -> Option<Vec<(Kind, Option<SmolStr>)>> {
            let marks = marks.get(first..after)?.iter().filter(|mark| mark.kind != Kind::Broken);
            marks.map(|mark| (mark.kind != Kind::Other).then(|| (mark.kind, mark.name.clone()))).collect()
        };
        let same_names = inside(items, old_after)? == inside(&now, new_after)?;
        (stays && same_names).then_some(shift)
    }

    /// The file, and the number that it had before.
    pub fn of(&self) -> (FileId, u64) {
        (self.file, self.before)
    }

    /// The number of an item as it is now; none where it was touched.
    pub fn id(&self, id: DeclId) -> Option<DeclId> {
        let item = id.item as usize;
        if id.file != self.file || item < self.first {
            return Some(id);
        }
        let item = item.checked_sub(self.old_after)? + self.new_after;
        Some(DeclId { file: id.file, item: u32::try_from(item).ok()? })
    }

    fn span(&self, span: Span) -> Option<Span> {
        if span.end < self.start {
            return Some(span);
        }
        let moved = |at: u32| at.checked_sub(self.old_end)?.checked_add(self.new_end);
        (span.start > self.old_end).then_some(())?;
        Some(Span { start: moved(span.start)?, end: moved(span.end)? })
    }

    fn place(&self, place: &mut Place) -> Option<()> {
        if place.file == self.file {
            place.span = self.span(place.span)?;
        }
        Some(())
    }

    /// A diagnostic with its places where they are now; none where one of them was touched.
    fn fault(&self, mut fault: Diagnostic) -> Option<Diagnostic> {
        self.place(&mut fault.primary.place)?;
        for label in &mut fault.secondary {
            self.place(&mut label.place)?;
        }
        if let Some(fix) = &mut fault.fix {
            self.place(&mut fix.place)?;
        }
        for place in &mut fault.rests_on {
            self.place(place)?;
        }
        Some(fault)
    }

    /// Diagnostics with their places where they are now; none where one of them was touched.
    pub fn faults(&self, faults: &[Diagnostic]) -> Option<Vec<Diagnostic>> {
        faults.iter().map(|fault| self.fault(fault.clone())).collect()
    }

    /// Declarations by their numbers as they are now; none where one of them was touched.
    pub fn ids(&self, ids: &[DeclId]) -> Option<Vec<DeclId>> {
        ids.iter().map(|id| self.id(*id)).collect()
    }
}
