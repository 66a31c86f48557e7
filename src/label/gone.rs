//! A batch of a version whose header is gone: what it said of the label is a blank with its name, and never left out.

use crate::batch::is_version;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::{Batch, Formula, HeaderLine};
use smol_str::SmolStr;

/// The header of a batch's own version, which neither its record nor the files have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GoneHeader {
    /// What it was of: `version 1`.
    pub of: String,
    /// The version that the formula is of now; none where there is no such formula any more, or none is said.
    pub now: Option<SmolStr>,
    /// The warnings of the formula as it is now.
    pub warns: Vec<SmolStr>,
}

impl GoneHeader {
    /// What is gone of the header of a batch, by the formula of its name as it stands now; none where that is the version
    /// that was made.
    #[must_use]
    pub fn of(batch: &Batch, now: Option<&Formula>) -> Option<GoneHeader> {
        if now.is_some_and(|now| is_version(batch, now)) {
            return None;
        }
        let version = batch.version.as_ref().map(|version| format!("version {}", version.text));
        let warnings = now.into_iter().flat_map(|now| &now.texts).filter(|said| said.line == HeaderLine::Warning);
        Some(GoneHeader {
            of: version.unwrap_or_else(|| "the formula that was made".to_string()),
            now: now.and_then(|now| now.version.clone()),
            warns: warnings.map(|said| said.text.clone()).collect(),
        })
    }

    /// A framed blank for something that the header may have said: `____ warnings of version 1`.
    #[must_use]
    pub fn blank(&self, what: &str) -> String {
        format!("____ {what} of {}", self.of)
    }

    /// What is told of it.
    #[must_use]
    pub fn fault(&self, batch: &str, formula: &Formula) -> Diagnostic {
        let now = match &self.now {
            Some(now) => format!("`{}` is of version {now} now", formula.name),
            None => format!("no `{}` of that version is left", formula.name),
        };
        let message =
            format!("The warnings, directions and durability of {} for `{batch}` are not known: {now}.", self.of);
        let warns: Vec<String> = self.warns.iter().map(|text| format!("“{text}”")).collect();
        let as_now = match (&self.now, warns.is_empty()) {
            (Some(now), false) => format!(" Version {now} warns {}", warns.join(" ")),
            _ => String::new(),
        };
        Diagnostic::new(Code::LabelHeaderGone, formula.place, message).help(format!(
            "Fill the blanks by hand, or print this label from the files as they were at {}.{as_now}",
            self.of
        ))
    }

    /// The same as a caution beside the label.
    #[must_use]
    pub fn caution(&self, batch: &str) -> String {
        format!(
            "BLANKS TO FILL: the formula of `{batch}` is of another version now. What the header of {} said of the label, as \
             its warnings and how long it keeps, is not known.",
            self.of
        )
    }
}
