//! A commit, and a file's content by its number.

use gix::ObjectId;

/// The content of a file: two files with the same have the same text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Blob(pub(super) ObjectId);

impl Blob {
    /// The whole number of it.
    #[must_use]
    pub fn id(&self) -> String {
        self.0.to_string()
    }
}

/// A commit.
#[derive(Clone, Debug)]
pub struct Commit {
    pub(super) number: ObjectId,
    pub(super) tree: ObjectId,
    /// The commits it was made from; none where the history of a shallow clone is cut off.
    pub(super) parents: Vec<ObjectId>,
    /// When it was made, in seconds since 1970.
    pub seconds: i64,
    /// The day it was made, where it was made: `2026-11-20`.
    pub day: String,
    /// The first line of its message.
    pub subject: String,
}

impl Commit {
    /// The commit as the library reads it; none where it is no sound one. `cut` says whether a shallow clone is cut off here.
    pub(super) fn read(commit: &gix::Commit<'_>, cut: bool) -> Option<Commit> {
        let time = commit.time().ok()?;
        let subject = commit.message_raw_sloppy().to_string();
        Some(Commit {
            number: commit.id,
            tree: commit.tree_id().ok()?.detach(),
            parents: if cut { Vec::new() } else { commit.parent_ids().map(gix::Id::detach).collect() },
            seconds: time.seconds,
            day: time.format_or_unix(gix::date::time::format::SHORT),
            subject: subject.lines().next().unwrap_or_default().trim().to_string(),
        })
    }

    /// The whole number of the commit.
    #[must_use]
    pub fn id(&self) -> String {
        self.number.to_string()
    }

    /// The first digits of its number, enough for a person.
    #[must_use]
    pub fn short(&self) -> String {
        self.number.to_hex_with_len(7).to_string()
    }

    /// Whether it brings several lines of history together.
    #[must_use]
    pub fn is_merge(&self) -> bool {
        self.parents.len() > 1
    }
}
