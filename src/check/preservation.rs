//! Preservation: water without a preservative, microbes left uncovered, acids that are not free, metals not bound.
//! None of it is a challenge test.

use super::contents::Ingredient;
use super::context::CheckContext;
use super::emulsifier::is_true_soap;
use super::exemption;
use super::growth::needs_preservation;
use super::preserving::suiting;
use crate::chemistry::free_share;
use crate::diagnostic::{Code, Diagnostic, Level};
use crate::model::{DeclId, Formula, HeaderLine, Line, Material, Preserves, Stated};
use crate::quantity::Exact;
use crate::resolve::{NameSet, Resolver};
use crate::syntax::vocabulary::{Doing, MaterialPhase, Microbe, Role};
use smol_str::SmolStr;

/// Percent of water in the batch above which metals are asked after.
const MUCH_WATER: i64 = 30;

/// Water, and nothing that preserves it.
pub fn none(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(water) = context.water().filter(|_| needs_preservation(context)) else { return };
    if context.formula.has_role(Role::Preservative) {
        return;
    }
    let share = if water.is_point() { water.low.to_significant(3) } else { water.middle().to_significant(2) };
    let message = format!("`{}` is {share} % water, and nothing in it preserves.", context.formula.name);
    let level = if is_bound(context, &water.high) || has_helpers(context) {
        Level::Note
    } else if is_true_soap(context) && exemption::may_be_alkaline(context.resolver, context.formula, context.forecast())
    {
        Level::Warning
    } else {
        Level::Error
    };
    let fault = Diagnostic::new(Code::NoPreservative, context.formula.place, message).at_level(level);
    let without = "Without one it takes 20 % ethanol in the water phase, all of the pH window at 3 or under or 10 or \
                   over, or `water-activity` 0.75 or under.";
    let suiting = suiting(context);
    let line = |(name, percent): &(SmolStr, Exact)| format!("`{name} {percent} %`");
    let lines: Vec<String> =
        suiting.iter().map(|parts| parts.iter().map(line).collect::<Vec<_>>().join(" with ")).collect();
    faults.push(match lines.split_last() {
        None if level == Level::Warning => fault.help(format!(
            "As alkaline as a soap it may need none: read its pH, and write `pH 10 to 11` into the head if that is what it \
             has. {without}"
        )),
        None => fault.help(format!("Add a preservative. {without}")),
        Some((last, [])) => fault.help(format!("Add a preservative: {last} suits this formula. {without}")),
        Some((last, others)) => {
            fault.help(format!("Add a preservative: {} or {last} suit this formula. {without}", others.join(", ")))
        }
    });
}

/// Up to this much water, in percent, stands in a solid.
const IN_A_SOLID: i64 = 10;

/// Whether what is dissolved in the water is half as much again as the water, as in a stick of glycol, or the batch is a solid
/// with a little water in it, as a bar: little grows there, and the water activity tells (common practice, no source).
fn is_bound(context: &CheckContext<'_, '_>, water: &Exact) -> bool {
    let of = |phases: &[Option<MaterialPhase>]| -> Exact {
        let all = context.ingredients().iter().filter(|ingredient| phases.contains(&ingredient.material.phase));
        all.filter_map(|ingredient| ingredient.percent.clone()).sum()
    };
    let dissolved = &of(&[Some(MaterialPhase::Water), Some(MaterialPhase::Either)]) - water;
    let solid = &of(&[Some(MaterialPhase::Powder)]) + &dissolved;
    let in_a_solid = *water <= Exact::whole(IN_A_SOLID) && solid >= water * &Exact::whole(4);
    in_a_solid || dissolved >= water * &Exact::ratio(3, 2)
}

/// Whether two or more helpers of a preservative come to a hundredth of the batch: they may hold it together, and nobody
/// calls one of them a preservative (common practice, no source).
fn has_helpers(context: &CheckContext<'_, '_>) -> bool {
    let helps = |material: &Material| !material.protects.is_empty() || material.does.contains(&Doing::HelpsPreserve);
    let helpers: Vec<&Ingredient<'_>> =
        context.ingredients().iter().filter(|ingredient| helps(&ingredient.material)).collect();
    let sum: Exact = helpers.iter().filter_map(|helper| helper.percent.clone()).sum();
    helpers.len() >= 2 && sum >= Exact::ONE
}

/// Bacteria, yeast or mould that nothing covers at its rate and in this pH, helpers that say what they protect against
/// counted too. Where a preservative does not say it, nothing can be said.
pub fn gap(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if !needs_preservation(context) {
        return;
    }
    let all = context.ingredients();
    let preservatives: Vec<&Ingredient<'_>> =
        all.iter().filter(|ingredient| ingredient.has_role(Role::Preservative)).collect();
    if preservatives.is_empty() || preservatives.iter().any(|ingredient| ingredient.material.protects.is_empty()) {
        return;
    }
    let protecting: Vec<&Ingredient<'_>> =
        all.iter().filter(|ingredient| !ingredient.material.protects.is_empty()).collect();
    // One that is out of its pH is told of as that, and what it leaves open with it.
    let uncovered: Vec<Microbe> = [Microbe::Bacteria, Microbe::Yeast, Microbe::Mould]
        .into_iter()
        .filter(|microbe| {
            !protecting.iter().any(|ingredient| {
                ingredient.material.protects.contains(microbe)
                    && (clashes(context.formula, ingredient) || is_at_rate(context, ingredient, &protecting))
            })
        })
        .collect();
    let Some(most) = preservatives.iter().rev().max_by(|a, b| a.percent.cmp(&b.percent)) else { return };
    if uncovered.is_empty() {
        return;
    }
    let open = listed(&uncovered);
    let message = format!("Nothing here protects against {open}, at the rates and pH used.");
    let mut fault = Diagnostic::new(Code::PreservativeGap, most.line.place, message);
    for ingredient in preservatives.iter().filter(|ingredient| ingredient.line.place != most.line.place) {
        fault = fault.and(ingredient.line.place, "this preserves too");
    }
    fault = fault.rests_on_all(protecting.iter().filter_map(|other| other.material.stated_at(Stated::Protects)));
    faults.push(
        fault.help(format!(
            "Add one that covers {open}, at its supplier's rate. Proof is a challenge test (ISO 11930)."
        )),
    );
}

/// Whether all of a preservative in the batch comes to the least of its usage. One whose amount is not known does.
fn is_at_rate(context: &CheckContext<'_, '_>, ingredient: &Ingredient<'_>, all: &[&Ingredient<'_>]) -> bool {
    let Some(usage) = ingredient.material.usage_in(&context.formula.products) else { return true };
    let Some(low) = &usage.range.low else { return true };
    let mut sum = Exact::ZERO;
    for same in all.iter().filter(|other| other.material.id == ingredient.material.id) {
        let Some(percent) = &same.percent else { return true };
        sum = &sum + percent;
    }
    let strength =
        if usage.active { context.resolver.active_strength_of(&ingredient.material) } else { Some(Exact::HUNDRED) };
    strength.is_none_or(|strength| &sum.hundredth() * &strength >= *low)
}

fn clashes(formula: &Formula, ingredient: &Ingredient<'_>) -> bool {
    let Some((window, works)) = formula.sound_window().zip(ingredient.material.works_in.as_ref()) else {
        return false;
    };
    !window.meets(works)
}

fn listed(microbes: &[Microbe]) -> String {
    let words: Vec<&str> = microbes.iter().map(|microbe| microbe.word()).collect();
    match words.split_last() {
        Some((last, [])) => (*last).to_string(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
        None => String::new(),
    }
}

/// What an acid preservative brings: the acid, all of it counted as acid, and the line that gives most.
struct Brought<'f> {
    acid: DeclId,
    preserves: Preserves,
    pka: Exact,
    percent: Exact,
    line: &'f Line,
    most: Exact,
}

/// An acid preservative of which less is free, at the upper edge of the window, than it takes. Where the material
/// itself says that part of the window is out of its pH, that is told of instead.
pub fn free_acids(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(window) = context.formula.sound_window().filter(|_| needs_preservation(context)) else { return };
    for brought in brought(context) {
        // A window without an upper edge reaches to where nothing is free.
        let share = window.high.as_ref().map_or(0.0, |high| free_share(high, &brought.pka));
        let (free, least) = (brought.percent.to_f64() * share, &brought.preserves.least);
        // No figure of how much is needed is surer than a tenth.
        if free >= 0.9 * least.to_f64() {
            continue;
        }
        let edge = window.high.as_ref().map_or("above any pH".to_string(), |high| format!("at pH {high}"));
        let message = format!(
            "`{}` has {} % of its acid free {edge}; it takes {least} % to preserve.",
            brought.line.name,
            figure(free)
        );
        let help = match highest(&brought.percent, &brought.pka, least) {
            Some(ph) => format!(
                "Bring the upper edge of the window to pH {ph} or under, or choose a preservative that works here."
            ),
            None => "Even in strong acid there is too little of it: raise it within its usage.".to_string(),
        };
        faults.push(
            Diagnostic::new(Code::PreservativeFreeAcid, brought.line.mark, message)
                .and(window.place, "the window")
                .rests_on(brought.preserves.place)
                .help(help)
                .source(brought.preserves.source.as_ref().map(ToString::to_string)),
        );
    }
}

/// The highest pH, in whole tenths, at which enough of an acid is free.
fn highest(percent: &Exact, pka: &Exact, least: &Exact) -> Option<Exact> {
    (0..=140)
        .rev()
        .map(|tenths| Exact::ratio(tenths, 10))
        .find(|ph| percent.to_f64() * free_share(ph, pka) >= least.to_f64())
}

/// Two significant digits of a small figure.
fn figure(value: f64) -> String {
    let millionths = Exact::ratio((value * 1e9).round() as i64, 1_000_000_000);
    millionths.to_significant(2)
}

/// The acids that the preservatives of a formula bring, each with its salts. Those of which the most there may be is
/// not known are left out, and so is what comes from a material whose own pH tells the fault.
fn brought<'l>(context: &CheckContext<'l, '_>) -> Vec<Brought<'l>> {
    let mut all: Vec<Brought<'l>> = Vec::new();
    for ingredient in context.ingredients().iter().filter(|ingredient| ingredient.has_role(Role::Preservative)) {
        if is_out_of_its_ph(context.formula, ingredient) {
            continue;
        }
        // In a blend with one that preserves by itself the acid is a help, and what it takes alone is no measure of it.
        if ingredient.material.contains.iter().any(|component| preserves_otherwise(context, component.substance)) {
            continue;
        }
        let Some(percent) = &ingredient.percent else { continue };
        for component in ingredient.material.contains.iter().filter(|component| !component.undisclosed) {
            let Some((acid, (preserves, pka), factor)) = preserving_acid(context.resolver, component.substance) else {
                continue;
            };
            let more = &(&percent.hundredth() * &component.strength.high) * &factor;
            match all.iter_mut().find(|brought| brought.acid == acid) {
                Some(brought) => {
                    brought.percent = &brought.percent + &more;
                    if more > brought.most {
                        (brought.line, brought.most) = (ingredient.line, more);
                    }
                }
                None => {
                    all.push(Brought {
                        acid,
                        preserves,
                        pka,
                        percent: more.clone(),
                        line: ingredient.line,
                        most: more,
                    });
                }
            }
        }
    }
    all
}

/// Whether a substance is sold as a preservative by its own name and is no acid that preserves, nor a salt of one.
fn preserves_otherwise(context: &CheckContext<'_, '_>, id: DeclId) -> bool {
    if preserving_acid(context.resolver, id).is_some() {
        return false;
    }
    let name = context.resolver.substance_name(id);
    let scopes = &context.resolver.scopes;
    let material = scopes.find_or_on_shelf(context.formula.id.file, NameSet::Weighable, &name);
    let material = material.and_then(|id| context.resolver.material(id));
    material.is_some_and(|material| material.roles.contains(&Role::Preservative))
}

fn is_out_of_its_ph(formula: &Formula, ingredient: &Ingredient<'_>) -> bool {
    let Some((window, works)) = formula.sound_window().zip(ingredient.material.works_in.as_ref()) else {
        return false;
    };
    !window.lies_within(works)
}

/// The preserving acid that a substance is, or is a salt of, how it preserves, and the factor that counts it as that.
fn preserving_acid(resolver: &Resolver<'_>, id: DeclId) -> Option<(DeclId, (Preserves, Exact), Exact)> {
    if let Some(known) = resolver.preserving_acid(id) {
        return Some((id, known, Exact::ONE));
    }
    let of = resolver.substance(id)?.salt.as_ref()?.of;
    Some((of, resolver.preserving_acid(of)?, resolver.counts_as(id, of)??))
}

/// Much water, a material that metals spoil, and nothing that binds metals.
pub fn chelator(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    let Some(water) = context.water().filter(|_| !formula.is_stock() && formula.lacks(HeaderLine::Product)) else {
        return;
    };
    if water.low <= Exact::whole(MUCH_WATER) || formula.has_role(Role::Chelator) {
        return;
    }
    let tender = |ingredient: &Ingredient<'_>| {
        let first = ingredient.material.contains.first();
        first.is_some_and(|component| context.resolver.spoils_with_metals(component.substance))
    };
    let Some(ingredient) = context.ingredients().iter().find(|ingredient| tender(ingredient)) else { return };
    let message = format!("Metals spoil {}, and nothing here binds them.", ingredient.named());
    faults.push(
        Diagnostic::new(Code::ChelatorMissing, ingredient.line.place, message)
            .help("Add a chelator: 0.05 to 0.2 % of the EDTA or phytate kind is usual. Use purified water."),
    );
}
