//! Where water is, and nothing that preserves it is asked for: which of the exemptions holds. None is a challenge test.

use super::CheckContext;
use super::contents::{ethanol, is_wet};
use super::window::sound;
use crate::model::Formula;
use crate::quantity::Exact;
use crate::syntax::vocabulary::{MaterialPhase, Role};

/// Percent of ethanol in the water phase from which it preserves itself.
const ETHANOL: i64 = 20;
/// The pH at which and below which nothing grows, and that at which and above which nothing does.
const ACID_ENOUGH: i64 = 3;
const ALKALINE_ENOUGH: i64 = 10;

/// Why no preservative is asked for.
#[derive(Clone, Debug, PartialEq)]
enum Exemption {
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

/// Whether there is water that something has to preserve: not in a stock, and not where nothing grows. False also
/// where that cannot be known.
pub fn needs_preservation(context: &CheckContext<'_, '_>) -> bool {
    is_judged(context) && is_watery(context) && exemption(context).is_none()
}

/// The sentence of a sheet for a formula that has water and nothing to preserve it, and is not asked for any.
pub fn unpreserved(context: &CheckContext<'_, '_>) -> Option<String> {
    let bare = is_judged(context) && is_watery(context) && !context.formula.has_role(Role::Preservative);
    let why = match exemption(context).filter(|_| bare)? {
        Exemption::Stock => "this is a stock for the bench".to_string(),
        Exemption::Spirit(share) => {
            format!("ethanol is {} % of the water phase, {ETHANOL} % or more", share.to_significant(3))
        }
        Exemption::Acid(high) => format!("all of the window, up to pH {high}, is at {ACID_ENOUGH} or under"),
        Exemption::Alkaline(low) => format!("all of the window, from pH {low}, is at {ALKALINE_ENOUGH} or over"),
        Exemption::ForeseenAcid(most) => format!("its pH is foreseen at {most:.1} at the most, {ACID_ENOUGH} or under"),
        Exemption::ForeseenAlkaline(least) => {
            format!("its pH is foreseen at {least:.1} at the least, {ALKALINE_ENOUGH} or over")
        }
        Exemption::Dry(activity) => format!("its water activity of {activity} is {} or under", dry_enough()),
    };
    Some(format!("No preservative is in it and none is asked for: {why}."))
}

/// Whether what the exemptions hang on is known. A header line that is at fault is told of as that.
fn is_judged(context: &CheckContext<'_, '_>) -> bool {
    let formula = context.formula;
    let window_at_fault = match &formula.window {
        Some(window) => sound(Some(window)).is_none(),
        None => !formula.lacks("pH"),
    };
    let activity_at_fault = !formula.lacks("water-activity") && formula.water_activity.is_none();
    formula.lacks("product") && formula.composition.is_some() && !activity_at_fault && !window_at_fault
}

fn is_watery(context: &CheckContext<'_, '_>) -> bool {
    context.ingredients().iter().any(|ingredient| is_wet(context.resolver, &ingredient.material))
}

fn exemption(context: &CheckContext<'_, '_>) -> Option<Exemption> {
    if context.formula.is_stock() {
        return Some(Exemption::Stock);
    }
    spirit(context)
        .or_else(|| beyond_growth(context.formula))
        .or_else(|| dry(context.formula))
        .or_else(|| forecast(context))
}

/// The water activity at which, and below which, nothing grows.
fn dry_enough() -> Exact {
    Exact::ratio(3, 4)
}

fn dry(formula: &Formula) -> Option<Exemption> {
    formula.water_activity.clone().filter(|activity| *activity <= dry_enough()).map(Exemption::Dry)
}

/// A window wholly at pH 3 or under, or at 10 or over.
fn beyond_growth(formula: &Formula) -> Option<Exemption> {
    let window = sound(formula.window.as_ref())?;
    let acid = window.high.clone().filter(|high| *high <= Exact::whole(ACID_ENOUGH)).map(Exemption::Acid);
    let alkaline = || window.low.clone().filter(|low| *low >= Exact::whole(ALKALINE_ENOUGH)).map(Exemption::Alkaline);
    acid.or_else(alkaline)
}

/// Without a window, a pH foreseen at 3 or under, or at 10 or over, with all that is not sure of it.
fn forecast(context: &CheckContext<'_, '_>) -> Option<Exemption> {
    let (acid, alkaline) = (ACID_ENOUGH as f64, ALKALINE_ENOUGH as f64);
    let seen = context
        .forecast()
        .filter(|_| context.formula.window.is_none() && context.formula.adjusters().next().is_none())?;
    let ph = seen.before.ph;
    if ph > acid && ph < alkaline {
        return None;
    }
    let uncertainty = seen.uncertainty(context, &seen.beaker.rest, seen.before).all;
    match (ph + uncertainty, ph - uncertainty) {
        (most, _) if most <= acid => Some(Exemption::ForeseenAcid(most)),
        (_, least) if least >= alkaline => Some(Exemption::ForeseenAlkaline(least)),
        _ => None,
    }
}

/// 20 % of ethanol or more in the water phase, which is all that does not belong into the oil or among the powders.
fn spirit(context: &CheckContext<'_, '_>) -> Option<Exemption> {
    let ethanol = ethanol(context).filter(|ethanol| ethanol.low.is_positive())?;
    let outside = context
        .ingredients()
        .iter()
        .filter(|ingredient| matches!(ingredient.material.phase, Some(MaterialPhase::Oil | MaterialPhase::Powder)));
    let outside: Exact = outside.filter_map(|ingredient| ingredient.percent.clone()).sum();
    let share = (&ethanol.low * &Exact::HUNDRED).over(&(&Exact::HUNDRED - &outside))?;
    (share >= Exact::whole(ETHANOL)).then_some(Exemption::Spirit(share))
}
