//! Completion, and the fields of a block.

use crate::diagnostic::{FileId, Place};
use crate::editor::complete::{self as known, Proposal, ProposalKind};
use crate::editor::hover::Asked;
use crate::editor::signature::{self, SignatureField};
use crate::editor::{Refusal, Standing};
use crate::sheet::BatchOrder;
use lsp_types::{
    CompletionItem, CompletionItemKind, CompletionList, CompletionParams, CompletionResponse, CompletionTextEdit,
    Documentation, MarkupContent, MarkupKind, ParameterInformation, ParameterLabel, SignatureHelp, SignatureHelpParams,
    SignatureInformation, TextEdit, Uri,
};
use serde_json::json;

fn kind(of: ProposalKind) -> CompletionItemKind {
    match of {
        ProposalKind::Material => CompletionItemKind::VARIABLE,
        ProposalKind::Substance => CompletionItemKind::PROPERTY,
        ProposalKind::Formula => CompletionItemKind::FUNCTION,
        ProposalKind::Figure => CompletionItemKind::CONSTANT,
        ProposalKind::Group | ProposalKind::Phase => CompletionItemKind::MODULE,
        ProposalKind::Container => CompletionItemKind::CLASS,
        ProposalKind::Field => CompletionItemKind::FIELD,
        ProposalKind::Word => CompletionItemKind::KEYWORD,
        ProposalKind::Listed => CompletionItemKind::ENUM_MEMBER,
        ProposalKind::Unit => CompletionItemKind::UNIT,
        ProposalKind::Code => CompletionItemKind::EVENT,
        ProposalKind::File => CompletionItemKind::FILE,
    }
}

fn markdown(value: String) -> MarkupContent {
    MarkupContent { kind: MarkupKind::Markdown, value }
}

/// What may be written at a place.
pub fn complete(standing: &Standing<'_>, asked: CompletionParams) -> Result<Option<CompletionResponse>, Refusal> {
    let address = &asked.text_document_position.text_document.uri;
    let (file, offset) = standing.at(&asked.text_document_position)?;
    let offset = u32::try_from(offset).unwrap_or(u32::MAX);
    let found = known::complete(&standing.names(), &standing.known.expectations, file, offset);
    let items = found.into_iter().map(|proposal| item(standing, file, (address, offset), proposal)).collect();
    Ok(Some(CompletionResponse::List(CompletionList { is_incomplete: false, items })))
}

fn item(standing: &Standing<'_>, file: FileId, (address, offset): (&Uri, u32), of: Proposal) -> CompletionItem {
    let range = standing.range(Place { file, span: of.replaces });
    let documentation = Some(of.documentation).filter(|said| !said.is_empty());
    let asks_later = documentation.is_none() && of.meaning.is_some();
    CompletionItem {
        kind: Some(kind(of.kind)),
        detail: Some(of.detail).filter(|detail| !detail.is_empty()),
        documentation: documentation.map(|said| Documentation::MarkupContent(markdown(said))),
        sort_text: Some(format!("{}{}", of.rank, of.label)),
        filter_text: (of.found_by != of.label).then_some(of.found_by),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit { range, new_text: of.insert })),
        data: asks_later.then(|| json!({ "uri": address.as_str(), "offset": offset })),
        label: of.label,
        ..CompletionItem::default()
    }
}

/// What is known of a proposal that was given before.
pub fn resolve(standing: &Standing<'_>, mut asked: CompletionItem) -> Result<CompletionItem, Refusal> {
    let Some(data) = &asked.data else { return Ok(asked) };
    let address = data.get("uri").and_then(|uri| uri.as_str()).and_then(|uri| uri.parse::<Uri>().ok());
    let offset = data.get("offset").and_then(serde_json::Value::as_u64).and_then(|at| u32::try_from(at).ok());
    let (Some(address), Some(offset)) = (address, offset) else { return Ok(asked) };
    let Ok(file) = standing.file(&address) else { return Ok(asked) };
    let (names, order) = (standing.names(), BatchOrder::default());
    let found = known::complete(&names, &standing.known.expectations, file, offset);
    let of = Asked { names: &names, report: standing.report, order: &order };
    let same = |proposal: &&Proposal| proposal.label == asked.label && Some(kind(proposal.kind)) == asked.kind;
    if let Some(proposal) = found.iter().find(same) {
        let said = known::documentation(&of, proposal);
        asked.documentation = (!said.is_empty()).then(|| Documentation::MarkupContent(markdown(said)));
    }
    Ok(asked)
}

/// The fields of the block that the cursor is in.
pub fn signature_help(standing: &Standing<'_>, asked: SignatureHelpParams) -> Result<Option<SignatureHelp>, Refusal> {
    let (file, offset) = standing.at(&asked.text_document_position_params)?;
    let offset = u32::try_from(offset).unwrap_or(u32::MAX);
    let Some(found) = signature::signature(&standing.names(), file, offset) else { return Ok(None) };
    let label = found.label.clone();
    // The protocol counts here in units of 16 bits, whatever is agreed on for texts.
    let units = |at: usize| {
        let before = label.get(..at).unwrap_or_default().encode_utf16().count();
        u32::try_from(before).unwrap_or(u32::MAX)
    };
    let parameter = |field: &SignatureField| ParameterInformation {
        label: ParameterLabel::LabelOffsets([units(field.from), units(field.to)]),
        documentation: Some(Documentation::MarkupContent(markdown(field.about.clone()))),
    };
    let active = found.active.and_then(|active| u32::try_from(active).ok());
    let signature = SignatureInformation {
        parameters: Some(found.fields.iter().map(parameter).collect()),
        documentation: None,
        active_parameter: active,
        label: found.label,
    };
    Ok(Some(SignatureHelp { signatures: vec![signature], active_signature: Some(0), active_parameter: active }))
}
