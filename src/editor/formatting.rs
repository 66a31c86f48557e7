//! The one layout, of a document or a stretch of it: only blanks change, and each stretch of them alone.

use super::addresses::path_of;
use super::documents::{Document, Documents};
use super::edits::{Edit, blank_edits, text_edit, with_line_ends_of};
use super::refusal::Refusal;
use super::requests::Answer;
use super::standing::Standing;
use crate::diagnostic::Span;
use crate::syntax::format;
use lsp_types::request::{Formatting, RangeFormatting, Request as _};
use lsp_types::{DocumentFormattingParams, DocumentRangeFormattingParams, Range, TextEdit, Uri};
use serde_json::Value;

/// Lays out a document that is open, or a stretch of it, out of its text alone. None where something else is asked for, or
/// a document that is not open: that is for whoever has looked at all texts.
#[must_use]
pub fn out_of_text(documents: &Documents, method: &str, params: &Value) -> Option<Answer> {
    let (address, stretch): (Uri, Option<Range>) = match method {
        Formatting::METHOD => {
            let asked = serde_json::from_value::<DocumentFormattingParams>(params.clone()).ok()?;
            (asked.text_document.uri, None)
        }
        RangeFormatting::METHOD => {
            let asked = serde_json::from_value::<DocumentRangeFormattingParams>(params.clone()).ok()?;
            (asked.text_document.uri, Some(asked.range))
        }
        _ => return None,
    };
    let edits = edits_of(documents.at(&path_of(&address))?, stretch);
    Some(serde_json::to_value(edits).map_err(|error| Refusal::failed(error.to_string())))
}

fn edits_of(document: &Document, stretch: Option<Range>) -> Vec<TextEdit> {
    let (text, positions) = (document.text(), &document.positions);
    let stretch = stretch.map(|range| positions.span(text, range));
    let edits = layout_edits(text).into_iter().filter(|edit| stretch.is_none_or(|span| touches(span, edit.span)));
    let told = |edit: Edit| TextEdit {
        range: positions.range(text, edit.span),
        new_text: with_line_ends_of(text, &edit.text),
    };
    edits.map(told).collect()
}

/// Lays out a document; one that does not parse is left as it is.
///
/// # Errors
/// A document that is not known.
pub fn whole(standing: &Standing<'_>, asked: DocumentFormattingParams) -> Result<Option<Vec<TextEdit>>, Refusal> {
    let file = standing.file(&asked.text_document.uri)?;
    let edits = layout_edits(standing.text(file));
    Ok(Some(edits.iter().map(|edit| text_edit(standing, file, edit)).collect()))
}

/// Lays out a stretch of a document: of what the whole would change, what touches the stretch.
///
/// # Errors
/// A document that is not known.
pub fn stretch(
    standing: &Standing<'_>,
    asked: DocumentRangeFormattingParams,
) -> Result<Option<Vec<TextEdit>>, Refusal> {
    let file = standing.file(&asked.text_document.uri)?;
    let stretch = standing.span(file, asked.range);
    let edits = layout_edits(standing.text(file));
    Ok(Some(
        edits.iter().filter(|edit| touches(stretch, edit.span)).map(|edit| text_edit(standing, file, edit)).collect(),
    ))
}

/// What laying out changes.
#[must_use]
pub fn layout_edits(text: &str) -> Vec<Edit> {
    let laid_out = format(text);
    blank_edits(text, &laid_out).unwrap_or_else(|| vec![Edit { span: Span::new(0, text.len()), text: laid_out }])
}

fn touches(stretch: Span, edit: Span) -> bool {
    stretch.start <= edit.end && edit.start <= stretch.end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::editor::Encoding;
    use lsp_types::TextDocumentItem;
    use serde_json::json;

    #[test]
    fn a_document_that_is_open_is_laid_out_without_a_session() {
        let address: Uri = "file:///a.still".parse().expect("an address");
        let mut documents = Documents::default();
        let text = "\u{feff}let a=1 %\nlet  b = 2 %\n";
        documents.open(TextDocumentItem::new(address, "stillroom".into(), 1, text.into()), Encoding::Utf16);
        let ask = |method: &str, of: &str, range: Value| {
            let params = json!({
                "textDocument": { "uri": of }, "range": range, "options": { "tabSize": 2, "insertSpaces": true },
            });
            out_of_text(&documents, method, &params).map(|answer| answer.expect("it is laid out"))
        };
        let whole = ask("textDocument/formatting", "file:///a.still", json!(null)).expect("it is open");
        let places: Vec<(&Value, &Value)> =
            whole.as_array().expect("edits").iter().map(|edit| (&edit["range"]["start"], &edit["newText"])).collect();
        assert_eq!(
            places,
            [
                (&json!({ "line": 0, "character": 6 }), &json!(" ")),
                (&json!({ "line": 0, "character": 7 }), &json!(" ")),
                (&json!({ "line": 1, "character": 3 }), &json!(" ")),
            ]
        );
        let second = json!({ "start": { "line": 1, "character": 0 }, "end": { "line": 1, "character": 9 } });
        let stretch = ask("textDocument/rangeFormatting", "file:///a.still", second).expect("it is open");
        assert_eq!(stretch.as_array().map(Vec::len), Some(1));
        assert_eq!(ask("textDocument/formatting", "file:///b.still", json!(null)), None);
        assert_eq!(ask("textDocument/hover", "file:///a.still", json!(null)), None);
    }
}
