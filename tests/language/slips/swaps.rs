//! A material in the place of another that does not belong there, and a phase made too hot for what is in it.

use super::edit::{Slip, put, put_at};
use super::view::{Row, View};
use std::sync::Arc;
use stillroom::model::{Avoided, LineMaterial, Material};
use stillroom::quantity::Exact;
use stillroom::syntax::tree::{Expression, PhaseStatement};
use stillroom::syntax::vocabulary::{Charge, MaterialPhase, Role};

/// The lines that can be swapped: raw materials with a percentage.
fn rows<'v>(view: &View<'v>) -> Vec<Row<'v>> {
    view.own_rows().into_iter().filter(|row| row.material().is_some() && row.percent().is_some()).collect()
}

/// Every line with the first material in sight that fits, put in its place.
fn swaps(view: &View<'_>, fits: impl Fn(&Row<'_>, &Material) -> bool) -> Vec<Slip> {
    let rows = rows(view);
    if rows.is_empty() {
        return Vec::new();
    }
    let visible = view.visible();
    let swapped = |row: &Row<'_>| {
        let new = visible.iter().find(|material| !view.has(&material.name) && fits(row, material))?;
        Some(view.swapped(row, &new.name))
    };
    rows.iter().filter_map(swapped).collect()
}

/// A material with a charge that another line is said to be kept apart from.
pub fn opposite_charge(view: &View<'_>) -> Vec<Slip> {
    swaps(view, |row, material| {
        let mut others = view.formula.lines.iter().filter(|line| line.place != row.line.place);
        others.any(|line| match &line.material {
            Some(LineMaterial::Material(other)) => shuns(view, material, other) || shuns(view, other, material),
            _ => false,
        })
    })
}

/// Whether one is to be kept apart from the other by its charge, whatever the amount and the pH.
fn shuns(view: &View<'_>, one: &Material, other: &Material) -> bool {
    let always = one.avoids.iter().filter(|avoid| avoid.above.is_none() && avoid.outside.is_none());
    always.flat_map(|avoid| &avoid.with).any(|with| match with {
        Avoided::Charge(charge) => has_charge(view, other, *charge),
        _ => false,
    })
}

fn has_charge(view: &View<'_>, material: &Material, charge: Charge) -> bool {
    let parts = material.contains.iter().filter_map(|part| view.resolver.substance(part.substance));
    parts.into_iter().any(|substance| substance.charge == Some(charge))
}

/// An oil in the place of something in a watery phase, where nothing joins the two.
pub fn another_phase(view: &View<'_>) -> Vec<Slip> {
    // A little oil goes into the micelles of what cleanses, too.
    let roles = [Role::Emulsifier, Role::Solubiliser, Role::Surfactant];
    let joined = roles.into_iter().any(|role| view.formula.has_role(role));
    swaps(view, |row, material| {
        let oil = material.phase == Some(MaterialPhase::Oil) && material.roles == [Role::Emollient];
        oil && !joined && is_watery_without(view, row)
    })
}

/// Whether the phase of a line is more than half water without the line.
fn is_watery_without(view: &View<'_>, row: &Row<'_>) -> bool {
    let (mut water, mut all) = (Exact::ZERO, Exact::ZERO);
    for line in view.formula.lines.iter().filter(|line| line.phase == row.line.phase) {
        let Some(percent) = &line.percent else { continue };
        all = &all + percent;
        let wet = matches!(&line.material, Some(LineMaterial::Material(material)) if material.name == "water");
        if wet && line.place != row.line.place {
            water = &water + percent;
        }
    }
    &water * &Exact::whole(2) > all
}

/// A material that bears less heat than its phase has.
pub fn lower_heat_limit(view: &View<'_>) -> Vec<Slip> {
    swaps(view, |row, material| {
        let heat = heat_of(view, row.line.phase);
        heat.zip(material.stays_below.as_ref()).is_some_and(|(heat, limit)| heat > limit.celsius)
    })
}

/// How hot a phase is: as it says, or as the last one left it.
fn heat_of(view: &View<'_>, phase: usize) -> Option<Exact> {
    let so_far = view.formula.phases.iter().take(phase + 1).rev();
    so_far.filter_map(|phase| phase.cool.as_ref().or(phase.heat.as_ref())).map(|(heat, _)| heat.clone()).next()
}

/// A material that works at a pH the window does not reach.
pub fn another_ph(view: &View<'_>) -> Vec<Slip> {
    let Some(window) = view.formula.window.as_ref() else { return Vec::new() };
    let over = |low: &Option<Exact>, high: &Option<Exact>| matches!((low, high), (Some(low), Some(high)) if low > high);
    swaps(view, |_, material| {
        let works = material.works_in.as_ref();
        works.is_some_and(|works| over(&window.low, &works.high) || over(&works.low, &window.high))
    })
}

/// A phase a degree hotter than what one of its materials has to stay below.
pub fn heated_over_a_limit(view: &View<'_>) -> Vec<Slip> {
    let heated = |row: Row<'_>| {
        let limit = &row.material()?.stays_below.as_ref()?.celsius;
        let phase = view.phases.iter().find(|phase| phase.span.holds(row.written.span))?;
        let heat = limit + &Exact::ONE;
        let heat = format!("{} °C", heat.to_fixed(heat.decimals()?));
        let written = phase.statements.iter().find_map(|statement| match statement {
            PhaseStatement::Heat(heat) | PhaseStatement::Cool(heat) => Some(heat),
            _ => None,
        });
        Some(match written.map(Expression::span) {
            Some(span) => vec![put(span, heat)],
            None => {
                let at = row.written.span.range().start;
                vec![put_at(at..at, format!("heat to {heat}\n    "))]
            }
        })
    };
    view.own_rows().into_iter().filter_map(heated).collect()
}

/// A step that still names what another line has taken the place of.
pub fn step_names_what_is_gone(view: &View<'_>) -> Vec<Slip> {
    let named: Vec<Row<'_>> = rows(view).into_iter().filter(|row| view.is_in_steps(&row.line.name)).collect();
    if named.is_empty() {
        return Vec::new();
    }
    let visible: Vec<Arc<Material>> = view.visible();
    let swapped = |row: &Row<'_>| {
        let new = visible.iter().find(|material| !view.has(&material.name))?;
        Some(vec![put(row.line.place.span, new.name.as_str())])
    };
    named.iter().filter_map(swapped).collect()
}
