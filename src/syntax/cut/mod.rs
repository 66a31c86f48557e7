//! A text cut into statements and blocks, with all that stands between them: the tree that parser, formatter and
//! editor share.
//!
//! [`scan`] knows how far a statement reaches, [`cutter`] goes through the text once, [`mend`] guesses where blocks end
//! that were never closed, and [`edit`] cuts anew only what a change has touched. The grammar parses each statement by
//! itself, so that one that is broken hides no other.

mod cutter;
mod edit;
mod entry;
mod mend;
mod place;
mod scan;

pub use edit::{Left, SyntaxTree};
pub use entry::{Block, Cuts, Entry, EntryKind, ParseState, Statement};
pub use mend::BracketFault;
pub use place::{Placed, Walk};
pub use scan::{closing_quote, line_end, nests_within_limit};

use super::context::Context;
use super::statement::Memo;
use cutter::Cutter;

/// How many brackets may stand open at once.
pub const MAX_NESTING: usize = 64;

/// A text cut up.
#[derive(Clone, Debug, Default)]
pub struct Cut {
    /// What stands at file level.
    pub entries: Vec<Entry>,
    /// What was wrong with brackets.
    pub faults: Vec<BracketFault>,
    /// Whether where each entry ends can be seen from itself and what is around it: nothing had to be guessed.
    settled: bool,
}

impl Cut {
    /// Cuts a text.
    #[must_use]
    pub fn new(text: &str, memo: &Memo) -> Cut {
        let mut cutter = Cutter::new(text, memo, 0, Some(Context::File), 0);
        if cutter.run().is_ok() {
            let settled = cutter.settled();
            let (entries, faults) = cutter.finish();
            return Cut { entries, faults, settled };
        }
        let mut cutter = Cutter::mending(text, memo);
        // Where brackets may be mended, none of them stops the cutter.
        let _ = cutter.run();
        let (entries, faults) = cutter.finish();
        Cut { entries, faults, settled: false }
    }
}
