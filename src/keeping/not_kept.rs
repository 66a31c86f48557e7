//! Why a file was not written.

use std::fmt;

/// What stood against it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Against {
    /// The file is another one than was read.
    Changed,
    /// Another program writes there just now.
    Busy,
    /// What was asked for cannot be done.
    Asked,
    /// The disk, or who may write there.
    Disk,
}

/// Why a file was not written, in sentences.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotKept {
    /// What stood against it.
    pub against: Against,
    /// In sentences.
    pub sentence: String,
    /// What would help at a terminal; empty where that is nothing else than elsewhere.
    pub at_terminal: String,
}

impl NotKept {
    pub(super) fn new(against: Against, sentence: String) -> NotKept {
        NotKept { against, sentence, at_terminal: String::new() }
    }

    pub(super) fn asked(sentence: String) -> NotKept {
        NotKept::new(Against::Asked, sentence)
    }

    pub(super) fn disk(sentence: String) -> NotKept {
        NotKept::new(Against::Disk, sentence)
    }

    /// The same, with what would help at a terminal.
    #[must_use]
    pub(super) fn at_terminal(mut self, help: String) -> NotKept {
        self.at_terminal = help;
        self
    }
}

impl fmt::Display for NotKept {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl std::error::Error for NotKept {}
