//! What came of a form.

use crate::server::answer::Page;
use axum::http::StatusCode;

/// What came of a form.
pub struct FilledIn {
    /// The page as it is now.
    pub page: Page,
    /// The status of the answer.
    pub status: StatusCode,
    /// Where a browser goes on to without a script: there once something was written.
    pub goes_to: Option<String>,
}
