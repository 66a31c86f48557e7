//! Where water needs no preservative: which of the exemptions holds. None is a challenge test.

use super::contents::Ingredient;
use super::foreseen::Forecast;
use crate::model::Formula;
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::syntax::vocabulary::MaterialPhase;

/// Percent of ethanol in the water phase from which it preserves itself.
pub const ETHANOL: i64 = 20;
/// The pH at which and below which nothing grows, and that at which and above which nothing does.
pub const ACID_ENOUGH: i64 = 3;
/// The other of the two.
pub const ALKALINE_ENOUGH: i64 = 10;

/// Why no preservative is asked for.
#[derive(Clone, Debug, PartialEq)]
pub enum Exemption {
    /// It is for the bench.
    Stock,
    /// The water phase is so much ethanol, in percent.
    Spirit(Exact),
    /// The whole window is this acid, or more.
    Acid(Exact),
    /// The whole window is this alkaline, or more.
    Alkaline(Exact),
    /// Without a window, the pH foreseen is this acid at the most.
    ForeseenAcid(f64),
    /// Without a window, the pH foreseen is this alkaline at the least.
    ForeseenAlkaline(f64),
    /// Its water activity.
    Dry(Exact),
}

/// The exemption that shows without a forecast.
pub fn at_once(formula: &Formula, ethanol: Option<&Interval>, ingredients: &[Ingredient<'_>]) -> Option<Exemption> {
    if formula.is_stock() {
        return Some(Exemption::Stock);
    }
    spirit(ethanol, ingredients).or_else(|| beyond_growth(formula)).or_else(|| dry(formula))
}

/// The water activity at which, and below which, nothing grows.
pub fn dry_enough() -> Exact {
    Exact::ratio(3, 4)
}

fn dry(formula: &Formula) -> Option<Exemption> {
    formula.water_activity.clone().filter(|activity| *activity <= dry_enough()).map(Exemption::Dry)
}

/// A window wholly at pH 3 or under, or at 10 or over.
fn beyond_growth(formula: &Formula) -> Option<Exemption> {
    let window = formula.sound_window()?;
    let acid = window.high.clone().filter(|high| *high <= Exact::whole(ACID_ENOUGH)).map(Exemption::Acid);
    let alkaline = || window.low.clone().filter(|low| *low >= Exact::whole(ALKALINE_ENOUGH)).map(Exemption::Alkaline);
    acid.or_else(alkaline)
}

/// Without a window, a pH foreseen at 3 or under, or at 10 or over, with all that is not sure of it.
pub fn foreseen(resolver: &Resolver<'_>, formula: &Formula, forecast: Option<Forecast<'_>>) -> Option<Exemption> {
    let (acid, alkaline) = (ACID_ENOUGH as f64, ALKALINE_ENOUGH as f64);
    let seen = forecast.filter(|_| formula.window.is_none() && formula.adjusters().next().is_none())?;
    let ph = seen.before.ph;
    if ph > acid && ph < alkaline {
        return None;
    }
    let uncertainty = seen.uncertainty(resolver, formula, &seen.solution.rest, seen.before).all;
    match (ph + uncertainty, ph - uncertainty) {
        (most, _) if most <= acid => Some(Exemption::ForeseenAcid(most)),
        (_, least) if least >= alkaline => Some(Exemption::ForeseenAlkaline(least)),
        _ => None,
    }
}

/// Whether the pH of a formula without a window may be 10 or over, by the upper end of what is foreseen.
pub fn may_be_alkaline(resolver: &Resolver<'_>, formula: &Formula, forecast: Option<Forecast<'_>>) -> bool {
    let none_stated = formula.window.is_none() && formula.adjusters().next().is_none();
    forecast
        .filter(|_| none_stated)
        .is_some_and(|seen| seen.before.ph + seen.give_on_the_sheet(resolver, formula) >= ALKALINE_ENOUGH as f64)
}

/// 20 % of ethanol or more in the water phase, which is all that does not belong into the oil or among the powders.
fn spirit(ethanol: Option<&Interval>, ingredients: &[Ingredient<'_>]) -> Option<Exemption> {
    let ethanol = ethanol.filter(|ethanol| ethanol.low.is_positive())?;
    let outside = ingredients
        .iter()
        .filter(|ingredient| matches!(ingredient.material.phase, Some(MaterialPhase::Oil | MaterialPhase::Powder)));
    let outside: Exact = outside.filter_map(|ingredient| ingredient.percent.clone()).sum();
    let share = (&ethanol.low * &Exact::HUNDRED).over(&(&Exact::HUNDRED - &outside))?;
    (share >= Exact::whole(ETHANOL)).then_some(Exemption::Spirit(share))
}
