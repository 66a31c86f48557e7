//! From text to a tree in which every node carries its span, and the faults of what did not parse.
//!
//! `prepare` looks at the brackets, the grammar parses, `build` makes the tree, and
//! `recover` parses each broken statement once more, alone, to say in trade words what was expected.
//! [`format`](format()) writes a text in the one layout.

mod build;
mod format;
mod grammar;
mod invisible;
mod near;
mod prepare;
mod print;
mod recover;
pub mod tree;
pub mod vocabulary;
mod words;

use crate::diagnostic::{Code, Diagnostic, FileId, Place};
use grammar::{Grammar, Rule};
use pest::Parser as _;

pub use build::{batch_argument, cut_name, is_calendar_date, scale_argument};
pub use format::format;
pub use near::{Known, nearest, nearest_of};
pub use prepare::{MAX_FILE, MAX_NAME, MAX_NESTING};
pub use print::{amount_text, expression_text, tail_text};
pub use words::{HEADER, RESERVED};

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
    let prepared = prepare::prepare(file, text);
    let mut builder = build::Builder::new(file, &prepared);
    let tree = match Grammar::parse(Rule::file, &prepared.text) {
        Ok(pairs) => {
            if has_long_word(&prepared.text) {
                builder.long_names(pairs.clone());
            }
            builder.file(pairs)
        }
        // Not reachable while `broken` takes whatever else fails; told of all the same.
        Err(error) => {
            builder.grammar_failed(&error);
            tree::File::default()
        }
    };
    let mut faults = builder.faults;
    faults.extend(prepared.faults);
    faults.sort_by_key(|fault| fault.primary.place.span);
    Parsed { tree, faults }
}

/// Whether any word is too long for a name: seen in one look, so that names need not be looked at one by one.
fn has_long_word(text: &str) -> bool {
    let is_letter = |byte: &u8| byte.is_ascii_alphanumeric() || *byte == b'-';
    text.as_bytes().chunk_by(|one, other| is_letter(one) && is_letter(other)).any(|word| word.len() > MAX_NAME)
}

/// The fault of a name that is one of the words that open a statement in a phase.
#[must_use]
pub fn reserved(place: Place, word: &str) -> Diagnostic {
    let message = format!("`{word}` opens a statement inside a phase and cannot name a material.");
    Diagnostic::new(Code::NameReserved, place, message)
        .help(format!("Call it something else, for example `{word}-material`."))
}

/// Parses one declaration of the shelf, which stands at an offset in its file.
#[must_use]
pub fn parse_slice(file: FileId, text: &str, offset: usize) -> Parsed {
    let prepared = prepare::prepare(file, text);
    let mut builder = build::Builder::new(file, &prepared).at_offset(offset);
    let tree = match Grammar::parse(Rule::file, &prepared.text) {
        Ok(pairs) => builder.file(pairs),
        Err(_) => tree::File::default(),
    };
    Parsed { tree, faults: builder.faults }
}

/// How many pairs the bare grammar gives for a text; for benchmarks of the parse alone.
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
