//! What mends a fault by itself: its edit, all edits that are sure, and `allow` where a fault may be allowed.

use super::diagnostics::told;
use super::edits::{Edit, workspace_edit};
use super::refusal::Refusal;
use super::standing::Standing;
use crate::check::allow::{AllowAt, allow_at};
use crate::diagnostic::{Diagnostic, FileId, Place, Span};
use crate::fix::sure_edits;
use crate::model::Formula;
use crate::render::shown;
use lsp_types::{CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams};

/// What can be done about the faults in a stretch of a document.
///
/// # Errors
/// A document that is not known.
pub fn actions(standing: &Standing<'_>, asked: CodeActionParams) -> Result<Option<Vec<CodeActionOrCommand>>, Refusal> {
    let file = standing.file(&asked.text_document.uri)?;
    let stretch = standing.span(file, asked.range);
    let wants = |kind: &CodeActionKind| wants(asked.context.only.as_deref(), kind);
    let mut actions = Vec::new();
    if wants(&CodeActionKind::QUICKFIX) {
        for fault in &standing.report.diagnostics {
            let Place { file: there, span } = fault.primary.place;
            if there == file && span.start <= stretch.end && stretch.start <= span.end {
                actions.extend(mend(standing, fault));
                actions.extend(allow(standing, fault));
            }
        }
    }
    if wants(&CodeActionKind::SOURCE_FIX_ALL) {
        actions.extend(mend_all(standing, file));
    }
    Ok(Some(actions.into_iter().map(CodeActionOrCommand::CodeAction).collect()))
}

/// Whether a kind of action is asked for: all are, where nothing is said, and `source` asks for `source.fixAll`.
fn wants(only: Option<&[CodeActionKind]>, kind: &CodeActionKind) -> bool {
    only.is_none_or(|only| {
        only.iter().any(|asked| {
            let (asked, kind) = (asked.as_str(), kind.as_str());
            asked.is_empty() || kind == asked || kind.strip_prefix(asked).is_some_and(|rest| rest.starts_with('.'))
        })
    })
}

/// The edit of a fault.
fn mend(standing: &Standing<'_>, fault: &Diagnostic) -> Option<CodeAction> {
    let fix = fault.fix.as_ref()?;
    let edit = Edit { span: fix.place.span, text: fix.replacement.clone() };
    let old = standing.session.sources().at(fix.place);
    let (old, new) = (shown(old.trim()), shown(fix.replacement.trim()));
    let title = match (old.is_empty(), new.is_empty()) {
        (true, _) => format!("Put in `{new}`"),
        (_, true) => format!("Take out `{old}`"),
        _ => format!("Write `{new}` for `{old}`"),
    };
    let sure = fault.is_surely_mended();
    Some(CodeAction {
        title: if sure { title } else { format!("{title}: look at it first") },
        kind: Some(CodeActionKind::QUICKFIX),
        diagnostics: Some(vec![told(standing, fault)]),
        edit: Some(workspace_edit(standing, fix.place.file, &[edit])?),
        is_preferred: Some(sure),
        ..CodeAction::default()
    })
}

/// All edits of a file that are sure.
fn mend_all(standing: &Standing<'_>, file: FileId) -> Option<CodeAction> {
    let source = standing.session.sources().home(file)?;
    let sure = sure_edits(source, &standing.report.diagnostics);
    if sure.is_empty() {
        return None;
    }
    let edits: Vec<Edit> =
        sure.iter().map(|fix| Edit { span: fix.place.span, text: fix.replacement.clone() }).collect();
    Some(CodeAction {
        title: "Mend all that is sure".to_string(),
        kind: Some(CodeActionKind::SOURCE_FIX_ALL),
        edit: Some(workspace_edit(standing, file, &edits)?),
        ..CodeAction::default()
    })
}

/// `allow CODE because "…"` for a fault that may be allowed, at the line or the formula that it speaks of. The dots keep
/// the place of a reason: until one is written, the allowance itself is the fault.
fn allow(standing: &Standing<'_>, fault: &Diagnostic) -> Option<CodeAction> {
    if !fault.code.entry().allowable {
        return None;
    }
    let holders = standing.report.formulas.iter().filter(|report| report.diagnostics.contains(fault));
    let ways: Vec<(AllowAt, &Formula)> = holders
        .filter_map(|report| Some((allow_at(&report.formula, fault, &report.diagnostics)?, &*report.formula)))
        .collect();
    // A variant is told of the lines of its base too: the line itself goes before.
    let on_line = ways.iter().find(|(at, _)| matches!(at, AllowAt::Line(_)));
    let (at, formula) = *on_line.or_else(|| ways.first())?;
    let (file, edit) = statement(standing, formula, at, fault)?;
    let name = fault.code.entry().name;
    let of = match at {
        AllowAt::Line(line) => formula.lines.get(line).map(|line| format!("for `{}` alone", shown(&line.name)))?,
        AllowAt::Formula => format!("in the whole of `{}`", shown(&formula.name)),
    };
    Some(CodeAction {
        title: format!("Allow `{name}` {of}, and write why"),
        kind: Some(CodeActionKind::QUICKFIX),
        diagnostics: Some(vec![told(standing, fault)]),
        edit: Some(workspace_edit(standing, file, &[edit])?),
        is_preferred: Some(false),
        ..CodeAction::default()
    })
}

/// The statement where it belongs: below its line, or at the end of its formula.
fn statement(standing: &Standing<'_>, formula: &Formula, at: AllowAt, fault: &Diagnostic) -> Option<(FileId, Edit)> {
    let words = format!("allow {} because \"…\"", fault.code.entry().name);
    match at {
        AllowAt::Line(line) => {
            let place = formula.lines.get(line)?.whole;
            Some((place.file, below(standing.text(place.file), place.span, &words)))
        }
        AllowAt::Formula => {
            let place = formula.own_span?;
            Some((place.file, at_the_end(standing.text(place.file), place.span, &words)?))
        }
    }
}

/// A statement on a line of its own below another.
fn below(text: &str, span: Span, words: &str) -> Edit {
    let (start, end) = (span.start as usize, span.end as usize);
    let indent = indent_at(text, start);
    let rest = text.get(end..).unwrap_or_default();
    let rest = rest.split(['\n', '\r']).next().unwrap_or_default();
    if rest.trim().is_empty() || rest.trim_start().starts_with('#') {
        let end = end + rest.len();
        return Edit { span: Span::new(end, end), text: format!("\n{indent}{words}") };
    }
    Edit { span: Span::new(end, end), text: format!("\n{indent}{words}\n{indent}") }
}

/// A statement on a line of its own before the brace that closes a block.
fn at_the_end(text: &str, block: Span, words: &str) -> Option<Edit> {
    let brace = (block.end as usize).checked_sub(1).filter(|at| text.get(*at..).is_some_and(|t| t.starts_with('}')))?;
    let indent = indent_at(text, brace);
    let before = text.get(..brace)?;
    let line = before.rfind('\n').map_or(0, |at| at + 1);
    if before.get(line..)?.trim().is_empty() {
        return Some(Edit { span: Span::new(line, line), text: format!("{indent}  {words}\n") });
    }
    Some(Edit { span: Span::new(brace, brace), text: format!("\n{indent}  {words}\n{indent}") })
}

/// The blanks that the line of an offset begins with.
fn indent_at(text: &str, offset: usize) -> &str {
    let before = text.get(..offset).unwrap_or_default();
    let line = text.get(before.rfind('\n').map_or(0, |at| at + 1)..).unwrap_or_default();
    let blanks = line.len() - line.trim_start_matches([' ', '\t']).len();
    line.get(..blanks).unwrap_or_default()
}
