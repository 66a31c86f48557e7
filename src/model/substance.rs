//! A declared chemical entity: what laws and ingredient declarations speak of.

use super::DeclId;
use crate::diagnostic::Place;
use crate::quantity::{Exact, Interval};
use crate::syntax::vocabulary::{Charge, Mark};
use smol_str::SmolStr;

/// A substance.
#[derive(Clone, Debug)]
pub struct Substance {
    /// Which declaration.
    pub id: DeclId,
    /// Its name.
    pub name: SmolStr,
    /// Where the name stands.
    pub place: Place,
    /// Its INCI name.
    pub inci: Option<SmolStr>,
    /// Its name in the United States, where it differs.
    pub us_name: Option<SmolStr>,
    /// Its colour index.
    pub colour_index: Option<SmolStr>,
    /// Its CAS number.
    pub cas: Option<SmolStr>,
    /// Its molar mass, in g/mol.
    pub molar_mass: Option<Exact>,
    /// What it does in water.
    pub acid_base: Option<AcidBase>,
    /// What it is a salt of.
    pub salt: Option<Salt>,
    /// The metals that it holds.
    pub binds: Vec<Binds>,
    /// Of a metal ion: the negative logarithm of the solubility product of its hydroxide.
    pub hydroxide: Option<Interval>,
    /// Of a metal ion: the acids it falls out with, and the negative logarithms of their solubility products.
    pub falls_out_with: Vec<(DeclId, Interval)>,
    /// Of a solvent: how far it moves the pKa of acids and bases, from the least share of it to the most.
    pub moves: Vec<MovesPka>,
    /// What it turns into in water.
    pub hydrolyses_to: Option<DeclId>,
    /// How much of it is water, in percent.
    pub water: Option<Exact>,
    /// How much of it a solvent takes, in percent of the solvent's weight.
    pub dissolves: Vec<(SmolStr, Exact, Place)>,
    /// How much of it preserves, where it is an acid that does so by its free form.
    pub preserves: Option<Preserves>,
    /// Whether metals spoil it, so that it wants a chelator beside it.
    pub spoils_with_metals: bool,
    /// Whether it is food for microbes.
    pub feeds_microbes: bool,
    /// The most of it that skin in sunlight bears in a leave-on product, in percent, and where that stands.
    pub phototoxic: Option<(Exact, Place)>,
    /// Its marks for the label.
    pub marks: Vec<Mark>,
    /// Its charge.
    pub charge: Option<Charge>,
    /// Who says so.
    pub source: Option<SmolStr>,
}

impl Substance {
    /// Whether it is water itself: by its name, its INCI name or its CAS number.
    #[must_use]
    pub fn is_water(&self) -> bool {
        self.name == "water"
            || self.cas.as_deref() == Some("7732-18-5")
            || self
                .inci
                .as_deref()
                .is_some_and(|inci| inci.eq_ignore_ascii_case("aqua") || inci.eq_ignore_ascii_case("water"))
    }

    /// Whether it is ethanol: by its name, its INCI name (denatured too) or its CAS number.
    #[must_use]
    pub fn is_ethanol(&self) -> bool {
        self.cas.as_deref() == Some("64-17-5")
            || ["alcohol", "ethanol"].contains(&self.name.as_str())
            || self.inci.as_deref().is_some_and(|inci| {
                ["alcohol", "ethanol", "alcohol denat."].iter().any(|name| inci.eq_ignore_ascii_case(name))
            })
    }

    /// How much of it is free water in the bottle, in percent: what a juice, a hydrosol or the water of a crystal says, and all
    /// of other water.
    #[must_use]
    pub fn physical_water(&self) -> Exact {
        let unsaid = || if self.is_water() { Exact::HUNDRED } else { Exact::ZERO };
        self.water.clone().unwrap_or_else(unsaid)
    }

    /// Whether a CAS number, or else an INCI name, is this substance's.
    #[must_use]
    pub fn is_known_as(&self, cas: &str, inci: &str) -> bool {
        match &self.cas {
            Some(own) => own == cas,
            None => self.inci.as_deref().is_some_and(|own| own.eq_ignore_ascii_case(inci)),
        }
    }
}

/// How much of an acid has to be free to preserve.
#[derive(Clone, Debug)]
pub struct Preserves {
    /// The least free acid, in percent of the batch.
    pub least: Exact,
    /// Who says so.
    pub source: Option<SmolStr>,
    /// Where it stands.
    pub place: Place,
}

/// What a substance does in water.
#[derive(Clone, Debug)]
pub enum AcidBase {
    /// Gives protons away, at these pKa.
    Acid(Vec<Exact>),
    /// Takes a proton up; the pKa of its conjugate acid.
    Base(Vec<Exact>),
    /// Does both; the pKa, and the charge of the fully protonated form.
    Ampholyte(Vec<Exact>, Exact),
    /// Gives all its protons away.
    StrongAcid,
    /// Takes up all it can.
    StrongBase,
    /// A bare ion of this charge.
    Ion(Exact),
    /// A polymer with acid groups.
    Groups(Box<AcidGroups>),
    /// A solid base: the oxide (true) or hydroxide of a metal.
    SolidBase(DeclId, bool),
    /// Takes no part.
    Neutral,
}

/// The acid groups of a polymer. Each that has come apart holds the others back, so that the pKa rises from the first
/// group to the last.
#[derive(Clone, Debug)]
pub struct AcidGroups {
    /// How many there are, in mol/kg of the polymer as it is.
    pub capacity: Interval,
    /// The pKa of the first and of the last.
    pub pka: Interval,
    /// How many ions each of them has beside it, and which; none where all of them are acid.
    pub with: Option<(Exact, DeclId)>,
}

/// A metal that an acid holds.
#[derive(Clone, Debug)]
pub struct Binds {
    /// The metal.
    pub metal: DeclId,
    /// The stability constants of the form without protons, of that with one, and so on.
    pub log_k: Vec<Exact>,
}

/// How far a solvent moves the pKa of what is dissolved.
#[derive(Clone, Debug)]
pub struct MovesPka {
    /// At which share of it in it and water, in percent.
    pub share: Exact,
    /// The pKa of acids.
    pub acids: Interval,
    /// That of bases.
    pub bases: Interval,
}

/// What a salt is made of.
#[derive(Clone, Debug)]
pub struct Salt {
    /// The acid or base.
    pub of: DeclId,
    /// How many counter-ions one of it has.
    pub count: Exact,
    /// The counter-ion.
    pub with: DeclId,
}
