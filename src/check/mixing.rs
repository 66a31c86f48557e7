//! What mixes with what: oil into water, how much dissolves, and emulsifiers for the oils there are.

use super::contents::{Ingredient, is_wet, water_of_line};
use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::{DeclId, Line};
use crate::quantity::Exact;
use crate::syntax::vocabulary::{MaterialPhase, Role};
use smol_str::SmolStr;

/// A material of the oil phase in a phase of more than half water, and nothing that joins the two.
pub fn phase_clash(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if !formula.total_known || formula.has_role(Role::Emulsifier) || formula.has_role(Role::Solubiliser) {
        return;
    }
    let mut told = Vec::new();
    for ingredient in
        context.ingredients().iter().filter(|ingredient| ingredient.material.phase == Some(MaterialPhase::Oil))
    {
        let Some(water) = water_of_phase(context, ingredient.line.phase).filter(|_| !told.contains(&ingredient.at))
        else {
            continue;
        };
        if water <= Exact::whole(50) {
            continue;
        }
        told.push(ingredient.at);
        let message = format!(
            "{} belongs into oil, and its phase is {} % water with nothing to join them.",
            ingredient.named(),
            water.to_significant(3)
        );
        faults.push(
            Diagnostic::new(Code::PhaseClash, ingredient.line.place, message)
                .help("Add an emulsifier or a solubiliser: of a solubiliser several times the oil is usual."),
        );
    }
}

/// The share of a phase that is known to be water, in percent of the phase.
fn water_of_phase(context: &CheckContext<'_, '_>, phase: usize) -> Option<Exact> {
    let (mut water, mut all) = (Exact::ZERO, Exact::ZERO);
    for line in context.formula.lines.iter().filter(|line| line.phase == phase) {
        let Some(percent) = &line.percent else { continue };
        all = &all + percent;
        water = &water + &water_of_line(context.resolver, line)?;
    }
    (&water * &Exact::HUNDRED).over(&all)
}

/// Something that dissolves only so far: a material as supplied, or a substance over every material.
struct Solute<'f> {
    named: String,
    percent: Exact,
    line: &'f Line,
    dissolves: Vec<(SmolStr, Exact, Place)>,
}

/// More of something than what is there can dissolve. Where it dissolves in several things, they count together.
pub fn solubility(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if context.formula.composition.is_none() {
        return;
    }
    let all = context.ingredients();
    for solute in materials(all).into_iter().chain(substances(context, all)) {
        faults.extend(over(context, all, &solute));
    }
}

/// Materials with a fact of their own, each with the line that gives most of it.
fn materials<'f>(all: &[Ingredient<'f>]) -> Vec<Solute<'f>> {
    let mut found: Vec<(DeclId, Exact, Solute<'f>)> = Vec::new();
    for ingredient in all.iter().filter(|ingredient| !ingredient.material.dissolves.is_empty()) {
        let Some(percent) = ingredient.percent.clone() else { continue };
        match found.iter_mut().find(|(id, ..)| *id == ingredient.material.id) {
            Some((_, most, solute)) => {
                solute.percent = &solute.percent + &percent;
                if percent > *most {
                    (solute.line, *most) = (ingredient.line, percent);
                }
            }
            None => {
                let named = format!("`{}`", ingredient.material.name);
                let dissolves = ingredient.material.dissolves.clone();
                let solute = Solute { named, percent: percent.clone(), line: ingredient.line, dissolves };
                found.push((ingredient.material.id, percent, solute));
            }
        }
    }
    found.into_iter().map(|(.., solute)| solute).collect()
}

/// Substances with a fact, summed over the materials that have none of their own. Of a range the least counts.
fn substances<'f>(context: &CheckContext<'_, '_>, all: &[Ingredient<'f>]) -> Vec<Solute<'f>> {
    let mut found: Vec<(DeclId, Exact, Solute<'f>)> = Vec::new();
    for ingredient in all.iter().filter(|ingredient| ingredient.material.dissolves.is_empty()) {
        let Some(percent) = &ingredient.percent else { continue };
        for component in &ingredient.material.contains {
            let Some(substance) = context.resolver.substance(component.substance) else { continue };
            let share = &percent.hundredth() * &component.strength.low;
            if substance.dissolves.is_empty() || !share.is_positive() {
                continue;
            }
            match found.iter_mut().find(|(id, ..)| *id == substance.id) {
                Some((_, most, solute)) => {
                    solute.percent = &solute.percent + &share;
                    if share > *most {
                        (solute.line, *most) = (ingredient.line, share);
                    }
                }
                None => {
                    let named = format!("`{}`", substance.name);
                    let dissolves = substance.dissolves.clone();
                    let solute = Solute { named, percent: share.clone(), line: ingredient.line, dissolves };
                    found.push((substance.id, share, solute));
                }
            }
        }
    }
    found.into_iter().map(|(.., solute)| solute).collect()
}

fn over(context: &CheckContext<'_, '_>, all: &[Ingredient<'_>], solute: &Solute<'_>) -> Option<Diagnostic> {
    let mut most = Exact::ZERO;
    let mut solvents = Vec::new();
    for (name, limit, _) in &solute.dissolves {
        let there = solvent(context, all, name, solute)?;
        if there.is_positive() {
            most = &most + &(&there.hundredth() * limit);
            solvents.push(format!("the {} % of {name}", there.to_significant(3)));
        }
    }
    // With nothing there to dissolve it in, it was not meant to dissolve.
    if solvents.is_empty() || solute.percent <= most {
        return None;
    }
    let message = format!(
        "{} comes to {} %, and {} here can dissolve {} %.",
        solute.named,
        solute.percent,
        solvents.join(" and "),
        most.to_significant(3)
    );
    let fault = Diagnostic::new(Code::SolubilityOver, solute.line.mark, message);
    let fault = solute.dissolves.iter().fold(fault, |fault, (_, _, place)| fault.and(*place, "how much dissolves"));
    let least = most.down_to_step(&Exact::ratio(1, 100));
    let less = if least.is_positive() { least.to_string() } else { most.to_significant(2) };
    Some(fault.help(format!("Come down to {less} %, or bring in more of what it dissolves in.")))
}

/// How much of a solvent there is in the batch, at the most; none where that is not known. Oil is all that belongs into
/// the oil phase, but for the thing itself.
fn solvent(context: &CheckContext<'_, '_>, all: &[Ingredient<'_>], name: &str, solute: &Solute<'_>) -> Option<Exact> {
    match name {
        "water" => Some(context.water()?.high.clone()),
        "alcohol" | "ethanol" => Some(context.ethanol()?.high.clone()),
        "oil" => {
            let oils = all.iter().filter(|ingredient| ingredient.material.phase == Some(MaterialPhase::Oil));
            let others = oils.filter(|ingredient| format!("`{}`", ingredient.material.name) != solute.named);
            Some(others.filter_map(|ingredient| ingredient.percent.clone()).sum())
        }
        other => {
            let parts = &context.formula.composition.as_ref()?.parts;
            let named =
                parts.iter().filter(|(id, _)| context.resolver.substance(**id).is_some_and(|s| s.name == other));
            let share: Exact = named.map(|(_, share)| share.high.clone()).sum();
            let materials = all.iter().filter(|ingredient| ingredient.material.name == other);
            let supplied: Exact = materials.filter_map(|ingredient| ingredient.percent.clone()).sum();
            Some(share.max(supplied))
        }
    }
}

/// A figure of several materials, weighted by how much of each there is.
struct WeightedFigure<'a, 'f> {
    parts: Vec<(&'a Ingredient<'f>, Exact, Exact)>,
    sum: Exact,
    mean: Exact,
}

fn blend<'a, 'f>(parts: Vec<(&'a Ingredient<'f>, Exact, Exact)>) -> Option<WeightedFigure<'a, 'f>> {
    let sum: Exact = parts.iter().map(|(_, percent, _)| percent.clone()).sum();
    let weighted: Exact = parts.iter().map(|(_, percent, figure)| percent * figure).sum();
    let mean = weighted.over(&sum)?;
    Some(WeightedFigure { parts, sum, mean })
}

/// An emulsifier blend more than 1 HLB away from what the oils require, each weighted by its amount. Where most of the
/// emulsifier states no HLB, nothing can be said.
pub fn hlb(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let all = context.ingredients();
    if !context.formula.total_known || !all.iter().any(|ingredient| is_wet(context.resolver, &ingredient.material)) {
        return;
    }
    let emulsifiers: Vec<&Ingredient<'_>> =
        all.iter().filter(|ingredient| ingredient.has_role(Role::Emulsifier)).collect();
    let known = |ingredient: &&&Ingredient<'_>| ingredient.material.hlb.is_some();
    let unknown =
        emulsifiers.iter().filter(|ingredient| !known(ingredient)).filter_map(|ingredient| ingredient.percent.clone());
    let unknown: Exact = unknown.sum();
    let stated = emulsifiers
        .iter()
        .filter_map(|ingredient| Some((*ingredient, ingredient.percent.clone()?, ingredient.material.hlb.clone()?)));
    let oils =
        all.iter().filter(|ingredient| !(ingredient.has_role(Role::Emulsifier) && ingredient.material.hlb.is_some()));
    let oils = oils.filter_map(|ingredient| {
        Some((ingredient, ingredient.percent.clone()?, ingredient.material.required_hlb.clone()?))
    });
    let (Some(have), Some(want)) = (blend(stated.collect()), blend(oils.collect())) else { return };
    if unknown >= have.sum || (&have.mean - &want.mean).abs() <= Exact::ONE {
        return;
    }
    faults.extend(off(&have, &want));
}

fn off(have: &WeightedFigure<'_, '_>, want: &WeightedFigure<'_, '_>) -> Option<Diagnostic> {
    let (most, ..) = have.parts.iter().rev().max_by(|(_, a, _), (_, b, _)| a.cmp(b))?;
    let message = format!(
        "The emulsifiers come to HLB {}, and the oils here ask for {}.",
        have.mean.to_significant(3),
        want.mean.to_significant(3)
    );
    let mut fault = Diagnostic::new(Code::HlbOff, most.line.mark, message);
    for (ingredient, _, figure) in have.parts.iter().filter(|(ingredient, ..)| ingredient.at != most.at) {
        fault = fault.and(ingredient.line.mark, format!("HLB {figure}"));
    }
    for (ingredient, _, figure) in &want.parts {
        fault = fault.and(ingredient.line.mark, format!("asks for {figure}"));
    }
    Some(fault.help(mend(have, want)))
}

/// The two emulsifiers in the proportion that meets the oils, where there are two and they can.
fn mend(have: &WeightedFigure<'_, '_>, want: &WeightedFigure<'_, '_>) -> String {
    let target = want.mean.to_significant(3);
    let otherwise = format!("Change the emulsifiers, or their proportion, until the blend comes to about {target}.");
    let [one, two] = have.parts.as_slice() else { return otherwise };
    let (low, high) = if one.2 <= two.2 { (one, two) } else { (two, one) };
    let Some(share) = (&want.mean - &low.2).over(&(&high.2 - &low.2)) else { return otherwise };
    if share.is_negative() || share > Exact::ONE {
        return otherwise;
    }
    let more = &have.sum * &share;
    let less = &have.sum - &more;
    let named = |part: &(&Ingredient<'_>, Exact, Exact), percent: &Exact| {
        format!("{} % of `{}`", percent.to_significant(3), part.0.material.name)
    };
    format!("Of the same {} % in all, {} and {} meet it.", have.sum, named(high, &more), named(low, &less))
}
