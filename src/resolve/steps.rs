//! Steps cut into text and names.

use crate::diagnostic::{FileId, Place, Span};
use crate::model::{StepMark, StepText};
use crate::syntax::tree::Text;
use smol_str::SmolStr;

/// Cuts a step at its braces. `{{` is a brace; a brace that is not closed is text.
#[must_use]
pub fn cut(file: FileId, step: &Text, source: &str) -> StepText {
    let place = Place { file, span: step.span };
    // The places of names are those of the text as it is typed; escapes before a name are counted with it.
    let typed = step.span.of(source);
    let mut marks = Vec::new();
    let mut text = String::new();
    let mut rest = step.value.as_str();
    let mut searched = 0usize;
    while let Some(at) = rest.find('{') {
        text.push_str(rest.get(..at).unwrap_or(""));
        rest = rest.get(at + 1..).unwrap_or("");
        if let Some(after) = rest.strip_prefix('{') {
            text.push('{');
            rest = after;
            continue;
        }
        let Some(end) = rest.find('}') else {
            text.push('{');
            continue;
        };
        let name = rest.get(..end).unwrap_or("");
        rest = rest.get(end + 1..).unwrap_or("");
        let marker = format!("{{{name}}}");
        let found = typed.get(searched..).and_then(|typed| typed.find(&marker)).map_or(0, |found| searched + found);
        searched = found + marker.len();
        let start = step.span.start as usize + found;
        let name_place = Place { file, span: Span::new(start, start + marker.len()) };
        if !text.is_empty() {
            marks.push(StepMark::Text(std::mem::take(&mut text)));
        }
        marks.push(match name.trim() {
            "pH" => StepMark::Ph(name_place),
            name => StepMark::Name(SmolStr::new(name), name_place),
        });
    }
    text.push_str(rest);
    if !text.is_empty() {
        marks.push(StepMark::Text(text));
    }
    StepText { marks, place }
}
