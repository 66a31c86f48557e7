//! The requests that are known: which function answers which.

use super::refusal::Refusal;
use super::standing::Standing;
use lsp_types::request::Request;
use serde_json::Value;

/// An answer, as the client gets it.
pub type Answer = Result<Value, Refusal>;

/// Answers a request.
///
/// # Errors
/// A request that is not known, is not written as it should be, or cannot be carried out.
pub fn answer(standing: &Standing<'_>, method: &str, params: Value) -> Answer {
    let _ = (standing, params);
    // One line a request: `Hover::METHOD => typed::<Hover>(standing, params, hover)`.
    match method {
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
