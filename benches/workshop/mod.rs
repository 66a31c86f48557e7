//! Workshops that are not as the advisor takes them to be: batches whose truth is drawn from another physics than the
//! program's, and a maker who does as she is told. For the benchmark and the tests.

#![allow(dead_code, reason = "the tests use less of it than the benchmark")]

pub mod chance;
pub mod maker;
pub mod meter;
pub mod physics;
pub mod recipes;

use chance::Chance;
use meter::Meter;
use physics::{Beaker, CARBONIC, Part};
use recipes::{Active, CITRIC, RECIPES, Recipe};
use std::sync::Arc;
use stillroom::chemistry::interaction::of_acid;
use stillroom::chemistry::{Activity, Blend, Constants, Mixture};

/// Mol in a gram of sodium hydroxide sold as 10 %, and of citric acid as 20 %.
const SODA_PER_GRAM: f64 = 0.1 / 39.997;
const CITRIC_PER_GRAM: f64 = 0.2 / 192.12;
/// Their water, in kg.
const SODA_WATER_KG: f64 = 0.0009;
const CITRIC_WATER_KG: f64 = 0.0008;
/// The scale's step, and the deviation of what it shows, in grams.
pub const STEP: f64 = 0.01;
/// Windows are so wide.
const WIDTH: f64 = 0.4;
/// More is held back than is needed by plan.
const RESERVE: f64 = 1.5;
/// The water in a gram of batch, in kg.
const WATER: f64 = 0.00075;
/// The family that citric acid is, in formula and adjuster.
const CITRIC_FAMILY: u64 = 9;

/// How good a workshop is: ranges from the least to the most, and deviations.
#[derive(Clone, Copy, Debug)]
pub struct Workshop {
    /// The name that is printed.
    pub name: &'static str,
    /// The deviation of the meter's offset.
    pub offset: f64,
    /// The meter's slope.
    pub slope: (f64, f64),
    /// The strength of the adjuster, as a share of what is written on it.
    pub base: (f64, f64),
    /// The assay of the actives.
    pub assay: (f64, f64),
    /// Something unlisted, mol per kg of batch at the most.
    pub unlisted: f64,
    /// The share of a base that has turned to carbonate, at the most.
    pub carbonate: f64,
}

/// A loose workshop.
pub const LOOSE: Workshop = Workshop {
    name: "loose",
    offset: 0.1,
    slope: (0.92, 1.02),
    base: (0.8, 1.1),
    assay: (0.95, 1.05),
    unlisted: 0.03,
    carbonate: 0.05,
};

/// A careful one.
pub const CAREFUL: Workshop = Workshop {
    name: "careful",
    offset: 0.05,
    slope: (0.97, 1.01),
    base: (0.97, 1.03),
    assay: (0.98, 1.02),
    unlisted: 0.0,
    carbonate: 0.01,
};

/// A fault planted into a batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Planted {
    None,
    MeterHigh,
    MeterLow,
    BaseHalf,
    BaseStrong,
    AcidTwoThirds,
    AcidStrong,
    Unlisted,
    Slip,
}

/// A batch, and what is true of it.
#[derive(Clone, Debug)]
pub struct Batch {
    /// The formula.
    pub recipe: &'static Recipe,
    /// As it is written, without adjuster.
    pub plan: Mixture,
    /// A gram of adjuster as it is written.
    pub base: Mixture,
    /// As it is: the beaker without adjuster, and what a gram of that brings.
    beaker: Beaker,
    true_base: TrueBase,
    /// The meter.
    pub meter: Meter,
    /// The window.
    pub window: (f64, f64),
    /// What is held back of the adjuster, in grams.
    pub reserve: f64,
    /// The weight of the batch, in grams.
    pub grams: f64,
    /// The number of the reading that is written down wrong.
    pub slip: Option<usize>,
}

/// What a gram of adjuster brings in truth, in mol.
#[derive(Clone, Copy, Debug)]
struct TrueBase {
    sodium: f64,
    carbonic: f64,
    citric: f64,
    water_kg: f64,
}

impl Batch {
    /// Batch `number` of a workshop.
    pub fn draw(workshop: &Workshop, number: u64, planted: Planted) -> (Batch, Chance) {
        let mut chance = Chance::new(number);
        let recipe = &RECIPES[chance.below(RECIPES.len() as u64) as usize];
        let grams = chance.between(50.0, 300.0);
        // What is true of it.
        let mut assay = chance.between(workshop.assay.0, workshop.assay.1);
        let mut strength = chance.between(workshop.base.0, workshop.base.1);
        let mut meter = Meter::draw(workshop, &mut chance);
        let mut unlisted = chance.between(0.0, workshop.unlisted);
        let fault = chance.between(0.0, 1.0);
        match planted {
            Planted::None | Planted::Slip => {}
            Planted::MeterHigh => meter.offset += 0.5 + 0.5 * fault,
            Planted::MeterLow => meter.offset -= 0.5 + 0.5 * fault,
            Planted::BaseHalf => strength *= 0.5,
            Planted::BaseStrong => strength *= 1.5 + 0.4 * fault,
            Planted::AcidTwoThirds => assay *= 2.0 / 3.0,
            Planted::AcidStrong => assay *= 1.3 + 0.2 * fault,
            Planted::Unlisted => unlisted = 0.05 + 0.03 * fault,
        }
        let slip = (planted == Planted::Slip).then(|| chance.below(3) as usize);

        let mut plan = Mixture::water(WATER * grams);
        let mut beaker = Beaker {
            kelvin: chance.between(291.0, 301.0),
            salting: chance.between(0.0, 0.1),
            water_kg: WATER * grams * chance.between(0.98, 1.0),
            sodium: 0.0,
            parts: Vec::new(),
        };
        for (at, (active, percent, sodium)) in recipe.lines.iter().enumerate() {
            let moles = grams * chance.between(percent.0, percent.1) / 100.0 / active.molar;
            plan.put(family(active), &constants(active), moles);
            plan.put_ion(1.0, sodium * moles);
            let truly = if at == 0 { moles * assay } else { moles };
            beaker.parts.push((Part::of(&active.truly), truly));
            beaker.sodium += sodium * truly;
        }
        beaker.parts.push((Part::acid(chance.between(3.0, 6.0)), unlisted * grams / 1000.0));
        beaker.parts.push((Part::of(&CARBONIC), 0.0));
        beaker.parts.push((Part::of(&CITRIC.truly), 0.0));
        let (base, true_base) = adjuster(recipe, strength, chance.between(0.0, workshop.carbonate));

        let middle = (chance.between(recipe.middle.0, recipe.middle.1) * 10.0).round() / 10.0;
        let blend = Blend { start: plan.clone(), per_unit: base.clone(), most: grams };
        let need = blend.dose(middle, Activity::Davies).unwrap();
        let batch = Batch {
            recipe,
            plan,
            base,
            beaker,
            true_base,
            meter,
            window: (middle - WIDTH / 2.0, middle + WIDTH / 2.0),
            reserve: RESERVE * need,
            grams,
            slip,
        };
        (batch, chance)
    }

    /// The true pH with so much adjuster in truth.
    pub fn truth(&self, grams: f64) -> f64 {
        let mut beaker = self.beaker.clone();
        beaker.water_kg += grams * self.true_base.water_kg;
        beaker.sodium += grams * self.true_base.sodium;
        let count = beaker.parts.len();
        beaker.parts[count - 2].1 = grams * self.true_base.carbonic;
        beaker.parts[count - 1].1 = grams * self.true_base.citric;
        beaker.ph()
    }

    /// Whether a pH lies in the window, before it, or past the edge that is met last.
    pub fn lies(&self, ph: f64) -> std::cmp::Ordering {
        let (low, high) = self.window;
        let seen = if ph < low {
            std::cmp::Ordering::Less
        } else if ph > high {
            std::cmp::Ordering::Greater
        } else {
            std::cmp::Ordering::Equal
        };
        if self.recipe.up { seen } else { seen.reverse() }
    }
}

fn family(active: &Active) -> u64 {
    if active.molar == CITRIC.molar { CITRIC_FAMILY } else { active.molar as u64 }
}

fn constants(active: &Active) -> Arc<Constants> {
    Arc::new(Constants::new(active.pka, active.truly.top_charge, of_acid(active.cas)))
}

/// A gram of adjuster as it is written, and as it is. What a base takes from the air does not cost it its alkali.
fn adjuster(recipe: &Recipe, strength: f64, carbonate: f64) -> (Mixture, TrueBase) {
    if recipe.up {
        let mut base = Mixture::water(SODA_WATER_KG);
        base.put_strong_base(SODA_PER_GRAM);
        let sodium = SODA_PER_GRAM * strength;
        let carbonic = sodium * carbonate / 2.0;
        (base, TrueBase { sodium, carbonic, citric: 0.0, water_kg: SODA_WATER_KG })
    } else {
        let mut acid = Mixture::water(CITRIC_WATER_KG);
        acid.put(CITRIC_FAMILY, &constants(&CITRIC), CITRIC_PER_GRAM);
        let citric = CITRIC_PER_GRAM * strength;
        (acid, TrueBase { sodium: 0.0, carbonic: 0.0, citric, water_kg: CITRIC_WATER_KG })
    }
}
