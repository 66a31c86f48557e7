//! What is in a formula: its raw materials, through premixes, and its water.

use crate::model::{DeclId, Formula, Line, LineAmount, LineMaterial, Material, Substance, materials_of};
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::syntax::vocabulary::Role;
use std::sync::Arc;

/// A raw material in a formula, by itself or through a premix.
pub struct Ingredient<'f> {
    /// The number of the line that brings it.
    pub at: usize,
    /// That line.
    pub line: &'f Line,
    /// The material.
    pub material: Arc<Material>,
    /// Its percentage of the batch as supplied; none where it is weighed at the bench or not known.
    pub percent: Option<Exact>,
    /// Whether it comes through a premix.
    pub through_premix: bool,
}

impl Ingredient<'_> {
    /// Whether it is there for this.
    pub fn has_role(&self, role: Role) -> bool {
        self.material.roles.contains(&role)
    }

    /// How it is named in a message: by itself, or with the premix it comes through.
    pub fn named(&self) -> String {
        match self.through_premix {
            true => format!("`{}` in `{}`", self.material.name, self.line.name),
            false => format!("`{}`", self.material.name),
        }
    }
}

/// Every raw material of a formula, in the order of its lines.
pub fn ingredients(formula: &Formula) -> Vec<Ingredient<'_>> {
    let mut all = Vec::new();
    for (at, line) in formula.lines.iter().enumerate() {
        let percent = line.percent.clone().filter(|_| line.amount != LineAmount::AtBench);
        match &line.material {
            Some(LineMaterial::Material(material)) => {
                all.push(Ingredient { at, line, material: Arc::clone(material), percent, through_premix: false });
            }
            Some(LineMaterial::Premix(premix)) => {
                all.extend(materials_of(premix).into_iter().map(|(material, share)| {
                    let percent = percent.as_ref().zip(share).map(|(percent, share)| &percent.hundredth() * &share);
                    Ingredient { at, line, material, percent, through_premix: true }
                }))
            }
            None => {}
        }
    }
    all
}

/// The physical water of the batch in percent; none where the total is not known.
pub fn water(resolver: &Resolver<'_>, formula: &Formula) -> Option<Interval> {
    share_of(resolver, formula, Substance::physical_water)
}

/// The ethanol of the batch in percent; none where the total is not known.
pub fn ethanol(resolver: &Resolver<'_>, formula: &Formula) -> Option<Interval> {
    share_of(resolver, formula, |substance| if substance.is_ethanol() { Exact::HUNDRED } else { Exact::ZERO })
}

/// What every substance of the batch brings of something, each by how much of the substance is that, in percent.
fn share_of(resolver: &Resolver<'_>, formula: &Formula, of: impl Fn(&Substance) -> Exact) -> Option<Interval> {
    let mut total = Interval::zero();
    for (id, share) in &formula.composition.as_ref()?.parts {
        let Some(substance) = resolver.substance(*id) else { continue };
        total = &total + &share.times(&of(&substance).hundredth());
    }
    Some(total)
}

/// Whether a material is known to bring water. What is written as a remainder of next to nothing is not known to; a
/// component that is named without a figure is there.
pub fn is_wet(resolver: &Resolver<'_>, material: &Material) -> bool {
    material.contains.iter().any(|component| {
        let named = component.undisclosed || component.strength.low.is_positive();
        named
            && resolver.substance(component.substance).is_some_and(|substance| substance.physical_water().is_positive())
    })
}

/// How much water a line is known to bring, in percent of the batch.
pub fn water_of_line(resolver: &Resolver<'_>, line: &Line) -> Option<Exact> {
    let wet = |id: DeclId| resolver.substance(id).map_or(Exact::ZERO, |substance| substance.physical_water());
    let share: Exact = match line.material.as_ref()? {
        LineMaterial::Material(material) => material
            .contains
            .iter()
            .map(|component| &component.strength.low * &wet(component.substance).hundredth())
            .sum(),
        LineMaterial::Premix(premix) => {
            premix.composition.as_ref()?.parts.iter().map(|(id, strength)| &strength.low * &wet(*id).hundredth()).sum()
        }
    };
    Some(&line.percent.as_ref()?.hundredth() * &share)
}
