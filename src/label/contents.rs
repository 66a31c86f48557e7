//! The raw materials of a formula, through premixes, as far as a label asks after them.

use crate::model::{AcidBase, Formula, LineMaterial, Material, materials_of};
use crate::resolve::Resolver;
use crate::syntax::vocabulary::Role;
use std::sync::Arc;

/// What bears on a label of the raw materials in a formula.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Bearing {
    /// Whether an acid and a base stand in it, so that a salt forms.
    pub forms_salt: bool,
    /// Whether anything scents it.
    pub is_scented: bool,
    /// What scents it and is a whole that brings allergens by nature, as an essential oil.
    pub essential: Vec<String>,
    /// What comes as a mixture, so that what it was dissolved in or preserved with comes along.
    pub carried: Vec<String>,
    /// Whether anything colours it.
    pub is_coloured: bool,
}

impl Bearing {
    /// What bears on the label of a formula.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, formula: &Formula) -> Bearing {
        let materials = materials(formula);
        let (mut acid, mut base) = (false, false);
        let mut bearing = Bearing::default();
        for material in &materials {
            for part in material.contains.iter().filter(|part| part.strength.high.is_positive()) {
                let substance = resolver.substance(part.substance);
                match substance.as_ref().and_then(|substance| substance.acid_base.as_ref()) {
                    Some(AcidBase::Acid(_) | AcidBase::StrongAcid | AcidBase::Groups(_)) => acid = true,
                    Some(AcidBase::Base(_) | AcidBase::StrongBase) => base = true,
                    _ => {}
                }
            }
            bearing.see(resolver, material);
        }
        bearing.forms_salt = acid && base;
        bearing
    }

    fn see(&mut self, resolver: &Resolver<'_>, material: &Material) {
        let is = |role: Role| material.roles.contains(&role);
        self.is_scented |= is(Role::Fragrance) || !material.brings.is_empty();
        self.is_coloured |= is(Role::Colourant);
        if is(Role::Fragrance) && !material.brings.is_empty() && !is_compound(resolver, material) {
            self.essential.push(material.name.to_string());
        }
        let preserves = |part: &crate::model::Component| {
            resolver.substance(part.substance).is_some_and(|substance| substance.preserves.is_some())
        };
        let comes_preserved =
            !is(Role::Preservative) && !is(Role::PhAdjuster) && material.contains.iter().any(preserves);
        if material.contains.len() > 1 && (is(Role::Fragrance) || comes_preserved) {
            self.carried.push(material.name.to_string());
        }
    }
}

/// Whether a scent is a compound: of several parts, or of one that is called a perfume.
fn is_compound(resolver: &Resolver<'_>, material: &Material) -> bool {
    let perfume =
        |name: &str| ["parfum", "fragrance", "aroma", "perfume"].contains(&name.trim().to_lowercase().as_str());
    let inci = |id| resolver.substance(id).and_then(|substance| substance.inci.clone());
    match material.contains.as_slice() {
        [one] => inci(one.substance).is_none_or(|inci| perfume(&inci)),
        _ => true,
    }
}

/// Every raw material of a formula once, in the order of its lines.
fn materials(formula: &Formula) -> Vec<Arc<Material>> {
    let mut found: Vec<Arc<Material>> = Vec::new();
    let mut put = |material: Arc<Material>| {
        if !found.iter().any(|known| known.id == material.id) {
            found.push(material);
        }
    };
    for line in &formula.lines {
        match &line.material {
            Some(LineMaterial::Material(material)) => put(Arc::clone(material)),
            Some(LineMaterial::Premix(premix)) => {
                materials_of(premix).into_iter().for_each(|(material, _)| put(material));
            }
            None => {}
        }
    }
    found
}
