//! How much of a material each of its parts can be, from all that is said of the others.

use crate::model::{Component, Material};
use crate::quantity::{Exact, Interval};

/// Each part of a material with its strength in percent. One without a figure is at most what the others leave at their
/// least.
pub(super) fn strengths(material: &Material) -> impl Iterator<Item = (&Component, Interval)> {
    let least: Exact = material.contains.iter().map(|part| part.strength.low.clone()).sum();
    material.contains.iter().map(move |part| (part, strength(part, &least)))
}

fn strength(part: &Component, least: &Exact) -> Interval {
    if !part.undisclosed {
        return part.strength.clone();
    }
    let others = least - &part.strength.low;
    let left = (&Exact::HUNDRED - &others).max(Exact::ZERO);
    Interval::new(part.strength.low.clone(), part.strength.high.clone().min(left))
}

/// What the other parts of a material leave at their least for one that has no figure of its own, in percent.
pub(super) fn room_of(material: &Material, part: &Component) -> Option<Exact> {
    let others = material.contains.iter().filter(|other| other.substance != part.substance);
    let least: Exact = others.map(|other| other.strength.low.clone()).sum();
    (part.undisclosed || part.remainder).then(|| &Exact::HUNDRED - &least)
}

/// Whether something in a material is not told: a part has no figure, or what is named does not make up all of it.
pub(super) fn is_undisclosed(material: &Material) -> bool {
    let is_open = material.undisclosed.high.is_positive() || material.contains.iter().any(|part| part.undisclosed);
    // What is named by weight is all that there is, figures or not.
    is_open && !material.in_order
}
