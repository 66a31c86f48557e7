//! Slips in the pH window, in what brings the formula into it, and in what is held back for that.

use super::edit::{Slip, put, put_at};
use super::view::{Row, View};
use std::sync::Arc;
use stillroom::diagnostic::Span;
use stillroom::model::{AcidBase, DeclId, Formula, LineAmount, LineMaterial, Material, PhRange};
use stillroom::quantity::Exact;
use stillroom::resolve::NameSet;
use stillroom::syntax::tree::{HeaderField, Item, WrittenRange};
use stillroom::syntax::vocabulary::Role;

fn window<'v>(view: &View<'v>) -> Option<(&'v WrittenRange, Span)> {
    view.header(|field| match field {
        HeaderField::Window(range) => Some(&**range),
        _ => None,
    })
}

fn adjusters<'v>(view: &View<'v>) -> Vec<Row<'v>> {
    view.own_rows().into_iter().filter(|row| row.line.amount == LineAmount::AtBench).collect()
}

/// The window gone from a formula that is adjusted.
pub fn adjuster_without_window(view: &View<'_>) -> Vec<Slip> {
    let adjusted = !adjusters(view).is_empty();
    window(view).filter(|_| adjusted).map(|(_, line)| vec![view.without(line)]).into_iter().collect()
}

/// The adjuster gone from a formula that holds water back for it, in the steps too.
pub fn window_without_adjuster(view: &View<'_>) -> Vec<Slip> {
    let rows = adjusters(view);
    let gone = |row: &Row<'_>| {
        let mut slip = view.unmarked(&row.line.name);
        slip.push(view.without(row.written.span));
        slip
    };
    match rows.as_slice() {
        [only] if window(view).is_some() => vec![gone(only)],
        _ => Vec::new(),
    }
}

/// The adjuster gone, and what was held back for it with it.
pub fn window_out_of_reach(view: &View<'_>) -> Vec<Slip> {
    let mut slips = window_without_adjuster(view);
    let held: Vec<Span> = reserves(view).into_iter().map(|(_, span)| span).collect();
    slips.iter_mut().for_each(|slip| slip.extend(held.iter().map(|span| put(*span, ""))));
    slips
}

/// The edges of the window the wrong way round.
pub fn window_reversed(view: &View<'_>) -> Vec<Slip> {
    let Some((range, _)) = window(view) else { return Vec::new() };
    let (Some(low), Some(high)) = (&range.low, &range.high) else { return Vec::new() };
    let (low, high) = (low.span(), high.span());
    if view.at(low) == view.at(high) {
        return Vec::new();
    }
    vec![vec![put(low, view.at(high)), put(high, view.at(low))]]
}

/// An edge of the window moved a whole pH past that of the preservative.
pub fn window_past_the_preservative(view: &View<'_>) -> Vec<Slip> {
    let Some((range, _)) = window(view).filter(|_| !view.formula.is_stock()) else { return Vec::new() };
    let moved = |works: &PhRange| {
        let up = range.high.as_ref().zip(works.high.as_ref()).map(|(edge, high)| (edge, high + &Exact::ONE));
        let down = range.low.as_ref().zip(works.low.as_ref()).map(|(edge, low)| (edge, low - &Exact::ONE));
        let slip = |(edge, ph): (&stillroom::syntax::tree::Expression, Exact)| vec![put(edge.span(), ph.to_fixed(2))];
        up.map(slip).into_iter().chain(down.map(slip)).collect::<Vec<Slip>>()
    };
    let bound: Vec<PhRange> = view.preservatives().iter().filter_map(|row| row.material()?.works_in.clone()).collect();
    bound.iter().flat_map(moved).collect()
}

/// An adjuster that moves the pH the other way.
pub fn adjuster_the_wrong_way(view: &View<'_>) -> Vec<Slip> {
    let swapped = |row: &Row<'_>| {
        let way = way_of(view, row.line.material.as_ref()?)?;
        Some(view.renamed(&row.line.name, &opposite(view, way)?))
    };
    adjusters(view).iter().filter_map(swapped).collect()
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Direction {
    Up,
    Down,
}

fn way_of(view: &View<'_>, material: &LineMaterial) -> Option<Direction> {
    match material {
        LineMaterial::Material(material) => material_way(view, material),
        LineMaterial::Premix(premix) => formula_way(view, premix),
    }
}

fn material_way(view: &View<'_>, material: &Arc<Material>) -> Option<Direction> {
    material.contains.iter().find_map(|part| substance_way(view, part.substance))
}

fn formula_way(view: &View<'_>, premix: &Formula) -> Option<Direction> {
    premix.composition.as_ref()?.parts.keys().find_map(|part| substance_way(view, *part))
}

fn substance_way(view: &View<'_>, id: DeclId) -> Option<Direction> {
    match view.resolver.substance(id)?.acid_base {
        Some(AcidBase::Acid(_) | AcidBase::StrongAcid) => Some(Direction::Down),
        Some(AcidBase::Base(_) | AcidBase::StrongBase) => Some(Direction::Up),
        _ => None,
    }
}

/// The first adjuster in sight that moves the other way: a material, or a stock that is nothing but one in water.
fn opposite(view: &View<'_>, way: Direction) -> Option<String> {
    let file = view.formula.id.file;
    let names = view.resolver.scopes.visible(file, NameSet::Weighable);
    let adjusts = |name: &&str| {
        let Some(id) = view.resolver.scopes.find(file, NameSet::Weighable, name) else { return false };
        let other = match view.resolver.scopes.item(id) {
            Some(Item::Material(_)) => view
                .resolver
                .material(id)
                .filter(|material| material.roles.first() == Some(&Role::PhAdjuster))
                .and_then(|material| material_way(view, &material)),
            Some(Item::Formula(_)) => view
                .resolver
                .formula(id)
                .filter(|made| made.formula.is_stock() && made.formula.lines.len() == 2)
                .and_then(|made| formula_way(view, &made.formula)),
            _ => None,
        };
        !view.has(name) && other.is_some_and(|other| other != way)
    };
    names.into_iter().find(adjusts).map(str::to_string)
}

/// Each line that holds something back while something is adjusted.
fn reserves<'v>(view: &View<'v>) -> Vec<(Row<'v>, Span)> {
    if adjusters(view).is_empty() {
        return Vec::new();
    }
    let rows = view.own_rows().into_iter();
    rows.filter_map(|row| row.written.tail.hold_back.as_deref().map(|(_, span)| (row, *span))).collect()
}

/// Nothing held back for the adjuster.
pub fn reserve_left_out(view: &View<'_>) -> Vec<Slip> {
    let all = reserves(view);
    if all.len() != 1 { Vec::new() } else { all.iter().map(|(_, span)| vec![put(*span, "")]).collect() }
}

/// More held back than the line has.
pub fn reserve_over_its_line(view: &View<'_>) -> Vec<Slip> {
    let over = |(row, span): &(Row<'_>, Span)| {
        let more = (row.line.percent.as_ref()? + &Exact::ONE).up_to_step(&Exact::ratio(1, 10));
        Some(vec![put(*span, format!("hold back {} %", more.to_fixed(1)))])
    };
    reserves(view).iter().filter_map(over).collect()
}

/// So little held back that no adjuster comes out of it.
pub fn reserve_too_small(view: &View<'_>) -> Vec<Slip> {
    reserves(view).iter().map(|(_, span)| vec![put_at(span.range(), "hold back 0.01 %")]).collect()
}
