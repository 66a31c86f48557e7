//! What was struck out of a record: shown as it stood, with its reason, and in no figure.

use super::line;
use crate::model::{Batch, Struck};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;

/// A statement that was struck out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StruckJson {
    /// Its words, as they were written.
    pub statement: String,
    /// Why it was struck out.
    pub because: String,
    /// The line of the file that it stands on.
    pub line: usize,
    /// The day of that.
    pub on: Option<String>,
    /// The hour.
    pub at: Option<String>,
    /// Who.
    pub by: Option<String>,
}

impl StruckJson {
    /// All that was struck out of a record, in its order.
    #[must_use]
    pub fn all(batch: &Batch) -> Vec<StruckJson> {
        let text = |text: &Option<SmolStr>| text.as_ref().map(ToString::to_string);
        let one = |of: &Struck| StruckJson {
            statement: of.statement.to_string(),
            because: of.because.to_string(),
            line: of.line,
            on: text(&of.on),
            at: text(&of.at),
            by: text(&of.by),
        };
        batch.struck.iter().map(one).collect()
    }

    /// For a terminal.
    #[must_use]
    pub fn words(&self) -> String {
        format!("struck out, line {}: {}, because {}{}", self.line, self.statement, self.because, self.stamps())
    }

    fn stamps(&self) -> String {
        let stamps = [("on", &self.on), ("at", &self.at), ("by", &self.by)];
        let said = stamps.iter().filter_map(|(word, text)| Some(format!(" {word} {}", text.as_ref()?)));
        match said.collect::<String>() {
            none if none.is_empty() => none,
            said => format!(" ({})", said.trim_start()),
        }
    }
}

/// As a part of a Markdown document, its texts made fit for that; nothing where nothing was struck out.
pub(super) fn put_struck(out: &mut String, all: &[StruckJson]) {
    for of in all {
        let stamps = of.stamps();
        line(out, format_args!("- Line {}: ~~{}~~, because {}{stamps}", of.line, of.statement, of.because));
    }
    if !all.is_empty() {
        line(out, format_args!(""));
    }
}
