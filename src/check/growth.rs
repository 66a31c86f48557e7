//! Whether there is water that something has to preserve, and why not where nothing is asked for.

use super::context::CheckContext;
use super::exemption::{ACID_ENOUGH, ALKALINE_ENOUGH, ETHANOL, Exemption, dry_enough};
use crate::model::HeaderLine;
use crate::syntax::vocabulary::Role;

/// Whether there is water that something has to preserve: not in a stock, and not where nothing grows. False also
/// where that cannot be known.
pub fn needs_preservation(context: &CheckContext<'_, '_>) -> bool {
    is_judged(context) && context.is_watery() && context.exemption().is_none()
}

/// The sentence of a sheet for a formula that has water and nothing to preserve it, and is not asked for any.
pub fn unpreserved(context: &CheckContext<'_, '_>) -> Option<String> {
    let bare = is_judged(context) && context.is_watery() && !context.formula.has_role(Role::Preservative);
    if !bare {
        return None;
    }
    let why = match context.exemption()? {
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
        Some(window) => window.is_reversed(),
        None => !formula.lacks(HeaderLine::Ph),
    };
    let activity_at_fault = !formula.lacks(HeaderLine::WaterActivity) && formula.water_activity.is_none();
    formula.lacks(HeaderLine::Product) && formula.composition.is_some() && !activity_at_fault && !window_at_fault
}
