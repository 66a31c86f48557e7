//! The lines of a formula, or of a batch, by their names, in the order they are written, in a text that need not parse.

use crate::editor::occurrences::Names;
use crate::model::DeclId;
use crate::resolve::NameSet;
use crate::syntax::tree::{Batch, FormulaStatement, Item, Name, PhaseStatement, VariantStatement};
use smol_str::SmolStr;

/// The lines of a batch: of the plan in it, else of the formula that it is of.
pub(super) fn batch_lines(names: &Names<'_>, id: DeclId, batch: &Batch) -> Vec<SmolStr> {
    let mut found = Vec::new();
    if let Some(plan) = batch.plan() {
        plan.lines.iter().for_each(|line| note(&mut found, &line.material));
        return found;
    }
    let named = batch.entries.iter().find_map(|statement| statement.entry.formula());
    let formula = named.and_then(|named| names.scopes.find(id.file, NameSet::Weighable, &named.text));
    formula.map(|formula| formula_lines(names, &names.bases(formula))).unwrap_or_default()
}

/// The lines of a formula or a variant, out of itself and what it is a variant of, the nearest first.
pub(super) fn formula_lines(names: &Names<'_>, chain: &[DeclId]) -> Vec<SmolStr> {
    let mut found = Vec::new();
    for item in chain.iter().rev().filter_map(|id| names.scopes.item(*id)) {
        match item {
            Item::Formula(formula) => formula.statements.iter().for_each(|statement| {
                if let FormulaStatement::Phase(phase) = statement {
                    of_phase(&phase.statements, &mut found);
                }
            }),
            Item::Variant(variant) => variant.statements.iter().for_each(|statement| changed(statement, &mut found)),
            _ => {}
        }
    }
    found
}

/// What a statement of a variant makes of the lines.
fn changed(statement: &VariantStatement, found: &mut Vec<SmolStr>) {
    match statement {
        VariantStatement::Phase(phase) => of_phase(&phase.statements, found),
        VariantStatement::Remove(gone, ..) => found.retain(|known| *known != gone.text),
        VariantStatement::Swap { old, new, .. } => {
            let at = found.iter().position(|known| *known == old.text);
            match at.and_then(|at| found.get_mut(at)) {
                Some(line) => *line = new.text.clone(),
                None => note(found, new),
            }
        }
        _ => {}
    }
}

fn of_phase(statements: &[PhaseStatement], found: &mut Vec<SmolStr>) {
    for statement in statements {
        match statement {
            PhaseStatement::Line(line) => note(found, &line.material),
            PhaseStatement::Broken(_, Some(name)) => note(found, name),
            _ => {}
        }
    }
}

fn note(found: &mut Vec<SmolStr>, name: &Name) {
    if !found.contains(&name.text) {
        found.push(name.text.clone());
    }
}
