//! Versions.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::HeaderLine;

/// A formula for skin without a version.
pub fn missing(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if context.formula.version.is_none()
        && !context.formula.is_stock()
        && context.formula.lacks(HeaderLine::Version)
        && context.formula.lacks(HeaderLine::Product)
    {
        let message = format!("`{}` has no version.", context.formula.name);
        faults.push(
            Diagnostic::new(Code::VersionMissing, context.formula.place, message)
                .help("Add `version \"1\"`, and change it whenever the formula changes: a batch record names it."),
        );
    }
}
