//! Places in a source text.

use std::fmt;

/// A stretch of a file's text, in bytes, end exclusive. Files are at most 16 MB, so 32 bits do.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Span {
    /// The first byte.
    pub start: u32,
    /// The byte after the last.
    pub end: u32,
}

impl Span {
    /// From `start` up to `end`.
    #[must_use]
    pub fn new(start: usize, end: usize) -> Span {
        Span { start: u32::try_from(start).unwrap_or(u32::MAX), end: u32::try_from(end).unwrap_or(u32::MAX) }
    }

    /// The bytes as a range of a string.
    #[must_use]
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }

    /// The text the span covers; empty where it does not fit the text.
    #[must_use]
    pub fn of(self, text: &str) -> &str {
        text.get(self.range()).unwrap_or("")
    }

    /// Whether the other span lies wholly within this one.
    #[must_use]
    pub fn holds(self, other: Span) -> bool {
        self.start <= other.start && other.end <= self.end
    }

    /// From the start of this span to the end of the other.
    #[must_use]
    pub fn to(self, other: Span) -> Span {
        Span { start: self.start.min(other.start), end: self.end.max(other.end) }
    }
}

impl fmt::Debug for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}..{}", self.start, self.end)
    }
}

/// A file of the session, by its number: the shelf's files first, then the files on disk.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub struct FileId(pub u32);

/// A stretch of text in one file.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub struct Place {
    /// The file.
    pub file: FileId,
    /// The stretch of its text.
    pub span: Span,
}
