//! What the page of a formula asks of its text: what is wrong with it, what it comes to, and what is different.

mod begin;
mod check;
mod compare;
mod complete;
mod keep;
mod results;
mod versions;

pub use begin::begin;
pub use check::check;
pub use compare::compare;
pub use complete::complete;
pub use keep::keep;
pub use results::results;
pub use versions::versions;

use crate::server::answer::Told;
use crate::server::inside::Inside;
use crate::server::live::LiveText;
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;
use serde::Deserialize;
use serde_json::json;

/// The text in a page, and what stands beside it.
#[derive(Clone, Debug, Deserialize)]
pub struct Writing {
    /// The file, from the folder that is open.
    pub file: String,
    /// The formula.
    pub name: String,
    /// The text, with line feeds alone.
    pub text: String,
    /// The batch that is asked for.
    #[serde(default)]
    pub batch: String,
    /// The page, by a name of its own.
    #[serde(default)]
    pub page: String,
    /// How often it has asked.
    #[serde(default)]
    pub turn: u64,
}

/// What of a text is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// What is wrong with it: it is asked at every letter.
    Faults,
    /// What follows from it: it is asked once nothing is typed for a moment.
    Results,
}

impl Writing {
    /// The file of the text.
    ///
    /// # Errors
    /// What is no `.still` file of the folder.
    pub fn inside(&self, workroom: &Workroom) -> Result<Inside, Refusal> {
        workroom.inside(&self.file)
    }

    /// Answers for the text as it is in the page; with `overtaken` alone, where it was typed over meanwhile. What is wrong
    /// with it is never kept waiting by what follows from it: each has a session of its own.
    ///
    /// # Errors
    /// What is no `.still` file of the folder, and what the answer itself refuses.
    pub fn answer(
        &self,
        workroom: &Workroom,
        what: Answer,
        look: impl FnOnce(&mut LiveText) -> Result<Told, Refusal>,
    ) -> Result<Told, Refusal> {
        let file = self.inside(workroom)?;
        let page = match what {
            Answer::Faults => format!("faults {}", self.page),
            Answer::Results => format!("results {}", self.page),
        };
        let answer = workroom.live().ask((&workroom.live_world(), workroom.folder()), &file, (&page, self.turn), look);
        answer.unwrap_or_else(|| Told::new(&json!({ "overtaken": true })))
    }
}
