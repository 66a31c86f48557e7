//! What came of a statement, drawn for standard error.

use crate::cli::input::{stderr_is_terminal, style};
use stillroom::diagnostic::Diagnostic;
use stillroom::keeping::Teller;
use stillroom::render::{Screen, human};
use stillroom::workspace::Sources;

/// All that was told, in its order.
#[derive(Default)]
pub struct Drawn {
    /// As it is shown.
    pub all: Screen,
}

impl Teller for Drawn {
    fn faults(&mut self, sources: &Sources, faults: &[Diagnostic]) {
        let drawn = human(sources, faults, style(stderr_is_terminal()));
        self.all = std::mem::take(&mut self.all).and(drawn);
    }

    fn words(&mut self, words: &str) {
        self.all = std::mem::take(&mut self.all).and(words.to_string());
    }
}
