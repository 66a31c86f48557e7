//! The versions of a formula, as they stand in git, in its file and in the page; and what is different between two.

use super::{LiveText, as_in_a_field, shown_file};
use crate::render::{LogJson, change_in_short, shown};
use crate::session::Session;
use crate::sheet::BatchOrder;
use crate::versions::{Compared, FormulaMeaning, Status, compared, log};
use crate::workspace::{Disk, GitError, Repository, World as _};
use serde::Serialize;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The letters of a choice; what is longer is cut.
const LETTERS: usize = 90;

/// So many commits are kept.
const COMMITS: usize = 6;

/// A version that can be chosen.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct VersionChoice {
    /// The commit.
    pub id: String,
    /// Its day, the version it left, and what it means.
    pub words: String,
}

/// Which version is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side<'a> {
    /// The text in the page.
    Page(&'a str),
    /// The file as it is saved.
    Saved,
    /// A commit.
    Commit(&'a str),
}

impl<'a> Side<'a> {
    /// A choice of the page.
    #[must_use]
    pub fn of(choice: &'a str, text: &'a str) -> Side<'a> {
        match choice {
            "page" => Side::Page(text),
            "saved" => Side::Saved,
            commit => Side::Commit(commit),
        }
    }
}

/// The versions of a formula of a file in git, the latest first; none where the file lies in no repository.
///
/// # Errors
/// A repository that cannot be read.
pub fn version_choices(file: &Path, formula: &str) -> Result<Vec<VersionChoice>, GitError> {
    let Some(repository) = Repository::of(file)? else { return Ok(Vec::new()) };
    let on_disk: Vec<PathBuf> = Disk.exists(file).then(|| file.to_path_buf()).into_iter().collect();
    let tracks = log(&repository, vec![file.to_path_buf()], &on_disk)?;
    let all = LogJson::new(&tracks);
    let track = all.formulas.iter().find(|track| track.formula == formula).or(all.formulas.first());
    let choices = track.map(|track| track.versions.as_slice()).unwrap_or_default().iter().filter_map(|version| {
        let id = version.commit.clone()?;
        let day = version.date.as_deref().unwrap_or_default();
        let short: String = id.chars().take(7).collect();
        let number = version.version.as_ref().map(|number| format!(" version {number}")).unwrap_or_default();
        let words = format!("{day} {short}{number}: {}", version.meaning);
        Some(VersionChoice { id, words: cut(&shown(&words)) })
    });
    Ok(choices.collect())
}

/// A text of no more than so many letters.
fn cut(text: &str) -> String {
    match text.char_indices().nth(LETTERS) {
        Some((at, _)) => format!("{}…", text.get(..at).unwrap_or_default().trim_end()),
        None => text.to_string(),
    }
}

impl LiveText {
    /// What changed of a formula between two versions; of all formulas of the file where none is named.
    ///
    /// # Errors
    /// A commit that is none, or a repository that cannot be read.
    pub fn difference(
        &mut self,
        older: Side<'_>,
        newer: Side<'_>,
        formula: Option<&str>,
    ) -> Result<Vec<Compared>, GitError> {
        let (old, new) = (self.meanings(older)?, self.meanings(newer)?);
        let mut all = compared(old, new);
        if let Some(name) = formula {
            let is_it = |side: &Option<FormulaMeaning>| side.as_ref().is_some_and(|meaning| meaning.name == name);
            all.retain(|one| is_it(&one.old) || is_it(&one.new));
        }
        Ok(all)
    }

    /// What is in the page and not in the last commit, as the message of the next one; empty where there is nothing.
    ///
    /// # Errors
    /// A repository that cannot be read.
    pub fn what_changed(&mut self, text: &str) -> Result<String, GitError> {
        let Some(repository) = Repository::of(self.file())? else { return Ok(String::new()) };
        let head = repository.head()?;
        if let Some(head) = &head {
            let there = repository.state(head).content(self.file())?;
            let there = String::from_utf8_lossy(there.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&there));
            if as_in_a_field(&there) == text {
                return Ok(String::new());
            }
        }
        let old = match head {
            Some(head) => self.meanings(Side::Commit(&head.id()))?,
            None => Vec::new(),
        };
        let new = self.meanings(Side::Page(text))?;
        Ok(message(&compared(old, new), self.file()))
    }

    /// What each formula of the file means in a version.
    fn meanings(&mut self, side: Side<'_>) -> Result<Vec<FormulaMeaning>, GitError> {
        match side {
            Side::Page(text) => Ok(meanings_of(self.with(text))),
            Side::Saved => {
                let bytes = self.world.read(self.file()).unwrap_or_default();
                let text = String::from_utf8_lossy(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes)).into_owned();
                Ok(meanings_of(self.with(&text)))
            }
            Side::Commit(id) => {
                if let Some((_, known)) = self.commits.iter().find(|(own, _)| own == id) {
                    return Ok(known.clone());
                }
                let Some(repository) = Repository::of(self.file())? else { return Ok(Vec::new()) };
                let revision = Arc::new(repository.revision(id)?);
                if revision.blob(self.file())?.is_none() {
                    return Ok(Vec::new());
                }
                let session = Session::open(Arc::clone(&revision), &[self.file().to_path_buf()], None);
                if let Some(harm) = revision.harm() {
                    return Err(harm);
                }
                let found = meanings_of(&session.seen_from(self.session.sources().seen_from.clone()));
                // A commit does not change: those looked at last are kept.
                self.commits.truncate(COMMITS - 1);
                self.commits.insert(0, (id.to_string(), found.clone()));
                Ok(found)
            }
        }
    }
}

fn meanings_of(session: &Session<'_>) -> Vec<FormulaMeaning> {
    let order = BatchOrder::default();
    let report = session.check_to_foresee(&order);
    let Some(file) = shown_file(session) else { return Vec::new() };
    super::named(&report, file).map(|found| FormulaMeaning::in_full(&report, found, &order)).collect()
}

/// Changes as the message of a commit: each formula with what changed in it.
fn message(all: &[Compared], file: &Path) -> String {
    let changed = all.iter().filter(|one| one.status != Status::Same);
    let words: Vec<String> = changed
        .map(|one| {
            let version = one.new.as_ref().and_then(|new| new.version.as_ref());
            let version = version.map(|version| format!(" {version}")).unwrap_or_default();
            format!("{}{version}: {}", one.name(), change_in_short(one))
        })
        .collect();
    match words.as_slice() {
        [] => {
            let name = file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            format!("{name}: the wording alone")
        }
        words => words.join("; "),
    }
}
