//! What is not checked of the markets a formula is sold in.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::HeaderLine;
use crate::shelf;
use crate::syntax::vocabulary::Product;

/// How many substances a message names.
const NAMED: usize = 6;

/// Markets that neither the shelf nor the house has rules of. Another's are never put in their stead.
pub fn unknown(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if context.formula.is_stock() {
        return;
    }
    for (market, place) in context.formula.markets.iter().filter(|(market, _)| !shelf::has_rules(*market)) {
        let mut own = context.resolver.home_rules(context.formula);
        if own.any(|rule| rule.markets.contains(market)) {
            continue;
        }
        let word = market.word();
        let message = format!("The shelf has no rules of `{word}`, so nothing is checked for it.");
        faults.push(Diagnostic::new(Code::MarketUnknown, *place, message).help(format!(
            "Leave the market in: it is where you sell. Look up its law, and write what binds you as a `rule` with \
             `market {word}` and its `source`."
        )));
    }
}

/// A market and no word on whether the product stays on or is rinsed off: limits that differ between the two are not asked.
pub fn kind_missing(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    let is_kind = |product: &Product| matches!(product, Product::LeaveOn | Product::RinseOff | Product::Stock);
    let Some((_, place)) = formula.markets.first() else { return };
    if !formula.lacks(HeaderLine::Product) || formula.products.iter().any(is_kind) {
        return;
    }
    let message = "Whether it stays on or is rinsed off is not said: limits that differ between the two are not asked.";
    faults.push(
        Diagnostic::new(Code::ProductKindMissing, *place, message)
            .help("Add `product leave-on` or `product rinse-off`, and where it goes: `product leave-on face`."),
    );
}

/// What the law that a market grew out of binds, and no rule of the market is known to.
pub fn in_part(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if formula.is_stock() || !formula.total_known {
        return;
    }
    let (day, _) = context.order.day(formula);
    for (market, place) in &formula.markets {
        let (Some(root), open) = (shelf::grown_out_of(*market), context.resolver.left_open(formula, *market, &day))
        else {
            continue;
        };
        if open.is_empty() {
            continue;
        }
        let mut names: Vec<String> =
            open.iter().take(NAMED).map(|part| format!("`{}`", context.resolver.substance_name(*part))).collect();
        if open.len() > NAMED {
            names.push(format!("and {} more", open.len() - NAMED));
        }
        let message = format!("Not checked for Great Britain: {}.", names.join(", "));
        faults.push(Diagnostic::new(Code::MarketInPart, *place, message).help(format!(
            "Rules of `{}` bind them, and no British one was found. Look them up, and write what you find as a `rule` \
             with `market {}` and its `source`.",
            root.word(),
            market.word()
        )));
    }
}
