//! What polymers bear before they collapse: salt of every kind together, and alcohol.

use super::contents::Ingredient;
use super::context::CheckContext;
use super::foreseen::{MODEL, window};
use super::liquids::Liquids;
use crate::chemistry::{AcidFamily, Equilibrium, Mixture, equilibrium, species};
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::{AcidBase, Line};
use crate::quantity::Exact;
use crate::resolve::substance_of;
use crate::syntax::vocabulary::Borne;

/// The molar mass of sodium chloride in g/mol: CRC Handbook of Chemistry and Physics.
const SODIUM_CHLORIDE: f64 = 58.44;
/// The part of all the salt from which a line is named (common practice, no source).
const NAMED_FROM: f64 = 0.1;

/// More salt, or more alcohol, than a polymer bears.
pub fn collapse(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if !context.formula.total_known {
        return;
    }
    let mut told = Vec::new();
    for ingredient in context.ingredients().iter().filter(|ingredient| !ingredient.material.bears.is_empty()) {
        if told.contains(&ingredient.material.id) {
            continue;
        }
        told.push(ingredient.material.id);
        for (borne, most, place) in &ingredient.material.bears {
            faults.extend(match borne {
                Borne::Salt => too_salty(context, ingredient, most, *place),
                Borne::Alcohol => too_strong(context, ingredient, most, *place),
            });
        }
    }
}

fn too_salty(
    context: &CheckContext<'_, '_>,
    ingredient: &Ingredient<'_>,
    most: &Exact,
    place: Place,
) -> Option<Diagnostic> {
    let load = salt_load(context)?;
    if load <= most.to_f64() {
        return None;
    }
    let message = format!(
        "{} bears {most} % of salt, and all that is salt here comes to {}, reckoned as sodium chloride.",
        ingredient.named(),
        percent(load)
    );
    let fault = Diagnostic::new(Code::AvoidTogether, ingredient.line.place, message)
        .and(place, "the material says so")
        .rests_on(place);
    let fault =
        salty_lines(context, ingredient).into_iter().fold(fault, |fault, line| fault.and(line.place, "brings salt"));
    Some(fault.help("Bring in less of what brings salt, or take a thickener that bears it."))
}

/// The salt of a batch as sodium chloride, in percent of it: what its ionic strength comes to once the pH is in the
/// window. The ions of an acid or a base that nothing has neutralised are none of a salt: they go to the polymer. Nor are
/// the polymer's own groups, and what neutralises them.
fn salt_load(context: &CheckContext<'_, '_>) -> Option<f64> {
    let seen = context.forecast()?;
    let adjusted = window(context.formula).and_then(|window| {
        let leading = seen.leading(&window).next()?;
        let mixture = leading.direction.adjuster.at(leading.middle.or(leading.near)?);
        let state = equilibrium(&mixture, MODEL)?;
        Some(load(context, &mixture, &state))
    });
    Some(adjusted.unwrap_or_else(|| load(context, &seen.solution.rest, seen.before)))
}

/// The same of a mixture of 100 g, so that grams in it are percent.
fn load(context: &CheckContext<'_, '_>, mixture: &Mixture, state: &Equilibrium) -> f64 {
    let unneutralised = 10f64.powf(state.ph - 14.0) + 10f64.powf(-state.ph);
    let is_group = |id: u64| {
        let substance = context.resolver.substance(substance_of(id));
        matches!(substance.as_ref().and_then(|of| of.acid_base.as_ref()), Some(AcidBase::Groups(_)))
    };
    let families = mixture.families.iter().zip(species(mixture, state, MODEL));
    let groups = families.filter(|(family, _)| is_group(family.id)).flat_map(|(_, states)| states);
    // Each charged group with the ion beside it is one part of the ionic strength.
    let own: f64 = groups.map(|(charge, molality)| charge.abs() * molality).sum();
    (state.ionic_strength - unneutralised - own).max(0.0) * state.water_kg * SODIUM_CHLORIDE
}

/// The lines that bring ions, the most first; of what is weighed at the bench nobody knows how much.
fn salty_lines<'f>(context: &CheckContext<'f, '_>, polymer: &Ingredient<'_>) -> Vec<&'f Line> {
    let charges = |line: &Line| {
        let of = context.resolver.line_in_water(line)?;
        let ions: f64 = of.mixture.ions.iter().map(|ion| ion.moles * ion.charge * ion.charge).sum();
        let is_metal = |of: &&AcidFamily| of.constants.pka().is_empty();
        let metals = of.mixture.families.iter().filter(is_metal);
        let metals: f64 = metals.map(|of| of.moles * of.constants.top_charge().powi(2)).sum();
        Some((ions + metals) * line.percent.as_ref()?.to_f64())
    };
    let mut lines: Vec<(&Line, f64)> = context
        .formula
        .lines
        .iter()
        .filter(|line| line.place != polymer.line.place)
        .filter_map(|line| Some((line, charges(line).filter(|ions| *ions > 0.0)?)))
        .collect();
    let all: f64 = lines.iter().map(|(_, ions)| ions).sum();
    lines.sort_by(|(_, a), (_, b)| b.total_cmp(a));
    lines.into_iter().filter(|(_, ions)| *ions >= all * NAMED_FROM).map(|(line, _)| line).collect()
}

fn too_strong(
    context: &CheckContext<'_, '_>,
    ingredient: &Ingredient<'_>,
    most: &Exact,
    place: Place,
) -> Option<Diagnostic> {
    let liquids = Liquids::of(context);
    let outside = &(&liquids.fat.percent + &liquids.scent.percent) + &liquids.powder;
    let share = (&liquids.ethanol * &Exact::HUNDRED).over(&(&Exact::HUNDRED - &outside))?;
    if share <= *most {
        return None;
    }
    let message = format!(
        "{} bears {most} % of alcohol, and the water phase here is {} % alcohol: it drops out.",
        ingredient.named(),
        share.to_significant(3)
    );
    let spirits = context.formula.lines.iter().filter(|line| line.place != ingredient.line.place);
    let spirits = spirits.filter(|line| brings_alcohol(context, line));
    let fault = Diagnostic::new(Code::SolubilityOver, ingredient.line.mark, message);
    let fault = spirits.fold(fault, |fault, line| fault.and(line.mark, "the alcohol"));
    Some(
        fault.and(place, "the material says so").help(format!(
            "Bring the alcohol to {most} % of the water phase or under, or take a thickener that bears it."
        )),
    )
}

fn brings_alcohol(context: &CheckContext<'_, '_>, line: &Line) -> bool {
    context.ingredients().iter().filter(|ingredient| ingredient.line.place == line.place).any(|ingredient| {
        let parts = &ingredient.material.contains;
        parts.iter().any(|part| context.resolver.substance(part.substance).is_some_and(|of| of.is_ethanol()))
    })
}

/// Two significant digits of a percentage.
fn percent(value: f64) -> String {
    format!("{} %", super::foreseen::two_digits(value))
}
