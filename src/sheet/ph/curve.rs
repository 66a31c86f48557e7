//! A titration: the pH over the dose of an adjuster.

use super::solution::Adjuster;
use crate::chemistry::{Activity, equilibrium};

/// The pH at each of a run of doses, in grams per 100 g of batch.
#[derive(Clone, Debug)]
pub struct Curve {
    /// Dose and pH.
    pub points: Vec<(f64, f64)>,
}

/// The curve of an adjuster from nothing to a dose, at so many points.
#[must_use]
pub fn curve(adjuster: &Adjuster, to: f64, points: u32, model: Activity) -> Curve {
    let to = to.min(adjuster.blend.most);
    let doses = (0..points).map(|number| to * f64::from(number) / f64::from(points.saturating_sub(1).max(1)));
    let found = doses.filter_map(|dose| Some((dose, equilibrium(&adjuster.at(dose), model)?.ph)));
    Curve { points: found.collect() }
}
