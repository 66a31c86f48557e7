//! Every field of every block: how it is written, where it stands, what it says, and what looks at it.
//!
//! What the parser takes for the words that open a statement, and what `docs/language.md` tells of each, is read from
//! here.

mod batch;
mod field;
mod file;
mod formula;
mod material;
mod phase;
mod rule;
mod substance;

pub use batch::{BATCH, PLAN};
pub use field::Field;
pub use file::{CONTAINER, FILE, GROUP, MAKER, PLANNED, RATE, STOCK};
pub use formula::{FORMULA, MAKES, VARIANT};
pub use material::{MATERIAL, STRENGTH};
pub use phase::{AMOUNT, LINE, PHASE, STEPS};
pub use rule::{CONDITION, RULE};
pub use substance::SUBSTANCE;

/// Every table, by the name that a document asks for it with.
pub const TABLES: &[(&str, &[Field])] = &[
    ("file", FILE),
    ("substance", SUBSTANCE),
    ("material", MATERIAL),
    ("strength", STRENGTH),
    ("formula", FORMULA),
    ("makes", MAKES),
    ("phase", PHASE),
    ("line", LINE),
    ("amount", AMOUNT),
    ("steps", STEPS),
    ("variant", VARIANT),
    ("group", GROUP),
    ("rule", RULE),
    ("condition", CONDITION),
    ("batch", BATCH),
    ("plan", PLAN),
    ("maker", MAKER),
    ("container", CONTAINER),
    ("rate", RATE),
    ("planned", PLANNED),
    ("stock", STOCK),
];

/// The words that open a statement among fields, each once.
#[must_use]
pub fn openers(fields: &[Field]) -> Vec<&'static str> {
    let mut words = Vec::new();
    for field in fields {
        if !field.word.is_empty() && !words.contains(&field.word) {
            words.push(field.word);
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Code;
    use std::collections::BTreeSet;

    const GRAMMAR: &str = include_str!("../../../grammar/stillroom.pest");

    /// What a rule of the grammar is, between its braces.
    fn body_of(rule: &str) -> String {
        let opens = |line: &str| line.strip_prefix(rule).is_some_and(|rest| rest.trim_start().starts_with('='));
        let mut lines = GRAMMAR.lines().skip_while(|line| !opens(line));
        let first = lines.next().unwrap_or_else(|| panic!("no rule {rule}"));
        let rest: String = lines.take_while(|line| line.starts_with(' ')).collect();
        let text = format!("{}{rest}", first.split_once('{').unwrap().1);
        text.trim_end().trim_end_matches('}').to_string()
    }

    /// The words with which a rule of the grammar opens.
    fn opens_with(text: &str, words: &mut BTreeSet<String>) {
        let (mut depth, mut quoted, mut start) = (0usize, false, 0);
        let mut alternatives = Vec::new();
        for (at, letter) in text.char_indices() {
            match letter {
                '"' => quoted = !quoted,
                '(' if !quoted => depth += 1,
                ')' if !quoted => depth -= 1,
                '|' if !quoted && depth == 0 => {
                    alternatives.push(&text[start..at]);
                    start = at + 1;
                }
                _ => {}
            }
        }
        alternatives.push(&text[start..]);
        for one in alternatives {
            let one = one.trim();
            if let Some(rest) = one.strip_prefix('"') {
                words.insert(rest.split('"').next().unwrap().to_string());
            } else if let Some(rest) = one.strip_prefix('(') {
                opens_with(rest.split(')').next().unwrap(), words);
            } else {
                let rule: String =
                    one.chars().take_while(|letter| letter.is_alphanumeric() || *letter == '_').collect();
                opens_with(&body_of(&rule), words);
            }
        }
    }

    #[test]
    fn the_tables_have_the_words_of_the_grammar() {
        let blocks = "substance_opening | material_opening | formula_opening | variant_opening | rule_opening \
            | batch_opening | maker_opening | container_opening | stock_opening | file_line";
        for (rules, fields) in [
            (blocks, FILE),
            ("maker_field", MAKER),
            ("container_line", CONTAINER),
            ("stock_entry", STOCK),
            ("substance_field", SUBSTANCE),
            ("material_field", MATERIAL),
            ("formula_line | phase_opening | steps_opening", FORMULA),
            // A variant takes the header of a formula in one row.
            ("set | swap | remove | ensure | allow | let_item | phase_opening | steps_opening", VARIANT),
            ("rule_line", RULE),
            ("batch_entry | plan_opening", BATCH),
        ] {
            let mut words = BTreeSet::new();
            opens_with(rules, &mut words);
            let table: BTreeSet<String> = openers(fields).into_iter().map(String::from).collect();
            assert_eq!(table, words, "{rules}");
        }
    }

    #[test]
    fn the_header_is_what_a_formula_has_first() {
        assert_eq!(openers(FORMULA)[..crate::syntax::HEADER.len()], *crate::syntax::HEADER);
    }

    #[test]
    fn every_code_that_looks_at_a_field_is_one() {
        let mut codes = 0;
        for (table, fields) in TABLES {
            for field in *fields {
                for word in field.checks.split('`').skip(1).step_by(2) {
                    let is_code = word.contains('-') && word.chars().all(|c| c.is_ascii_lowercase() || c == '-');
                    assert!(!is_code || Code::from_name(word).is_some(), "{table}: {} has {word}", field.form);
                    codes += usize::from(is_code);
                }
            }
        }
        assert!(codes > 100, "{codes}");
    }

    #[test]
    fn every_field_says_what_it_is() {
        for (table, fields) in TABLES {
            for field in *fields {
                let meaning = field.meaning();
                assert!(!meaning.is_empty(), "{table}: what is {}?", field.form);
                // Shown by itself, where there is no table around it and nothing below.
                let pointed = ["see below", "see there", " as there"];
                let told = format!("{meaning} {} {}", field.stands, field.checks);
                assert!(!pointed.iter().any(|words| told.contains(words)), "{table}: {}: {told}", field.form);
                assert!(meaning.split_whitespace().count() > 3, "{table}: {}: {meaning}", field.form);
                let left = ["{kinds}", "{sites}", "{markets}", "{phases}", "{microbes}", "{charges}", "{levels}"];
                assert!(!left.iter().any(|name| meaning.contains(name)), "{table}: {meaning}");
            }
        }
        let product = FORMULA.iter().find(|field| field.word == "product").unwrap().meaning();
        let kinds = "the kind of product, `leave-on`, `rinse-off`, `stock`, then where it goes, any of `face`, `eye`";
        assert!(product.starts_with(kinds), "{product}");
    }
}
