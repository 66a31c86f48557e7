//! A scale, a batch or a density that will not do.

use super::amounts::scale_step;
use super::edit::{Slip, put};
use super::view::View;
use stillroom::quantity::{Exact, Unit};
use stillroom::sheet::PlanLine;
use stillroom::syntax::tree::HeaderField;

/// The line that weighs least, and its percentage; none where one is too light for its scale as it is.
fn lightest<'v>(view: &View<'v>) -> Option<(&'v PlanLine, &'v Exact)> {
    let lines = view.formula.lines.iter().zip(&view.plan?.lines);
    let weighed = lines.filter_map(|(line, weight)| {
        Some((weight, line.percent.as_ref()?)).filter(|(weight, _)| weight.exact.is_some())
    });
    let (weight, percent) = weighed.min_by(|(a, _), (b, _)| a.exact.cmp(&b.exact))?;
    let steps = weight.exact.as_ref()?.over(&weight.step)?;
    (steps >= Exact::whole(20)).then_some((weight, percent))
}

/// A scale that reads ten, a hundred or a thousand times coarser: the least of those that leaves the lightest line
/// under twenty steps.
pub fn scale_too_coarse(view: &View<'_>) -> Vec<Slip> {
    let coarser = || {
        let step = scale_step(view)?;
        let (weight, _) = lightest(view)?;
        let too_coarse = |factor: &i64| {
            let coarse = step.value.as_ref().map(|value| value * &Exact::whole(*factor));
            coarse.zip(weight.exact.as_ref()).is_some_and(|(coarse, exact)| *exact < &coarse * &Exact::whole(20))
        };
        let factor = [10, 100, 1000].into_iter().find(too_coarse)?;
        super::amounts::scaled(step, &Exact::whole(factor))
    };
    coarser().into_iter().collect()
}

/// A batch so small that the lightest line comes to less than half a step.
pub fn batch_too_small(view: &View<'_>) -> Vec<Slip> {
    let smaller = || {
        let (weight, percent) = lightest(view)?;
        let (makes, _) = view.header(|field| match field {
            HeaderField::Makes(makes) => Some(makes.span),
            _ => None,
        })?;
        let batch = (&weight.step * &Exact::whole(40)).over(percent)?;
        Some(vec![put(makes, format!("makes {} g", batch.to_significant(3)))])
    };
    smaller().into_iter().collect()
}

/// The density gone from a formula that is filled by volume.
pub fn density_lost(view: &View<'_>) -> Vec<Slip> {
    let by_volume = view.header(|field| match field {
        HeaderField::Makes(makes) => {
            matches!(makes.quantity.unit, Unit::Millilitre | Unit::Litre | Unit::FluidOunce).then_some(())
        }
        _ => None,
    });
    let density = view.header(|field| matches!(field, HeaderField::Density(_)).then_some(()));
    let lost = by_volume.and(density).filter(|_| !view.is_variant);
    lost.map(|(_, line)| vec![view.without(line)]).into_iter().collect()
}
