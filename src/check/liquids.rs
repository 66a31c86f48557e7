//! The liquids of a formula: what is oil, what is watery, what is alcohol, and the powders that lie in them.

use super::contents::Ingredient;
use super::context::CheckContext;
use crate::model::Material;
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::syntax::vocabulary::{Doing, MaterialPhase, Role};

/// From this share of water in it, in percent, a material is a watery liquid as a whole: honey, a syrup, a solution
/// (common practice, no source).
const WATERY_FROM: i64 = 15;
/// The most moles of crystal water that one of a salt has.
const MOST_CRYSTAL_WATER: i64 = 12;

/// One kind of liquid, and what brings most of it.
pub struct Liquid<'a, 'f> {
    /// How much of it there is, in percent of the batch.
    pub percent: Exact,
    /// The material that brings most.
    pub most: Option<&'a Ingredient<'f>>,
    share: Exact,
}

impl Default for Liquid<'_, '_> {
    fn default() -> Self {
        Liquid { percent: Exact::ZERO, most: None, share: Exact::ZERO }
    }
}

impl<'a, 'f> Liquid<'a, 'f> {
    fn add(&mut self, ingredient: &'a Ingredient<'f>, percent: Exact) {
        self.percent = &self.percent + &percent;
        if percent > self.share {
            (self.most, self.share) = (Some(ingredient), percent);
        }
    }
}

/// The liquids of a formula.
#[derive(Default)]
pub struct Liquids<'a, 'f> {
    /// Oils, butters and waxes, without scents and without what joins oil and water.
    pub fat: Liquid<'a, 'f>,
    /// Essential oils and other oil-soluble scents.
    pub scent: Liquid<'a, 'f>,
    /// Water, and all that has water in it: the crystal water of a salt is none.
    pub water: Liquid<'a, 'f>,
    /// Glycerin, glycols and other solvents for the water, without water in them.
    pub polar: Liquid<'a, 'f>,
    /// What joins oil and water, in percent.
    pub joining: Exact,
    /// The first of what joins them.
    pub joiner: Option<&'a Ingredient<'f>>,
    /// Ethanol, in percent.
    pub ethanol: Exact,
    /// Powders and grains, in percent.
    pub powder: Exact,
}

impl<'a, 'f> Liquids<'a, 'f> {
    /// The liquids of a formula. What is weighed at the bench, and what has no figure, is left out.
    pub fn of(context: &'a CheckContext<'f, '_>) -> Liquids<'a, 'f> {
        let mut found = Liquids::default();
        for ingredient in context.ingredients() {
            if let Some(percent) = ingredient.percent.clone() {
                found.sort(context.resolver, ingredient, percent);
            }
        }
        found
    }

    fn sort(&mut self, resolver: &Resolver<'_>, ingredient: &'a Ingredient<'f>, percent: Exact) {
        let material = &*ingredient.material;
        if joins(ingredient) {
            self.joining = &self.joining + &percent;
            self.joiner = self.joiner.or(Some(ingredient));
        }
        let ethanol = &percent.hundredth() * &ethanol_in(resolver, material);
        self.ethanol = &self.ethanol + &ethanol;
        let rest = &percent - &ethanol;
        let water = free_water_in(resolver, material);
        if water >= Exact::whole(WATERY_FROM) {
            self.water.add(ingredient, rest);
            return;
        }
        let water = &percent.hundredth() * &water;
        self.water.add(ingredient, water.clone());
        if material.phase == Some(MaterialPhase::Oil) {
            if ingredient.has_role(Role::Fragrance) {
                self.scent.add(ingredient, percent);
            } else if !joins(ingredient) {
                self.fat.add(ingredient, percent);
            }
        } else if is_grain(ingredient) {
            self.powder = &self.powder + &percent;
        } else if ingredient.has_role(Role::Solvent) && material.phase == Some(MaterialPhase::Water) {
            self.polar.add(ingredient, &rest - &water);
        }
    }

    /// Water and what goes with it, ethanol left out.
    pub fn watery(&self) -> Exact {
        &self.water.percent + &self.polar.percent
    }
}

/// Whether it is there to join oil and water.
pub fn joins(ingredient: &Ingredient<'_>) -> bool {
    const ROLES: [Role; 3] = [Role::Emulsifier, Role::Solubiliser, Role::Surfactant];
    const DOINGS: [Doing; 4] = [Doing::Emulsifies, Doing::EmulsifiesWaterInOil, Doing::Solubilises, Doing::Cleanses];
    ROLES.into_iter().any(|role| ingredient.has_role(role))
        || DOINGS.into_iter().any(|doing| ingredient.material.does.contains(&doing))
}

/// Whether it is a powder or a grain that lies in the rest.
pub fn is_grain(ingredient: &Ingredient<'_>) -> bool {
    const GRAINS: [Role; 5] = [Role::Abrasive, Role::Powder, Role::Filler, Role::Colourant, Role::Opacifier];
    ingredient.material.phase == Some(MaterialPhase::Powder) || GRAINS.into_iter().any(|role| ingredient.has_role(role))
}

fn ethanol_in(resolver: &Resolver<'_>, material: &Material) -> Exact {
    let spirit = material
        .contains
        .iter()
        .filter(|part| resolver.substance(part.substance).is_some_and(|substance| substance.is_ethanol()));
    spirit.map(|part| part.strength.low.clone()).sum()
}

/// The water in a material that is there to wet something, in percent of it.
pub fn free_water_in(resolver: &Resolver<'_>, material: &Material) -> Exact {
    if is_hydrate(resolver, material) {
        return Exact::ZERO;
    }
    let water = material.contains.iter().filter_map(|part| {
        let of = resolver.substance(part.substance)?.physical_water();
        Some(&part.strength.low.hundredth() * &of)
    });
    water.sum()
}

/// Whether the water in a material is the crystal water of its one salt: so many moles of it, whole or halves, to one
/// of the salt.
fn is_hydrate(resolver: &Resolver<'_>, material: &Material) -> bool {
    let [one, other] = material.contains.as_slice() else { return false };
    let is_water = |part: &crate::model::Component| {
        resolver.substance(part.substance).is_some_and(|substance| substance.is_water())
    };
    let (salt, water) = if is_water(other) { (one, other) } else { (other, one) };
    if !is_water(water) || is_water(salt) || !salt.strength.is_point() || material.density.is_some() {
        return false;
    }
    let moles = |part: &crate::model::Component| {
        let mass = resolver.substance(part.substance)?.molar_mass.clone()?;
        part.strength.middle().over(&mass)
    };
    let Some(ratio) = moles(water).zip(moles(salt)).and_then(|(water, salt)| water.over(&salt)) else { return false };
    // Strengths have four figures, so that a whole number is met to within some thousandths of itself.
    (1..=2 * MOST_CRYSTAL_WATER).map(|halves| Exact::ratio(halves, 2)).any(|whole| {
        let off = (&ratio - &whole).abs();
        &off * &Exact::whole(400) <= whole
    })
}
