//! A titration: the pH over the dose of an adjuster.

use super::doses::Direction;
use super::solution::{Adjuster, Solution};
use super::titrated::Titrated;
use super::uncertainty;
use crate::chemistry::{Activity, Equilibrium, equilibrium};

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

/// The same, with more points where it is steep: for a drawing, in which a straight piece would show as a corner.
#[must_use]
pub fn curve_for_eyes(adjuster: &Adjuster, to: f64, points: u32, model: Activity) -> Curve {
    /// The most that the pH may change from one point to the next.
    const STEP: f64 = 0.1;
    /// How many points are put between two at the most.
    const BETWEEN: f64 = 12.0;
    let plain = curve(adjuster, to, points, model).points;
    let mut all = Vec::with_capacity(plain.len());
    for pair in plain.windows(2) {
        let [(from, start), (till, end)] = pair else { continue };
        all.push((*from, *start));
        let pieces = ((end - start).abs() / STEP).ceil().clamp(1.0, BETWEEN);
        let mut share = 1.0;
        while share < pieces {
            let dose = from + (till - from) * share / pieces;
            all.extend(equilibrium(&adjuster.at(dose), model).map(|found| (dose, found.ph)));
            share += 1.0;
        }
    }
    all.extend(plain.last().copied());
    Curve { points: all }
}

/// Where a curve may really run: between two lines of doses and pH.
#[derive(Clone, Debug, Default)]
pub struct Band {
    /// One edge, in the order of the curve.
    pub one: Vec<(f64, f64)>,
    /// The other.
    pub other: Vec<(f64, f64)>,
}

/// How far a curve may be off: at each dose by what the pH there may be off, `common` being what holds of any state; with
/// a beaker test at each pH by what the dose may be off.
#[must_use]
pub fn band(solution: &Solution, direction: &Direction<'_>, curve: &Curve, common: f64) -> Band {
    let mut band = Band::default();
    for (dose, ph) in &curve.points {
        if direction.adjuster.titrated.is_some() {
            let range = direction.titrated_range(*ph, solution.could_be_missing());
            let Some((low, high)) = range.and_then(|range| range.low.zip(range.high)) else { continue };
            band.one.push((low, *ph));
            band.other.push((high, *ph));
        } else {
            let mixture = direction.adjuster.at(*dose);
            let give = uncertainty::of(solution, &mixture, *ph, direction.model, common).all();
            band.one.push((*dose, ph + give));
            band.other.push((*dose, ph - give));
        }
    }
    band
}

/// The curve of an adjuster with which a beaker test was made: through its readings, from the first of them. What lies
/// before that nobody has read.
#[must_use]
pub fn curve_read(adjuster: &Adjuster, titrated: &Titrated, before: &Equilibrium, to: f64, points: u32) -> Curve {
    let direction = Direction::of(adjuster, before, super::MODEL);
    let mut all: Vec<(f64, f64)> = titrated.readings().collect();
    let (Some(first), true) = (all.first().map(|(_, ph)| *ph), direction.sign != 0.0) else {
        return Curve { points: all };
    };
    let to = to.min(adjuster.blend.most);
    let end = far_end(&direction, first, to);
    // Over the pH and not over the dose: a dose to a pH is one step, and a steep curve keeps its points.
    for number in 1..points {
        let ph = first + (end - first) * f64::from(number) / f64::from(points.max(1));
        all.extend(direction.to(ph).filter(|_| !titrated.reads(ph)).map(|dose| (dose, ph)));
    }
    all.retain(|(dose, _)| *dose <= to);
    all.sort_by(|one, two| one.0.total_cmp(&two.0).then(((one.1 - two.1) * direction.sign).total_cmp(&0.0)));
    Curve { points: all }
}

/// About where a dose leads to, from a pH on.
fn far_end(direction: &Direction<'_>, first: f64, dose: f64) -> f64 {
    const STEP: f64 = 0.2;
    let further = |ph: &f64| Some(ph + STEP * direction.sign.signum()).filter(|ph| (0.0..=14.0).contains(ph));
    let mut over = std::iter::successors(Some(first), further).skip(1);
    let beyond = |ph: &f64| direction.to(*ph).is_none_or(|needed| needed > dose);
    over.find(beyond).unwrap_or(first + 2.0 * direction.sign.signum())
}
