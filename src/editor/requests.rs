//! The requests that are known: which function answers which.

use super::answers;
use super::refusal::Refusal;
use super::standing::Standing;
use super::{actions, formatting, lens, sheet_beside};
use lsp_types::request::{
    CallHierarchyIncomingCalls, CallHierarchyOutgoingCalls, CallHierarchyPrepare, CodeActionRequest, CodeLensRequest,
    CodeLensResolve, Completion, DocumentHighlightRequest, DocumentLinkRequest, DocumentSymbolRequest, ExecuteCommand,
    FoldingRangeRequest, Formatting, GotoDefinition, HoverRequest, InlayHintRequest, PrepareRenameRequest,
    RangeFormatting, References, Rename, Request, ResolveCompletionItem, SelectionRangeRequest,
    SemanticTokensFullDeltaRequest, SemanticTokensFullRequest, SemanticTokensRangeRequest, SignatureHelpRequest,
    WorkspaceSymbolRequest,
};
use serde_json::Value;

/// An answer, as the client gets it.
pub type Answer = Result<Value, Refusal>;

/// Answers a request.
///
/// # Errors
/// A request that is not known, is not written as it should be, or cannot be carried out.
pub fn answer(standing: &Standing<'_>, method: &str, params: Value) -> Answer {
    match method {
        CodeActionRequest::METHOD => typed::<CodeActionRequest>(standing, params, actions::actions),
        CodeLensRequest::METHOD => typed::<CodeLensRequest>(standing, params, lens::lenses),
        CodeLensResolve::METHOD => typed::<CodeLensResolve>(standing, params, lens::resolved),
        ExecuteCommand::METHOD => typed::<ExecuteCommand>(standing, params, sheet_beside::execute),
        Formatting::METHOD => typed::<Formatting>(standing, params, formatting::whole),
        RangeFormatting::METHOD => typed::<RangeFormatting>(standing, params, formatting::stretch),
        GotoDefinition::METHOD => typed::<GotoDefinition>(standing, params, answers::definition),
        References::METHOD => typed::<References>(standing, params, answers::references),
        DocumentHighlightRequest::METHOD => typed::<DocumentHighlightRequest>(standing, params, answers::highlight),
        PrepareRenameRequest::METHOD => typed::<PrepareRenameRequest>(standing, params, answers::prepare_rename),
        Rename::METHOD => typed::<Rename>(standing, params, answers::rename),
        DocumentLinkRequest::METHOD => typed::<DocumentLinkRequest>(standing, params, answers::links),
        CallHierarchyPrepare::METHOD => typed::<CallHierarchyPrepare>(standing, params, answers::prepare_hierarchy),
        CallHierarchyIncomingCalls::METHOD => typed::<CallHierarchyIncomingCalls>(standing, params, answers::incoming),
        CallHierarchyOutgoingCalls::METHOD => typed::<CallHierarchyOutgoingCalls>(standing, params, answers::outgoing),
        HoverRequest::METHOD => typed::<HoverRequest>(standing, params, answers::hover),
        InlayHintRequest::METHOD => typed::<InlayHintRequest>(standing, params, answers::inlay_hints),
        DocumentSymbolRequest::METHOD => typed::<DocumentSymbolRequest>(standing, params, answers::document_symbols),
        WorkspaceSymbolRequest::METHOD => typed::<WorkspaceSymbolRequest>(standing, params, answers::workspace_symbols),
        FoldingRangeRequest::METHOD => typed::<FoldingRangeRequest>(standing, params, answers::folding),
        SelectionRangeRequest::METHOD => typed::<SelectionRangeRequest>(standing, params, answers::selection),
        SemanticTokensFullRequest::METHOD => typed::<SemanticTokensFullRequest>(standing, params, answers::tokens_full),
        SemanticTokensFullDeltaRequest::METHOD => {
            typed::<SemanticTokensFullDeltaRequest>(standing, params, answers::tokens_delta)
        }
        SemanticTokensRangeRequest::METHOD => {
            typed::<SemanticTokensRangeRequest>(standing, params, answers::tokens_range)
        }
        Completion::METHOD => typed::<Completion>(standing, params, answers::complete),
        ResolveCompletionItem::METHOD => typed::<ResolveCompletionItem>(standing, params, answers::resolve),
        SignatureHelpRequest::METHOD => typed::<SignatureHelpRequest>(standing, params, answers::signature_help),
        _ => Err(Refusal::unknown(method)),
    }
}

/// Answers a request whose parameters are read first.
pub fn typed<'s, R: Request>(
    standing: &Standing<'s>,
    params: Value,
    by: impl FnOnce(&Standing<'s>, R::Params) -> Result<R::Result, Refusal>,
) -> Answer {
    let params = serde_json::from_value(params).map_err(|error| Refusal::invalid(error.to_string()))?;
    serde_json::to_value(by(standing, params)?).map_err(|error| Refusal::failed(error.to_string()))
}
