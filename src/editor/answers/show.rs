//! Hover, hints, symbols, folding, selection and the colours of words.

use crate::diagnostic::{FileId, Place, Span};
use crate::editor::outline::{self, Symbol, SymbolWhat};
use crate::editor::tokens::{self, MODIFIERS, TYPES, Token};
use crate::editor::{Refusal, Standing, hints, hover as known};
use crate::sheet::BatchOrder;
use lsp_types::{
    DocumentSymbol, DocumentSymbolParams, DocumentSymbolResponse, FoldingRange, FoldingRangeKind, FoldingRangeParams,
    Hover, HoverContents, HoverParams, InlayHint, InlayHintLabel, InlayHintParams, InlayHintTooltip, MarkupContent,
    MarkupKind, OneOf, Range, SelectionRange, SelectionRangeParams, SemanticToken, SemanticTokenModifier,
    SemanticTokenType, SemanticTokens, SemanticTokensDelta, SemanticTokensDeltaParams, SemanticTokensEdit,
    SemanticTokensFullDeltaResult, SemanticTokensLegend, SemanticTokensParams, SemanticTokensRangeParams,
    SemanticTokensRangeResult, SemanticTokensResult, SymbolKind, Uri, WorkspaceSymbol, WorkspaceSymbolParams,
    WorkspaceSymbolResponse,
};
use std::sync::PoisonError;

/// What is known of what the cursor rests on.
pub fn hover(standing: &Standing<'_>, asked: HoverParams) -> Result<Option<Hover>, Refusal> {
    let (file, offset) = standing.at(&asked.text_document_position_params)?;
    let (names, order) = (standing.names(), BatchOrder::default());
    let of = known::Asked { names: &names, report: standing.report, order: &order };
    let found = known::hover(&of, file, u32::try_from(offset).unwrap_or(u32::MAX));
    Ok(found.map(|found| Hover {
        contents: HoverContents::Markup(MarkupContent { kind: MarkupKind::Markdown, value: found.markdown }),
        range: Some(standing.range(Place { file, span: found.span })),
    }))
}

/// The figures beside the lines.
pub fn inlay_hints(standing: &Standing<'_>, asked: InlayHintParams) -> Result<Option<Vec<InlayHint>>, Refusal> {
    let file = standing.file(&asked.text_document.uri)?;
    let within = standing.span(file, asked.range);
    let found = hints::hints(&standing.names(), standing.report, &BatchOrder::default(), file, within);
    let one = |hint: hints::Hint| InlayHint {
        position: standing.position(file, hint.offset as usize),
        label: InlayHintLabel::String(hint.label),
        kind: None,
        text_edits: None,
        tooltip: Some(InlayHintTooltip::String(hint.about)),
        padding_left: Some(true),
        padding_right: Some(true),
        data: None,
    };
    Ok(Some(found.into_iter().map(one).collect()))
}

fn kind(what: SymbolWhat) -> SymbolKind {
    match what {
        SymbolWhat::Substance => SymbolKind::PROPERTY,
        SymbolWhat::Material => SymbolKind::VARIABLE,
        SymbolWhat::Formula => SymbolKind::FUNCTION,
        SymbolWhat::Figure => SymbolKind::CONSTANT,
        SymbolWhat::Group => SymbolKind::ARRAY,
        SymbolWhat::Rule => SymbolKind::INTERFACE,
        SymbolWhat::Batch => SymbolKind::EVENT,
        SymbolWhat::Container => SymbolKind::OBJECT,
        SymbolWhat::Phase => SymbolKind::NAMESPACE,
        SymbolWhat::Line => SymbolKind::FIELD,
        SymbolWhat::Block => SymbolKind::STRUCT,
    }
}

/// The declarations of a document. Blocks stand in blocks as deep as the language has them, which is three.
pub fn document_symbols(
    standing: &Standing<'_>,
    asked: DocumentSymbolParams,
) -> Result<Option<DocumentSymbolResponse>, Refusal> {
    let file = standing.file(&asked.text_document.uri)?;
    let found = outline::symbols(&standing.names(), file);
    Ok(Some(DocumentSymbolResponse::Nested(
        found.into_iter().map(|symbol| nested(standing, file, symbol, 0)).collect(),
    )))
}

/// No text stands in more blocks than this in a symbol: what a broken text nests deeper is left out.
const DEEPEST: usize = 8;

#[allow(deprecated, reason = "the protocol's type has a field of older clients, which stays empty")]
fn nested(standing: &Standing<'_>, file: FileId, symbol: Symbol, depth: usize) -> DocumentSymbol {
    let parts = if depth < DEEPEST { symbol.parts } else { Vec::new() };
    let parts: Vec<DocumentSymbol> = parts.into_iter().map(|part| nested(standing, file, part, depth + 1)).collect();
    DocumentSymbol {
        name: symbol.name,
        detail: Some(symbol.detail).filter(|detail| !detail.is_empty()),
        kind: kind(symbol.what),
        tags: None,
        deprecated: None,
        range: standing.range(Place { file, span: symbol.whole }),
        selection_range: standing.range(Place { file, span: symbol.span }),
        children: (!parts.is_empty()).then_some(parts),
    }
}

/// The declarations of all files by the letters of their names.
pub fn workspace_symbols(
    standing: &Standing<'_>,
    asked: WorkspaceSymbolParams,
) -> Result<Option<WorkspaceSymbolResponse>, Refusal> {
    let found = outline::workspace_symbols(&standing.names(), &asked.query);
    let one = |(what, name, place): (SymbolWhat, String, Place)| {
        Some(WorkspaceSymbol {
            name,
            kind: kind(what),
            tags: None,
            container_name: Some(standing.session.sources().path(place.file)),
            location: OneOf::Left(standing.location(place)?),
            data: None,
        })
    };
    Ok(Some(WorkspaceSymbolResponse::Nested(found.into_iter().filter_map(one).collect())))
}

/// What folds.
pub fn folding(standing: &Standing<'_>, asked: FoldingRangeParams) -> Result<Option<Vec<FoldingRange>>, Refusal> {
    let file = standing.file(&asked.text_document.uri)?;
    let one = |fold: outline::Fold| FoldingRange {
        start_line: u32::try_from(fold.first).unwrap_or(u32::MAX),
        end_line: u32::try_from(fold.last).unwrap_or(u32::MAX),
        kind: fold.comment.then_some(FoldingRangeKind::Comment),
        ..FoldingRange::default()
    };
    Ok(Some(outline::folds(&standing.names(), file).into_iter().map(one).collect()))
}

/// The stretches around each position.
pub fn selection(standing: &Standing<'_>, asked: SelectionRangeParams) -> Result<Option<Vec<SelectionRange>>, Refusal> {
    let file = standing.file(&asked.text_document.uri)?;
    let names = standing.names();
    let around = |position| {
        let offset = u32::try_from(standing.offset(file, position)).unwrap_or(u32::MAX);
        let spans = outline::selections(&names, file, offset);
        let outermost_first = spans.into_iter().rev();
        let chain = outermost_first.fold(None, |parent: Option<SelectionRange>, span| {
            let range = standing.range(Place { file, span });
            Some(SelectionRange { range, parent: parent.map(Box::new) })
        });
        // An empty text has nothing in it: the place itself is selected.
        chain.unwrap_or(SelectionRange { range: Range { start: position, end: position }, parent: None })
    };
    Ok(Some(asked.positions.into_iter().map(around).collect()))
}

/// What the numbers of the tokens stand for.
#[must_use]
pub fn tokens_legend() -> SemanticTokensLegend {
    SemanticTokensLegend {
        token_types: TYPES.iter().map(|name| SemanticTokenType::new(name)).collect(),
        token_modifiers: MODIFIERS.iter().map(|name| SemanticTokenModifier::new(name)).collect(),
    }
}

/// The words of a document as the protocol has them: each by where it stands after the one before it.
fn coded(standing: &Standing<'_>, file: FileId, within: Span) -> Vec<SemanticToken> {
    let (mut line, mut column) = (0, 0);
    let one = |token: Token| {
        let Range { start, end } = standing.range(Place { file, span: token.span });
        let delta_line = start.line.saturating_sub(line);
        let delta_start = if delta_line == 0 { start.character.saturating_sub(column) } else { start.character };
        (line, column) = (start.line, start.character);
        SemanticToken {
            delta_line,
            delta_start,
            length: end.character.saturating_sub(start.character),
            token_type: token.what as u32,
            token_modifiers_bitset: token.modifiers,
        }
    };
    tokens::tokens(&standing.names(), file, within).into_iter().map(one).collect()
}

fn whole(standing: &Standing<'_>, file: FileId) -> Span {
    Span::new(0, standing.text(file).len())
}

/// Keeps what a client is given, so that the next answer may say only what changed; and its number.
fn kept(standing: &Standing<'_>, address: &Uri, data: &[SemanticToken]) -> String {
    let mut known = standing.known.tokens.lock().unwrap_or_else(PoisonError::into_inner);
    let number = known.get(address.as_str()).map_or(1, |(number, _)| number + 1);
    known.insert(address.as_str().to_string(), (number, data.to_vec()));
    number.to_string()
}

/// The words of a document.
pub fn tokens_full(
    standing: &Standing<'_>,
    asked: SemanticTokensParams,
) -> Result<Option<SemanticTokensResult>, Refusal> {
    let address = asked.text_document.uri;
    let file = standing.file(&address)?;
    let data = coded(standing, file, whole(standing, file));
    let result_id = Some(kept(standing, &address, &data));
    Ok(Some(SemanticTokensResult::Tokens(SemanticTokens { result_id, data })))
}

/// What changed in the words of a document since the answer that the client has; all of them where that is not known.
pub fn tokens_delta(
    standing: &Standing<'_>,
    asked: SemanticTokensDeltaParams,
) -> Result<Option<SemanticTokensFullDeltaResult>, Refusal> {
    let address = asked.text_document.uri;
    let file = standing.file(&address)?;
    let data = coded(standing, file, whole(standing, file));
    let before = {
        let known = standing.known.tokens.lock().unwrap_or_else(PoisonError::into_inner);
        known.get(address.as_str()).filter(|(number, _)| number.to_string() == asked.previous_result_id).cloned()
    };
    let result_id = Some(kept(standing, &address, &data));
    let Some((_, before)) = before else {
        return Ok(Some(SemanticTokensFullDeltaResult::Tokens(SemanticTokens { result_id, data })));
    };
    let begins = before.iter().zip(&data).take_while(|(one, other)| one == other).count();
    let (old, new) = (before.get(begins..).unwrap_or_default(), data.get(begins..).unwrap_or_default());
    let ends = old.iter().rev().zip(new.iter().rev()).take_while(|(one, other)| one == other).count();
    let changed = new.get(..new.len() - ends).unwrap_or_default().to_vec();
    let gone = old.len() - ends;
    // A token is five numbers in the protocol.
    let number = |tokens: usize| u32::try_from(tokens * 5).unwrap_or(u32::MAX);
    let edit = SemanticTokensEdit { start: number(begins), delete_count: number(gone), data: Some(changed) };
    let edits = if gone == 0 && edit.data.as_ref().is_none_or(Vec::is_empty) { Vec::new() } else { vec![edit] };
    Ok(Some(SemanticTokensFullDeltaResult::TokensDelta(SemanticTokensDelta { result_id, edits })))
}

/// The words of a stretch of a document.
pub fn tokens_range(
    standing: &Standing<'_>,
    asked: SemanticTokensRangeParams,
) -> Result<Option<SemanticTokensRangeResult>, Refusal> {
    let file = standing.file(&asked.text_document.uri)?;
    let data = coded(standing, file, standing.span(file, asked.range));
    Ok(Some(SemanticTokensRangeResult::Tokens(SemanticTokens { result_id: None, data })))
}
