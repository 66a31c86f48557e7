//! Where the model of the pH leaves its ground.

use super::solution::Solution;
use crate::chemistry::{Activity, Equilibrium, Mixture, species};
use crate::resolve::{Resolver, substance_of};

/// The ionic strength from which it counts as high, in mol/kg.
const STRONG_FROM: f64 = 0.5;
/// Percent of glycols and alcohols in the batch above which acids are no longer what they are in water.
const SOLVENT_FROM: f64 = 10.0;

/// Why there is no forecast at all where carbonate meets acid.
pub const GAS: &str = "Carbonate meets acid here and gas leaves, so that no pH can be foreseen.";

/// What bears on how far a state is to be trusted.
#[derive(Clone, Debug, Default)]
pub struct Validity {
    /// Its ionic strength, in mol/kg of water.
    pub ionic_strength: f64,
    /// Glycols and alcohols, in percent of the batch.
    pub solvents: f64,
    /// Acids and bases of which more is uncharged than water takes.
    pub undissolved: Vec<Undissolved>,
}

/// An acid or base of which more is uncharged than water takes, both in percent of the water's weight.
#[derive(Clone, Debug)]
pub struct Undissolved {
    /// The substance.
    pub substance: String,
    /// How much of it is uncharged.
    pub uncharged: f64,
    /// How much of it water takes.
    pub limit: f64,
}

impl Validity {
    /// The ground of a state of a formula.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, solution: &Solution, mixture: &Mixture, found: &Equilibrium) -> Validity {
        Validity {
            ionic_strength: found.ionic_strength,
            solvents: solution.all.solvents,
            undissolved: undissolved(resolver, mixture, found),
        }
    }

    /// Why a forecast is less sure here, in words; empty where it is as sure as the model ever is.
    #[must_use]
    pub fn reasons(&self) -> Vec<String> {
        let mut reasons = Vec::new();
        if self.is_strong() {
            reasons.push(format!("the ionic strength is {:.2} mol/kg, over 0.5", self.ionic_strength));
        }
        if self.is_solvent() {
            reasons.push(format!("glycols and alcohols are {:.0} % of the batch, over 10 %", self.solvents));
        }
        for of in &self.undissolved {
            reasons.push(format!(
                "of `{}` {:.2} % would be uncharged in the water, which takes {} %",
                of.substance, of.uncharged, of.limit
            ));
        }
        reasons
    }

    /// Whether the ionic strength is over what the Davies equation is good for.
    #[must_use]
    pub fn is_strong(&self) -> bool {
        self.ionic_strength > STRONG_FROM
    }

    /// Whether there is so much of glycols or alcohols that constants in water do not hold.
    #[must_use]
    pub fn is_solvent(&self) -> bool {
        self.solvents > SOLVENT_FROM
    }
}

fn undissolved(resolver: &Resolver<'_>, mixture: &Mixture, found: &Equilibrium) -> Vec<Undissolved> {
    let limits: Vec<Option<Undissolved>> =
        mixture.families.iter().map(|family| limit_of(resolver, family.id)).collect();
    if limits.iter().all(Option::is_none) {
        return Vec::new();
    }
    let states = species(mixture, found, Activity::Davies);
    let mut over = Vec::new();
    for (limit, states) in limits.into_iter().zip(states) {
        let Some(mut limit) = limit else { continue };
        let uncharged: f64 = states.iter().filter(|(charge, _)| *charge == 0.0).map(|(_, molality)| molality).sum();
        // `uncharged` came with the molar mass: grams per mol become percent of the water's weight.
        limit.uncharged *= uncharged / 10.0;
        if limit.uncharged > limit.limit {
            over.push(limit);
        }
    }
    over
}

/// How much water takes of a family's substance, with its molar mass where the uncharged part is to stand.
fn limit_of(resolver: &Resolver<'_>, family: u64) -> Option<Undissolved> {
    let substance = resolver.substance(substance_of(family))?;
    let (_, limit, _) = substance.dissolves.iter().find(|(solvent, ..)| solvent == "water")?;
    let mass = substance.molar_mass.as_ref()?.to_f64();
    Some(Undissolved { substance: substance.name.to_string(), uncharged: mass, limit: limit.to_f64() })
}
