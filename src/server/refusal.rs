//! What is not done, and why, in a sentence for whoever sits at the page.

use axum::http::StatusCode;
use serde_json::{Value, json};

/// Why something was not done.
#[derive(Clone, Debug)]
pub struct Refusal {
    status: StatusCode,
    /// In a sentence.
    sentence: String,
    /// What else the page is told: a diagnostic, or both texts of a file that has changed.
    more: Value,
}

impl Refusal {
    fn new(status: StatusCode, sentence: impl Into<String>) -> Refusal {
        Refusal { status, sentence: sentence.into(), more: Value::Null }
    }

    /// 400: what was asked for cannot be done as it was said.
    pub fn wrong(sentence: impl Into<String>) -> Refusal {
        Refusal::new(StatusCode::BAD_REQUEST, sentence)
    }

    /// 403: who asks may not.
    pub fn forbidden(sentence: impl Into<String>) -> Refusal {
        Refusal::new(StatusCode::FORBIDDEN, sentence)
    }

    /// 404: there is no such thing.
    pub fn not_found(sentence: impl Into<String>) -> Refusal {
        Refusal::new(StatusCode::NOT_FOUND, sentence)
    }

    /// 409: the file has changed since it was read.
    pub fn changed(sentence: impl Into<String>) -> Refusal {
        Refusal::new(StatusCode::CONFLICT, sentence)
    }

    /// 503: another program writes just now.
    pub fn busy(sentence: impl Into<String>) -> Refusal {
        Refusal::new(StatusCode::SERVICE_UNAVAILABLE, sentence)
    }

    /// 500: a fault of this program, or of the disk.
    pub fn fault(sentence: impl Into<String>) -> Refusal {
        Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, sentence)
    }

    /// The refusal that a status alone is.
    pub fn of_status(status: StatusCode) -> Refusal {
        let sentence = match status {
            StatusCode::NOT_FOUND => "There is no such page here.",
            StatusCode::METHOD_NOT_ALLOWED => "This address is not asked in that way.",
            StatusCode::PAYLOAD_TOO_LARGE => "That is more than 16 MB, and more than is taken here.",
            StatusCode::TOO_MANY_REQUESTS => "That was too much at once. Wait a second and try again.",
            StatusCode::REQUEST_TIMEOUT => "That took too long, and was given up.",
            _ if status.is_server_error() => {
                "Something went wrong here that should not. What you typed is still there."
            }
            _ => "That cannot be done as it was asked for.",
        };
        Refusal::new(status, sentence)
    }

    /// The same, with more for the page: an object whose members stand beside the sentence.
    #[must_use]
    pub fn with(mut self, more: Value) -> Refusal {
        self.more = more;
        self
    }

    /// The status of the answer.
    pub fn status(&self) -> StatusCode {
        self.status
    }

    /// In a sentence.
    pub fn sentence(&self) -> &str {
        &self.sentence
    }

    /// As an act tells it.
    pub fn json(&self) -> Value {
        let mut all = json!({ "error": self.sentence });
        if let (Some(all), Value::Object(more)) = (all.as_object_mut(), &self.more) {
            all.extend(more.clone());
        }
        all
    }
}
