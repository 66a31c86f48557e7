//! Diagnostics of a text that is being written, as its page shows them.

use super::units::Units;
use crate::diagnostic::{Diagnostic, FileId, Place, Sureness};
use crate::workspace::{LineIndex, Sources};
use serde::Serialize;

/// A diagnostic at its place in the text. Places count in units of UTF-16, ends exclusive.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LiveFault {
    /// The code.
    pub code: &'static str,
    /// `error`, `warning` or `note`.
    pub level: &'static str,
    /// The fault in one sentence.
    pub message: String,
    /// What to do.
    pub help: Option<String>,
    /// The law or standard behind it.
    pub source: Option<String>,
    /// The file, where it is another than the one that is shown.
    pub file: Option<String>,
    /// The line in its file, from 1.
    pub line: usize,
    /// Where it begins; none in another file.
    pub start: Option<usize>,
    /// Where it ends.
    pub end: Option<usize>,
    /// What bears on it elsewhere.
    pub related: Vec<LiveRelated>,
    /// The sure edit, where there is one in the text that is shown.
    pub mend: Option<LiveEdit>,
    /// An edit that is likely and not sure, where there is one: the maker decides.
    pub offer: Option<LiveEdit>,
}

/// A further place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LiveRelated {
    /// What is said of it.
    pub message: String,
    /// The file, where it is another than the one that is shown.
    pub file: Option<String>,
    /// The line in its file, from 1.
    pub line: usize,
    /// Where it begins; none in another file.
    pub start: Option<usize>,
    /// Where it ends.
    pub end: Option<usize>,
}

/// An edit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LiveEdit {
    /// Where it begins.
    pub start: usize,
    /// Where it ends.
    pub end: usize,
    /// What stands there afterwards.
    pub replacement: String,
}

/// The diagnostics of a session as the page of one of its files shows them: errors first, and of each level those of the file
/// that is shown.
#[must_use]
pub fn live_faults(sources: &Sources, shown: FileId, diagnostics: &[Diagnostic]) -> Vec<LiveFault> {
    let page = Shown {
        sources,
        file: shown,
        units: Units::of(sources.text(shown)),
        lines: LineIndex::new(sources.text(shown)),
    };
    let mut faults: Vec<LiveFault> = diagnostics.iter().map(|diagnostic| page.fault(diagnostic)).collect();
    // What stops a batch first, and of that what stands in the text that is seen.
    faults.sort_by_key(|fault| (rank(fault.level), fault.file.is_some()));
    faults
}

fn rank(level: &str) -> usize {
    ["error", "warning", "note"].iter().position(|one| *one == level).unwrap_or(usize::MAX)
}

/// A file that is shown.
struct Shown<'s> {
    sources: &'s Sources,
    file: FileId,
    units: Units<'s>,
    lines: LineIndex<'s>,
}

/// A place as it is told.
struct Told {
    file: Option<String>,
    line: usize,
    start: Option<usize>,
    end: Option<usize>,
}

impl Shown<'_> {
    fn fault(&self, of: &Diagnostic) -> LiveFault {
        let Told { file, line, start, end } = self.place(of.primary.place);
        let related = of.secondary.iter().map(|label| {
            let Told { file, line, start, end } = self.place(label.place);
            LiveRelated { message: label.text.clone(), file, line, start, end }
        });
        let edit = |sureness: Sureness| {
            let fix = of.fix.as_ref().filter(|fix| fix.sureness == sureness && fix.place.file == self.file);
            fix.map(|fix| LiveEdit {
                start: self.units.at_byte(fix.place.span.start as usize),
                end: self.units.at_byte(fix.place.span.end as usize),
                replacement: fix.replacement.clone(),
            })
        };
        LiveFault {
            code: of.code.entry().name,
            level: of.level.word(),
            message: of.message.clone(),
            help: of.help.clone(),
            source: of.source.clone(),
            file,
            line,
            start,
            end,
            related: related.collect(),
            mend: edit(Sureness::Safe),
            offer: edit(Sureness::NeedsALook),
        }
    }

    fn place(&self, place: Place) -> Told {
        if place.file == self.file {
            let ((line, _), _) = self.lines.span(place.span);
            let unit = |byte: u32| Some(self.units.at_byte(byte as usize));
            return Told { file: None, line, start: unit(place.span.start), end: unit(place.span.end) };
        }
        let ((line, _), _) = LineIndex::new(self.sources.text(place.file)).span(place.span);
        Told { file: Some(self.sources.path(place.file)), line, start: None, end: None }
    }
}
