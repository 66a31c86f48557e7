//! A diagnostic as JSON.

use crate::diagnostic::{Diagnostic, Label};
use crate::workspace::{LineIndex, Sources};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A diagnostic. Lines and columns from 1, columns in characters, ends exclusive; paths from where the command ran.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DiagnosticJson {
    /// The code.
    pub code: String,
    /// `error`, `warning` or `note`.
    pub level: String,
    /// The fault in one sentence, with its figures.
    pub message: String,
    /// The file; none for what came with the command.
    pub file: Option<String>,
    /// The first line.
    pub line: usize,
    /// The first column.
    pub column: usize,
    /// The last line.
    pub end_line: usize,
    /// The column after the last.
    pub end_column: usize,
    /// What is said of the place itself.
    pub label: Option<String>,
    /// What to do.
    pub help: Option<String>,
    /// The law or standard behind it.
    pub source: Option<String>,
    /// Every other place that bears on it.
    pub related: Vec<RelatedJson>,
    /// The edit that mends it.
    pub fix: Option<FixJson>,
}

/// A further place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct RelatedJson {
    /// What is said of it.
    pub message: String,
    /// The file.
    pub file: Option<String>,
    /// The first line.
    pub line: usize,
    /// The first column.
    pub column: usize,
    /// The last line.
    pub end_line: usize,
    /// The column after the last.
    pub end_column: usize,
}

/// An edit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct FixJson {
    /// What stands there afterwards.
    pub replacement: String,
    /// Whether it is beyond doubt; else it needs a look.
    pub safe: bool,
    /// The file.
    pub file: Option<String>,
    /// The first line.
    pub line: usize,
    /// The first column.
    pub column: usize,
    /// The last line.
    pub end_line: usize,
    /// The column after the last.
    pub end_column: usize,
}

impl DiagnosticJson {
    /// The same with every path from the root of its workspace, as code hosts want them.
    #[must_use]
    pub fn all_from_root(sources: &Sources, diagnostics: &[Diagnostic]) -> Vec<DiagnosticJson> {
        let mut lines = Lines { sources, from_root: true, known: std::collections::HashMap::new() };
        diagnostics.iter().map(|diagnostic| lines.diagnostic(diagnostic)).collect()
    }

    /// Diagnostics as JSON. The lines of each file are read once.
    #[must_use]
    pub fn all(sources: &Sources, diagnostics: &[Diagnostic]) -> Vec<DiagnosticJson> {
        let mut lines = Lines { sources, from_root: false, known: std::collections::HashMap::new() };
        diagnostics.iter().map(|diagnostic| lines.diagnostic(diagnostic)).collect()
    }
}

struct Lines<'s> {
    sources: &'s Sources,
    from_root: bool,
    known: std::collections::HashMap<crate::diagnostic::FileId, LineIndex<'s>>,
}

impl Lines<'_> {
    fn place(&mut self, place: crate::diagnostic::Place) -> (Option<String>, (usize, usize), (usize, usize)) {
        let sources = self.sources;
        let index = self.known.entry(place.file).or_insert_with(|| LineIndex::new(sources.text(place.file)));
        let (start, end) = index.span(place.span);
        let path = if self.from_root { sources.path_in_workspace(place.file) } else { sources.path(place.file) };
        (Some(path).filter(|path| !path.is_empty()), start, end)
    }

    fn related(&mut self, label: &Label) -> RelatedJson {
        let (file, (line, column), (end_line, end_column)) = self.place(label.place);
        RelatedJson { message: label.text.clone(), file, line, column, end_line, end_column }
    }

    fn diagnostic(&mut self, diagnostic: &Diagnostic) -> DiagnosticJson {
        let (file, (line, column), (end_line, end_column)) = self.place(diagnostic.primary.place);
        let fix = diagnostic.fix.as_ref().map(|fix| {
            let (file, (line, column), (end_line, end_column)) = self.place(fix.place);
            let safe = fix.sureness == crate::diagnostic::Sureness::Safe;
            FixJson { replacement: fix.replacement.clone(), safe, file, line, column, end_line, end_column }
        });
        DiagnosticJson {
            code: diagnostic.code.to_string(),
            level: diagnostic.level.word().to_string(),
            message: diagnostic.message.clone(),
            file,
            line,
            column,
            end_line,
            end_column,
            label: Some(diagnostic.primary.text.clone()).filter(|text| !text.is_empty()),
            help: diagnostic.help.clone(),
            source: diagnostic.source.clone(),
            related: diagnostic.secondary.iter().map(|label| self.related(label)).collect(),
            fix,
        }
    }
}
