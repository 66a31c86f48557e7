//! The files of a session: the shelf's first, then those on disk, each with its text and its tree.

use super::disk::seen_from;
use crate::diagnostic::{Diagnostic, FileId, Place, Span};
use crate::shelf;
use crate::syntax::tree::{File, Item};
use std::path::PathBuf;

/// What became of a `use` statement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UseOutcome {
    /// It brings this file.
    File(FileId),
    /// It could not be followed; the fault has been told.
    Failed,
    /// The file is gone, and nothing here needs it: every batch goes by its own plan.
    Gone,
}

/// A file on disk.
#[derive(Debug)]
pub struct Source {
    /// Its number.
    pub id: FileId,
    /// Its path within the workspace, with `/`.
    pub path: String,
    /// Where it is.
    pub absolute: PathBuf,
    /// The workspace it belongs to.
    pub root: PathBuf,
    /// Its text, without a byte-order mark.
    pub text: String,
    /// Its tree.
    pub tree: File,
    /// What was wrong with its text and its `use` statements.
    pub faults: Vec<Diagnostic>,
    /// Each `use` statement with what became of it: the number of the item, and the outcome.
    pub uses: Vec<(usize, UseOutcome)>,
    /// Whether the file was named, and not only used by another.
    pub named: bool,
    /// Whether its text could be read at all.
    pub readable: bool,
}

/// All files of a session.
#[derive(Debug, Default)]
pub struct Sources {
    /// The files on disk, by number, after the shelf's.
    pub files: Vec<Source>,
    /// The folder from which their paths are told; none where they are told from the root of their workspace.
    pub seen_from: Option<PathBuf>,
}

impl Sources {
    /// The file of a number, where it is one on disk.
    #[must_use]
    pub fn home(&self, file: FileId) -> Option<&Source> {
        let at = (file.0 as usize).checked_sub(shelf::FILES.len())?;
        self.files.get(at)
    }

    /// The same, to be changed.
    pub fn home_mut(&mut self, file: FileId) -> Option<&mut Source> {
        let at = (file.0 as usize).checked_sub(shelf::FILES.len())?;
        self.files.get_mut(at)
    }

    /// The text of a file.
    #[must_use]
    pub fn text(&self, file: FileId) -> &str {
        match self.home(file) {
            Some(source) => &source.text,
            None => shelf::FILES.get(file.0 as usize).map_or("", |file| file.text),
        }
    }

    /// The path of a file, as it is told to a maker: from where she stands.
    #[must_use]
    pub fn path(&self, file: FileId) -> String {
        match (self.home(file), &self.seen_from) {
            (Some(source), Some(folder)) => seen_from(folder, &source.absolute),
            _ => self.path_in_workspace(file),
        }
    }

    /// The path of a file from the root of its workspace, wherever anybody stands.
    #[must_use]
    pub fn path_in_workspace(&self, file: FileId) -> String {
        match self.home(file) {
            Some(source) => source.path.clone(),
            None => {
                shelf::FILES.get(file.0 as usize).map_or(String::new(), |file| format!("shelf/{}.still", file.name))
            }
        }
    }

    /// The text at a place.
    #[must_use]
    pub fn at(&self, place: Place) -> &str {
        place.span.of(self.text(place.file))
    }

    /// A declaration of a file on disk.
    #[must_use]
    pub fn item(&self, file: FileId, item: u32) -> Option<&Item> {
        self.home(file)?.tree.items.get(item as usize)
    }
}

/// Where the lines of a text begin, to turn offsets into lines and columns.
#[derive(Debug)]
pub struct LineIndex<'t> {
    text: &'t str,
    starts: Vec<usize>,
    /// How many characters stand before each block of the text, so that a column in a line of any length is found at
    /// once; empty where every character is a byte.
    before: Vec<usize>,
}

/// The size of such a block, in bytes.
const BLOCK: usize = 1_024;

impl<'t> LineIndex<'t> {
    /// Reads the lines of a text once.
    #[must_use]
    pub fn new(text: &'t str) -> LineIndex<'t> {
        let breaks = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1);
        let starts = std::iter::once(0).chain(breaks).collect();
        let before = if text.is_ascii() { Vec::new() } else { characters_before(text) };
        LineIndex { text, starts, before }
    }

    /// How many characters stand before an offset.
    fn characters(&self, offset: usize) -> usize {
        if self.before.is_empty() {
            return offset;
        }
        let block = offset / BLOCK;
        let rest = self.text.as_bytes().get(block * BLOCK..offset).unwrap_or_default();
        self.before.get(block).copied().unwrap_or(0) + begun(rest)
    }

    /// The line of an offset, from nought.
    #[must_use]
    pub fn line_of(&self, offset: usize) -> usize {
        self.starts.partition_point(|start| *start <= offset).saturating_sub(1)
    }

    /// How many lines there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.starts.len()
    }

    /// Line and column of an offset, both from 1, the column in characters.
    #[must_use]
    pub fn line_column(&self, offset: u32) -> (usize, usize) {
        let mut offset = (offset as usize).min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let line = self.line_of(offset);
        let start = self.starts.get(line).copied().unwrap_or(0);
        let column = self.characters(offset).saturating_sub(self.characters(start));
        (line + 1, column + 1)
    }

    /// The offset at which a line begins, lines from nought; the end of the text past the last.
    #[must_use]
    pub fn start(&self, line: usize) -> usize {
        self.starts.get(line).copied().unwrap_or(self.text.len())
    }

    /// Lines and columns of both ends of a span.
    #[must_use]
    pub fn span(&self, span: Span) -> ((usize, usize), (usize, usize)) {
        (self.line_column(span.start), self.line_column(span.end))
    }
}

/// How many characters begin in these bytes.
fn begun(bytes: &[u8]) -> usize {
    bytes.iter().filter(|byte| **byte & 0xc0 != 0x80).count()
}

fn characters_before(text: &str) -> Vec<usize> {
    let counts = text.as_bytes().chunks(BLOCK).scan(0, |sum, block| {
        let before = *sum;
        *sum += begun(block);
        Some(before)
    });
    let mut before: Vec<usize> = counts.collect();
    // A text that fills its last block ends at the start of another.
    before.push(text.chars().count());
    before
}
