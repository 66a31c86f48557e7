//! The versions of a formula as they stand in git: what each commit changed, in the maker's terms.

use super::Book;
use crate::page::{difference, named, prose};
use crate::render::{LogJson, VersionJson};
use crate::session::FormulaReport;
use crate::versions::{Status, Track, VersionEntry};
use maud::{Markup, html};
use std::path::PathBuf;

/// What git has of the formulas of a book.
#[derive(Debug)]
pub enum BookVersions {
    /// The formulas of a repository through time.
    Kept {
        /// The folder of the repository, without links.
        folder: PathBuf,
        /// The formulas.
        tracks: Vec<Track>,
    },
    /// Why there are none, in a sentence.
    None(String),
}

impl BookVersions {
    /// Of a folder that lies in no repository.
    #[must_use]
    pub fn unkept() -> BookVersions {
        let why = "It lies in no git repository, so no earlier version is known: `git init` begins one, or “Begin keeping \
                   versions” in the workroom as `stillroom open` shows it.";
        BookVersions::None(why.to_string())
    }
}

impl Book<'_> {
    /// The versions of a formula, the latest first.
    pub(super) fn versions_of(&self, found: &FormulaReport) -> Markup {
        let (folder, tracks) = match self.versions {
            BookVersions::Kept { folder, tracks } => (folder, tracks),
            BookVersions::None(why) => return html! { p.none { (prose(why)) } },
        };
        let home = self.session.sources().home(found.formula.id.file).map(|source| &source.absolute);
        let is_own =
            |track: &&Track| track.formula == found.formula.name.as_str() && home == Some(&folder.join(&track.file));
        let Some(track) = tracks.iter().find(is_own) else {
            return html! { p.none { "Git has no version of it yet." } };
        };
        let told = LogJson::new(std::slice::from_ref(track));
        let versions = told.formulas.iter().flat_map(|track| &track.versions);
        html! {
            ol.versions reversed {
                @for (version, entry) in versions.zip(&track.entries) { li { (one(version, entry)) } }
            }
        }
    }
}

fn one(version: &VersionJson, entry: &VersionEntry) -> Markup {
    let head = html! {
        strong { (named(version.shown_version())) } " "
        span.soft { @if let Some(day) = &version.date { (day) " " } code { (version.short()) } } " "
        (prose(&version.sentence()))
    };
    // Of what was first written everything is new, and stands on this page already.
    match entry.change.status {
        Status::Added | Status::Removed => html! { p { (head) } },
        _ => html! {
            details { summary { (head) } (difference(std::slice::from_ref(&entry.change))) }
        },
    }
}
