//! The one layout: [`format`](format()).
//!
//! It works on the tree that the parser itself reads, comments and blanks in it, and never on what is made of it, so
//! that nothing can be lost or made up: [`layout`] is that tree as lines and words, [`cells`] cuts a statement into what
//! stands in columns, and [`write`] lays it all out.

mod cells;
mod layout;
mod write;

use super::cut::Cut;
use super::made;
use super::statement::Memo;
use crate::diagnostic::FileId;

/// A text in the one layout. Only blanks, line ends, a byte-order mark and the signs of `C` and `F` ever change, and
/// a text laid out already comes back as it is. A text that does not parse comes back as it is too.
#[must_use]
pub fn format(text: &str) -> String {
    laid_out(text).unwrap_or_else(|| text.to_string())
}

fn laid_out(text: &str) -> Option<String> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let memo = Memo::default();
    let cut = Cut::new(text, &memo);
    if !made(&cut, FileId(u32::MAX), text, 0).faults.is_empty() {
        return None;
    }
    let mut before = layout::entries(&cut, text)?;
    let out = write::write(&mut before);
    // A formula is never put at risk for its looks: what would not read the same is left alone.
    let cut_again = Cut::new(&out, &memo);
    let after = layout::entries(&cut_again, &out)?;
    (layout::words(&before) == layout::words(&after)).then_some(out)
}
