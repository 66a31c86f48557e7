//! The ounce, which is a weight here, where a volume may be meant.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Sureness};
use crate::quantity::Unit;
use crate::syntax::tree::{
    BatchEntry, ContainerField, FormulaStatement, Header, HeaderField, Item, Quantity, VariantStatement,
};
use crate::workspace::Source;

/// `makes N x 1 oz`: containers are sold by volume. A variant that takes the base's size is not told of it again.
pub fn makes(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let file = context.formula.id.file;
    let headers: Vec<&Header> = match context.resolver.scopes.item(context.formula.id) {
        Some(Item::Formula(formula)) => formula
            .statements
            .iter()
            .filter_map(|statement| if let FormulaStatement::Header(header) = statement { Some(header) } else { None })
            .collect(),
        Some(Item::Variant(variant)) => variant
            .statements
            .iter()
            .filter_map(|statement| if let VariantStatement::Header(header) = statement { Some(header) } else { None })
            .collect(),
        _ => return,
    };
    for header in headers {
        if let HeaderField::Makes(makes) = &header.field
            && makes.count.is_some()
        {
            faults.extend(confusion(&makes.quantity, file));
        }
    }
}

/// What containers of a file hold, and what its batches were filled into.
pub fn containers(source: &Source, faults: &mut Vec<Diagnostic>) {
    for item in &source.tree.items {
        match item {
            Item::Container(container) => {
                faults.extend(container.fields.iter().filter_map(|field| match field {
                    ContainerField::Holds(holds, _) => confusion(holds, source.id),
                    _ => None,
                }));
            }
            Item::Batch(batch) => faults.extend(batch.entries.iter().filter_map(|statement| match &statement.entry {
                BatchEntry::Filled(_, each, _) => confusion(each, source.id),
                _ => None,
            })),
            _ => {}
        }
    }
}

fn confusion(quantity: &Quantity, file: FileId) -> Option<Diagnostic> {
    let figure = quantity.value.as_ref().filter(|_| quantity.unit == Unit::Ounce)?;
    let reads = |unit: Unit| unit.to_base(figure).to_significant(4);
    let (grams, us, imperial) = (reads(Unit::Ounce), reads(Unit::FluidOunce), reads(Unit::ImperialFluidOunce));
    let place = Place { file, span: quantity.span };
    let message = format!("{figure} oz is {grams} g by weight; as a US fluid ounce it would be {us} mL.");
    Some(
        Diagnostic::new(Code::OunceConfusion, place, message)
            .help(format!(
                "Write `{figure} fl-oz` for {us} mL, `{figure} imp-fl-oz` for {imperial} mL, or `{grams} g` for the weight."
            ))
            .fix(place, format!("{figure} fl-oz"), Sureness::NeedsALook),
    )
}
