//! Cautions that a material ought to carry.

use crate::diagnostic::{Code, Diagnostic};
use crate::model::AcidBase;
use crate::quantity::Exact;
use crate::resolve::{Resolver, declared};
use crate::syntax::tree::Item;
use crate::workspace::Source;

/// From over how much of a strong acid or base, in percent of the material, a caution is asked for.
const STRONG: i64 = 2;

/// The materials of a file that hold a strong acid or base and no caution. A share that nobody has given is not held
/// against them.
pub fn missing(resolver: &Resolver<'_>, source: &Source, faults: &mut Vec<Diagnostic>) {
    for id in declared(source, |item| matches!(item, Item::Material(_))) {
        let Some(material) = resolver.material(id).filter(|material| !material.faulty && material.cautions.is_empty())
        else {
            continue;
        };
        let strong = material.contains.iter().filter(|component| !component.undisclosed).filter_map(|component| {
            let substance = resolver.substance(component.substance)?;
            let what = match substance.acid_base {
                Some(AcidBase::StrongAcid) => "acid",
                Some(AcidBase::StrongBase) => "base",
                _ => return None,
            };
            Some((what, &component.strength.high))
        });
        let strong: Vec<(&str, &Exact)> = strong.collect();
        let sum: Exact = strong.iter().map(|(_, share)| (*share).clone()).sum();
        let Some((what, _)) = strong.first().filter(|_| sum > Exact::whole(STRONG)) else { continue };
        let message = format!("`{}` is {sum} % of a strong {what}, and no caution is written for it.", material.name);
        faults.push(
            Diagnostic::new(Code::CautionMissing, material.place, message)
                .help("Write `caution \"…\"` in the material: goggles, gloves, and what to do with a splash. The sheet prints it."),
        );
    }
}
