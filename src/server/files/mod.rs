//! What can be taken away as a file: the sheet, the label, the cost and the card of a formula, and the book of the folder,
//! each made by the function that the command has.

mod book;
mod formula;

pub use book::book;
pub use formula::{FormulaFile, LabelAsked, OneFormula, formula};

use axum::body::Body;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

/// A file that the browser saves.
pub struct Download {
    /// Its name: of small letters, digits, hyphens and points.
    pub name: String,
    /// What kind of file it is.
    pub kind: &'static str,
    /// What is in it.
    pub bytes: Vec<u8>,
}

impl IntoResponse for Download {
    fn into_response(self) -> Response {
        // Names of formulas are plain; of a text that is none nothing gets into the head of an answer.
        let is_plain = |letter: &char| letter.is_ascii_alphanumeric() || matches!(letter, '-' | '.');
        let name: String = self.name.chars().filter(is_plain).collect();
        let headers =
            [(CONTENT_TYPE, self.kind.to_string()), (CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\""))];
        (headers, Body::from(self.bytes)).into_response()
    }
}
