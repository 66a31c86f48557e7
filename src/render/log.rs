//! The versions of formulas through git, as data, as text and as Markdown.

use super::diff::{DiffChangeJson, change_json};
use super::in_markdown::data_in_markdown;
use super::screen::shown_data;
use super::{counted, line};
use crate::versions::{Compared, Status, in_one_line};
use crate::versions::{Track, VersionEntry};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What `log --format json` prints.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LogJson {
    /// `stillroom.log/1`.
    pub schema: String,
    /// Each formula.
    pub formulas: Vec<TrackJson>,
}

/// A formula through time.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct TrackJson {
    /// Its latest name.
    pub formula: String,
    /// The file it stood in latest.
    pub file: String,
    /// What changed it, the latest first.
    pub versions: Vec<VersionJson>,
}

/// What a commit did to a formula.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct VersionJson {
    /// The commit; null for what is not committed yet.
    pub commit: Option<String>,
    /// The day of it.
    pub date: Option<String>,
    /// The first line of its message.
    pub subject: Option<String>,
    /// Whether it brings several lines of history together.
    pub merge: bool,
    /// The version it left; of a formula that it took out, the last.
    pub version: Option<String>,
    /// `changed`, `added`, `removed` or `renamed`.
    pub status: String,
    /// The digest it left.
    pub digest: Option<String>,
    /// Whether it changed what is made and left the version as it was.
    pub version_not_bumped: bool,
    /// What it means, in one line.
    pub meaning: String,
    /// All that changed.
    pub changes: Vec<DiffChangeJson>,
}

impl LogJson {
    /// Formulas through time.
    #[must_use]
    pub fn new(tracks: &[Track]) -> LogJson {
        let track = |track: &Track| TrackJson {
            formula: track.formula.clone(),
            file: track.file.clone(),
            versions: track.entries.iter().map(version).collect(),
        };
        LogJson { schema: "stillroom.log/1".to_string(), formulas: tracks.iter().map(track).collect() }
    }

    /// For a terminal: a change a line.
    #[must_use]
    pub fn text(&self) -> String {
        let mut out = String::new();
        for of in &shown_data(self).formulas {
            if !out.is_empty() {
                out.push('\n');
            }
            line(&mut out, format_args!("{} ({})", of.formula, of.file));
            let width = of.versions.iter().map(|entry| entry.shown_version().chars().count()).max().unwrap_or(0);
            for entry in &of.versions {
                let version = entry.shown_version();
                let pad = " ".repeat(width.saturating_sub(version.chars().count()));
                line(&mut out, format_args!("  {version}{pad}  {}  {}", entry.when(), entry.sentence()));
            }
        }
        out
    }

    /// As Markdown.
    #[must_use]
    pub fn markdown(&self) -> String {
        let mut out = String::new();
        for of in &data_in_markdown(self, &["meaning"]).formulas {
            if !out.is_empty() {
                out.push('\n');
            }
            line(&mut out, format_args!("### {} ({})\n", of.formula, of.file));
            line(&mut out, format_args!("| version | day | commit | what it means |\n| --- | --- | --- | --- |"));
            for entry in &of.versions {
                let (date, commit) = (entry.date.as_deref().unwrap_or_default(), entry.short());
                let (version, meaning) = (entry.shown_version(), entry.sentence());
                line(&mut out, format_args!("| {version} | {date} | {commit} | {meaning} |"));
            }
        }
        out
    }
}

impl VersionJson {
    /// The version it left; a dash where none is written.
    #[must_use]
    pub fn shown_version(&self) -> &str {
        self.version.as_deref().unwrap_or("—")
    }

    /// The first figures of the commit.
    #[must_use]
    pub fn short(&self) -> String {
        match &self.commit {
            Some(commit) => commit.chars().take(7).collect(),
            None => "not committed".to_string(),
        }
    }

    fn when(&self) -> String {
        match &self.date {
            Some(date) => format!("{date}  {}", self.short()),
            None => format!("{:<19}", "not committed yet"),
        }
    }

    /// What it means, and whether it is a merge or left the version as it was.
    #[must_use]
    pub fn sentence(&self) -> String {
        let merge = if self.merge { "merge: " } else { "" };
        let unbumped = if self.version_not_bumped { " (the version is the same)" } else { "" };
        format!("{merge}{}{unbumped}", self.meaning)
    }
}

fn version(entry: &VersionEntry) -> VersionJson {
    let (commit, change) = (&entry.commit, &entry.change);
    let latest = change.new.as_ref().or(change.old.as_ref());
    VersionJson {
        commit: commit.as_ref().map(crate::workspace::Commit::id),
        date: commit.as_ref().map(|commit| commit.day.clone()),
        subject: commit.as_ref().map(|commit| commit.subject.clone()),
        merge: commit.as_ref().is_some_and(crate::workspace::Commit::is_merge),
        version: latest.and_then(|meaning| meaning.version.clone()),
        status: change.status.word().to_string(),
        digest: change.new.as_ref().map(|meaning| meaning.digest.clone()),
        version_not_bumped: entry.is_unbumped(),
        meaning: change_in_short(change),
        changes: change.changes.iter().map(change_json).collect(),
    }
}

/// What a change of a formula comes to, in one line.
#[must_use]
pub fn change_in_short(change: &Compared) -> String {
    let edits = in_one_line(&change.changes);
    match (change.status, &change.old, &change.new) {
        (Status::Added, _, Some(new)) => format!("first written, {}", counted(new.lines.len(), "line")),
        (Status::Removed, ..) => "taken out".to_string(),
        (Status::Renamed, Some(old), _) if edits.is_empty() => format!("was `{}`", old.name),
        (Status::Renamed, Some(old), _) => format!("was `{}`; {edits}", old.name),
        _ if edits.is_empty() => "the version alone".to_string(),
        _ => edits,
    }
}
