//! What a text is cut into: statements and blocks, blanks and comments, and what belongs to nothing.
//!
//! Entries have lengths and no places, so that a change in one leaves all others as they are. End to end they are the
//! text, byte by byte.

use crate::syntax::context::Context;
use crate::syntax::statement::Parse;
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

impl Entry {
    /// The statement, where it is one.
    #[must_use]
    pub fn statement(&self) -> Option<&Statement> {
        match &self.what {
            EntryKind::Statement(statement) => Some(statement),
            _ => None,
        }
    }
}
