//! The surveys of the files of a session, each made anew only where its text changed.

use crate::diagnostic::FileId;
use crate::shelf;
use crate::syntax::Memo;
use crate::syntax::survey::Survey;
use crate::workspace::Sources;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

/// So many surveys are kept: more than a workroom has files, and a bound for a session that runs for a day.
const MOST: usize = 20_000;

/// A file by something that stays as it is when others come and go.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum FileKey {
    Shelf(u32),
    Home(PathBuf),
}

#[derive(Debug)]
struct Known {
    text: String,
    survey: Arc<Survey>,
}

/// The surveys made so far.
#[derive(Debug, Default)]
pub struct Surveys {
    memo: Memo,
    known: Mutex<BTreeMap<FileKey, Known>>,
}

impl Surveys {
    /// The survey of a file as its text is now.
    #[must_use]
    pub fn of(&self, sources: &Sources, file: FileId) -> Arc<Survey> {
        let text = sources.text(file);
        let key = match sources.home(file) {
            Some(source) => FileKey::Home(source.absolute.clone()),
            None => FileKey::Shelf(file.0),
        };
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = known.get(&key).filter(|known| known.text == text) {
            return Arc::clone(&known.survey);
        }
        let survey = Arc::new(Survey::new(text, &self.memo));
        if known.len() >= MOST {
            known.clear();
        }
        known.insert(key, Known { text: text.to_string(), survey: Arc::clone(&survey) });
        survey
    }

    /// What was parsed so far.
    #[must_use]
    pub fn memo(&self) -> &Memo {
        &self.memo
    }
}

/// The files of a session that a maker may change, in their order.
pub fn home_files(sources: &Sources) -> impl Iterator<Item = FileId> + '_ {
    sources.files.iter().map(|source| source.id)
}

/// The files of the shelf, in their order.
pub fn shelf_files() -> impl Iterator<Item = FileId> {
    (0u32..).zip(shelf::FILES).map(|(number, _)| FileId(number))
}
