//! What a change within some formulas of a file leaves as it was: the items before and after them, which only stand
//! elsewhere, and all that was found of them.

use crate::diagnostic::{Diagnostic, FileId, Place, Span};
use crate::model::DeclId;
use crate::syntax::Cuts;
use crate::syntax::tree::Item;
use crate::workspace::Source;
use smol_str::SmolStr;
use std::cell::Cell;

/// A file as it stood when it was last looked at.
#[derive(Debug)]
pub(super) struct Stood {
    /// The number of its last change.
    pub version: u64,
    text: String,
    items: Vec<Mark>,
    /// What was wrong with its text.
    faults: Vec<Diagnostic>,
    /// How its text was cut, where it is being written.
    cuts: Option<Cuts>,
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
    /// A file as it stands, with how its text is cut, where that is known.
    pub fn new(source: &Source, version: u64, cuts: Option<Cuts>) -> Stood {
        let items = source.tree.items.iter().map(Mark::of).collect();
        Stood { version, text: source.text.clone(), items, faults: source.faults.clone(), cuts }
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
    /// Whether the items that it touches declare the same names as before.
    pub same_names: bool,
    /// Whether all other items are known to be read as they were.
    pub same_trees: bool,
    /// Whether anything that was asked for is elsewhere now, or numbered otherwise.
    moved: Cell<bool>,
}

impl Shift {
    /// What changed between a file as it stood and as it stands; none where more than formulas and records may have.
    pub fn between(stood: &Stood, now: &Stood, file: FileId) -> Option<Shift> {
        let (old, new) = (stood.text.as_bytes(), now.text.as_bytes());
        let start = alike_from_start(old, new);
        let most = old.len().min(new.len()) - start;
        let same = alike_from_end(old, new).min(most);
        let span = Span::new(start, old.len() - same);
        let (new_start, new_end) = (span.start, Span::new(0, new.len() - same).end);
        let (old_end, items, marks_now) = (span.end, &stood.items, &now.items);
        let touched = |marks: &[Mark], end: u32| {
            let first = marks.iter().take_while(|mark| mark.span.end < new_start).count();
            let after = marks.iter().rev().take_while(|mark| mark.span.start > end).count();
            (first, marks.len().saturating_sub(after).max(first))
        };
        let (first, old_after) = touched(items, old_end);
        let (first_now, new_after) = touched(marks_now, new_end);
        let mut shift = Shift {
            file,
            before: stood.version,
            start: new_start,
            old_end,
            new_end,
            first,
            old_after,
            new_after,
            same_names: false,
            same_trees: false,
            moved: Cell::new(false),
        };
        let (before, before_now) = (items.get(..first)?, marks_now.get(..first_now)?);
        let (after, after_now) = (items.get(old_after..)?, marks_now.get(new_after..)?);
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
        shift.same_names = inside(items, old_after)? == inside(marks_now, new_after)?;
        shift.same_trees = shift.reads_alike(stood, now);
        stays.then_some(shift)
    }

    /// Whether all but what was touched is cut and read as it was, and the same is wrong with it.
    fn reads_alike(&self, stood: &Stood, now: &Stood) -> bool {
        let (Some(old), Some(new)) = (&stood.cuts, &now.cuts) else { return false };
        let [start, old_end, new_end] = [self.start, self.old_end, self.new_end].map(|at| at as usize);
        let is_outside = |fault: &&Diagnostic, end: u32| {
            let span = fault.primary.place.span;
            span.end < self.start || span.start > end
        };
        let faults_before = stood.faults.iter().filter(|fault| is_outside(fault, self.old_end));
        let faults_now = now.faults.iter().filter(|fault| is_outside(fault, self.new_end));
        new.is_same_outside(old, start, old_end, new_end)
            && faults_before.map(|fault| self.fault(fault.clone())).eq(faults_now.map(|fault| Some(fault.clone())))
    }

    /// Whether an item of before is one of now: the same one, or both were touched.
    pub fn is_same_item(&self, before: u32, now: u32) -> bool {
        let id = |item| DeclId { file: self.file, item };
        let touched = (self.first..self.new_after).contains(&(now as usize));
        self.id(id(before)).map_or(touched, |moved| moved.item == now)
    }

    /// The file, and the number that it had before.
    pub fn of(&self) -> (FileId, u64) {
        (self.file, self.before)
    }

    /// From here on it is watched whether anything that is asked for is elsewhere now.
    pub fn begin(&self) {
        self.moved.set(false);
    }

    /// Whether anything that was asked for since is elsewhere now, or numbered otherwise.
    pub fn has_moved(&self) -> bool {
        self.moved.get()
    }

    /// The number of an item as it is now; none where it was touched.
    pub fn id(&self, id: DeclId) -> Option<DeclId> {
        let item = id.item as usize;
        if id.file != self.file || item < self.first {
            return Some(id);
        }
        let now = item.checked_sub(self.old_after)? + self.new_after;
        if now != item {
            self.moved.set(true);
        }
        Some(DeclId { file: id.file, item: u32::try_from(now).ok()? })
    }

    fn span(&self, span: Span) -> Option<Span> {
        if span.end < self.start {
            return Some(span);
        }
        let moved = |at: u32| at.checked_sub(self.old_end)?.checked_add(self.new_end);
        (span.start > self.old_end).then_some(())?;
        if self.old_end != self.new_end {
            self.moved.set(true);
        }
        Some(Span { start: moved(span.start)?, end: moved(span.end)? })
    }

    /// A place where it is now; none where it was touched.
    pub fn moved(&self, mut place: Place) -> Option<Place> {
        self.place(&mut place)?;
        Some(place)
    }

    fn place(&self, place: &mut Place) -> Option<()> {
        if place.file == self.file {
            place.span = self.span(place.span)?;
        }
        Some(())
    }

    /// A diagnostic with its places where they are now; none where one of them was touched.
    pub fn fault(&self, mut fault: Diagnostic) -> Option<Diagnostic> {
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

/// So many bytes are held against so many others at once.
const CHUNK: usize = 64;

/// With how many bytes both begin.
pub(super) fn alike_from_start(one: &[u8], other: &[u8]) -> usize {
    let chunks = one.chunks_exact(CHUNK).zip(other.chunks_exact(CHUNK)).take_while(|(one, other)| one == other).count();
    let rest = one.iter().zip(other).skip(chunks * CHUNK);
    chunks * CHUNK + rest.take_while(|(one, other)| one == other).count()
}

/// With how many bytes both end.
pub(super) fn alike_from_end(one: &[u8], other: &[u8]) -> usize {
    let chunks =
        one.rchunks_exact(CHUNK).zip(other.rchunks_exact(CHUNK)).take_while(|(one, other)| one == other).count();
    let rest = one.iter().rev().zip(other.iter().rev()).skip(chunks * CHUNK);
    chunks * CHUNK + rest.take_while(|(one, other)| one == other).count()
}
