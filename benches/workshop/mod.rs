//! Workshops that are not as the advisor takes them to be: batches whose truth is drawn from another physics than the
//! advisor's, and a maker who does as she is told. For the benchmark and the tests.

#![allow(dead_code, reason = "the tests use less of it than the benchmark")]

pub mod chance;
pub mod maker;

use chance::Chance;
use std::sync::Arc;
use stillroom::chemistry::interaction::of_acid;
use stillroom::chemistry::{Activity, Blend, Constants, Mixture, brought_to, equilibrium};

/// Mol of base in a gram of a solution of sodium hydroxide sold as 10 %.
const BASE_PER_GRAM: f64 = 0.1 / 39.997;
const BASE_WATER_KG: f64 = 0.0009;
/// The scale's step, and the deviation of what it shows, in grams.
pub const STEP: f64 = 0.01;
/// Windows are so wide.
const WIDTH: f64 = 0.4;
/// More is held back than is needed by plan.
const RESERVE: f64 = 1.5;

/// Acids by their pKa, molar mass, CAS number where the better model knows it, and the range of percent.
type Acid = (&'static [f64], f64, &'static str, f64, f64);
const ACIDS: [Acid; 6] = [
    (&[3.86], 90.08, "", 2.0, 10.0),
    (&[3.83], 76.05, "", 2.0, 10.0),
    (&[3.41], 152.15, "", 1.0, 5.0),
    (&[3.128, 4.761, 6.396], 192.12, "77-92-9", 1.0, 5.0),
    (&[3.40, 5.13], 134.09, "", 1.0, 5.0),
    (&[3.53], 358.3, "", 3.0, 10.0),
];

/// How good a workshop is: ranges from the least to the most, and deviations.
#[derive(Clone, Copy, Debug)]
pub struct Workshop {
    /// The name that is printed.
    pub name: &'static str,
    /// The deviation of the meter's offset.
    pub offset: f64,
    /// The meter's slope.
    pub slope: (f64, f64),
    /// The strength of the base, as a share of what is written on it.
    pub base: (f64, f64),
    /// The assay of the acid.
    pub assay: (f64, f64),
    /// An unlisted buffer, mol per kg of batch at the most.
    pub buffer: f64,
    /// Whether the record tells that the meter was set by buffers.
    pub calibrated: bool,
}

/// A workshop like most.
pub const USUAL: Workshop = Workshop {
    name: "usual workshop",
    offset: 0.1,
    slope: (0.92, 1.02),
    base: (0.8, 1.1),
    assay: (0.95, 1.05),
    buffer: 0.03,
    calibrated: false,
};

/// A careful one.
pub const CAREFUL: Workshop = Workshop {
    name: "careful workshop",
    offset: 0.05,
    slope: (0.97, 1.01),
    base: (0.97, 1.02),
    assay: (0.98, 1.02),
    buffer: 0.01,
    calibrated: true,
};

/// A fault planted into a batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Planted {
    None,
    MeterHigh,
    MeterLow,
    BaseHalf,
    AcidTwoThirds,
}

/// A batch, and what is true of it.
#[derive(Clone, Debug)]
pub struct Batch {
    /// As it is written, without base.
    pub plan: Mixture,
    /// A gram of base as it is written.
    pub base: Mixture,
    /// As it is.
    true_plan: Mixture,
    true_base: Mixture,
    offset: f64,
    slope: f64,
    /// The window.
    pub window: (f64, f64),
    /// What is held back of the base, in grams.
    pub reserve: f64,
    /// The weight of the batch, in grams.
    pub grams: f64,
    /// Whether the record tells that the meter was set by buffers.
    pub calibrated: bool,
}

impl Batch {
    /// Batch `number` of a workshop.
    pub fn draw(workshop: &Workshop, number: u64, planted: Planted) -> (Batch, Chance) {
        let mut chance = Chance::new(number);
        let (pka, molar, cas, least, most) = ACIDS[chance.below(ACIDS.len() as u64) as usize];
        let grams = chance.between(50.0, 300.0);
        let moles = grams * chance.between(least, most) / 100.0 / molar;
        let constants = Arc::new(Constants::new(pka, 0.0, of_acid(cas)));
        let water = grams / 1000.0 * 0.75;
        let mut plan = Mixture::water(water);
        plan.put(1, &constants, moles);
        let mut base = Mixture::water(BASE_WATER_KG);
        base.put_strong_base(BASE_PER_GRAM);
        // Below the pKa a window is near where the batch stands anyway; far above it nothing buffers.
        let middle = (chance.between(3.5, 4.6) * 10.0).round() / 10.0;
        let need = brought_to(&plan, middle, Activity::Davies).unwrap().0 / BASE_PER_GRAM;

        let mut assay = chance.between(workshop.assay.0, workshop.assay.1);
        let mut strength = chance.between(workshop.base.0, workshop.base.1);
        let mut offset = workshop.offset * chance.normal();
        let slope = chance.between(workshop.slope.0, workshop.slope.1);
        let fault = chance.between(0.5, 1.0);
        match planted {
            Planted::None => {}
            Planted::MeterHigh => offset += fault,
            Planted::MeterLow => offset -= fault,
            Planted::BaseHalf => strength *= 0.5,
            Planted::AcidTwoThirds => assay *= 2.0 / 3.0,
        }
        let mut true_plan = Mixture::water(water);
        true_plan.put(1, &constants, moles * assay);
        let buffer = Arc::new(Constants::acid(&[chance.between(3.0, 6.0)]));
        true_plan.put(2, &buffer, chance.between(0.0, workshop.buffer) * grams / 1000.0);
        let mut true_base = Mixture::water(BASE_WATER_KG);
        true_base.put_strong_base(BASE_PER_GRAM * strength);
        let batch = Batch {
            plan,
            base,
            true_plan,
            true_base,
            offset,
            slope,
            window: (middle - WIDTH / 2.0, middle + WIDTH / 2.0),
            reserve: RESERVE * need,
            grams,
            calibrated: workshop.calibrated,
        };
        (batch, chance)
    }

    /// The true pH with so much base in truth, by the other physics.
    pub fn truth(&self, grams: f64) -> f64 {
        let blend = Blend { start: self.true_plan.clone(), per_unit: self.true_base.clone(), most: f64::MAX };
        equilibrium(&blend.at(grams), Activity::Best).unwrap().ph
    }

    /// What the meter shows of a pH.
    pub fn shows(&self, ph: f64, chance: &mut Chance) -> f64 {
        let shown = 7.0 + self.slope * (ph - 7.0) + self.offset + 0.05 * chance.normal();
        (shown * 100.0).round() / 100.0
    }
}
