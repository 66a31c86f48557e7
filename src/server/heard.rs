//! What came of a statement, for a page: sentences, and diagnostics as the commands tell them.

use super::refusal::Refusal;
use crate::diagnostic::Diagnostic;
use crate::keeping::Teller;
use crate::render::{DiagnosticJson, shown};
use crate::workspace::Sources;
use serde_json::{Value, json};

/// All that was told, in its order.
#[derive(Default)]
pub struct Heard {
    sentences: Vec<String>,
    diagnostics: Vec<DiagnosticJson>,
}

impl Teller for Heard {
    fn faults(&mut self, sources: &Sources, faults: &[Diagnostic]) {
        self.diagnostics.extend(DiagnosticJson::all(sources, faults));
    }

    fn words(&mut self, words: &str) {
        self.sentences
            .extend(words.lines().filter(|line| !line.trim().is_empty()).map(|line| shown(line).into_owned()));
    }
}

impl Heard {
    /// As an answer tells it: `words` and `diagnostics`.
    pub fn json(&self) -> Value {
        json!({ "words": self.sentences, "diagnostics": self.diagnostics })
    }

    /// The refusal of a statement that was not written: 400, with what is wrong with it.
    pub fn refusal(&self) -> Refusal {
        let first = self.diagnostics.first().map(|diagnostic| diagnostic.message.clone());
        let why = first.or_else(|| self.sentences.first().cloned()).unwrap_or_default();
        Refusal::wrong(format!("{why} Nothing was written.").trim_start()).with(self.json())
    }
}
