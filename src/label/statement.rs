//! The statements of a label: what the rules of its market ask for, and what the formula says of its own.

use crate::model::{Ask, Composition, Formula, HeaderLine, Rule};
use crate::resolve::{AskedRule, Resolver, RuleOutcome};
use crate::syntax::vocabulary::Market;
use std::sync::Arc;

/// A statement of a label.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Statement {
    /// Its words.
    pub text: String,
    /// The rule that asks for it; none where it is the formula's own.
    pub rule: Option<String>,
    /// Who says so.
    pub source: Option<String>,
    /// Whether it tells how the product is used, and warns of nothing.
    pub is_direction: bool,
    /// Whether it cannot be shown that the rule applies: it is printed all the same.
    pub is_unproven: bool,
}

/// The statements of a formula in a market on a day, each once: those of the rules in their order, then its own. A
/// statement of its own that says what a rule asks for stands for both.
#[must_use]
pub fn statements(
    resolver: &Resolver<'_>,
    formula: &Formula,
    composition: Option<&Composition>,
    market: Market,
    day: &str,
) -> Vec<Statement> {
    let mut said: Vec<Statement> = Vec::new();
    let (sold, rules) = sold_in(resolver, formula, composition, market, day);
    if let Some(composition) = &sold.composition {
        let asked = AskedRule { formula: &sold, resolver, composition };
        for rule in &rules {
            of_rule(&asked, rule, &mut said);
        }
    }
    for own in own_texts(formula).filter(|(_, text)| !text.trim().is_empty()) {
        let (line, text) = own;
        let (within, rest): (Vec<Statement>, Vec<Statement>) =
            said.into_iter().partition(|known| known.rule.is_some() && says(text, &known.text));
        said = rest;
        let asked = within.first();
        said.push(Statement {
            text: text.to_string(),
            rule: asked.and_then(|asked| asked.rule.clone()),
            source: asked.and_then(|asked| asked.source.clone()),
            is_direction: line == HeaderLine::Directions,
            is_unproven: false,
        });
    }
    said
}

/// The formula as it is sold in one market alone, with what it is made of, and the rules that bind it there.
fn sold_in(
    resolver: &Resolver<'_>,
    formula: &Formula,
    composition: Option<&Composition>,
    market: Market,
    day: &str,
) -> (Formula, Vec<Arc<Rule>>) {
    let place = formula.markets.iter().find(|(known, _)| *known == market).map_or(formula.place, |(_, place)| *place);
    let sold = Formula { markets: vec![(market, place)], composition: composition.cloned(), ..formula.clone() };
    let rules = resolver.rules_of(&sold, day);
    (sold, rules)
}

/// What a rule has said, where it applies or cannot be shown not to.
fn of_rule(asked: &AskedRule<'_, '_>, rule: &Rule, said: &mut Vec<Statement>) {
    let applies = asked.applies(rule);
    if applies == RuleOutcome::No {
        return;
    }
    for clause in &rule.clauses {
        let Ask::Print(text) = &clause.ask else { continue };
        if said.iter().any(|known| says(&known.text, text)) {
            continue;
        }
        said.push(Statement {
            text: text.to_string(),
            rule: Some(rule.name.to_string()),
            source: rule.source.as_ref().map(ToString::to_string),
            is_direction: false,
            is_unproven: applies == RuleOutcome::Unproven,
        });
    }
}

/// Whether a formula's own warnings or directions say what a rule asks for.
#[must_use]
pub fn is_said(formula: &Formula, statement: &str) -> bool {
    own_texts(formula).any(|(_, text)| says(text, statement))
}

/// The warnings and directions of a formula, in the order they stand.
fn own_texts(formula: &Formula) -> impl Iterator<Item = (HeaderLine, &str)> {
    let texts = formula.texts.iter().filter(|said| matches!(said.line, HeaderLine::Warning | HeaderLine::Directions));
    texts.map(|said| (said.line, said.text.as_str()))
}

/// Whether a text holds all the words of a statement, one after the other; case, spacing and stops aside.
#[must_use]
pub fn says(text: &str, statement: &str) -> bool {
    let (text, statement) = (words(text), words(statement));
    !statement.is_empty() && text.windows(statement.len()).any(|stretch| stretch == statement)
}

/// The words of a text in small letters, without the stops and quotes around them.
fn words(text: &str) -> Vec<String> {
    let plain = text.to_lowercase().replace('’', "'");
    let bare = plain.split_whitespace().map(|word| word.trim_matches(|letter: char| !letter.is_alphanumeric()));
    bare.filter(|word| !word.is_empty()).map(str::to_string).collect()
}

#[cfg(test)]
mod tests {
    use super::says;

    #[test]
    fn words_are_compared_without_case_spacing_and_stops() {
        assert!(says("avoid   contact with EYES", "Avoid contact with eyes."));
        assert!(says("For the feet. Avoid contact with eyes.", "Avoid contact with eyes"));
        assert!(says("powder: away from children’s nose", "away from children's nose"));
        assert!(
            !says("Avoid contact with the eyes", "Avoid contact with eyes"),
            "another wording is another statement"
        );
        assert!(!says("Contains ammonia-free salts", "Contains ammonia"));
        assert!(!says("", "Contains ammonia") && !says("Contains ammonia", ""));
    }
}
