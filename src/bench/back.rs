//! The way back from past the far edge: some of the formula's own acid, out of what is held back.

use super::beaker::{adjuster_per_gram, contents, in_water};
use super::ledger::Ledger;
use super::setting::Setting;
use crate::chemistry::{Activity, Blend, equilibrium};
use crate::model::{Batch, LineAmount};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use smol_str::SmolStr;

/// A line of the formula that leads back into the window, and how much of it.
#[derive(Clone, Debug)]
pub struct WayBack {
    /// The material.
    pub material: SmolStr,
    /// How much, in grams, to the step of its scale.
    pub grams: Exact,
    /// Whether that is more than is left of what was held back.
    pub over_reserve: bool,
}

/// The dose of a line of the formula's own that brings the last reading back to the middle of the window, or to the edge
/// that it went past where there is no middle. What weights and chemistry say of the pH now is set right by the reading,
/// so that only the way from there is foreseen. None where nothing in the formula leads back.
#[must_use]
pub fn way_back(
    resolver: &Resolver<'_>,
    setting: &Setting<'_>,
    batch: &Batch,
    ledger: &Ledger,
    reading: f64,
) -> Option<WayBack> {
    const MODEL: Activity = Activity::Davies;
    let window = setting.formula.window.as_ref()?;
    let edges = (window.low.as_ref().map(Exact::to_f64), window.high.as_ref().map(Exact::to_f64));
    let aim = match edges {
        (Some(low), Some(high)) => f64::midpoint(low, high),
        (Some(edge), None) | (None, Some(edge)) => edge,
        (None, None) => return None,
    };
    let now = contents(resolver, setting, batch, batch.events.len());
    let start = now.without_adjuster.plus(&adjuster_per_gram(resolver, setting, batch)?, now.adjuster_grams);
    let found = equilibrium(&start, MODEL)?;
    let lines = setting.formula.lines.iter().filter(|line| line.amount != LineAmount::AtBench);
    let mut best: Option<WayBack> = None;
    for line in lines {
        let Some(of) = in_water(setting.resolver(resolver), batch, &line.name) else { continue };
        let blend = Blend { start: start.clone(), per_unit: of.mixture.clone(), most: ledger.batch.to_f64() / 10.0 };
        if blend.leads(&found, MODEL) * (aim - reading) <= 0.0 {
            continue;
        }
        let Some(dose) = blend.dose(found.ph + aim - reading, MODEL).filter(|dose| *dose > 0.0) else { continue };
        let step = ledger.lines.iter().find(|known| known.name == line.name).map(|known| known.step.clone());
        let grams = Exact::ratio((dose * 1e6).round() as i64, 1_000_000).to_step(&step?);
        let over_reserve = grams > ledger.left();
        // What takes least disturbs the batch least.
        if best.as_ref().is_none_or(|best| grams < best.grams) {
            best = Some(WayBack { material: line.name.clone(), grams, over_reserve });
        }
    }
    best.filter(|best| best.grams.is_positive())
}
