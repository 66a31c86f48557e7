//! The size of a batch as it is asked for beside the files: `372g`, `12x30mL plus 4%`.

use super::figure::Evaluator;
use super::header::makes_size;
use crate::diagnostic::{Diagnostic, FileId};
use crate::model::MakesSize;
use crate::syntax::batch_argument;

/// Reads the size of a batch that a command or a page asks for.
///
/// # Errors
/// What is no size, with what is wrong with it.
pub fn asked_size(text: &str) -> Result<MakesSize, Vec<Diagnostic>> {
    let makes = batch_argument(text)?;
    let evaluator = Evaluator { file: FileId(u32::MAX), text };
    let mut faults = Vec::new();
    makes_size(&evaluator, &makes, ("`makes`", false), &mut |_, _| None, &mut faults).ok_or(faults)
}
