//! What a formula of a text comes to, as it is typed: `/results`.

use super::{Answer, Writing};
use crate::keeping::FileVersion;
use crate::server::answer::Told;
use crate::server::live::LiveOrder;
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;

/// Sheet, pH, label and cost of a text that is not saved.
pub fn results(workroom: &Workroom, _: Option<FileVersion>, of: Writing) -> Result<Told, Refusal> {
    let asked = LiveOrder::of(&of.batch, None);
    of.answer(workroom, Answer::Results, |text| Told::new(&text.results(&of.text, &of.name, &asked)))
}
