//! What to take care of with a material at the bench: the words of the sheet.

use super::setting::Setting;
use crate::model::{Batch, Formula, LineMaterial};
use crate::resolve::Resolver;
use crate::sheet::cautions_of;

/// What the sheet says to take care of with one material: each thing by what it is said of. Of a premix that is what it
/// is made of.
#[must_use]
pub fn care(session: &Resolver<'_>, batch: &Batch, setting: &Setting<'_>, name: &str) -> Vec<(String, Vec<String>)> {
    // A plan that is frozen into a record does not say it; the files do, while they have the formula.
    let declared = session.formula_of_batch(batch);
    let in_files = declared.as_ref().and_then(|declared| of_line(&declared.formula, name));
    let by_name = || {
        let home = declared.as_ref().map(|declared| declared.formula.id.file);
        [Some(batch.id.file), home].into_iter().flatten().find_map(|file| session.weighs_out(file, name))
    };
    let known = [in_files.cloned().or_else(by_name), of_line(&setting.formula, name).cloned()];
    let said = known.iter().flatten().map(|material| cautions_of(std::iter::once(material)));
    let Some(said) = said.into_iter().find(|said| !said.is_empty()) else { return Vec::new() };
    let mut all: Vec<(String, Vec<String>)> = Vec::new();
    for caution in said {
        match all.iter_mut().find(|(of, _)| of == caution.of) {
            Some((_, texts)) => texts.push(caution.text.to_string()),
            None => all.push((caution.of.to_string(), vec![caution.text.to_string()])),
        }
    }
    all
}

fn of_line<'f>(formula: &'f Formula, name: &str) -> Option<&'f LineMaterial> {
    formula.lines.iter().find(|line| line.name == name)?.material.as_ref()
}
