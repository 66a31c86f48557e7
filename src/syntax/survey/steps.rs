//! The text of a step, and the names in its braces.

use super::mark::{Mark, MarkKind};
use super::role::NameRole;
use crate::diagnostic::Span;

/// Marks a step that is typed so, quotation marks included. `{{` is a brace of the text.
pub(super) fn mark(span: Span, typed: &str, marks: &mut Vec<Mark>) {
    let start = span.start as usize;
    let mut from = 0;
    let mut searched = 0;
    while let Some(open) = typed.get(searched..).and_then(|rest| rest.find('{')).map(|found| searched + found) {
        let inside = typed.get(open + 1..).unwrap_or("");
        if inside.starts_with('{') {
            searched = open + 2;
            continue;
        }
        let Some(length) = inside.find('}') else { break };
        push(MarkKind::Text, start + from, start + open, marks);
        words(inside.get(..length).unwrap_or(""), start + open + 1, marks);
        searched = open + 1 + length + 1;
        from = searched;
    }
    push(MarkKind::Text, start + from, start + typed.len(), marks);
}

/// The name between braces, and the part of its line.
fn words(inside: &str, at: usize, marks: &mut Vec<Mark>) {
    let mut from = 0;
    for number in 0..2 {
        let rest = inside.get(from..).unwrap_or("");
        let trimmed = rest.trim_start();
        from += rest.len() - trimmed.len();
        let length = if number == 0 { trimmed.find(char::is_whitespace) } else { None };
        let length = length.unwrap_or(trimmed.trim_end().len());
        let kind = match (number, trimmed.get(..length)) {
            (_, Some("pH")) => MarkKind::Keyword,
            (0, _) => MarkKind::Name(NameRole::Step),
            _ => MarkKind::Name(NameRole::StepPart),
        };
        push(kind, at + from, at + from + length, marks);
        from += length;
    }
}

fn push(kind: MarkKind, start: usize, end: usize, marks: &mut Vec<Mark>) {
    if start < end {
        marks.push(Mark { kind, span: Span::new(start, end) });
    }
}
