//! What may be written at the cursor: `/complete`.

use super::{Answer, Writing};
use crate::keeping::FileVersion;
use crate::server::answer::Told;
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;
use serde::Deserialize;

/// Where the cursor is.
#[derive(Clone, Debug, Deserialize)]
pub struct Completing {
    /// The text in the page.
    #[serde(flatten)]
    pub of: Writing,
    /// In units of UTF-16.
    pub offset: usize,
}

/// The proposals.
pub fn complete(workroom: &Workroom, _: Option<FileVersion>, asked: Completing) -> Result<Told, Refusal> {
    asked.of.answer(workroom, Answer::Faults, |text| Told::new(&text.propose(&asked.of.text, asked.offset)))
}
