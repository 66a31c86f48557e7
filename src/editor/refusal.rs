//! Why a request is not answered.

use lsp_server::{ErrorCode, Request, Response};

/// Why a request is not answered, as the client is told.
#[derive(Clone, Debug)]
pub struct Refusal {
    code: ErrorCode,
    message: String,
}

impl Refusal {
    /// The request cannot be carried out, and why, in words for whoever asked.
    #[must_use]
    pub fn failed(message: impl Into<String>) -> Refusal {
        Refusal { code: ErrorCode::RequestFailed, message: message.into() }
    }

    /// The request is not written as it should be.
    #[must_use]
    pub fn invalid(message: impl Into<String>) -> Refusal {
        Refusal { code: ErrorCode::InvalidParams, message: message.into() }
    }

    /// The text is another by now.
    #[must_use]
    pub fn stale() -> Refusal {
        Refusal { code: ErrorCode::ContentModified, message: "The text is another by now.".to_string() }
    }

    /// The client does not want the answer any more.
    #[must_use]
    pub fn cancelled() -> Refusal {
        Refusal { code: ErrorCode::RequestCanceled, message: "Cancelled.".to_string() }
    }

    /// The server does not know such a request.
    #[must_use]
    pub fn unknown(method: &str) -> Refusal {
        let message = format!("There is no request `{}` here.", crate::render::shown(method));
        Refusal { code: ErrorCode::MethodNotFound, message }
    }

    /// The request came before the server was asked to begin.
    #[must_use]
    pub fn too_early() -> Refusal {
        let message = "The server has not been asked to begin.".to_string();
        Refusal { code: ErrorCode::ServerNotInitialized, message }
    }

    /// The request came after the server was asked to end.
    #[must_use]
    pub fn too_late() -> Refusal {
        Refusal { code: ErrorCode::InvalidRequest, message: "The server has been asked to end.".to_string() }
    }

    /// The server has a fault.
    #[must_use]
    pub fn fault() -> Refusal {
        let message = "This is a fault of stillroom, not of your formula.".to_string();
        Refusal { code: ErrorCode::InternalError, message }
    }

    /// The answer to a request.
    #[must_use]
    pub fn to(self, request: &Request) -> Response {
        Response::new_err(request.id.clone(), self.code as i32, self.message)
    }
}
