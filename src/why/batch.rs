//! The batch: containers, density, what is made over, whole steps of the scale.

use super::derivation::{Derivation, DerivationStep, WhyContext, at, grams, shown, so};
use crate::quantity::Exact;

/// The batch asked for and what the printed weights add to.
pub(super) fn batch(context: &WhyContext<'_, '_>) -> Vec<Derivation> {
    let mut steps = asked(context);
    let step = &context.plan.finest;
    let mut all = vec![Derivation {
        of: "the batch asked for".to_string(),
        result: grams(&context.plan.batch, step),
        unit: "g",
        steps: steps.clone(),
    }];
    let parts: Vec<String> =
        context.plan.lines.iter().filter_map(|line| Some(grams(line.printed.as_ref()?, &line.step))).collect();
    steps.push(so(format!(
        "the printed weights add to {} = {} g",
        parts.join(" + "),
        grams(&context.plan.total, step)
    )));
    all.push(Derivation {
        of: "the batch as weighed".to_string(),
        result: grams(&context.plan.total, step),
        unit: "g",
        steps,
    });
    all
}

/// The steps to the batch in whole steps of the finest scale.
pub(super) fn asked(context: &WhyContext<'_, '_>) -> Vec<DerivationStep> {
    let Some(makes) = context.order.makes(context.formula) else { return Vec::new() };
    let mut steps = Vec::new();
    let mut say = |says: String| match makes.place {
        Some(place) => steps.push(at(place, says)),
        None => steps.push(so(format!("{says}, as the command asked"))),
    };
    let each = match (&makes.grams, &makes.millilitres, &context.formula.density) {
        (Some(grams), _, _) => {
            say(format!("{} g", shown(grams)));
            grams.clone()
        }
        (None, Some(millilitres), Some(density)) => {
            let grams = millilitres * density;
            say(format!("{} mL × {} g/mL = {} g", shown(millilitres), shown(density), shown(&grams)));
            grams
        }
        _ => return steps,
    };
    let mut total = each;
    if let Some(count) = &makes.count {
        let more = &total * count;
        steps.push(so(format!("{} containers × {} g = {} g", shown(count), shown(&total), shown(&more))));
        total = more;
    }
    if let Some(plus) = &makes.plus {
        let more = &total * &(&Exact::ONE + &plus.hundredth());
        steps.push(so(format!("plus {} %: {} g", shown(plus), shown(&more))));
        total = more;
    }
    let counted = makes.count.is_some() || makes.millilitres.is_some();
    let how = if counted { "up, since containers must fill" } else { "half to even" };
    let (finest, batch) = (&context.plan.finest, &context.plan.batch);
    steps.push(so(format!(
        "{} g in whole steps of {} g, {how}: {} g",
        shown(&total),
        grams(finest, finest),
        grams(batch, finest)
    )));
    steps
}
