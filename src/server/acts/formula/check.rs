//! What is wrong with a text, as it is typed: `/check`.

use super::{Answer, Writing};
use crate::keeping::FileVersion;
use crate::server::answer::Told;
use crate::server::live::LiveOrder;
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;

/// The diagnostics of a text that is not saved.
pub fn check(workroom: &Workroom, _: Option<FileVersion>, of: Writing) -> Result<Told, Refusal> {
    let asked = LiveOrder::of(&of.batch, None);
    of.answer(workroom, Answer::Faults, |text| Told::new(&text.check(&of.text, &asked)))
}
