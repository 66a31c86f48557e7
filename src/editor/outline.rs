//! The shape of a text: its declarations, what folds, and the stretches that a cursor lies in, one within the other.

use super::occurrences::Names;
use crate::diagnostic::{FileId, Place, Span};
use crate::syntax::Context;
use crate::syntax::survey::{MarkKind, NameRole, Survey, SurveyedStatement};
use crate::syntax::tree::Item;
use crate::workspace::LineIndex;

/// What a symbol is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SymbolWhat {
    /// A substance.
    Substance,
    /// A material.
    Material,
    /// A formula or a variant.
    Formula,
    /// A figure.
    Figure,
    /// A group.
    Group,
    /// A rule.
    Rule,
    /// A batch.
    Batch,
    /// A container.
    Container,
    /// A phase.
    Phase,
    /// What a line weighs.
    Line,
    /// A block without a name: `steps`, `plan`, `maker`, `stock`.
    Block,
}

/// A declaration, or a part of one, with those inside it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// What it is.
    pub what: SymbolWhat,
    /// Its name.
    pub name: String,
    /// What is said beside it: a title, an amount, what it is like.
    pub detail: String,
    /// The whole of it.
    pub whole: Span,
    /// Its name, within that.
    pub span: Span,
    /// The parts of it.
    pub parts: Vec<Symbol>,
}

/// The declarations of a file, in their order.
#[must_use]
pub fn symbols(names: &Names<'_>, file: FileId) -> Vec<Symbol> {
    let survey = names.survey(file);
    let text = names.sources.text(file);
    // Each statement stands before those in its block: from the last to the first, parts are made before what holds them.
    let mut made: Vec<Vec<Symbol>> = survey.statements.iter().map(|_| Vec::new()).collect();
    let mut top = Vec::new();
    for (number, statement) in survey.statements.iter().enumerate().rev() {
        let mut parts = made.get_mut(number).map(std::mem::take).unwrap_or_default();
        parts.reverse();
        let Some(symbol) = symbol(&survey, statement, text, parts) else { continue };
        match statement.parent.and_then(|parent| made.get_mut(parent)) {
            Some(parts) => parts.push(symbol),
            None => top.push(symbol),
        }
    }
    top.reverse();
    top
}

fn symbol(survey: &Survey, statement: &SurveyedStatement, text: &str, parts: Vec<Symbol>) -> Option<Symbol> {
    let marks = survey.marks_of(statement);
    let named = marks.iter().find_map(|mark| match mark.kind {
        MarkKind::Name(role) => Some((role, mark.span)),
        _ => None,
    });
    let opener = marks.first()?.span;
    let what = match named {
        Some((role, span)) => what_of(statement.context, role, opener.of(text)).map(|what| (what, span)),
        None => None,
    };
    let is_block = statement.inside.is_some();
    let (what, span) = what.or_else(|| is_block.then_some((SymbolWhat::Block, opener)))?;
    let after = Span { start: span.end, end: statement.head.end };
    let detail = after.of(text).trim().trim_end_matches('{').trim();
    let whole = statement.span;
    Some(Symbol { what, name: span.of(text).to_string(), detail: cut(detail), whole, span, parts })
}

fn what_of(context: Context, role: NameRole, opener: &str) -> Option<SymbolWhat> {
    Some(match role {
        NameRole::DeclaresSubstance => SymbolWhat::Substance,
        NameRole::DeclaresWeighable if opener == "material" => SymbolWhat::Material,
        NameRole::DeclaresWeighable => SymbolWhat::Formula,
        NameRole::DeclaresLet => SymbolWhat::Figure,
        NameRole::DeclaresGroup => SymbolWhat::Group,
        NameRole::DeclaresRule => SymbolWhat::Rule,
        NameRole::DeclaresBatch => SymbolWhat::Batch,
        NameRole::DeclaresContainer => SymbolWhat::Container,
        NameRole::Phase if context != Context::Plan => SymbolWhat::Phase,
        NameRole::Line if matches!(context, Context::Phase | Context::VariantPhase | Context::Variant) => {
            SymbolWhat::Line
        }
        NameRole::Formula if opener == "planned" => SymbolWhat::Batch,
        _ => return None,
    })
}

/// So much of what is said beside a symbol as one line shows.
fn cut(detail: &str) -> String {
    let line = detail.lines().next().unwrap_or_default();
    line.chars().take(80).collect()
}

/// The declarations of every file whose names have the letters asked for in them, in that order.
#[must_use]
pub fn workspace_symbols(names: &Names<'_>, asked: &str) -> Vec<(SymbolWhat, String, Place)> {
    let asked = asked.to_lowercase();
    let mut found = Vec::new();
    for source in &names.sources.files {
        for item in &source.tree.items {
            let Some(name) = item.name().filter(|name| has_in_order(&name.text, &asked)) else { continue };
            let what = match item {
                Item::Let(_) => SymbolWhat::Figure,
                Item::Substance(_) => SymbolWhat::Substance,
                Item::Material(_) => SymbolWhat::Material,
                Item::Group(_) => SymbolWhat::Group,
                Item::Rule(_) => SymbolWhat::Rule,
                Item::Batch(_) => SymbolWhat::Batch,
                Item::Container(_) => SymbolWhat::Container,
                _ => SymbolWhat::Formula,
            };
            found.push((what, name.text.to_string(), Place { file: source.id, span: name.span }));
        }
    }
    found
}

fn has_in_order(name: &str, letters: &str) -> bool {
    let mut rest = name.chars();
    letters.chars().filter(|letter| !letter.is_whitespace()).all(|letter| rest.any(|other| other == letter))
}

/// What folds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fold {
    /// The first line, from nought.
    pub first: usize,
    /// The last line that is folded away.
    pub last: usize,
    /// Whether it is comments.
    pub comment: bool,
}

/// What folds in a file: blocks of more than one line, and comments that follow one another.
#[must_use]
pub fn folds(names: &Names<'_>, file: FileId) -> Vec<Fold> {
    let survey = names.survey(file);
    let text = names.sources.text(file);
    let lines = LineIndex::new(text);
    let line = |offset: u32| lines.line_of(offset as usize);
    let blocks = survey.statements.iter().filter(|statement| statement.inside.is_some()).filter_map(|statement| {
        let first = line(statement.head.end.saturating_sub(1));
        let end = line(statement.span.end.saturating_sub(1));
        // The brace that closes stays in sight.
        let last = if statement.closed { end.saturating_sub(1) } else { end };
        (last > first).then_some(Fold { first, last, comment: false })
    });
    let mut all: Vec<Fold> = blocks.collect();
    let mut run: Option<(usize, usize)> = None;
    let mut end_run = |run: Option<(usize, usize)>| {
        if let Some((first, last)) = run.filter(|(first, last)| last > first) {
            all.push(Fold { first, last, comment: true });
        }
    };
    for mark in survey.marks.iter().filter(|mark| mark.kind == MarkKind::Comment) {
        let at = line(mark.span.start);
        let alone = text.get(lines.start(at)..mark.span.start as usize).is_some_and(|before| before.trim().is_empty());
        if !alone {
            continue;
        }
        run = match run {
            Some((first, last)) if last + 1 == at => Some((first, at)),
            other => {
                end_run(other);
                Some((at, at))
            }
        };
    }
    end_run(run);
    all.sort_by_key(|fold| (fold.first, fold.last));
    all
}

/// The stretches that an offset lies in, from the innermost out to the whole text.
#[must_use]
pub fn selections(names: &Names<'_>, file: FileId, offset: u32) -> Vec<Span> {
    let survey = names.survey(file);
    let text = names.sources.text(file);
    let holds = |span: &Span| span.start <= offset && offset <= span.end;
    let mut all: Vec<Span> = Vec::new();
    all.extend(survey.mark_at(offset).map(|mark| mark.span));
    if let Some(innermost) = survey.statement_at(offset) {
        for (_, statement) in survey.chain(innermost) {
            all.extend(statement.nests.iter().filter(|span| holds(span)));
            all.push(statement.head);
            if statement.inside.is_some() && statement.closed && offset >= statement.head.end {
                all.push(Span { start: statement.head.end, end: statement.span.end.saturating_sub(1) });
            }
            all.push(statement.span);
        }
    }
    all.push(Span::new(0, text.len()));
    all.retain(|span| holds(span) && span.start < span.end);
    all.sort_by_key(|span| (span.end - span.start, span.start));
    all.dedup();
    // Each holds the one before it; what crosses is left out.
    let mut nested: Vec<Span> = Vec::new();
    for span in all {
        if nested.last().is_none_or(|last| span.holds(*last) && span != *last) {
            nested.push(span);
        }
    }
    nested
}
