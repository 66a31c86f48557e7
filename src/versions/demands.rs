//! What a formula asks of itself, what it allows, and the rules at home that bind it, in names and words.

use super::meaning::NamedText;
use super::words;
use crate::model::{Ask, Counting, Demand, Formula, Rule, When};
use crate::resolve::Resolver;

/// All that is asked of a formula beside the shelf's rules.
#[must_use]
pub fn stated(resolver: &Resolver<'_>, formula: &Formula) -> Vec<NamedText> {
    let named = |what: String, about: &str, says: String| NamedText { what, about: Some(about.to_string()), says };
    let mut all = Vec::new();
    for ensured in &formula.ensures {
        match &ensured.demand {
            Demand::Within { written, bound, .. } => all.push(named(written.clone(), "ensure", words::bound(bound))),
            Demand::Ph(bound) => all.push(named("pH".to_string(), "ensure", words::bound(bound))),
            Demand::Nothing => {}
        }
    }
    for allow in &formula.allows {
        let line = allow.line.and_then(|line| formula.lines.get(line));
        let says = line.map_or_else(|| "allowed".to_string(), |line| format!("allowed of {}", line.name));
        all.push(named(allow.code.to_string(), "allow", says));
    }
    let mut rules: Vec<NamedText> =
        resolver.home_rules(formula).map(|rule| named(rule.name.to_string(), "rule", rule_words(&rule))).collect();
    rules.sort_by(|a, b| a.what.cmp(&b.what));
    all.extend(rules);
    all
}

/// A rule in words: where, when, what. Why and on whose word is left out: it binds no less for that.
fn rule_words(rule: &Rule) -> String {
    let mut parts: Vec<String> = Vec::new();
    if !rule.markets.is_empty() {
        let mut markets: Vec<&str> = rule.markets.iter().map(|market| market.word()).collect();
        markets.sort_unstable();
        parts.push(format!("market {}", markets.join(" ")));
    }
    for set in &rule.products {
        parts.push(format!("product {}", set.iter().map(|word| word.word()).collect::<Vec<_>>().join(" ")));
    }
    parts.extend(rule.from.iter().map(|day| format!("from {day}")));
    parts.extend(rule.until.iter().map(|day| format!("until {day}")));
    let percent = |of: &crate::quantity::Exact| format!("{} %", words::figure(of));
    for when in &rule.whens {
        parts.push(match when {
            When::Ph(bound) => format!("when pH {}", words::bound(bound)),
            When::Above(subject, share) => format!("when {} above {}", subject.name, percent(share)),
            When::Below(subject, share) => format!("when {} below {}", subject.name, percent(share)),
            When::Within(subject, bound) => format!("when {} {}", subject.name, words::bound(bound)),
        });
    }
    for clause in &rule.clauses {
        parts.push(match &clause.ask {
            Ask::Limit(subject, most, counting) => {
                let counted = match counting {
                    Counting::Own => String::new(),
                    Counting::AsAcid => " as acid".to_string(),
                    Counting::As(_, name) => format!(" as {name}"),
                };
                format!("limit {} to {}{counted}", subject.name, percent(most))
            }
            Ask::Ph(bound) => format!("require pH {}", words::bound(bound)),
            Ask::Within(subject, bound) => format!("require {} {}", subject.name, words::bound(bound)),
            Ask::Forbid(subject) => format!("forbid {}", subject.name),
            Ask::Declare(subject, above) => format!("declare {} above {}", subject.name, percent(above)),
            Ask::Print(text) => format!("print “{text}”"),
        });
    }
    parts.push(format!("level {}", rule.level.word()));
    parts.join("; ")
}
