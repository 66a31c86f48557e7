//! The fields of the block that the cursor is in, with those that are written already.

use super::hover::rows_of;
use super::occurrences::Names;
use crate::diagnostic::FileId;
use crate::syntax::Context;
use crate::syntax::survey::{Survey, SurveyedStatement};

/// The fields of a block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signature {
    /// All of them on a line.
    pub label: String,
    /// Each field: where in the label it stands, in bytes, and what it says.
    pub fields: Vec<SignatureField>,
    /// The one that is written now.
    pub active: Option<usize>,
}

/// A field of a block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SignatureField {
    /// Where in the label.
    pub from: usize,
    /// To where.
    pub to: usize,
    /// How it is written and what it says, in Markdown.
    pub about: String,
    /// Whether it is written already.
    pub written: bool,
}

/// What marks a field that is written.
const WRITTEN: &str = "✓";

/// The fields of the block that an offset lies in; none outside every block, and in a block that has no fields.
#[must_use]
pub fn signature(names: &Names<'_>, file: FileId, offset: u32) -> Option<Signature> {
    let survey = names.survey(file);
    let text = names.sources.text(file);
    let (number, block, context) = block_at(&survey, offset)?;
    if matches!(context, Context::File | Context::Steps) {
        return None;
    }
    let inside = || survey.statements.iter().filter(|statement| statement.parent == Some(number));
    let opener = |statement: &SurveyedStatement| {
        statement.head.of(text).split(|letter: char| !letter.is_alphanumeric() && letter != '-').next()
    };
    let written: Vec<&str> = inside().filter_map(opener).collect();
    let here = inside().find(|statement| statement.span.start <= offset && offset <= statement.span.end);
    let here = here.and_then(opener);
    let mut label = block.head.of(text).trim().trim_end_matches('{').trim().to_string();
    label = format!("{} {{", label.lines().next().unwrap_or_default());
    let (mut fields, mut active): (Vec<SignatureField>, Option<usize>) = (Vec::new(), None);
    let mut words: Vec<&str> = Vec::new();
    for row in rows_of(context) {
        if row.word.is_empty() || words.contains(&row.word) {
            continue;
        }
        words.push(row.word);
        let written = written.contains(&row.word);
        if here == Some(row.word) {
            active = Some(fields.len());
        }
        label.push(' ');
        let from = label.len();
        label.push_str(row.word);
        let to = label.len();
        label.push_str(if written { WRITTEN } else { "" });
        let about = super::hover::about_field(context, row.word, "").unwrap_or_default();
        fields.push(SignatureField { from, to, about, written });
    }
    label.push_str(" }");
    (!fields.is_empty()).then_some(Signature { label, fields, active })
}

/// The innermost statement in whose block an offset lies, and what that block holds.
fn block_at(survey: &Survey, offset: u32) -> Option<(usize, &SurveyedStatement, Context)> {
    let innermost = survey.statement_at(offset)?;
    survey.chain(innermost).find_map(|(number, statement)| {
        let end = if statement.closed { statement.span.end.saturating_sub(1) } else { statement.span.end };
        let inside = statement.head.end <= offset && offset <= end;
        Some((number, statement, statement.inside.filter(|_| inside)?))
    })
}
