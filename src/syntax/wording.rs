//! What a statement of a batch says, whatever its layout: to find the one that is to be struck out.

use super::Rule;
use super::grammar::Grammar;
use crate::quantity::Exact;
use pest::Parser as _;
use pest::iterators::Pair;

/// A statement of a batch by its words, its figures by value.
#[derive(Clone, Debug)]
pub struct Wording {
    words: Vec<String>,
    because: Option<String>,
    /// `on`, `at` and `by`, those that it has.
    stamps: Vec<Vec<String>>,
}

impl Wording {
    /// The wording of a statement, its own reason and its stamps with it or without; none where it is no statement
    /// that can be struck out.
    #[must_use]
    pub fn of(statement: &str) -> Option<Wording> {
        // As one that is struck out, it may be without the reason that it otherwise needs.
        let struck = format!("struck {statement} because \"\"");
        let pairs = Grammar::parse(Rule::in_batch, &struck).ok()?;
        let whole = pairs.flatten().find(|pair| pair.as_rule() == Rule::struck_statement)?;
        let mut parts = whole.into_inner();
        let entry = parts.next()?;
        let because = entry.clone().into_inner().find(|part| part.as_rule() == Rule::because);
        Some(Wording {
            words: words(entry),
            because: because.map(|because| because.as_str().to_string()),
            stamps: parts.map(words).collect(),
        })
    }

    /// Whether another says this, and perhaps its reason and its stamps too.
    #[must_use]
    pub fn is_said_by(&self, other: &Wording) -> bool {
        self.words == other.words
            && (self.because.is_none() || self.because == other.because)
            && self.stamps.iter().all(|stamp| other.stamps.contains(stamp))
    }

    /// How many words two have in common from their start on.
    #[must_use]
    pub fn common(&self, other: &Wording) -> usize {
        self.words.iter().zip(&other.words).take_while(|(one, other)| one == other).count()
    }
}

/// The words of a part of a statement, without its reason: figures by value, units as they are written in one way.
fn words(part: Pair<'_, Rule>) -> Vec<String> {
    let (text, start) = (part.as_str(), part.as_span().start());
    let mut words: Vec<String> = Vec::new();
    let mut at = 0;
    let between = |from: usize, to: usize, words: &mut Vec<String>| {
        let plain = text.get(from..to).unwrap_or("");
        words.extend(plain.split_whitespace().map(str::to_string));
    };
    for node in part.into_inner().flatten() {
        let (from, to) = (node.as_span().start() - start, node.as_span().end() - start);
        let said = match node.as_rule() {
            Rule::because => None,
            Rule::number | Rule::makes_count => Some(by_value(node.as_str())),
            Rule::unit => Some(node.as_str().trim_start_matches('°').to_string()),
            Rule::name | Rule::string | Rule::date | Rule::time => Some(node.as_str().to_string()),
            _ => continue,
        };
        if from >= at {
            between(at, from, &mut words);
            words.extend(said);
            at = to;
        }
    }
    between(at, text.len(), &mut words);
    words
}

/// A figure by its value: `38.60` is `38.6`.
fn by_value(figure: &str) -> String {
    let plain = figure.replace('_', "").replace(',', ".");
    Exact::parse(&plain).map_or(plain, |value| value.to_significant(28))
}

#[cfg(test)]
mod tests {
    use super::Wording;

    fn is_said(sought: &str, by: &str) -> bool {
        Wording::of(sought).unwrap().is_said_by(&Wording::of(by).unwrap())
    }

    #[test]
    fn figures_count_by_value_and_stamps_and_reasons_may_be_left_out() {
        for (sought, by) in [
            ("reading pH 38.6", "reading   pH 38.60"),
            ("reading pH 38.6", "reading pH 38.6 at 14:05 by \"M.\""),
            ("reading pH 38.6 at 14:05", "reading pH 38.6 at 14:05 by \"M.\""),
            ("weighed water 3g", "weighed water 3.0 g"),
            ("heated 40 C", "heated 40.0 °C"),
            ("removed 5 g", "removed 5 g because \"spilt\""),
            ("added soda 1 g because \"low\"", "added soda 1.00 g because \"low\" on 2026-11-20"),
            ("filled 2 x 10 mL", "filled 2x10mL"),
        ] {
            assert!(is_said(sought, by), "{sought} / {by}");
        }
        for (sought, by) in [
            ("reading pH 38.6", "reading pH 38.6 by strip"),
            ("reading pH 38.6 at 14:06", "reading pH 38.6 at 14:05"),
            ("reading pH 38.6", "reading pH 3.86"),
            ("weighed water 3 g", "weighed waters 3 g"),
            ("weighed water 3 g", "weighed water 3 kg"),
            ("added soda 1 g because \"high\"", "added soda 1 g because \"low\""),
            ("note \"a  b\"", "note \"a b\""),
        ] {
            assert!(!is_said(sought, by), "{sought} / {by}");
        }
        for no_statement in ["plan {", "", "water 3 g", "struck released because \"x\"", "weighed water"] {
            assert!(Wording::of(no_statement).is_none(), "{no_statement}");
        }
    }
}
