//! What a material without acid-base data could bring of acid or base, reckoned from what it is.
//!
//! `docs/ph.md` has the same figures in a table.

use super::Resolver;
use crate::model::{Component, Material, Substance};
use crate::quantity::Exact;
use crate::syntax::vocabulary::{Charge, MaterialPhase, Role};

/// No acid has more groups in a kilogram: formic acid, of 46 g/mol, in mol.
const MOST: f64 = 22.0;
/// What has no charge brings what is left of its making: free acid, amine, catalyst (common practice, no source).
const TRACE: f64 = 0.02;
/// What nobody has said anything of (common practice, no source).
const UNSAID: f64 = 0.3;
/// The least molar mass, in g/mol, of what is no single molecule any more, so that its groups are not one a molecule.
const POLYMER: f64 = 2000.0;

impl Resolver<'_> {
    /// The acid or base that what is not known of a gram of a material could be, in mol. In oil it takes no part.
    pub(super) fn could_be(&self, material: &Material, unknown: &Exact) -> f64 {
        if material.phase == Some(MaterialPhase::Oil) {
            return 0.0;
        }
        let mut rest = unknown.to_f64();
        let mut moles = 0.0;
        for component in material.contains.iter().filter(|component| !component.undisclosed) {
            let Some((percent, substance)) = self.without_data(component) else { continue };
            let percent = percent.min(rest);
            moles += percent * of_substance(&substance, &material.roles);
            rest -= percent;
        }
        // What is left is not named at all, or without a figure.
        (moles + rest.max(0.0) * by_roles(&material.roles)) * 1e-5
    }

    /// How much of a material a component without acid-base data is, in percent.
    fn without_data(&self, component: &Component) -> Option<(f64, std::sync::Arc<Substance>)> {
        let unknown = &self.substance_in_water(component.substance).unknown;
        let substance = self.substance(component.substance).filter(|_| unknown.is_positive())?;
        Some((component.strength.middle().to_f64() * unknown.to_f64() / 100.0, substance))
    }
}

/// The mol of acid or base that a kilogram of a substance could be: by its charge, and by its molar mass where that is
/// known, else by what it is there for.
fn of_substance(substance: &Substance, roles: &[Role]) -> f64 {
    if substance.charge == Some(Charge::NonIonic) {
        return TRACE;
    }
    let by_roles = by_roles(roles);
    let charged = substance.charge.is_some();
    let mass = substance.molar_mass.as_ref().map(Exact::to_f64).filter(|mass| *mass > 0.0 && *mass < POLYMER);
    match mass {
        // What is hardly there for its charge is hardly an acid, whatever its mass.
        Some(mass) if charged || by_roles > UNSAID => (groups(roles) * 1000.0 / mass).min(MOST),
        _ => by_roles,
    }
}

/// How many groups a molecule has that could give or take a proton (common practice, no source).
fn groups(roles: &[Role]) -> f64 {
    if roles.contains(&Role::Chelator) { 4.0 } else { 1.0 }
}

/// The same by what it is there for alone: the most that any of its roles could mean (common practice, no source).
fn by_roles(roles: &[Role]) -> f64 {
    roles.iter().copied().map(by_role).reduce(f64::max).unwrap_or(UNSAID)
}

/// In mol per kg of what has no data.
fn by_role(role: Role) -> f64 {
    match role {
        // Small acids and bases: one group in some 100 g/mol, of a chelator four in 400.
        Role::PhAdjuster | Role::Exfoliant | Role::Chelator => 10.0,
        // Benzoic acid has 8 mol in a kg, and much that preserves is no acid at all.
        Role::Preservative => 5.0,
        // One group in some 350 g/mol.
        Role::Active | Role::Antioxidant | Role::UvFilter => 3.0,
        // Gums have 1.5 to 3 mol/kg of acid groups, soaps and amphoacetates about as many.
        Role::Thickener | Role::Surfactant | Role::FilmFormer => 2.0,
        // Proteins and amines about 1 mol/kg.
        Role::Conditioning => 1.0,
        // Soap in a self-emulsifying base.
        Role::Emulsifier => 0.3,
        // Clays hold 0.05 to 1 mol/kg of ions.
        Role::Powder | Role::Filler | Role::Abrasive => 0.2,
        Role::Colourant | Role::Humectant => 0.1,
        Role::Emollient | Role::Solubiliser | Role::Solvent | Role::Fragrance | Role::Opacifier => TRACE,
    }
}
