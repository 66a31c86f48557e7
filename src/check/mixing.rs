//! What mixes with what: oil into water, how much dissolves, and emulsifiers for the oils there are.

use super::contents::{Ingredient, water_of_line};
use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::{AcidBase, DeclId, Line, Stated, Substance};
use crate::quantity::Exact;
use crate::syntax::vocabulary::{Doing, MaterialPhase, Role};
use smol_str::SmolStr;
use std::sync::Arc;

/// So many times as much of surfactants, as supplied, takes oil into its micelles (common practice, no source).
const WASHES_IN: i64 = 20;
/// So many times as much joins molten fat with hot water, as in a foaming cream (common practice, no source).
const JOINS_HOT: i64 = 2;

/// A material of the oil phase in a phase of more than half water, and nothing that joins the two.
pub fn phase_clash(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    let is_joined = formula.has_role(Role::Emulsifier) || formula.has_role(Role::Solubiliser) || is_washed_in(context);
    if !formula.total_known || is_joined {
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
                .rests_on_all(ingredient.material.stated_at(Stated::Phase))
                .help("Add an emulsifier or a solubiliser: of a solubiliser several times the oil is usual."),
        );
    }
}

/// Whether there is so much of what cleanses that a little oil, as of a fragrance, goes into its micelles.
fn is_washed_in(context: &CheckContext<'_, '_>) -> bool {
    let sum = |passes: fn(&Ingredient<'_>) -> bool| -> Exact {
        let all = context.ingredients().iter().filter(|ingredient| passes(ingredient));
        all.filter_map(|ingredient| ingredient.percent.clone()).sum()
    };
    let oil = sum(|ingredient| ingredient.material.phase == Some(MaterialPhase::Oil));
    let is_hot = context.formula.phases.iter().any(|phase| phase.heat.is_some());
    let times = if is_hot { JOINS_HOT } else { WASHES_IN };
    &oil * &Exact::whole(times) <= sum(|ingredient| ingredient.has_role(Role::Surfactant))
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

/// Percent of solvents under which a batch is dry, and nothing in it was meant to dissolve (common practice, no
/// source).
const SOLVENT: i64 = 10;

/// Past its pKa by more than this all of an acid or base is salt.
const MOST_DECADES: f64 = 6.0;

/// Whether what goes among the powders is to dissolve all the same: it can be stirred in only where something keeps it
/// afloat.
fn lets_powders_fall(all: &[Ingredient<'_>]) -> bool {
    let keeps_afloat = |ingredient: &Ingredient<'_>| {
        ingredient.has_role(Role::Thickener)
            || ingredient.has_role(Role::Emulsifier)
            || does(ingredient, Doing::Suspends)
    };
    !all.iter().any(keeps_afloat)
}

/// Whether something is meant to dissolve.
fn is_to_dissolve(all: &[Ingredient<'_>], ingredient: &Ingredient<'_>) -> bool {
    ingredient.material.phase != Some(MaterialPhase::Powder) || lets_powders_fall(all)
}

/// Something that dissolves only so far: a material as supplied, or a substance over every material.
struct Solute<'f> {
    /// The substance that dissolves, where it is one.
    substance: Option<Arc<Substance>>,
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
    for solute in materials(context, all).into_iter().chain(substances(context, all)) {
        faults.extend(over(context, all, &solute));
    }
}

/// Materials with a fact of their own, each with the line that gives most of it.
fn materials<'f>(context: &CheckContext<'_, '_>, all: &[Ingredient<'f>]) -> Vec<Solute<'f>> {
    let mut found: Vec<(DeclId, Exact, Solute<'f>)> = Vec::new();
    for ingredient in
        all.iter().filter(|ingredient| !ingredient.material.dissolves.is_empty() && is_to_dissolve(all, ingredient))
    {
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
                let active = context.resolver.active_of(&ingredient.material);
                let substance = active.and_then(|active| context.resolver.substance(active.substance));
                let solute = Solute { substance, named, percent: percent.clone(), line: ingredient.line, dissolves };
                found.push((ingredient.material.id, percent, solute));
            }
        }
    }
    found.into_iter().map(|(.., solute)| solute).collect()
}

/// Substances with a fact, summed over the materials that have none of their own. Of a range the least counts.
fn substances<'f>(context: &CheckContext<'_, '_>, all: &[Ingredient<'f>]) -> Vec<Solute<'f>> {
    let mut found: Vec<(DeclId, Exact, Solute<'f>)> = Vec::new();
    for ingredient in
        all.iter().filter(|ingredient| ingredient.material.dissolves.is_empty() && is_to_dissolve(all, ingredient))
    {
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
                    let solute = Solute {
                        substance: Some(Arc::clone(&substance)),
                        named,
                        percent: share.clone(),
                        line: ingredient.line,
                        dissolves,
                    };
                    found.push((substance.id, share, solute));
                }
            }
        }
    }
    found.into_iter().map(|(.., solute)| solute).collect()
}

fn over(context: &CheckContext<'_, '_>, all: &[Ingredient<'_>], solute: &Solute<'_>) -> Option<Diagnostic> {
    let (mut most, mut solvent_sum) = (Exact::ZERO, Exact::ZERO);
    let mut solvents = Vec::new();
    for (name, limit, _) in &solute.dissolves {
        let there = solvent(context, all, name, solute)?;
        if there.is_positive() {
            let limit = if name == "water" { limit * &as_salt(context, solute) } else { limit.clone() };
            most = &most + &(&there.hundredth() * &limit);
            solvent_sum = &solvent_sum + &there;
            solvents.push(format!("the {} % of {name}", there.to_significant(3)));
        }
    }
    // With nothing there to dissolve it in, it was not meant to dissolve.
    if solvent_sum < Exact::whole(SOLVENT) || solute.percent <= most {
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
    let fault = solute
        .dissolves
        .iter()
        .fold(fault, |fault, (_, _, place)| fault.and(*place, "how much dissolves").rests_on(*place));
    let least = most.down_to_step(&Exact::ratio(1, 100));
    let less = if least.is_positive() { least.to_string() } else { most.to_significant(2) };
    Some(fault.help(format!("Come down to {less} %, or bring in more of what it dissolves in.")))
}

/// How many times as much of something water takes at the window as of its uncharged form: the rest is there as salt,
/// which dissolves. The edge counts at which there is least of that.
fn as_salt(context: &CheckContext<'_, '_>, solute: &Solute<'_>) -> Exact {
    let window = context.formula.sound_window();
    let acid_base = solute.substance.as_ref().and_then(|substance| substance.acid_base.as_ref());
    let (Some(window), Some(acid_base)) = (window, acid_base) else { return Exact::ONE };
    let past = match acid_base {
        AcidBase::Acid(pka) => window.low.as_ref().zip(pka.first()).map(|(ph, pka)| ph.to_f64() - pka.to_f64()),
        AcidBase::Base(pka) => window.high.as_ref().zip(pka.last()).map(|(ph, pka)| pka.to_f64() - ph.to_f64()),
        _ => None,
    };
    let times = past.map_or(1.0, |past| 1.0 + 10_f64.powf(past.min(MOST_DECADES)));
    Exact::ratio((times * 1000.0).round() as i64, 1000)
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

/// Percent of the oil phase whose required HLB has to be known before anything is said of it (common practice, no
/// source).
const MOST_OF_THE_OILS: i64 = 75;
/// Percent of water under which nothing was meant to be an emulsion (common practice, no source).
const LITTLE_WATER: i64 = 15;
/// A blend up to this HLB makes water-in-oil (W. C. Griffin, J. Soc. Cosmet. Chem. 1949, 1:311).
const WATER_IN_OIL: i64 = 6;
/// Percent of oil from which a batch can be a water-in-oil cream (common practice, no source).
const MUCH_OIL: i64 = 25;
/// A blend from this HLB dissolves oil, where there is enough of it (W. C. Griffin, J. Soc. Cosmet. Chem. 1949, 1:311).
const SOLUBILISES: i64 = 13;

/// Whether a material does something, by its own word.
fn does(ingredient: &Ingredient<'_>, doing: Doing) -> bool {
    ingredient.material.does.contains(&doing)
}

/// Whether a material joins oil and water: what is there for that, and a polymer that says so.
fn joins(ingredient: &Ingredient<'_>) -> bool {
    ingredient.has_role(Role::Emulsifier)
        || does(ingredient, Doing::Emulsifies)
        || does(ingredient, Doing::EmulsifiesWaterInOil)
}

/// An emulsifier blend more than 1 HLB away from what the oils require, each weighted by its amount.
///
/// Nothing is said where the sum says nothing: where some emulsifier states no HLB, for it works by its crystals or as a
/// polymer; where little of the oil states what it requires; in a water-in-oil cream, for the figures of the oils are those
/// of oil in water; and where there is so much of a solubiliser that the oil is dissolved.
pub fn hlb(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let all = context.ingredients();
    let is_emulsion = context.water().is_some_and(|water| water.low >= Exact::whole(LITTLE_WATER));
    if !context.formula.total_known || !is_emulsion {
        return;
    }
    let (emulsifiers, others): (Vec<&Ingredient<'_>>, Vec<&Ingredient<'_>>) =
        all.iter().partition(|ingredient| joins(ingredient));
    let stated = |ingredient: &&Ingredient<'_>| ingredient.material.hlb.is_some();
    if !emulsifiers.iter().all(stated) {
        return;
    }
    let is_oil = |ingredient: &&&Ingredient<'_>| {
        ingredient.material.phase == Some(MaterialPhase::Oil) || ingredient.material.required_hlb.is_some()
    };
    let oil: Exact = others.iter().filter(is_oil).filter_map(|ingredient| ingredient.percent.clone()).sum();
    let has = emulsifiers
        .iter()
        .filter_map(|ingredient| Some((*ingredient, ingredient.percent.clone()?, ingredient.material.hlb.clone()?)));
    let asks = others.iter().filter_map(|ingredient| {
        Some((*ingredient, ingredient.percent.clone()?, ingredient.material.required_hlb.clone()?))
    });
    let (Some(have), Some(want)) = (blend(has.collect()), blend(asks.collect())) else { return };
    let is_vague = &want.sum * &Exact::HUNDRED < &oil * &Exact::whole(MOST_OF_THE_OILS);
    let says_water_in_oil = emulsifiers.iter().any(|ingredient| does(ingredient, Doing::EmulsifiesWaterInOil));
    let is_water_in_oil =
        oil >= Exact::whole(MUCH_OIL) && (says_water_in_oil || have.mean <= Exact::whole(WATER_IN_OIL));
    let dissolves = have.mean >= Exact::whole(SOLUBILISES) && &have.sum * &Exact::whole(2) >= oil;
    if is_vague || is_water_in_oil || dissolves || (&have.mean - &want.mean).abs() <= Exact::ONE {
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
    let has = have.parts.iter().filter_map(|(ingredient, ..)| ingredient.material.stated_at(Stated::Hlb));
    let asks = want.parts.iter().filter_map(|(ingredient, ..)| ingredient.material.stated_at(Stated::RequiredHlb));
    let fault = fault.rests_on_all(has.chain(asks));
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
