//! What she already has: a table or a note turned into a formula, with what was not sure beside it.
//!
//! [`bring`] takes bytes as they come out of a spreadsheet or a note and gives the text of a `.still` file. Names are
//! looked up among her own materials and on the shelf; what neither knows becomes a material of the file itself. Whatever was read otherwise
//! than it stands is marked by a comment beside its line, and listed; and every cell of the table is in the text, in the
//! formula or in a comment. [`Kind`] gives a formula to begin from where there is no table.

mod abroad;
mod amount;
mod basis;
mod beside;
mod bytes;
mod columns;
mod comment;
mod dosing;
mod index;
mod kinds;
mod lines;
mod names;
mod number;
mod own;
mod own_shelf;
mod ph;
mod phase;
mod read;
mod rows;
mod unwritten;
mod words;
mod write;

pub use comment::slug;
pub use kinds::Kind;
pub use own_shelf::OwnShelf;

use names::Names;
use rows::Shape;

/// What the figures of a table are, where the table does not say so itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figures {
    /// Percent.
    Percent,
    /// Grams.
    Grams,
}

/// What the maker wishes of the formula.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wishes {
    /// The formula's name. What is no name of the language is made one.
    pub name: String,
    /// Whether the water takes the rest up to 100 %, whatever figure it has.
    pub rest: bool,
    /// What figures without a unit are, and which count where percent and grams stand side by side; by what stands there
    /// where this says nothing.
    pub figures: Option<Figures>,
}

/// Something of a table that was not read beyond doubt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unsure {
    /// The line of the table, from 1; 0 for the table as a whole.
    pub line: usize,
    /// What was not sure, in a sentence.
    pub says: String,
}

/// A table turned into a formula.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Brought {
    /// The text of a `.still` file, in the one layout.
    pub text: String,
    /// What was not sure, in the order of the table.
    pub unsure: Vec<Unsure>,
    /// What was done with it: how it was read, what it comes to, in sentences.
    pub told: Vec<String>,
    /// Whether the table says of any line how much of it is taken; without that there is nothing to weigh.
    pub has_amounts: bool,
}

impl Brought {
    /// Why no file is made of it, and what is wanted; none where there is something to weigh.
    #[must_use]
    pub fn refused(&self) -> Option<&'static str> {
        (!self.has_amounts).then_some(NO_AMOUNTS)
    }
}

/// What is said of a table or a note in which no material has an amount.
const NO_AMOUNTS: &str = "There is no material with an amount in it, so there is nothing to weigh. Write each material on a \
                          line of its own with its percent or its grams, as `glycerin 4 %` or `water 96 g`; the water may be \
                          `q.s.` Nothing was written.";

/// Turns a table or a note into a formula. Any bytes give a text that parses, and nothing of them is dropped.
#[must_use]
pub fn bring(bytes: &[u8], wishes: &Wishes) -> Brought {
    bring_beside(bytes, wishes, &OwnShelf::default())
}

/// The same beside materials of her own: what they know is taken before what the shelf knows, and their files are used.
#[must_use]
pub fn bring_beside(bytes: &[u8], wishes: &Wishes, own: &OwnShelf) -> Brought {
    let decoded = bytes::decoded(bytes);
    let (shape, rows) = rows::rows(&decoded.text);
    let mut told = vec![match shape {
        Shape::Commas => "Read as a table with commas between its cells.".to_string(),
        Shape::Semicolons => "Read as a table with semicolons between its cells.".to_string(),
        Shape::Tabs => "Read as a table with tabs between its cells.".to_string(),
        Shape::Markdown => "Read as a table in Markdown.".to_string(),
        Shape::Lines => "Read as a note, line by line.".to_string(),
    }];
    if let Some(encoding) = decoded.taken_for {
        told.push(format!("Its bytes are read as {encoding}."));
    }
    let mut names = Names::beside(own);
    told.extend(own.passed_over.iter().cloned());
    let table = read::table(shape, rows, &mut names);
    let mut brought = write::written(&table, shape, wishes, &mut names);
    if decoded.damaged {
        let says = "Some bytes are no letters; they stand as \u{fffd}.".to_string();
        brought.unsure.insert(0, Unsure { line: 0, says });
    }
    told.append(&mut brought.told);
    Brought { text: crate::syntax::format(&brought.text), told, ..brought }
}
