//! The words of the language, block by block, as the grammar itself has them: what opens a statement there, and what
//! goes on with one. What editors colour by is made of them.

use pest_meta::ast::{Expr, Rule};
use pest_meta::parser;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use stillroom::diagnostic::Level;
use stillroom::quantity::Unit;
use stillroom::syntax::fields;
use stillroom::syntax::vocabulary::{Borne, Charge, Doing, Market, MaterialPhase, Microbe, Product, Role};

const GRAMMAR: &str = include_str!("../../grammar/stillroom.pest");

/// What stands in a block, by the rule that a statement of it is read with.
const BLOCKS: &[(&str, &str)] = &[
    ("file", "in_file"),
    ("substance", "in_substance"),
    ("material", "in_material"),
    ("formula", "in_formula"),
    ("phase", "in_phase"),
    ("variant", "in_variant"),
    ("variant_phase", "in_variant_phase"),
    ("rule", "in_rule"),
    ("batch", "in_batch"),
    ("plan", "in_plan"),
    ("maker", "in_maker"),
    ("container", "in_container"),
    ("stock", "in_stock"),
];

/// Rules that read letter by letter, in which no word of the language stands.
const LETTERS: &[&str] = &[
    "name",
    "phase_name",
    "name_char",
    "word",
    "any_word",
    "string",
    "number",
    "unit",
    "date",
    "time",
    "comment",
    "sp",
    "osp",
    "gap",
    "blank_or_line",
    "makes_count",
    "figure_name",
];

/// The words of a block.
#[derive(Debug, Default)]
pub struct BlockWords {
    /// Those that open a statement.
    pub opens: BTreeSet<String>,
    /// Those that go on with one.
    pub inside: BTreeSet<String>,
}

struct Walk<'grammar> {
    rules: BTreeMap<&'grammar str, &'grammar Expr>,
    seen: BTreeSet<(&'grammar str, bool)>,
    found: BlockWords,
}

impl<'grammar> Walk<'grammar> {
    /// Takes the words of an expression; says whether nothing at all may stand for it, so that what follows is first too.
    fn take(&mut self, expression: &'grammar Expr, first: bool) -> bool {
        match expression {
            Expr::Str(text) => {
                self.word(text, first);
                false
            }
            Expr::Ident(rule) => self.rule(rule, first),
            Expr::Seq(one, other) => {
                let empty = self.take(one, first);
                self.take(other, first && empty) && empty
            }
            Expr::Choice(one, other) => {
                let empty = self.take(one, first);
                self.take(other, first) || empty
            }
            Expr::Opt(inner) | Expr::Rep(inner) => {
                self.take(inner, first);
                true
            }
            Expr::RepOnce(inner) => self.take(inner, first),
            // What is only looked at is taken elsewhere.
            Expr::PosPred(_) | Expr::NegPred(_) => true,
            _ => false,
        }
    }

    fn rule(&mut self, rule: &'grammar str, first: bool) -> bool {
        let Some((&rule, &body)) = self.rules.get_key_value(rule) else {
            return matches!(rule, "SOI" | "EOI");
        };
        if LETTERS.contains(&rule) {
            return matches!(rule, "osp" | "gap");
        }
        if !self.seen.insert((rule, first)) {
            return false;
        }
        self.take(body, first)
    }

    fn word(&mut self, text: &str, first: bool) {
        if text.starts_with(|letter: char| letter.is_ascii_alphabetic()) && !text.ends_with('/') {
            let words = if first { &mut self.found.opens } else { &mut self.found.inside };
            words.insert(text.to_string());
        }
    }
}

/// The words of every block, in the order of the grammar.
pub fn blocks() -> Vec<(&'static str, BlockWords)> {
    let pairs = parser::parse(parser::Rule::grammar_rules, GRAMMAR).unwrap();
    let rules: Vec<Rule> = parser::consume_rules(pairs).unwrap();
    let words_of = |rule: &str| {
        let rules = rules.iter().map(|rule| (rule.name.as_str(), &rule.expr)).collect();
        let mut walk = Walk { rules, seen: BTreeSet::new(), found: BlockWords::default() };
        let start = walk.rules[rule];
        walk.take(start, true);
        walk.found
    };
    BLOCKS.iter().map(|(block, rule)| (*block, words_of(rule))).collect()
}

/// The words of every closed list, each once.
pub fn values() -> BTreeSet<&'static str> {
    let lists = [
        Role::WORDS,
        MaterialPhase::WORDS,
        Product::WORDS,
        Market::WORDS,
        Microbe::WORDS,
        Charge::WORDS,
        Doing::WORDS,
        Borne::WORDS,
    ];
    let levels = [Level::Error, Level::Warning, Level::Note].map(Level::word);
    lists.into_iter().flatten().copied().chain(levels).collect()
}

/// Every unit, longer ones before what they begin with.
pub fn units() -> Vec<&'static str> {
    let mut units: Vec<&str> = Unit::words().collect();
    units.sort_by_key(|unit| (std::cmp::Reverse(unit.chars().count()), *unit));
    units.dedup();
    units
}

/// All of it, for a grammar that is written in JavaScript.
pub fn json() -> Value {
    let blocks: serde_json::Map<String, Value> = blocks()
        .into_iter()
        .map(|(block, words)| (block.to_string(), json!({ "opens": words.opens, "inside": words.inside })))
        .collect();
    json!({ "blocks": blocks, "units": units(), "values": values() })
}

/// The tables of fields are another way to the same words: what they say opens a statement is what opens one here.
#[test]
fn the_words_of_a_block_are_those_of_its_table() {
    let blocks = blocks();
    for (block, fields) in [
        ("file", fields::FILE),
        ("substance", fields::SUBSTANCE),
        ("material", fields::MATERIAL),
        ("formula", fields::FORMULA),
        ("rule", fields::RULE),
        ("batch", fields::BATCH),
        ("maker", fields::MAKER),
        ("container", fields::CONTAINER),
        ("stock", fields::STOCK),
    ] {
        let (_, words) = blocks.iter().find(|(name, _)| *name == block).unwrap();
        let table: BTreeSet<String> = fields::openers(fields).into_iter().map(String::from).collect();
        assert_eq!(words.opens, table, "{block}");
    }
    let inside: BTreeSet<&str> = blocks.iter().flat_map(|(_, words)| words.inside.iter().map(String::as_str)).collect();
    for word in
        ["q.s.", "active", "because", "hold", "back", "titrated", "pKa", "like", "remainder", "per", "x", "in", "pH"]
    {
        assert!(inside.contains(word), "{word}");
    }
}
