//! The rules of the shelf by what they speak of, so that a formula parses only those that could bear on it.

use super::index::{RULE_KEYS, RULES, SUBSTANCE_KEYS};
use crate::syntax::vocabulary::Market;

/// Whether the shelf has rules of a market.
#[must_use]
pub fn has_rules(market: Market) -> bool {
    RULES.iter().any(|rule| rule.markets.contains(&market))
}

/// The market whose law another's grew out of: what is the law there has to be looked up here.
#[must_use]
pub fn grown_out_of(market: Market) -> Option<Market> {
    (market == Market::Uk).then_some(Market::Eu)
}

/// The numbers of the rules that speak of a CAS number or an INCI name in small letters.
#[must_use]
pub fn rules_by_key(key: &str) -> &'static [usize] {
    let found = RULE_KEYS.binary_search_by(|(known, _)| (*known).cmp(key)).ok();
    found.and_then(|at| RULE_KEYS.get(at)).map_or(&[], |(_, rules)| rules)
}

/// The substance of the shelf with a CAS number, or an INCI name in small letters.
#[must_use]
pub fn substance_by_key(key: &str) -> Option<u32> {
    let at = SUBSTANCE_KEYS.binary_search_by(|(known, _)| (*known).cmp(key)).ok()?;
    SUBSTANCE_KEYS.get(at).map(|(_, entry)| *entry)
}

/// The first and last days of the rules of some markets, where they have any. A rule of two of them is one rule.
pub fn days_of(sold: &[Market]) -> impl Iterator<Item = (Option<&'static str>, Option<&'static str>)> {
    let rules = RULES.iter().filter(|rule| rule.markets.iter().any(|market| sold.contains(market)));
    rules.map(|rule| (rule.from, rule.until))
}
