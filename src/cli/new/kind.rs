//! `stillroom new NAME --kind KIND`: a formula to begin from.

use super::super::arguments::FormulaKind;
use super::super::stream::print;
use super::super::{Failure, Outcome};
use super::from::{file_of, write_new};
use std::path::Path;
use stillroom::bring::Kind;
use stillroom::render::shown_path;

/// Writes a formula of a kind into a file of its own.
///
/// # Errors
/// A file that is there already, and a folder that cannot be written into.
pub fn run(name: &Path, kind: FormulaKind) -> Result<Outcome, Failure> {
    let kind = match kind {
        FormulaKind::Gel => Kind::Gel,
        FormulaKind::Cream => Kind::Cream,
        FormulaKind::Balm => Kind::Balm,
        FormulaKind::Wash => Kind::Wash,
        FormulaKind::Toner => Kind::Toner,
    };
    let path = file_of(name);
    let stem = path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    write_new(&path, &kind.formula(&stem))?;
    let shown = shown_path(&path);
    print(&format!("Made `{shown}`. {}\nNow try: stillroom sheet {shown}\n", kind.is()));
    Ok(Outcome::Clean)
}
