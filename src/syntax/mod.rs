//! From text to a tree in which every node carries its span, and the faults of what did not parse.
//!
//! `cut` cuts the text into statements and blocks, with all that stands between them; the grammar parses each
//! statement by itself, and each text of one but once (`statement`). `build` makes [`tree`] of that, and
//! [`format`](format()) writes a text in the one layout.

mod again;
#[cfg(test)]
mod agreement;
mod build;
mod context;
mod cut;
pub mod fields;
mod format;
mod grammar;
mod invisible;
mod near;
mod print;
mod statement;
pub mod survey;
pub mod tree;
pub mod vocabulary;
mod wording;
mod words;

use crate::diagnostic::{Code, Diagnostic, FileId, Place};
use grammar::{Grammar, Rule};
use pest::Parser as _;

pub use build::{batch_argument, cut_name, is_calendar_date, scale_argument};
pub use context::Context;
pub use cut::{Cuts, MAX_NESTING, SyntaxTree};
pub use format::format;
pub use invisible::is_blank;
pub use near::{IndexedName, is_one_slip, nearest, nearest_of};
pub use print::{amount_text, expression_text, one_blank, tail_text};
pub use statement::Memo;
pub use wording::Wording;
pub use words::{HEADER, LOOSE_MEASURES, RESERVED};

/// The largest file, in bytes.
pub const MAX_FILE: usize = 16 * 1024 * 1024;

/// The longest name, in letters.
pub const MAX_NAME: usize = 100;

/// A file's tree and what was wrong with its text.
#[derive(Debug, Default)]
pub struct Parsed {
    /// The tree.
    pub tree: tree::File,
    /// The faults, in the order they stand.
    pub faults: Vec<Diagnostic>,
}

/// Parses a file. Never fails: what does not parse is told of in [`Parsed::faults`].
#[must_use]
pub fn parse(file: FileId, text: &str) -> Parsed {
    parse_with(&Memo::default(), file, text)
}

/// As [`parse`], where statements may be known from other files.
#[must_use]
pub fn parse_with(memo: &Memo, file: FileId, text: &str) -> Parsed {
    made(&cut::Cut::new(text, memo), file, text, 0)
}

/// Parses one declaration of the shelf, which stands at an offset in its file.
#[must_use]
pub fn parse_slice(file: FileId, text: &str, offset: usize) -> Parsed {
    made(&cut::Cut::new(text, &Memo::default()), file, text, offset)
}

impl SyntaxTree {
    /// The tree with its places, and the faults.
    #[must_use]
    pub fn parsed(&self, file: FileId) -> Parsed {
        made(self.cut(), file, self.text(), 0)
    }

    /// The same, from the tree and the faults of the same file before it was edited, and how long its text was then:
    /// declarations that the edit has left as they were, and in which nothing was or is at fault, are not made again.
    #[must_use]
    pub fn parsed_from(&mut self, file: FileId, before: Parsed, length: usize) -> Parsed {
        match self.take_left().filter(|left| left.old_length == length) {
            Some(left) => again::parsed_from(self.cut(), left, file, self.text(), before),
            None => self.parsed(file),
        }
    }
}

/// The faults of a text that show before any statement is read.
fn told_at_once(cut: &cut::Cut, file: FileId, text: &str, shift: usize) -> Vec<Diagnostic> {
    let unseen = invisible::unseen_in(text).into_iter().map(|unseen| unseen.told(file, shift));
    unseen.chain(cut.faults.iter().map(|fault| fault.told(text, file, shift))).collect()
}

fn made(cut: &cut::Cut, file: FileId, text: &str, shift: usize) -> Parsed {
    let told = told_at_once(cut, file, text, shift);
    let mut builder = build::Builder::new(file, text, &told);
    let tree = builder.items(cut::Walk::new(&cut.entries, text, shift));
    let mut faults = builder.faults;
    faults.extend(told);
    faults.sort_by_key(|fault| fault.primary.place.span);
    Parsed { tree, faults }
}

/// The fault of a name that is one of the words that open a statement in a phase.
#[must_use]
pub fn reserved(place: Place, word: &str) -> Diagnostic {
    let message = format!("`{word}` opens a statement inside a phase and cannot name a material.");
    Diagnostic::new(Code::NameReserved, place, message)
        .help(format!("Call it something else, for example `{word}-material`."))
}

/// How many pairs the bare grammar gives for a text as a whole; for benchmarks of the parse alone.
#[doc(hidden)]
#[must_use]
pub fn bare_parse(text: &str) -> usize {
    Grammar::parse(Rule::file, text).map(|pairs| pairs.flatten().count()).unwrap_or(0)
}

/// A plain scan of the tokens of a text; for benchmarks.
#[doc(hidden)]
#[must_use]
pub fn token_scan(text: &str) -> usize {
    let mut tokens = 0;
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let length = match first {
            ' ' | '\t' | '\n' | '\r' => {
                rest = rest.get(1..).unwrap_or("");
                continue;
            }
            '#' => rest.find('\n').unwrap_or(rest.len()),
            '"' => rest.get(1..).and_then(|rest| rest.find('"')).map_or(rest.len(), |end| end + 2),
            first if first.is_ascii_alphanumeric() => {
                rest.find(|c: char| !c.is_ascii_alphanumeric() && c != '-' && c != '.').unwrap_or(rest.len())
            }
            first => first.len_utf8(),
        };
        tokens += 1;
        rest = rest.get(length..).unwrap_or("");
    }
    tokens
}
