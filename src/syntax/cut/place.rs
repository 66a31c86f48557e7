//! The statements of a text where they stand.

use super::{Block, Entry, EntryKind, ParseState, Statement};
use crate::diagnostic::Span;
use crate::syntax::context::Context;
use crate::syntax::statement::Nodes;

/// A statement where it stands.
#[derive(Clone, Copy, Debug)]
pub struct Placed<'t> {
    /// The statement.
    pub statement: &'t Statement,
    /// The text it stands in.
    text: &'t str,
    /// Where in that text it starts.
    start: usize,
    /// How many bytes it has.
    length: usize,
    /// What is to be added to an offset in the text to have it in the file.
    shift: usize,
}

impl<'t> Placed<'t> {
    /// Where it stands in its file, its block included.
    #[must_use]
    pub fn span(&self) -> Span {
        let start = offset(self.shift + self.start);
        Span { start, end: start + offset(self.length) }
    }

    /// Its text without its block.
    #[must_use]
    pub fn head(&self) -> &'t str {
        self.text.get(self.start..self.start + self.statement.head as usize).unwrap_or("")
    }

    /// What the grammar makes of it; nothing where it does not parse.
    #[must_use]
    pub fn nodes(&self) -> Option<Nodes<'t>> {
        match &self.statement.reading {
            ParseState::Sound(parse) => Some(parse.nodes(self.head(), offset(self.shift + self.start))),
            _ => None,
        }
    }

    /// The statements of its block.
    #[must_use]
    pub fn statements(&self) -> Walk<'t> {
        inside(Some(self.statement), self.text, self.start, self.shift)
    }

    /// Where the statements of its block stand, in the language.
    #[must_use]
    pub fn inside(&self) -> Option<Context> {
        self.statement.block.as_deref().and_then(|block: &Block| block.context)
    }
}

/// Goes through entries, statement by statement.
#[derive(Clone, Debug)]
pub struct Walk<'t> {
    entries: &'t [Entry],
    text: &'t str,
    at: usize,
    shift: usize,
}

impl<'t> Walk<'t> {
    /// Through the entries of a text that stands at an offset of its file.
    #[must_use]
    pub fn new(entries: &'t [Entry], text: &'t str, shift: usize) -> Walk<'t> {
        Walk { entries, text, at: 0, shift }
    }

    /// The next entry, of whatever kind, and its text.
    pub fn next_entry(&mut self) -> Option<(&'t Entry, &'t str)> {
        let (entry, rest) = self.entries.split_first()?;
        let start = self.at;
        self.entries = rest;
        self.at += entry.length as usize;
        Some((entry, self.text.get(start..self.at).unwrap_or("")))
    }

    /// Through the block of the entry that was taken last.
    #[must_use]
    pub fn inside(&self, entry: &'t Entry) -> Walk<'t> {
        let start = self.at.saturating_sub(entry.length as usize);
        inside(entry.statement(), self.text, start, self.shift)
    }
}

fn inside<'t>(statement: Option<&'t Statement>, text: &'t str, start: usize, shift: usize) -> Walk<'t> {
    let block = statement.and_then(|statement| statement.block.as_deref());
    let head = statement.map_or(0, |statement| statement.head as usize);
    Walk { entries: block.map_or(&[][..], |block| &block.entries), text, at: start + head, shift }
}

impl<'t> Iterator for Walk<'t> {
    type Item = Placed<'t>;

    fn next(&mut self) -> Option<Placed<'t>> {
        while let Some((entry, rest)) = self.entries.split_first() {
            self.entries = rest;
            let (start, length) = (self.at, entry.length as usize);
            self.at += length;
            if let EntryKind::Statement(statement) = &entry.what {
                return Some(Placed { statement, text: self.text, start, length, shift: self.shift });
            }
        }
        None
    }
}

fn offset(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}
