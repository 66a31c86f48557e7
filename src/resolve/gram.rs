//! A gram of something as the water it is put into sees it.

use crate::chemistry::Mixture;
use crate::quantity::Exact;

/// What a gram of something brings to water.
#[derive(Clone, Debug, Default)]
pub struct InWater {
    /// What of it the pH model knows.
    pub mixture: Mixture,
    /// How much of it the model knows nothing of, in percent of it.
    pub unknown: Exact,
    /// How much acid or base that could be, in mol.
    pub could_be: f64,
    /// What is not sure of it, since a strength is a range.
    pub unsure: Vec<Unsure>,
    /// What it becomes in some days beyond what it is at first: lactones turn to their acid.
    pub later: Option<Mixture>,
    /// Carbonate in it, in mol.
    pub carbonate: f64,
    /// Acid in it that would drive the gas out of carbonate, in mol.
    pub drives_gas_out: f64,
    /// Glycols and alcohols in it, in grams.
    pub solvents: f64,
    /// Urea in it, in grams.
    pub urea: f64,
    /// Acid supplied so strong that it has esterified with itself, in grams.
    pub esters: f64,
}

/// A component whose strength is a range: what a gram brings more or less than at the middle.
#[derive(Clone, Debug)]
pub struct Unsure {
    /// At the least of the range, less the middle.
    pub low: Mixture,
    /// At the most of it, less the middle.
    pub high: Mixture,
}

impl InWater {
    /// Adds so many grams of something to this.
    pub fn add(&mut self, other: &InWater, grams: f64) {
        self.mixture = self.mixture.plus(&other.mixture, grams);
        let scaled = |mixture: &Mixture| Mixture::default().plus(mixture, grams);
        let unsure = other.unsure.iter();
        self.unsure.extend(unsure.map(|of| Unsure { low: scaled(&of.low), high: scaled(&of.high) }));
        if let Some(later) = &other.later {
            self.later = Some(self.later.take().unwrap_or_default().plus(later, grams));
        }
        self.could_be += grams * other.could_be;
        self.carbonate += grams * other.carbonate;
        self.drives_gas_out += grams * other.drives_gas_out;
        self.solvents += grams * other.solvents;
        self.urea += grams * other.urea;
        self.esters += grams * other.esters;
    }
}
