//! The result of a check as JSON.

use super::DiagnosticJson;
use crate::diagnostic::{Diagnostic, Level};
use crate::workspace::Sources;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What `check --format json` prints.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CheckJson {
    /// `stillroom.check/1`.
    pub schema: String,
    /// Every diagnostic, by file, then by position.
    pub diagnostics: Vec<DiagnosticJson>,
    /// How many there are of each level.
    pub summary: Summary,
}

/// How many diagnostics there are of each level.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Summary {
    /// Errors.
    pub errors: usize,
    /// Warnings.
    pub warnings: usize,
    /// Notes.
    pub notes: usize,
}

impl Summary {
    /// Counts diagnostics by level.
    #[must_use]
    pub fn of(diagnostics: &[Diagnostic]) -> Summary {
        let count = |level| diagnostics.iter().filter(|diagnostic| diagnostic.level == level).count();
        Summary { errors: count(Level::Error), warnings: count(Level::Warning), notes: count(Level::Note) }
    }

    /// The counts in words: `2 errors, 1 warning`. Empty where there are none.
    #[must_use]
    pub fn words(&self) -> String {
        let part = |count: usize, one: &str| match count {
            0 => None,
            1 => Some(format!("1 {one}")),
            many => Some(format!("{many} {one}s")),
        };
        let parts = [part(self.errors, "error"), part(self.warnings, "warning"), part(self.notes, "note")];
        parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}

impl CheckJson {
    /// The result of a check.
    #[must_use]
    pub fn new(sources: &Sources, diagnostics: &[Diagnostic]) -> CheckJson {
        CheckJson {
            schema: "stillroom.check/1".to_string(),
            diagnostics: DiagnosticJson::all(sources, diagnostics),
            summary: Summary::of(diagnostics),
        }
    }
}
