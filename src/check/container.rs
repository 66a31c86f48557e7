//! What a formula is packed in, beside what goes into it.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::Content;

/// A container that holds less than `makes` fills into it. Between a weight and a volume the density says.
pub fn too_small(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    let Some(makes) = formula.makes.as_ref().filter(|makes| makes.count.is_some()) else { return };
    let fills = makes.millilitres.clone().map(Content::Millilitres).or_else(|| makes.grams.clone().map(Content::Grams));
    let Some(fills) = fills else { return };
    for packing in &formula.selling.packed_in {
        let Some(holds) = context.resolver.container(packing.id).and_then(|container| container.holds) else {
            continue;
        };
        let is_less = match (&holds, &fills) {
            (Content::Grams(holds), Content::Grams(fills)) => holds < fills,
            (Content::Millilitres(holds), Content::Millilitres(fills)) => holds < fills,
            _ => {
                let grams = |of: &Content| of.grams(formula.density.as_ref());
                grams(&holds).zip(grams(&fills)).is_some_and(|(holds, fills)| holds < fills)
            }
        };
        if is_less {
            let (holds, fills) = (words(&holds), words(&fills));
            let message = format!("`{}` holds {holds}, and `makes` fills {fills} into each.", packing.name);
            let help = format!("Name a container here that holds {fills}, or write `makes` with {holds} each.");
            faults.push(Diagnostic::new(Code::ContainerTooSmall, packing.place, message).help(help));
        }
    }
}

fn words(content: &Content) -> String {
    match content {
        Content::Grams(grams) => format!("{grams} g"),
        Content::Millilitres(volume) => format!("{volume} mL"),
    }
}
