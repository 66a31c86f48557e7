//! The one layout: [`format`](format()).
//!
//! It works on the tokens that the grammar itself finds, comments among them, and never on the tree, so that nothing
//! can be lost or made up: [`tokens`] takes the text apart, [`blocks`] finds statements and blocks, [`cells`] cuts a
//! statement into what stands in columns, and [`write`] lays it all out.

mod blocks;
mod cells;
mod tokens;
mod write;

use super::parse;
use crate::diagnostic::FileId;

/// A text in the one layout. Only blanks, line ends, a byte-order mark and the signs of `C` and `F` ever change, and
/// a text laid out already comes back as it is. A text that does not parse comes back as it is too.
#[must_use]
pub fn format(text: &str) -> String {
    laid_out(text).unwrap_or_else(|| text.to_string())
}

fn laid_out(text: &str) -> Option<String> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if !parse(FileId(u32::MAX), text).faults.is_empty() {
        return None;
    }
    let before = tokens::tokens(text)?;
    let out = write::write(blocks::blocks(before.clone())?);
    // A formula is never put at risk for its looks: what would not read the same is left alone.
    let after = tokens::tokens(&out)?;
    let same = before.len() == after.len()
        && before.iter().zip(&after).all(|(before, after)| before.kind == after.kind && before.text == after.text);
    same.then_some(out)
}
