//! How much of a material a finished product may have, by the material's own `use`.

use super::Look;
use super::contents::materials_of;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::{Component, DeclId, Line, Material, Thing};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A material in the finished product: its total, and the line that gives most of it.
struct Total<'f> {
    material: Arc<Material>,
    percent: Option<Exact>,
    lines: Vec<(&'f Line, Exact)>,
}

/// A material over or under its `use` range, summed over its lines and over premixes. Stocks are no finished
/// products, so they are not asked.
pub fn over_and_under(look: &Look<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if look.formula.is_stock() || !look.formula.lacks("product") {
        return;
    }
    let mut totals: BTreeMap<DeclId, Total<'_>> = BTreeMap::new();
    for line in &look.formula.lines {
        gather(line, &mut totals);
    }
    for total in totals.values() {
        faults.extend(judge(look.resolver, total));
    }
}

fn gather<'f>(line: &'f Line, totals: &mut BTreeMap<DeclId, Total<'f>>) {
    let mut add = |material: &Arc<Material>, percent: Option<Exact>| {
        if material.usage.is_none() {
            return;
        }
        let total = totals.entry(material.id).or_insert_with(|| Total {
            material: Arc::clone(material),
            percent: Some(Exact::ZERO),
            lines: Vec::new(),
        });
        match (&total.percent, percent) {
            (Some(sum), Some(percent)) => {
                total.percent = Some(sum + &percent);
                total.lines.push((line, percent));
            }
            _ => total.percent = None,
        }
    };
    match &line.thing {
        Some(Thing::Material(material)) => {
            let at_bench = line.amount == crate::model::LineAmount::AtBench;
            if !at_bench {
                add(material, line.percent.clone());
            }
        }
        Some(Thing::Premix(premix)) => {
            for (material, share) in materials_of(premix) {
                add(&material, line.percent.as_ref().zip(share).map(|(percent, share)| &percent.hundredth() * &share));
            }
        }
        None => {}
    }
}

fn judge(resolver: &Resolver<'_>, total: &Total<'_>) -> Option<Diagnostic> {
    let material = &total.material;
    let usage = material.usage.as_ref()?;
    let supplied = total.percent.as_ref()?;
    // The line that gives most; of equal ones the first.
    let (line, _) = total.lines.iter().rev().max_by(|(_, a), (_, b)| a.cmp(b))?;
    let strength = if usage.active { active_strength(resolver, material)? } else { Exact::HUNDRED };
    let figure = &supplied.hundredth() * &strength;
    let what = if usage.active { " of its active" } else { "" };
    let as_supplied = |limit: &Exact| (limit * &Exact::HUNDRED).over(&strength).unwrap_or(Exact::ZERO);
    let (code, limit, message) = match (&usage.low, &usage.high) {
        (_, Some(high)) if figure > *high => (
            Code::UsageOver,
            high,
            format!("`{}` comes to {figure} %{what}, over its usage of {high} %.", material.name),
        ),
        (Some(low), _) if figure < *low => (
            Code::UsageUnder,
            low,
            format!("`{}` comes to {figure} %{what}, under its usage of {low} %.", material.name),
        ),
        _ => return None,
    };
    let end = if code == Code::UsageOver { "most" } else { "least" };
    let mut fault = Diagnostic::new(code, line.amount_place, message).and(usage.place, "the material's usage");
    if total.lines.len() > 1 {
        for (other, percent) in total.lines.iter().filter(|(other, _)| other.place != line.place) {
            fault = fault.and(other.amount_place, format!("{percent} % more of it comes from here"));
        }
    }
    Some(fault.help(format!(
        "At {end} {} % as supplied stays within it. If you have a reason, write `allow {} because \"…\"` after the line.",
        as_supplied(limit),
        code
    )))
}

/// The strength of a material's active, at the middle of a range; none where it is not known. Without a mark it is the
/// one component that is not water.
pub fn active_strength(resolver: &Resolver<'_>, material: &Material) -> Option<Exact> {
    let marked: Vec<&Component> = material.contains.iter().filter(|component| component.active).collect();
    let is_water =
        |component: &&Component| resolver.substance(component.substance).is_some_and(|known| known.is_water());
    let candidates = match marked.is_empty() {
        false => marked,
        true => material.contains.iter().filter(|component| !is_water(component)).collect(),
    };
    let [component] = candidates.as_slice() else { return None };
    (!component.undisclosed).then(|| component.strength.middle()).filter(Exact::is_positive)
}
