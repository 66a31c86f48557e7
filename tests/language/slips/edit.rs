//! A slip of the pen as edits of a text.

use std::ops::Range;
use stillroom::diagnostic::Span;

/// A stretch of a text, and what stands there after the slip.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Edit {
    start: usize,
    end: usize,
    text: String,
}

/// One slip: edits that are made together and do not overlap.
pub type Slip = Vec<Edit>;

/// A stretch of the tree written anew.
pub fn put(span: Span, text: impl Into<String>) -> Edit {
    put_at(span.range(), text)
}

/// A stretch of bytes written anew.
pub fn put_at(range: Range<usize>, text: impl Into<String>) -> Edit {
    Edit { start: range.start, end: range.end, text: text.into() }
}

/// The lines of a text that a span stands on, with the end of the last one.
pub fn whole_lines(text: &str, span: Span) -> Range<usize> {
    let Range { start, end } = span.range();
    let start = text[..start].rfind('\n').map_or(0, |at| at + 1);
    let end = text[end..].find('\n').map_or(text.len(), |at| end + at + 1);
    start..end
}

/// The text after the slip.
pub fn made(text: &str, slip: &Slip) -> String {
    let mut edits = slip.clone();
    edits.sort();
    edits.dedup();
    let mut made = String::with_capacity(text.len());
    let mut at = 0;
    for edit in &edits {
        assert!(at <= edit.start, "edits overlap: {edits:?}");
        made.push_str(&text[at..edit.start]);
        made.push_str(&edit.text);
        at = edit.end;
    }
    made.push_str(&text[at..]);
    made
}
