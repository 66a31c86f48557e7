//! Diagnostics as workflow annotations: one line each, which the code host shows beside the source.

use super::DiagnosticJson;
use super::screen::shown;
use crate::diagnostic::Diagnostic;
use crate::workspace::Sources;
use std::fmt::Write as _;

/// One annotation a line.
#[must_use]
pub fn github(sources: &Sources, diagnostics: &[Diagnostic]) -> String {
    let mut out = String::new();
    for one in DiagnosticJson::all_from_root(sources, diagnostics) {
        let command = if one.level == "note" { "notice" } else { &one.level };
        let help = one.help.as_ref().map(|help| format!("%0A{}", data(help))).unwrap_or_default();
        // Writing to a string cannot fail.
        let _ = writeln!(
            out,
            "::{command} file={},line={},col={},endLine={},endColumn={},title={}::{}",
            property(one.file.as_deref().unwrap_or_default()),
            one.line,
            one.column,
            one.end_line,
            one.end_column,
            property(&one.code),
            data(&one.message) + &help
        );
    }
    out
}

/// Text after the colons.
fn data(text: &str) -> String {
    shown(text).replace('%', "%25")
}

/// A value between the colons.
fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}
