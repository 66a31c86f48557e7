//! Versions.

use super::Look;
use crate::diagnostic::{Code, Diagnostic};

/// A formula for skin without a version.
pub fn missing(look: &Look<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if look.formula.version.is_none()
        && !look.formula.is_stock()
        && look.formula.lacks("version")
        && look.formula.lacks("product")
    {
        let message = format!("`{}` has no version.", look.formula.name);
        faults.push(
            Diagnostic::new(Code::VersionMissing, look.formula.place, message)
                .help("Add `version \"1\"`, and change it whenever the formula changes: a batch record names it."),
        );
    }
}
