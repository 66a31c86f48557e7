//! A text that is being written: what is wrong with it and what it comes to, by the same functions as the commands.
//!
//! What is not saved is known to the one session that answers for it, and each answer is for the text it came with:
//! nothing of it reaches another page, and nothing is written.

mod faults;
mod line_ends;
mod propose;
mod results;
mod texts;
mod units;
mod versions;

pub use faults::{LiveFault, live_faults};
pub use line_ends::{as_in_a_field, as_in_file};
pub use results::LiveResults;
pub use texts::LiveTexts;
use units::Units;
pub use versions::{Side, version_choices};

use crate::diagnostic::{Diagnostic, FileId};
use crate::editor::known::Known;
use crate::model::MakesSize;
use crate::render::{Summary, shown};
use crate::resolve::asked_size;
use crate::session::{FormulaReport, Report, Session};
use crate::sheet::BatchOrder;
use crate::syntax::tree::Item;
use crate::versions::{FormulaMeaning, is_any_lost, recover};
use crate::workspace::World;
use serde::Serialize;
use smol_str::SmolStr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A file whose text is being written, and all that it uses.
pub struct LiveText {
    file: PathBuf,
    world: Arc<dyn World + Send>,
    session: Session<'static>,
    /// What an editor would know of it.
    known: Known,
    /// What the formulas of the file meant at commits, the one that was looked at last first.
    commits: Vec<(String, Vec<FormulaMeaning>)>,
}

/// What is asked beside the text.
#[derive(Clone, Debug, Default)]
pub struct LiveOrder {
    /// The order of the batch.
    pub order: BatchOrder,
    /// Why a size that was asked for is none, in a sentence.
    pub refused: Option<String>,
}

impl LiveOrder {
    /// The batch as it is written in the page; its own size where nothing is, or where it is none. `on` is the day.
    #[must_use]
    pub fn of(batch: &str, on: Option<SmolStr>) -> LiveOrder {
        let (makes, refused): (Option<MakesSize>, Option<String>) = match batch.trim() {
            "" => (None, None),
            asked => match asked_size(asked) {
                Ok(makes) => (Some(makes), None),
                Err(faults) => (None, Some(refusal(asked, &faults))),
            },
        };
        LiveOrder { order: BatchOrder { makes, on, ..BatchOrder::default() }, refused }
    }
}

fn refusal(asked: &str, faults: &[Diagnostic]) -> String {
    let fault = faults.first();
    let why = fault.map_or("a batch is written as `372g` or `12x30mL plus 4%`.", |fault| fault.message.as_str());
    let help = fault.and_then(|fault| fault.help.as_ref()).map(|help| format!(" {help}")).unwrap_or_default();
    format!("`{}`: {}{}", shown(asked), shown(why), shown(&help))
}

/// What is wrong with a text.
#[derive(Clone, Debug, Serialize)]
pub struct LiveCheck {
    /// The diagnostics, in their order.
    pub faults: Vec<LiveFault>,
    /// How many of each level, in words.
    pub summary: String,
    /// Why the size that was asked for is none.
    pub refused: Option<String>,
    /// The formulas of the file by name, in their order.
    pub formulas: Vec<String>,
}

impl LiveText {
    /// Reads a file and all it uses. Paths are told as they are seen from `folder`.
    #[must_use]
    pub fn open(world: Arc<dyn World + Send>, file: &Path, folder: &Path) -> LiveText {
        let session = Session::open(Arc::clone(&world), &[file.to_path_buf()], None);
        LiveText {
            file: file.to_path_buf(),
            world,
            session: session.seen_from(Some(folder.to_path_buf())),
            known: Known::default(),
            commits: Vec::new(),
        }
    }

    /// The file.
    #[must_use]
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// The session, with a text in the place of the file's.
    pub fn with(&mut self, text: &str) -> &Session<'static> {
        self.follow_disk();
        self.session.set_text(&self.file, text);
        // What a batch without a plan was made by stands in git; it holds for as long as no file changes.
        if is_any_lost(self.session.loaded()) {
            recover(self.session.loaded_mut());
        }
        &self.session
    }

    /// What is wrong with a text.
    pub fn check(&mut self, text: &str, asked: &LiveOrder) -> LiveCheck {
        let session = self.with(text);
        let report = session.check_to_foresee(&asked.order);
        let Some(shown) = shown_file(session) else { return LiveCheck::nothing(asked) };
        LiveCheck {
            faults: live_faults(session.sources(), shown, &report.diagnostics),
            summary: Summary::of(&report.diagnostics).words(),
            refused: asked.refused.clone(),
            formulas: named(&report, shown).map(|found| found.formula.name.to_string()).collect(),
        }
    }

    /// What a formula of a text comes to.
    pub fn results(&mut self, text: &str, formula: &str, asked: &LiveOrder) -> LiveResults {
        let session = self.with(text);
        let report = session.check_to_foresee(&asked.order);
        match chosen(session, &report, formula) {
            None if has_broken(session) => LiveResults::unread(),
            found => LiveResults::of(session.sources(), &report, found, asked),
        }
    }

    /// The name that the formula of a page has in a text; none where the text has none.
    pub fn name_of(&mut self, text: &str, formula: &str) -> Option<String> {
        let session = self.with(text);
        let report = session.check_to_foresee(&BatchOrder::default());
        chosen(session, &report, formula).map(|found| found.formula.name.to_string())
    }

    /// Reads anew what was written on disk since it was read.
    fn follow_disk(&mut self) {
        let stale = self.session.sources().files.iter().filter(|source| source.absolute != self.file);
        let stale = stale.filter(|source| {
            let bytes = self.world.read(&source.absolute).unwrap_or_default();
            let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
            bytes != source.text.as_bytes()
        });
        let stale: Vec<PathBuf> = stale.map(|source| source.absolute.clone()).collect();
        for path in stale {
            self.session.changed_on_disk(&path);
        }
    }
}

impl LiveCheck {
    fn nothing(asked: &LiveOrder) -> LiveCheck {
        LiveCheck { faults: Vec::new(), summary: String::new(), refused: asked.refused.clone(), formulas: Vec::new() }
    }
}

/// The file that is shown: the only one that was named.
fn shown_file(session: &Session<'_>) -> Option<FileId> {
    session.sources().files.iter().find(|source| source.named).map(|source| source.id)
}

fn named<'r>(report: &'r Report<'_>, file: FileId) -> impl Iterator<Item = &'r FormulaReport> {
    report.formulas.iter().filter(move |found| found.formula.id.file == file)
}

/// Whether a block of the file that is shown cannot be read.
fn has_broken(session: &Session<'_>) -> bool {
    let shown = session.sources().files.iter().find(|source| source.named);
    shown.is_some_and(|source| source.tree.items.iter().any(|item| matches!(item, Item::Broken(_))))
}

/// The formula of a name; where there is none, as while its name is typed, the only one of the file. Not where a block cannot
/// be read: that may be the one that is meant, and the other would be taken for it.
fn chosen<'r>(session: &Session<'_>, report: &'r Report<'_>, name: &str) -> Option<&'r FormulaReport> {
    let file = shown_file(session)?;
    let by_name = named(report, file).find(|found| found.formula.name == name);
    by_name.or_else(|| {
        let mut all = named(report, file);
        all.next().filter(|_| all.next().is_none() && !has_broken(session))
    })
}

#[cfg(test)]
mod tests {
    use super::{LiveOrder, LiveText, Side};
    use crate::workspace::Disk;
    use std::fs;
    use std::path::Path;
    use std::sync::Arc;

    const OWN: &str = "use shelf/all\n\nmaterial my-oil like sunflower-oil {\n  note \"of the second pressing\"\n}\n";

    const OIL: &str = "use shelf/all\nuse \"own.still\"\n\n# ☘\u{1f33f}\nformula oil {\n  makes 100 g\n  scale 0.01 g\n  \
        phase a {\n    my-oil  q.s.\n    squalane  30 %\n  }\n}\n";

    fn opened(folder: &Path) -> LiveText {
        fs::write(folder.join("own.still"), OWN).unwrap();
        fs::write(folder.join("oil.still"), OIL).unwrap();
        LiveText::open(Arc::new(Disk), &folder.join("oil.still"), folder)
    }

    fn room() -> (tempfile::TempDir, std::path::PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().canonicalize().unwrap();
        (folder, path)
    }

    #[test]
    fn each_answer_is_for_the_text_it_came_with() {
        let (_held, folder) = room();
        let mut live = opened(&folder);
        let order = LiveOrder::default();
        let wrong = OIL.replace("squalane", "squalene");
        let check = live.check(&wrong, &order);
        let fault = check.faults.iter().find(|fault| fault.level == "error").unwrap();
        let units: Vec<u16> = wrong.encode_utf16().collect();
        let marked = String::from_utf16(&units[fault.start.unwrap()..fault.end.unwrap()]).unwrap();
        assert_eq!((marked.as_str(), fault.line), ("squalene", 10));
        assert!(live.results(&wrong, "oil", &order).sheet.contains("No weights are shown while 1 error stands"));
        let results = live.results(&wrong, "oil", &order);
        assert!(results.sheet.contains("line 10") && results.sheet.contains("squalene"), "{}", results.sheet);
        for (part, what) in [(&results.ph, "pH"), (&results.label, "label"), (&results.cost, "cost")] {
            assert!(part.contains(&format!("No {what} is shown while 1 error stands")), "{part}");
        }
        for part in [&results.sheet, &results.ph, &results.label, &results.cost, &results.paper] {
            assert!(!part.contains("<table") && !part.contains("70.00"), "{part}");
        }
        assert!(live.check(OIL, &order).faults.iter().all(|fault| fault.level != "error"));
        let sheet = live.results(OIL, "oil", &order).sheet;
        // 100 g less 30 %.
        assert!(sheet.contains("70.00") && sheet.contains("30.00"), "{sheet}");
        assert_eq!(fs::read_to_string(folder.join("oil.still")).unwrap(), OIL);
    }

    /// What stops a batch is not below what may be looked at later.
    #[test]
    fn errors_stand_first() {
        let (_held, folder) = room();
        let mut live = opened(&folder);
        let wrong = format!("{}\nformula later {{\n  makes 10 g\n  phase A {{\n    squalene 3 %\n  }}\n}}\n", OIL);
        let check = live.check(&wrong, &LiveOrder::default());
        let levels: Vec<&str> = check.faults.iter().map(|fault| fault.level).collect();
        let mut sorted = levels.clone();
        sorted.sort_by_key(|level| ["error", "warning", "note"].iter().position(|one| one == level));
        assert!(levels.len() > 2 && levels.first() == Some(&"error") && levels.last() == Some(&"note"), "{levels:?}");
        assert_eq!(levels, sorted);
    }

    /// The other formula of the file is not shown in the place of the one that cannot be read.
    #[test]
    fn no_other_formula_is_taken_for_one_that_cannot_be_read() {
        let (_held, folder) = room();
        let mut live = opened(&folder);
        let two = format!(
            "{OIL}\n{}",
            OIL.split_once("formula oil").map(|(_, rest)| format!("formula other{rest}")).unwrap()
        );
        let order = LiveOrder::default();
        assert_eq!(live.results(&two, "oil", &order).formula.as_deref(), Some("oil"));
        let results = live.results(&two.replace("formula oil {", "formula o il {"), "oil", &order);
        assert_eq!(results.formula, None);
        assert!(results.sheet.contains("cannot be read") && !results.sheet.contains("70.00"), "{}", results.sheet);
        // While its name is typed it is the only one, and followed.
        assert_eq!(
            live.results(&OIL.replace("formula oil", "formula oils"), "oil", &order).formula.as_deref(),
            Some("oils")
        );
    }

    #[test]
    fn a_file_that_is_used_is_followed_as_it_is_written() {
        let (_held, folder) = room();
        let mut live = opened(&folder);
        let errors = |live: &mut LiveText| {
            let check = live.check(OIL, &LiveOrder::default());
            check.faults.into_iter().filter(|fault| fault.level == "error").count()
        };
        assert_eq!(errors(&mut live), 0);
        fs::write(folder.join("own.still"), OWN.replace("my-oil", "her-oil")).unwrap();
        assert!(errors(&mut live) > 0);
        fs::write(folder.join("own.still"), OWN).unwrap();
        assert_eq!(errors(&mut live), 0);
    }

    #[test]
    fn a_size_that_is_none_is_told_in_a_sentence() {
        for size in ["a lot", "372", "0 g", "12x", "-5 g", "<b>"] {
            let order = LiveOrder::of(size, None);
            assert!(order.order.makes.is_none(), "{size}");
            let why = order.refused.unwrap();
            assert!(why.starts_with(&format!("`{size}`: ")) && why.ends_with(['.', '?']), "{why}");
        }
        for size in ["372g", "12x30mL plus 4%", " 200 g "] {
            let order = LiveOrder::of(size, None);
            assert!(order.order.makes.is_some() && order.refused.is_none(), "{size}");
        }
        assert!(LiveOrder::of(" ", None).order.makes.is_none());
    }

    #[test]
    fn the_page_is_held_against_the_file() {
        let (_held, folder) = room();
        let mut live = opened(&folder);
        let now = OIL.replace("30 %", "40 %");
        let found = live.difference(Side::Saved, Side::Page(&now), Some("oil")).unwrap();
        let change = &found[0].changes[0];
        assert_eq!((change.row().before.as_str(), change.row().after.as_str()), ("30 %", "40 %"));
        let same = live.difference(Side::Saved, Side::Page(OIL), Some("oil")).unwrap();
        assert!(same.iter().all(|one| one.changes.is_empty()));
    }
}
