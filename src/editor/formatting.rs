//! The one layout, of a document or a stretch of it: only blanks change, and each stretch of them alone.

use super::edits::{Edit, blank_edits, text_edit};
use super::refusal::Refusal;
use super::standing::Standing;
use crate::diagnostic::Span;
use crate::syntax::format;
use lsp_types::{DocumentFormattingParams, DocumentRangeFormattingParams, TextEdit};

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
