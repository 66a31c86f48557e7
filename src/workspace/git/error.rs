//! Why git could not answer.

use std::fmt::{self, Display};

/// Why git could not answer, as sentences for a person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GitError {
    /// The sentences.
    pub words: String,
    /// Whether something that should be there cannot be read; else it is that what was asked for is not there.
    pub is_unreadable: bool,
}

impl Display for GitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words)
    }
}

impl GitError {
    /// That what was asked for is not there.
    pub(super) fn absent(words: impl Into<String>) -> GitError {
        GitError { words: words.into(), is_unreadable: false }
    }

    /// That the older commits are not in this copy.
    #[must_use]
    pub fn shallow() -> GitError {
        let words = "This copy is shallow, so older commits are not in it: `git fetch --unshallow` brings them.";
        GitError { words: words.to_string(), is_unreadable: true }
    }

    /// That something is not there as it should be.
    pub(super) fn damaged(what: impl Display) -> GitError {
        let words = format!(
            "The git repository is damaged: {what} cannot be read. `git fsck` says what is missing; a sound copy of the \
             repository has it."
        );
        GitError { words, is_unreadable: true }
    }
}

impl std::error::Error for GitError {}
