//! What is different between two versions of a formula, and the words for what is not committed yet: `/compare`.

use super::{Answer, Writing};
use crate::keeping::FileVersion;
use crate::page::difference;
use crate::server::answer::Told;
use crate::server::live::Side;
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;
use crate::workspace::GitError;
use serde::Deserialize;
use serde_json::json;

/// Two versions: `page`, `saved`, or a commit.
#[derive(Clone, Debug, Deserialize)]
pub struct Comparing {
    /// The text in the page.
    #[serde(flatten)]
    pub of: Writing,
    /// The one before.
    pub older: String,
    /// The one after.
    pub newer: String,
}

/// What is different.
pub fn compare(workroom: &Workroom, _: Option<FileVersion>, asked: Comparing) -> Result<Told, Refusal> {
    let Comparing { of, older, newer } = &asked;
    let (older, newer) = (Side::of(older, &of.text), Side::of(newer, &of.text));
    let refused = |error: GitError| Refusal::wrong(error.to_string());
    of.answer(workroom, Answer::Results, |text| {
        let different = text.difference(older, newer, Some(&of.name)).map_err(refused)?;
        let message = text.what_changed(&of.text).map_err(refused)?;
        Told::new(&json!({ "difference": difference(&different).into_string(), "message": message }))
    })
}
