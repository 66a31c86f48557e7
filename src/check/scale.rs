//! Batch size, density and scales.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::{Formula, HeaderLine, Line, LineAmount, LineMaterial, Material};
use crate::quantity::Exact;
use crate::resolve::capital;
use crate::sheet::{Plan, PlanLine};
use crate::syntax::vocabulary::MaterialPhase;

/// How many steps of the scale a weight takes at the least: one step is then 5 % of it. Sensitivity over allowed
/// error, as pharmacy texts work out the smallest weighable quantity.
const STEPS: i64 = 20;

/// A batch by volume without a density.
pub fn density_missing(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(makes) = context.order.makes(context.formula) else { return };
    if makes.millilitres.is_some() && context.formula.density.is_none() && context.formula.lacks(HeaderLine::Density) {
        let place = makes.place.unwrap_or(context.formula.place);
        let message = format!("The batch is a volume, and `{}` has no density to weigh it by.", context.formula.name);
        faults.push(
            Diagnostic::new(Code::DensityMissing, place, message)
                .help("Add `density 1.00 g/mL` with the figure you measured: the weight of 100 mL over 100."),
        );
    }
}

/// A sheet without a batch.
pub fn batch_size_missing(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if !context.needs_weight() {
        return;
    }
    if context.order.makes(context.formula).is_none() && context.formula.lacks(HeaderLine::Makes) {
        let message = format!("`{}` does not say how much it makes, and no batch was asked for.", context.formula.name);
        faults.push(
            Diagnostic::new(Code::BatchSizeMissing, context.formula.place, message)
                .help("Add `makes 100 g` to the formula, or ask for a batch of so much."),
        );
        return;
    }
    for line in &context.formula.lines {
        if let Some(ingredient) = line.hold_back.as_ref().filter(|ingredient| ingredient.percent.is_none()) {
            let message = format!(
                "{} of `{}` is held back by weight, and the formula has no batch of its own to stand against.",
                ingredient.written, line.name
            );
            faults.push(
                Diagnostic::new(Code::BatchSizeMissing, ingredient.place, message)
                    .help("Add `makes …` to the formula, or hold back a percentage of the batch."),
            );
        }
    }
}

/// No scale declared.
pub fn missing(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if context.formula.scales.is_empty() && context.order.scales.is_empty() && context.formula.lacks(HeaderLine::Scale)
    {
        let message = format!("`{}` names no scale: weights are printed to 0.01 g.", context.formula.name);
        faults.push(
            Diagnostic::new(Code::ScaleMissing, context.formula.place, message)
                .help("Add the step your scale reads: `scale 0.01 g`, and `up to 600 g` if it carries no more."),
        );
    }
}

/// Lines too light for the scale: to be weighed at all, or to be weighed well.
pub fn too_small_or_below(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(plan) = context.plan else { return };
    for (line, weight) in context.formula.lines.iter().zip(&plan.lines) {
        let (Some(exact), Some(printed)) = (&weight.exact, &weight.printed) else { continue };
        let least = least(weight);
        if line.amount == LineAmount::QuantumSatis && is_eaten(weight, exact, printed) {
            faults.push(eaten(context, plan, line, weight));
        } else if !printed.is_positive() {
            faults.push(too_small(line, weight, exact, smallest(line, &least, &plan.finest)));
        } else if *exact < least {
            faults.push(below(context, line, weight, (exact, &least), smallest(line, &least, &plan.finest)));
        }
    }
}

/// Whether a line that fills up has nothing left because the others were rounded, and not for its own lightness.
fn is_eaten(weight: &PlanLine, exact: &Exact, printed: &Exact) -> bool {
    !printed.is_positive() && (printed.is_negative() || exact.to_step(&weight.step).is_positive())
}

/// The fault of a line that fills up and was eaten by the rounding of the others.
fn eaten(context: &CheckContext<'_, '_>, plan: &Plan, line: &Line, weight: &PlanLine) -> Diagnostic {
    let exact = weight.exact.clone().unwrap_or(Exact::ZERO);
    let others = &plan.batch - weight.printed.as_ref().unwrap_or(&Exact::ZERO);
    let message = format!(
        "Each rounded to {} g, the other lines come to {others} g of the {} g: nothing is left of the {} g of `{}`.",
        weight.step,
        plan.batch,
        exact.to_significant(4),
        line.name
    );
    // Rounding moves each of the others by half a step at most: beside that the line is to be weighed well.
    let rounded = context.formula.lines.iter().filter(|line| line.percent.is_some()).count().saturating_sub(1);
    let steps = Exact::ratio(i64::try_from(rounded).unwrap_or(0) + 2 * STEPS, 2);
    let batch = smallest(line, &(&steps * &weight.step), &plan.finest);
    let step = std::iter::successors(Some(weight.step.clone()), |step| step.over(&Exact::whole(10)))
        .take(12)
        .find(|step| &steps * step <= exact);
    let fault = Diagnostic::new(Code::BatchTooSmall, line.mark, message);
    fault.help(match (batch, step) {
        (Some(batch), Some(step)) => format!("Make {batch} g or more, or weigh on a scale that reads {step} g."),
        (Some(batch), None) => format!("Make {batch} g or more."),
        (None, _) => "Make a larger batch.".to_string(),
    })
}

/// The least weight that the scale of a line weighs well.
fn least(weight: &PlanLine) -> Exact {
    &weight.step * &Exact::whole(STEPS)
}

/// Whether a line is too light for its scale, which is told of.
pub fn is_too_light(weight: &PlanLine) -> bool {
    weight.exact.as_ref().is_some_and(|exact| *exact < least(weight))
}

/// The smallest batch in which a line weighs at least so much.
fn smallest(line: &Line, least: &Exact, step: &Exact) -> Option<Exact> {
    let percent = line.percent.as_ref().filter(|percent| percent.is_positive())?;
    Some((least * &Exact::HUNDRED).over(percent)?.up_to_step(step))
}

fn too_small(line: &Line, weight: &PlanLine, exact: &Exact, batch: Option<Exact>) -> Diagnostic {
    let message = format!(
        "`{}` is {} g here, which a scale reading {} g shows as nothing.",
        line.name,
        exact.to_significant(4),
        weight.step
    );
    let fault = Diagnostic::new(Code::BatchTooSmall, line.mark, message);
    fault.help(match batch {
        Some(batch) => format!("Make {batch} g or more to weigh it within 5 %, or make a premix of it and weigh that."),
        None => "Make a larger batch.".to_string(),
    })
}

fn below(
    context: &CheckContext<'_, '_>,
    line: &Line,
    weight: &PlanLine,
    (exact, least): (&Exact, &Exact),
    batch: Option<Exact>,
) -> Diagnostic {
    let share = (&weight.step * &Exact::HUNDRED).over(exact).unwrap_or(Exact::ZERO);
    let message = format!(
        "One step of the scale, {} g, is {} % of the {} g of `{}`: over 5 %.",
        weight.step,
        share.to_significant(3),
        exact.to_significant(4),
        line.name
    );
    let times = nice_factor(exact, least);
    let premix = exact * &Exact::whole(times);
    let mut ways: Vec<String> = batch.map(|batch| format!("make {batch} g or more")).into_iter().collect();
    if let Some(carrier) = carrier(context.formula, line) {
        let weighed = premix.to_step(&weight.step);
        ways.push(format!("make a premix of 1 part in {times} with `{carrier}` and weigh {weighed} g of that"));
    }
    if let Some(step) = finer(exact, &weight.step) {
        ways.push(format!("weigh it on a scale that reads {step} g"));
    }
    let help = match ways.split_last() {
        None => "Make a larger batch.".to_string(),
        Some((only, [])) => format!("{}.", capital(only)),
        Some((last, others)) => format!("{}, or {last}.", capital(&others.join(", or "))),
    };
    Diagnostic::new(Code::BelowScale, line.mark, message).help(help)
}

/// The line that a trace is thinned with: one that it goes into, the largest first. What belongs into the oil goes into
/// an oil, and not into water.
fn carrier<'f>(formula: &'f Formula, trace: &Line) -> Option<&'f str> {
    let phase = |line: &Line| match &line.material {
        Some(LineMaterial::Material(material)) => material.phase,
        _ => None,
    };
    let wanted = match phase(trace) {
        Some(MaterialPhase::Oil) => MaterialPhase::Oil,
        Some(MaterialPhase::Powder) => MaterialPhase::Powder,
        Some(MaterialPhase::Water | MaterialPhase::Either) | None => MaterialPhase::Water,
    };
    let carries = |line: &&Line| {
        let melts = matches!(&line.material, Some(LineMaterial::Material(material)) if is_hard(material));
        line.name != trace.name && line.amount != LineAmount::AtBench && phase(line) == Some(wanted) && !melts
    };
    let most = formula.lines.iter().filter(carries).rev().max_by(|one, other| one.percent.cmp(&other.percent));
    // Of what nobody has said where it belongs, what fills up or what there is most of may do.
    let others = || {
        let others = formula.lines.iter().filter(|line| line.name != trace.name && line.percent.is_some());
        others.rev().max_by_key(|line| (line.amount == LineAmount::QuantumSatis, line.percent.clone()))
    };
    let carrier = most.or_else(|| others().filter(|_| phase(trace).is_none()));
    carrier.map(|line| line.name.as_str())
}

/// Whether a material is a wax or a butter, which nothing is stirred into in the cold, as far as its melting is known.
fn is_hard(material: &Material) -> bool {
    let warm = Exact::whole(25);
    let melting = material.melts.as_ref().and_then(|melts| melts.high.as_ref());
    material.needs.is_some() || melting.is_some_and(|high| *high > warm)
}

/// The step of a scale, a tenth, a hundredth and so on of the one at hand, that weighs well.
fn finer(exact: &Exact, step: &Exact) -> Option<Exact> {
    let tenth = |step: &Exact| step.over(&Exact::whole(10));
    std::iter::successors(tenth(step), tenth).take(6).find(|step| *exact >= step * &Exact::whole(STEPS))
}

/// The least of 2, 5, 10, 20, 50 … times that brings a weight up to the least.
fn nice_factor(exact: &Exact, least: &Exact) -> i64 {
    let mut decade = 1i64;
    loop {
        for digit in [1, 2, 5] {
            let times = decade.saturating_mul(digit);
            if &(exact * &Exact::whole(times)) >= least || times >= 1_000_000_000 {
                return times;
            }
        }
        decade = decade.saturating_mul(10);
    }
}

/// Lines too heavy for every scale.
pub fn overloaded(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(plan) = context.plan else { return };
    for (line, weight) in context.formula.lines.iter().zip(&plan.lines).filter(|(_, weight)| weight.overloaded) {
        let Some(exact) = &weight.exact else { continue };
        let scales = context.order.scales(context.formula);
        let most = scales.iter().filter_map(|scale| scale.max.clone()).max().unwrap_or(Exact::ZERO);
        let portions = exact.over(&most).map_or(2, |times| times.up_to_step(&Exact::ONE).to_u32().unwrap_or(2));
        let message = format!(
            "`{}` weighs {} g, and no scale here carries more than {most} g.",
            line.name,
            exact.to_step(&weight.step)
        );
        faults.push(
            Diagnostic::new(Code::ScaleOverloaded, line.mark, message)
                .help(format!("Weigh it in {portions} portions, or declare a larger scale.")),
        );
    }
}
