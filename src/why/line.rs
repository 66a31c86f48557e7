//! A line: its percentage, its grams, what is held back of it, and the verdict on its usage.

use super::batch::asked;
use super::derivation::{DIGITS, Derivation, DerivationStep, WhyContext, at, grams, shown, so};
use crate::check::totals;
use crate::model::{AmountIs, Basis, Line, LineAmount, LineMaterial};
use crate::quantity::Exact;
use crate::sheet::PlanLine;

/// The derivations of every line of a name.
pub(super) fn lines(context: &WhyContext<'_, '_>, name: &str) -> Vec<Derivation> {
    let mut all = Vec::new();
    for (number, (line, weight)) in context.formula.lines.iter().zip(&context.plan.lines).enumerate() {
        if line.name == name {
            one(context, number, line, weight, &mut all);
        }
    }
    all.extend(usage(context, name));
    all
}

fn one(context: &WhyContext<'_, '_>, number: usize, line: &Line, weight: &PlanLine, all: &mut Vec<Derivation>) {
    let name = &line.name;
    let steps = percent_steps(context, line);
    let (Some(percent), Some(exact), Some(printed)) = (&line.percent, &weight.exact, &weight.printed) else {
        all.push(Derivation { of: format!("`{name}`"), result: "weighed at the bench".to_string(), unit: "", steps });
        return;
    };
    all.push(Derivation {
        of: format!("percent of `{name}`"),
        result: percent.to_significant(DIGITS),
        unit: "%",
        steps: steps.clone(),
    });
    let mut to_grams = steps;
    to_grams.extend(asked(context));
    to_grams.push(so(format!(
        "{} % of {} g = {} g",
        shown(percent),
        grams(&context.plan.batch, &context.plan.finest),
        shown(exact)
    )));
    all.push(Derivation {
        of: format!("exact grams of `{name}`"),
        result: exact.to_fraction(),
        unit: "g",
        steps: [to_grams.clone(), vec![so(format!("as a fraction: {} g", exact.to_fraction()))]].concat(),
    });
    to_grams.push(so(rounding(context, number, weight, exact, printed)));
    all.push(Derivation {
        of: format!("grams of `{name}`"),
        result: grams(printed, &weight.step),
        unit: "g",
        steps: to_grams.clone(),
    });
    if let Some(weighed) = (printed * &Exact::HUNDRED).over(&context.plan.total) {
        let says = format!(
            "{} g of the {} g weighed in all are {} %",
            grams(printed, &weight.step),
            grams(&context.plan.total, &context.plan.finest),
            weighed.to_significant(DIGITS)
        );
        all.push(Derivation {
            of: format!("percent of `{name}` as weighed"),
            result: weighed.to_significant(DIGITS),
            unit: "%",
            steps: [to_grams, vec![so(says)]].concat(),
        });
    }
    held_back(context, line, weight, printed, all);
}

fn held_back(context: &WhyContext<'_, '_>, line: &Line, weight: &PlanLine, printed: &Exact, all: &mut Vec<Derivation>) {
    let (Some(held), Some(weights)) = (&line.hold_back, &weight.held) else { return };
    let (held_grams, first) = (&weights.held_back, &weights.first_weighing);
    let Some(percent) = &held.percent else { return };
    let mut steps = vec![at(held.place, format!("held back: {}", held.written))];
    if held.grams.is_some() {
        steps.push(so(format!("against the formula's own batch that is {} % of the batch", shown(percent))));
    }
    let share = Derivation {
        of: format!("percent of the batch held back of `{}`", line.name),
        result: percent.to_significant(DIGITS),
        unit: "%",
        steps: [steps.clone(), vec![so(format!("{} % of the batch", percent.to_significant(DIGITS)))]].concat(),
    };
    all.push(share);
    steps.extend(asked(context));
    let exact = &percent.hundredth() * &context.plan.batch;
    let to_step = grams(held_grams, &weight.step);
    steps.push(so(format!("{} % of the batch = {} g, to the step {to_step} g", shown(percent), shown(&exact))));
    all.push(Derivation {
        of: format!("what is held back of `{}`", line.name),
        result: to_step.clone(),
        unit: "g",
        steps: steps.clone(),
    });
    let first_text = grams(first, &weight.step);
    steps.push(so(format!("{} g in all less {to_step} g = {first_text} g", grams(printed, &weight.step))));
    all.push(Derivation { of: format!("the first weighing of `{}`", line.name), result: first_text, unit: "g", steps });
}

/// From the literal to the percentage as supplied.
fn percent_steps(context: &WhyContext<'_, '_>, line: &Line) -> Vec<DerivationStep> {
    let mut steps = vec![at(line.amount_place, format!("written {}", line.written))];
    for used in &line.uses {
        steps.push(at(used.place, format!("`{}` is {}{}", used.name, shown(&used.value), used.mark)));
    }
    match &line.amount {
        LineAmount::QuantumSatis => steps.extend(filling(context, line)),
        LineAmount::AtBench => steps.push(so("weighed until the pH is in its window".to_string())),
        LineAmount::Unknown => {}
        LineAmount::Percent(percent) => {
            let asked = line.asked.as_ref().unwrap_or(percent);
            if !line.uses.is_empty() || line.written.contains("ppm") {
                steps.push(so(format!("which comes to {} %", shown(asked))));
            }
            steps.extend(strength(context, line, asked, percent, " %"));
        }
        LineAmount::Weight(value) => steps.extend(share(context, line, value, " g")),
        LineAmount::Parts(value) => steps.extend(share(context, line, value, " parts")),
    }
    if let (LineAmount::Percent(_), Some(percent)) = (&line.amount, &line.percent) {
        steps.push(so(format!("{} % as supplied", shown(percent))));
    }
    steps
}

/// A target over the strength of what it is to come from.
fn strength(
    context: &WhyContext<'_, '_>,
    line: &Line,
    asked: &Exact,
    supplied: &Exact,
    mark: &str,
) -> Vec<DerivationStep> {
    let Some(target) = &line.target else { return Vec::new() };
    let substance = context.resolver.substance_name(target.substance);
    let counted = if target.is == AmountIs::Of { " (its salts counted as it)" } else { "" };
    let place = match &line.material {
        Some(LineMaterial::Material(material)) => {
            let component = material.contains.iter().find(|part| part.substance == target.substance);
            component.or(material.contains.first()).map(|part| part.place)
        }
        Some(LineMaterial::Premix(premix)) => Some(premix.place),
        None => None,
    };
    let middle = target.strength.middle();
    let of_a_range =
        if target.strength.is_point() { String::new() } else { format!(", in the middle {} %", shown(&middle)) };
    let strength = match target.strength.is_point() {
        true => format!("{} %", shown(&middle)),
        false => target.strength.whole_text(),
    };
    vec![
        DerivationStep { says: format!("`{}` is {strength} `{substance}`{counted}{of_a_range}", line.name), place },
        so(format!("{}{mark} ÷ {} % = {}{mark}", shown(asked), shown(&middle), shown(supplied))),
    ]
}

/// What is left for the line that fills up.
fn filling(context: &WhyContext<'_, '_>, line: &Line) -> Vec<DerivationStep> {
    let mut steps = Vec::new();
    let mut sum = Exact::ZERO;
    for other in context.formula.lines.iter().filter(|other| other.place != line.place) {
        if let Some(percent) = &other.percent {
            sum = &sum + percent;
            steps.push(at(other.amount_place, format!("`{}` takes {} %", other.name, shown(percent))));
        }
    }
    let left = &Exact::HUNDRED - &sum;
    steps.push(so(format!("together {} %; 100 % − {} % = {} %", shown(&sum), shown(&sum), shown(&left))));
    steps
}

/// The share of a weight, or of parts, in all of them.
fn share(context: &WhyContext<'_, '_>, line: &Line, value: &Exact, mark: &str) -> Vec<DerivationStep> {
    let mut steps = Vec::new();
    let asked = line.asked.as_ref().unwrap_or(value);
    steps.push(so(format!("which is {}{mark}", shown(asked))));
    steps.extend(strength(context, line, asked, value, mark));
    let total: Exact = context
        .formula
        .lines
        .iter()
        .filter_map(|line| match &line.amount {
            LineAmount::Weight(value) | LineAmount::Parts(value) => Some(value),
            _ => None,
        })
        .sum();
    let percent = line.percent.clone().unwrap_or(Exact::ZERO);
    let basis = if context.formula.basis == Basis::Parts { "parts" } else { "weights" };
    steps.push(so(format!("all {basis} together are {}{mark}", shown(&total))));
    steps.push(so(format!("{} ÷ {} = {} %", shown(value), shown(&total), shown(&percent))));
    steps
}

/// How an exact weight came to the printed one.
fn rounding(context: &WhyContext<'_, '_>, number: usize, weight: &PlanLine, exact: &Exact, printed: &Exact) -> String {
    let (step, text) = (grams(&weight.step, &weight.step), grams(printed, &weight.step));
    let filling = context.formula.lines.iter().position(|line| line.amount == LineAmount::QuantumSatis);
    let one_scale = context.order.scales(context.formula).len() == 1;
    if one_scale && filling == Some(number) {
        let others: Exact = context
            .plan
            .lines
            .iter()
            .enumerate()
            .filter(|(at, _)| *at != number)
            .filter_map(|(_, line)| line.printed.as_ref())
            .sum();
        return format!(
            "takes what the others leave: {} g − {} g = {text} g",
            grams(&context.plan.batch, &weight.step),
            grams(&others, &weight.step)
        );
    }
    if one_scale && filling.is_none() {
        let down = exact.down_to_step(&weight.step);
        let cut = grams(&down, &weight.step);
        return match down == *printed {
            true => format!("cut down to whole steps of {step} g: {text} g"),
            false => format!("cut down to {cut} g, and one of the missing steps of {step} g goes to it: {text} g"),
        };
    }
    format!("half to even to the step of {step} g: {text} g")
}

/// The verdict on a material's usage: all of it, through premixes too, against its range, as the check sums it. A stock
/// is no finished product, so there is none.
fn usage(context: &WhyContext<'_, '_>, name: &str) -> Option<Derivation> {
    if context.formula.is_stock() {
        return None;
    }
    let total = totals(context.formula).into_iter().find(|total| total.material.name == name)?;
    let usage = &total.usage;
    let mut figure = total.percent?;
    let mut steps: Vec<DerivationStep> = total
        .lines
        .iter()
        .map(|(line, percent)| {
            at(line.amount_place, format!("`{}` gives {} % of it as supplied", line.name, shown(percent)))
        })
        .collect();
    if total.lines.len() > 1 {
        steps.push(so(format!("together {} % as supplied", shown(&figure))));
    }
    if usage.active {
        let active = context.resolver.active_of(&total.material)?;
        let strength = context.resolver.active_strength_of(&total.material)?;
        figure = &figure.hundredth() * &strength;
        steps.push(at(active.place, format!("{} % strong, so {} % of its active", shown(&strength), shown(&figure))));
    }
    let range = match (&usage.range.low, &usage.range.high) {
        (Some(low), Some(high)) => format!("{} % to {} %", shown(low), shown(high)),
        (Some(low), None) => format!("at least {} %", shown(low)),
        (None, Some(high)) => format!("up to {} %", shown(high)),
        (None, None) => "any".to_string(),
    };
    steps.push(at(usage.place, format!("its usage is {range}")));
    let over = usage.range.edge_below(&figure).is_some();
    let under = usage.range.edge_above(&figure).is_some();
    let verdict = match (over, under) {
        (true, _) => "over its usage",
        (_, true) => "under its usage",
        _ => "within its usage",
    };
    steps.push(so(format!("{} % is {verdict}", shown(&figure))));
    Some(Derivation { of: format!("usage of `{name}`"), result: verdict.to_string(), unit: "", steps })
}
