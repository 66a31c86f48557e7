//! What is known of what the cursor rests on: a name and its facts, a line and its figures, a word of the language, the
//! page of a fault. In Markdown, in which whatever a maker wrote is text.

mod declared;
mod line;
mod word;

pub use declared::about as about_meaning;
pub(super) use declared::known as known_facts;
pub use word::{about_code, about_field, about_keyword, about_listed, about_unit, rows_of};

use super::occurrences::Names;
use crate::diagnostic::{Code, FileId, Place, Span};
use crate::session::Report;
use crate::sheet::BatchOrder;
use crate::syntax::survey::{MarkKind, NameRole};

/// What is shown of a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hover {
    /// What it is about.
    pub span: Span,
    /// What is known of it, in Markdown.
    pub markdown: String,
}

/// What a hover is asked of.
pub struct Asked<'a> {
    /// The names of the session.
    pub names: &'a Names<'a>,
    /// What came of it.
    pub report: &'a Report<'a>,
    /// Which batches are asked for.
    pub order: &'a BatchOrder,
}

/// What is known of what stands at an offset; none where that is nothing.
#[must_use]
pub fn hover(asked: &Asked<'_>, file: FileId, offset: u32) -> Option<Hover> {
    let names = asked.names;
    let survey = names.survey(file);
    let mark = survey.mark_at(offset).copied();
    let mut parts: Vec<String> = Vec::new();
    if let Some(mark) = mark {
        let text = mark.span.of(names.sources.text(file));
        let number = survey.marks.iter().position(|other| *other == mark).unwrap_or_default();
        let statement = survey.statement_of(number);
        let place = Place { file, span: mark.span };
        match mark.kind {
            MarkKind::Name(NameRole::StepPart) => parts.extend(word::about_part(text)),
            MarkKind::Name(role) => {
                parts.extend(line::figures_of_name(asked, place, role, text));
                let meanings = names.meanings(file, &survey, number);
                parts.extend(meanings.iter().filter_map(|meaning| declared::about(asked, meaning)));
                if meanings.is_empty() && role == NameRole::KeptApart {
                    parts.extend(word::about_kept_apart(text));
                }
            }
            MarkKind::Loose => {
                let meanings = names.meanings(file, &survey, number);
                parts.extend(meanings.iter().filter_map(|meaning| declared::about(asked, meaning)));
                if parts.is_empty() {
                    parts.extend(statement.and_then(|of| word::about_field(of.context, text, text)));
                }
            }
            MarkKind::Code => parts.extend(Code::from_name(text).map(word::about_code)),
            MarkKind::Unit => parts.extend(word::about_unit(text)),
            MarkKind::Number => parts.extend(line::figures_at(asked, place)),
            MarkKind::Path => parts.extend(declared::about_file(asked, file, mark.span, text)),
            MarkKind::Listed | MarkKind::Keyword => {
                let opener = statement.and_then(|of| survey.marks_of(of).first());
                let opener = opener.map_or(text, |mark| mark.span.of(names.sources.text(file)));
                if mark.kind == MarkKind::Listed {
                    parts.extend(word::about_listed(opener, text));
                } else {
                    let head = statement.map_or("", |of| of.head.of(names.sources.text(file)));
                    parts.extend(statement.and_then(|of| word::about_keyword(of.context, (opener, head), text)));
                }
            }
            MarkKind::Comment | MarkKind::Text | MarkKind::Date | MarkKind::Sign => {}
        }
    }
    let mut span = mark.map(|mark| mark.span);
    let faults = asked.report.diagnostics.iter().filter(|fault| {
        let place = fault.primary.place;
        place.file == file && place.span.start <= offset && offset <= place.span.end
    });
    let mut told: Vec<Code> = Vec::new();
    for fault in faults {
        if !told.contains(&fault.code) {
            told.push(fault.code);
            parts.push(word::about_fault(fault.code));
            span = span.or(Some(fault.primary.place.span));
        }
    }
    let markdown = parts.join("\n\n---\n\n");
    Some(Hover { span: span?, markdown }).filter(|hover| !hover.markdown.is_empty())
}
