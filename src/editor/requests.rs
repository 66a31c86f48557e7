//! The requests that are known: which function answers which.

use super::refusal::Refusal;
use super::standing::Standing;
use super::{actions, formatting, lens, sheet_beside};
use lsp_types::request::{
    CodeActionRequest, CodeLensRequest, CodeLensResolve, ExecuteCommand, Formatting, RangeFormatting, Request,
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
