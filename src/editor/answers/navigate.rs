//! Definition, references, rename, highlight, links, and the hierarchy of premixes.

use crate::diagnostic::{FileId, Span};
use crate::editor::hierarchy::{self, Maker};
use crate::editor::navigate;
use crate::editor::rename::{self, Edit};
use crate::editor::{Refusal, Standing};
use crate::model::DeclId;
use crate::session::check_without_forecast;
use crate::sheet::BatchOrder;
use lsp_types::{
    CallHierarchyIncomingCall, CallHierarchyIncomingCallsParams, CallHierarchyItem, CallHierarchyOutgoingCall,
    CallHierarchyOutgoingCallsParams, CallHierarchyPrepareParams, DocumentChanges, DocumentHighlight,
    DocumentHighlightKind, DocumentHighlightParams, DocumentLink, DocumentLinkParams, GotoDefinitionParams,
    GotoDefinitionResponse, Location, LocationLink, OneOf, OptionalVersionedTextDocumentIdentifier,
    PrepareRenameResponse, ReferenceParams, RenameParams, SymbolKind, TextDocumentEdit, TextDocumentPositionParams,
    TextEdit, Uri, WorkspaceEdit,
};
use serde_json::json;
use std::collections::{BTreeMap, HashMap};
use std::path::PathBuf;

fn at(standing: &Standing<'_>, asked: &TextDocumentPositionParams) -> Result<(FileId, u32), Refusal> {
    let (file, offset) = standing.at(asked)?;
    Ok((file, u32::try_from(offset).unwrap_or(u32::MAX)))
}

/// Where a name is declared.
pub fn definition(
    standing: &Standing<'_>,
    asked: GotoDefinitionParams,
) -> Result<Option<GotoDefinitionResponse>, Refusal> {
    let (file, offset) = at(standing, &asked.text_document_position_params)?;
    let targets = navigate::definition(&standing.names(), file, offset);
    let text = standing.client.capabilities.text_document.as_ref();
    let takes_links = text.and_then(|text| text.definition).and_then(|of| of.link_support).unwrap_or(false);
    if !takes_links {
        let places = targets.iter().filter_map(|target| standing.location(target.name)).collect();
        return Ok(Some(GotoDefinitionResponse::Array(places)));
    }
    let link = |target: &navigate::Target| {
        Some(LocationLink {
            origin_selection_range: Some(standing.range(crate::diagnostic::Place { file, span: target.from })),
            target_uri: standing.address(target.name.file)?,
            target_range: standing.range(target.whole),
            target_selection_range: standing.range(target.name),
        })
    };
    Ok(Some(GotoDefinitionResponse::Link(targets.iter().filter_map(link).collect())))
}

/// Every place where a name stands.
pub fn references(standing: &Standing<'_>, asked: ReferenceParams) -> Result<Option<Vec<Location>>, Refusal> {
    let (file, offset) = at(standing, &asked.text_document_position)?;
    let places = navigate::references(&standing.names(), file, offset, asked.context.include_declaration);
    Ok(Some(places.into_iter().filter_map(|place| standing.location(place)).collect()))
}

/// Every place in one document where a name stands.
pub fn highlight(
    standing: &Standing<'_>,
    asked: DocumentHighlightParams,
) -> Result<Option<Vec<DocumentHighlight>>, Refusal> {
    let (file, offset) = at(standing, &asked.text_document_position_params)?;
    let marked = navigate::highlights(&standing.names(), file, offset).into_iter();
    let one = |(span, declares): (Span, bool)| DocumentHighlight {
        range: standing.range(crate::diagnostic::Place { file, span }),
        kind: Some(if declares { DocumentHighlightKind::WRITE } else { DocumentHighlightKind::READ }),
    };
    Ok(Some(marked.map(one).collect()))
}

/// What would be renamed.
pub fn prepare_rename(
    standing: &Standing<'_>,
    asked: TextDocumentPositionParams,
) -> Result<Option<PrepareRenameResponse>, Refusal> {
    let (file, offset) = at(standing, &asked)?;
    let (span, name) = rename::prepare(&standing.names(), file, offset).map_err(Refusal::failed)?;
    let range = standing.range(crate::diagnostic::Place { file, span });
    Ok(Some(PrepareRenameResponse::RangeWithPlaceholder { range, placeholder: name.to_string() }))
}

/// The edits of a rename, tried out before they are given: where anything would be told otherwise, it is refused.
pub fn rename(standing: &Standing<'_>, asked: RenameParams) -> Result<Option<WorkspaceEdit>, Refusal> {
    let (file, offset) = at(standing, &asked.text_document_position)?;
    let edits = rename::rename(&standing.names(), file, offset, &asked.new_name).map_err(Refusal::failed)?;
    let sources = standing.session.sources();
    let mut texts: BTreeMap<PathBuf, String> = BTreeMap::new();
    for edit in edits.iter().rev() {
        let Some(source) = sources.home(edit.place.file) else { continue };
        let text = texts.entry(source.absolute.clone()).or_insert_with(|| source.text.clone());
        if text.get(edit.place.span.range()).is_some() {
            text.replace_range(edit.place.span.range(), &edit.text);
        }
    }
    let trial = standing.session.trial(texts);
    let order = BatchOrder::default();
    let before = check_without_forecast(sources, &order).diagnostics;
    let after = check_without_forecast(trial.sources(), &order).diagnostics;
    rename::says_the_same((sources, &before), (trial.sources(), &after)).map_err(Refusal::failed)?;
    Ok(Some(workspace_edit(standing, &edits)))
}

fn workspace_edit(standing: &Standing<'_>, edits: &[Edit]) -> WorkspaceEdit {
    let mut by_file: BTreeMap<FileId, Vec<TextEdit>> = BTreeMap::new();
    for edit in edits {
        let range = standing.range(edit.place);
        by_file.entry(edit.place.file).or_default().push(TextEdit { range, new_text: edit.text.clone() });
    }
    let workspace = standing.client.capabilities.workspace.as_ref();
    let versioned = workspace.and_then(|of| of.workspace_edit.as_ref()).and_then(|of| of.document_changes);
    if versioned.unwrap_or(false) {
        let change = |(file, edits): (FileId, Vec<TextEdit>)| {
            let version = standing.document(file).map(|document| document.version);
            Some(TextDocumentEdit {
                text_document: OptionalVersionedTextDocumentIdentifier { uri: standing.address(file)?, version },
                edits: edits.into_iter().map(OneOf::Left).collect(),
            })
        };
        let changes = by_file.into_iter().filter_map(change).collect();
        return WorkspaceEdit { document_changes: Some(DocumentChanges::Edits(changes)), ..WorkspaceEdit::default() };
    }
    #[expect(clippy::mutable_key_type, reason = "the protocol's own type of an address is the key there")]
    let changes: HashMap<Uri, Vec<TextEdit>> =
        by_file.into_iter().filter_map(|(file, edits)| Some((standing.address(file)?, edits))).collect();
    WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() }
}

/// What each `use` opens.
pub fn links(standing: &Standing<'_>, asked: DocumentLinkParams) -> Result<Option<Vec<DocumentLink>>, Refusal> {
    let file = standing.file(&asked.text_document.uri)?;
    let link = |link: navigate::Link| {
        Some(DocumentLink {
            range: standing.range(crate::diagnostic::Place { file, span: link.span }),
            target: Some(standing.address(link.to)?),
            tooltip: Some(standing.session.sources().path(link.to)),
            data: None,
        })
    };
    Ok(Some(navigate::links(&standing.names(), file).into_iter().filter_map(link).collect()))
}

fn item(standing: &Standing<'_>, maker: &Maker) -> Option<CallHierarchyItem> {
    Some(CallHierarchyItem {
        name: maker.name.clone(),
        kind: SymbolKind::FUNCTION,
        tags: None,
        detail: Some(standing.session.sources().path(maker.id.file)),
        uri: standing.address(maker.id.file)?,
        range: standing.range(crate::diagnostic::Place { file: maker.id.file, span: maker.whole }),
        selection_range: standing.range(maker.at),
        data: Some(json!({ "name": maker.name })),
    })
}

/// The formula of an item that was given before: by its file and name, since the text may be another by now.
fn made_of(standing: &Standing<'_>, item: &CallHierarchyItem) -> Result<DeclId, Refusal> {
    let file = standing.file(&item.uri)?;
    let found = standing.names().scopes.find(file, crate::resolve::NameSet::Weighable, &item.name);
    found.filter(|id| id.file == file).ok_or_else(|| Refusal::failed("The formula is not there any more."))
}

/// The formula at a place, as one that is weighed into others.
pub fn prepare_hierarchy(
    standing: &Standing<'_>,
    asked: CallHierarchyPrepareParams,
) -> Result<Option<Vec<CallHierarchyItem>>, Refusal> {
    let (file, offset) = at(standing, &asked.text_document_position_params)?;
    let maker = hierarchy::prepare(&standing.names(), file, offset);
    Ok(maker.and_then(|maker| item(standing, &maker)).map(|item| vec![item]))
}

/// The formulas that one is weighed into.
pub fn incoming(
    standing: &Standing<'_>,
    asked: CallHierarchyIncomingCallsParams,
) -> Result<Option<Vec<CallHierarchyIncomingCall>>, Refusal> {
    let id = made_of(standing, &asked.item)?;
    let call = |(maker, spans): (Maker, Vec<Span>)| {
        let range = |span| standing.range(crate::diagnostic::Place { file: maker.id.file, span });
        Some(CallHierarchyIncomingCall {
            from: item(standing, &maker)?,
            from_ranges: spans.into_iter().map(range).collect(),
        })
    };
    Ok(Some(hierarchy::used_by(&standing.names(), id).into_iter().filter_map(call).collect()))
}

/// The formulas that are weighed into one.
pub fn outgoing(
    standing: &Standing<'_>,
    asked: CallHierarchyOutgoingCallsParams,
) -> Result<Option<Vec<CallHierarchyOutgoingCall>>, Refusal> {
    let id = made_of(standing, &asked.item)?;
    let call = |(maker, spans): (Maker, Vec<Span>)| {
        let range = |span| standing.range(crate::diagnostic::Place { file: id.file, span });
        Some(CallHierarchyOutgoingCall {
            to: item(standing, &maker)?,
            from_ranges: spans.into_iter().map(range).collect(),
        })
    };
    Ok(Some(hierarchy::uses(&standing.names(), id).into_iter().filter_map(call).collect()))
}
