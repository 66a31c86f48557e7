//! Where the model of the pH leaves its ground.

use super::solution::Solution;
use super::solvent::SOLVENT_FROM;
use crate::chemistry::{self, AcidFamily, Activity, Equilibrium, Mixture};
use crate::model::AcidBase;
use crate::resolve::{Resolver, substance_of};

/// The ionic strength from which it counts as high, in mol/kg.
const STRONG_FROM: f64 = 0.5;

/// Why there is no forecast at all where carbonate meets acid.
pub const GAS: &str = "Carbonate meets acid here and gas leaves, so that no pH can be foreseen.";

/// What bears on how far a state is to be trusted.
#[derive(Clone, Debug, Default)]
pub struct Validity {
    /// Its ionic strength, in mol/kg of water.
    pub ionic_strength: f64,
    /// Glycols and alcohols, in percent of the batch.
    pub solvents: f64,
    /// How far they may move a pKa from where it is taken to be.
    pub solvents_off: f64,
    /// How far the solubility product of a hydroxide that lies there may move the pH.
    pub hydroxides_off: f64,
    /// Whether metals hold so much of an acid that what is not sure of that shows.
    pub holds_metals: bool,
    /// Acids and bases of which more is uncharged than dissolves.
    pub undissolved: Vec<Undissolved>,
}

/// An acid or base that is not wholly dissolved.
#[derive(Clone, Debug)]
pub struct Undissolved {
    /// The substance.
    pub substance: String,
    /// How much of it lies undissolved, in percent of the batch.
    pub percent: f64,
    /// Whether it is a metal, and what lies there an oxide, a hydroxide or a salt of it.
    pub is_metal: bool,
    /// How much of it water takes, in percent of the water's weight.
    pub limit: f64,
}

impl Validity {
    /// The ground of a state of a formula.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, solution: &Solution, mixture: &Mixture, found: &Equilibrium) -> Validity {
        Validity {
            ionic_strength: found.ionic_strength,
            solvents: solution.all.solvents,
            solvents_off: solution.solvents.off,
            hydroxides_off: hydroxides_off(resolver, mixture, found),
            holds_metals: holds_metals(mixture, found),
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
            let percent = of.percent;
            let digits = if percent < 0.1 { 3 } else { 2 };
            let bound = if of.is_metal { " bound in what" } else { " that" };
            reasons.push(format!("{percent:.digits$} % of the batch is `{}`{bound} does not dissolve", of.substance));
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

/// What is less than this share of all of a substance is as good as dissolved: no figure of how much dissolves is surer.
const HARDLY: f64 = 0.1;

fn undissolved(resolver: &Resolver<'_>, mixture: &Mixture, found: &Equilibrium) -> Vec<Undissolved> {
    let may = |of: &AcidFamily| of.constants.saturation().is_some() || of.constants.hydroxide().is_some();
    if !mixture.families.iter().any(may) {
        return Vec::new();
    }
    let left = chemistry::undissolved(mixture, found, Activity::Davies);
    let families = mixture.families.iter().zip(left).filter(|(family, left)| *left > HARDLY * family.moles);
    let told = families.filter_map(|(family, left)| {
        let substance = resolver.substance(substance_of(family.id))?;
        // The beaker is 100 g, so that grams are percent.
        let percent = left * substance.molar_mass.as_ref()?.to_f64();
        let limit = substance.dissolves.iter().find(|(solvent, ..)| solvent == "water");
        let limit = limit.map_or(0.0, |(_, limit, _)| limit.to_f64());
        let is_metal = matches!(substance.acid_base, Some(AcidBase::Ion(_)));
        Some(Undissolved { substance: substance.name.to_string(), percent, is_metal, limit })
    });
    told.collect()
}

/// The share of an acid held by metals from which it shows what is not sure of that.
const HELD: f64 = 0.05;

fn holds_metals(mixture: &Mixture, found: &Equilibrium) -> bool {
    if mixture.families.iter().all(|family| family.constants.binds().is_empty()) {
        return false;
    }
    let held = chemistry::complexes(mixture, found, Activity::Davies);
    let of = |number: usize| held.iter().filter(move |of| of.holder == number).map(|of| of.molality).sum::<f64>();
    let mut families = mixture.families.iter().enumerate();
    families.any(|(number, family)| of(number) * found.water_kg > HELD * family.moles)
}

/// How far the pH may be off where a hydroxide lies undissolved of which the solubility product is a range. At that pH one
/// more of it means as much more of the metal as hydroxides to the power of its charge.
fn hydroxides_off(resolver: &Resolver<'_>, mixture: &Mixture, found: &Equilibrium) -> f64 {
    if !mixture.families.iter().any(|family| family.constants.hydroxide().is_some()) {
        return 0.0;
    }
    let left = chemistry::undissolved(mixture, found, Activity::Davies);
    let lies = mixture.families.iter().zip(left).filter(|(_, left)| *left > 0.0);
    let off = lies.filter_map(|(family, _)| {
        let pksp = resolver.hydroxide_of(&*resolver.substance(substance_of(family.id))?)?;
        Some((pksp.high.to_f64() - pksp.low.to_f64()) / 2.0 / family.constants.top_charge())
    });
    off.fold(0.0, f64::max)
}
