//! What a text is cut into: statements and blocks, blanks and comments, and what belongs to nothing.
//!
//! Entries have lengths and no places, so that a change in one leaves all others as they are. End to end they are the
//! text, byte by byte.

use crate::syntax::context::Context;
use crate::syntax::statement::Parse;
use std::mem::discriminant;
use std::sync::Arc;

/// A stretch of a block or a file.
#[derive(Clone, Debug)]
pub struct Entry {
    /// What it is.
    pub what: EntryKind,
    /// How many bytes it has.
    pub length: u32,
}

/// What an entry is.
#[derive(Clone, Debug)]
pub enum EntryKind {
    /// Blanks and line ends.
    Blank,
    /// A comment, up to the end of its line.
    Comment,
    /// A statement.
    Statement(Statement),
    /// A brace that closes nothing.
    Stray,
}

/// An opening word, what follows it, and the block it opens.
#[derive(Clone, Debug)]
pub struct Statement {
    /// How many bytes it has without its block; the brace that opens it counts.
    pub head: u32,
    /// What the grammar makes of that.
    pub reading: ParseState,
    /// Its block.
    pub block: Option<Box<Block>>,
    /// Whether it stands on the line of a block that closed before it, where nothing may.
    pub crowded: bool,
}

/// What the grammar makes of a statement.
#[derive(Clone, Debug)]
pub enum ParseState {
    /// It parses.
    Sound(Arc<Parse>),
    /// It does not parse; why is found out when it is told.
    Broken,
    /// It does not parse, and what is wrong with its brackets says why.
    Reported,
    /// It stands in a block that nothing opens, so that no rule speaks of it.
    Unread,
}

/// What stands between two braces.
#[derive(Clone, Debug)]
pub struct Block {
    /// What its statements are; none where no block of the language opens so.
    pub context: Option<Context>,
    /// What stands in it.
    pub entries: Vec<Entry>,
    /// Whether it has its closing brace.
    pub closed: bool,
}

impl Statement {
    /// What the grammar makes of the same bytes in the same block is the same.
    fn is_same(&self, other: &Statement) -> bool {
        let same_block = match (self.block.as_deref(), other.block.as_deref()) {
            (None, None) => true,
            (Some(one), Some(other)) => {
                one.context == other.context
                    && one.closed == other.closed
                    && one.entries.len() == other.entries.len()
                    && one.entries.iter().zip(&other.entries).all(|(one, other)| one.is_same(other))
            }
            _ => false,
        };
        self.head == other.head
            && self.crowded == other.crowded
            && discriminant(&self.reading) == discriminant(&other.reading)
            && same_block
    }
}

impl Entry {
    /// Whether another one over the same bytes is cut and read in the same way.
    pub fn is_same(&self, other: &Entry) -> bool {
        let same_kind = match (&self.what, &other.what) {
            (EntryKind::Statement(one), EntryKind::Statement(other)) => one.is_same(other),
            (EntryKind::Blank, EntryKind::Blank)
            | (EntryKind::Comment, EntryKind::Comment)
            | (EntryKind::Stray, EntryKind::Stray) => true,
            _ => false,
        };
        self.length == other.length && same_kind
    }

    /// The statement, where it is one.
    #[must_use]
    pub fn statement(&self) -> Option<&Statement> {
        match &self.what {
            EntryKind::Statement(statement) => Some(statement),
            _ => None,
        }
    }
}

/// How a text is cut, to be held beside how another is.
#[derive(Clone, Debug)]
pub struct Cuts(Vec<Entry>);

impl Cuts {
    /// How a text is cut into these.
    pub(super) fn of(entries: &[Entry]) -> Cuts {
        Cuts(entries.to_vec())
    }

    /// Whether a text is cut and read as another was, but for a stretch that differs: from `start` to `old_end` in the
    /// other, and to `new_end` in this one. What both have outside that stretch is taken to be the same bytes.
    #[must_use]
    pub fn is_same_outside(&self, old: &Cuts, start: usize, old_end: usize, new_end: usize) -> bool {
        let length = |entries: &[Entry]| entries.iter().map(|entry| entry.length as usize).sum::<usize>();
        let before = |entries: &[Entry]| count_within(entries.iter(), start);
        let after =
            |entries: &[Entry], end: usize| count_within(entries.iter().rev(), length(entries).saturating_sub(end));
        let (old, new) = (&old.0, &self.0);
        let (first, last) = (before(old), after(old, old_end));
        first == before(new)
            && last == after(new, new_end)
            && old.iter().zip(new).take(first).all(|(one, other)| one.is_same(other))
            && old.iter().rev().zip(new.iter().rev()).take(last).all(|(one, other)| one.is_same(other))
    }
}

/// How many entries end before a stretch of so many bytes does, none of them at its very end.
fn count_within<'e>(entries: impl Iterator<Item = &'e Entry>, most: usize) -> usize {
    let ends = entries.scan(0usize, |at, entry| {
        *at += entry.length as usize;
        Some(*at)
    });
    ends.take_while(|end| *end < most).count()
}
