//! What is said of the reading itself: on which day the rules were read, and what changes next.

use crate::model::Formula;
use crate::resolve::Resolver;
use crate::sheet::BatchOrder;
use crate::shelf;
use crate::syntax::vocabulary::Market;

/// One sentence or two on which rules were read and on which day; none where no market has rules on the shelf and
/// no rule at home has a date.
pub fn remark(resolver: &Resolver<'_>, formula: &Formula, order: &BatchOrder) -> Option<String> {
    let markets: Vec<&str> = match formula.is_stock() {
        true => Vec::new(),
        false => {
            let known = formula.markets.iter().filter(|(market, _)| shelf::has_rules(*market));
            known.map(|(market, _)| market.word()).collect()
        }
    };
    let mut days: Vec<(Option<String>, Option<String>)> = resolver
        .home_rules(formula)
        .filter(|rule| rule.from.is_some() || rule.until.is_some())
        .map(|rule| (rule.from.as_ref().map(ToString::to_string), rule.until.as_ref().map(ToString::to_string)))
        .collect();
    if markets.is_empty() && days.is_empty() {
        return None;
    }
    if !formula.is_stock() {
        let sold: Vec<Market> = formula.markets.iter().map(|(market, _)| *market).collect();
        days.extend(shelf::days_of(&sold).map(|(from, until)| (from.map(str::to_string), until.map(str::to_string))));
    }
    let (day, who) = order.day(formula);
    let of = if markets.is_empty() { String::new() } else { format!(" of {}", markets.join(", ")) };
    Some(format!("Rules{of} as on {day} ({who}); {}. This is no safety assessment.", next(&days, &day)))
}

/// What changes next after a day.
fn next(days: &[(Option<String>, Option<String>)], day: &str) -> String {
    let starts = |from: &&String| from.as_str() > day;
    let ends = |until: &&String| until.as_str() >= day;
    let first = days.iter().filter_map(|(from, _)| from.as_ref()).filter(starts).min();
    let last = days.iter().filter_map(|(_, until)| until.as_ref()).filter(ends).min();
    let rules = |count: usize, one: &str, many: &str| match count {
        1 => format!("1 rule {one}"),
        count => format!("{count} rules {many}"),
    };
    match (first, last) {
        (Some(first), last) if last.is_none_or(|last| first <= last) => {
            let count = days.iter().filter(|(from, _)| from.as_ref() == Some(first)).count();
            format!("next, {} on {first}", rules(count, "comes into force", "come into force"))
        }
        (_, Some(last)) => {
            let count = days.iter().filter(|(_, until)| until.as_ref() == Some(last)).count();
            format!("next, {} after {last}", rules(count, "ends", "end"))
        }
        _ => "no later change is known".to_string(),
    }
}
