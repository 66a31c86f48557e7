//! Which words of the language are worth trying at a place of a statement: those of the statements that begin as it does.
//!
//! Read from the grammar itself. What is named here may still not fit; what is not named cannot.

use super::grammar_part::Part;
use super::grammar_words::{ENTRIES, Words, is_word, rule, words_of};
use crate::syntax::context::Context;
use std::sync::OnceLock;

/// A statement: what it may begin with, and every word that may stand in it.
#[derive(Debug, Default)]
struct Form {
    begins: Words,
    /// Whether it may begin with what is no word of the language: a name, a figure.
    open: bool,
    words: Words,
}

/// What something begins with, and whether it may be nothing.
#[derive(Default)]
struct Beginning {
    words: Words,
    open: bool,
    nothing: bool,
}

/// The words that may stand after the beginning of a statement, by the alphabet.
pub(super) fn words_after(context: Context, before: &str) -> Vec<&'static str> {
    static FORMS: OnceLock<Vec<Vec<Form>>> = OnceLock::new();
    let all = FORMS.get_or_init(|| ENTRIES.iter().map(|entry| forms(&Part::Rule(entry), &mut Vec::new())).collect());
    let forms = all.get(context as usize).map(Vec::as_slice).unwrap_or_default();
    let ends = |letter: char| letter.is_whitespace() || matches!(letter, '(' | ')' | '{' | ',' | ':' | '=');
    let words: Words = match before.split(ends).next().filter(|first| !first.is_empty()) {
        None if before.is_empty() => forms.iter().flat_map(|form| form.begins.iter().copied()).collect(),
        first => {
            let fits = |form: &&Form| form.open || first.is_none_or(|first| form.begins.contains(first));
            forms.iter().filter(fits).flat_map(|form| form.words.iter().copied()).collect()
        }
    };
    words.into_iter().collect()
}

/// What something begins with. `seen` are the rules that it stands in.
fn beginning(part: &Part, seen: &mut Vec<&'static str>) -> Beginning {
    match part {
        Part::Look => Beginning { nothing: true, ..Beginning::default() },
        Part::Letters(letters) if is_blank(letters) => Beginning::default(),
        Part::Letters(letters) if is_word(letters) => {
            Beginning { words: Words::from([*letters]), ..Beginning::default() }
        }
        Part::Letters(_) | Part::Other => Beginning { open: true, ..Beginning::default() },
        Part::Rule("SOI" | "EOI") => Beginning { nothing: true, ..Beginning::default() },
        Part::Rule(name) => match rule(name).filter(|_| !seen.contains(name)) {
            Some(body) => {
                seen.push(*name);
                let found = beginning(body, seen);
                seen.pop();
                found
            }
            None => Beginning { open: true, ..Beginning::default() },
        },
        Part::Optional(inner) => Beginning { nothing: true, ..beginning(inner, seen) },
        Part::Choice(parts) => parts.iter().fold(Beginning::default(), |mut all, part| {
            let one = beginning(part, seen);
            all.words.extend(one.words);
            (all.open, all.nothing) = (all.open || one.open, all.nothing || one.nothing);
            all
        }),
        Part::Sequence(parts) => {
            let mut all = Beginning { nothing: true, ..Beginning::default() };
            for part in *parts {
                let one = beginning(part, seen);
                all.words.extend(one.words);
                (all.open, all.nothing) = (all.open || one.open, one.nothing);
                if !one.nothing {
                    break;
                }
            }
            all
        }
    }
}

/// The statements that something may be, each apart. `seen` are the rules that it stands in.
fn forms(part: &Part, seen: &mut Vec<&'static str>) -> Vec<Form> {
    match part {
        Part::Choice(parts) => parts.iter().flat_map(|part| forms(part, seen)).collect(),
        Part::Rule(name) if !seen.contains(name) => match rule(name) {
            Some(body) => {
                seen.push(*name);
                let found = forms(body, seen);
                seen.pop();
                found
            }
            None => vec![one_form(part)],
        },
        Part::Sequence(parts) => {
            let is_nothing = |part: &&Part| {
                let beginning = beginning(part, &mut Vec::new());
                beginning.nothing && beginning.words.is_empty() && !beginning.open
            };
            let first = parts.iter().take_while(is_nothing).count();
            let head = parts.get(first).filter(|head| !beginning(head, &mut Vec::new()).nothing);
            let Some(head) = head else { return vec![one_form(part)] };
            let mut rest = Words::new();
            let others = parts.iter().enumerate().filter(|(at, _)| *at != first);
            others.for_each(|(_, part)| rest.extend(words_of(part)));
            let mut forms = forms(head, seen);
            forms.iter_mut().for_each(|form| form.words.extend(rest.iter().copied()));
            forms
        }
        _ => vec![one_form(part)],
    }
}

fn one_form(part: &Part) -> Form {
    let Beginning { words: begins, open, .. } = beginning(part, &mut Vec::new());
    Form { begins, open, words: words_of(part) }
}

/// Blanks and line ends.
fn is_blank(letters: &str) -> bool {
    matches!(letters, " " | "\t" | "\n" | "\r")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_words_of_statements_that_begin_so_are_worth_trying() {
        let after = |before| words_after(Context::Formula, before);
        assert!(after("").contains(&"makes") && !after("").contains(&"plus"), "{:?}", after(""));
        assert!(after("makes 1 g ").contains(&"plus") && !after("makes 1 g ").contains(&"title"));
        assert!(after("fee ").contains(&"each") && after("fee ").contains(&"because"));
        let line = words_after(Context::Phase, "zz 1 % ");
        assert!(line.contains(&"hold") && line.contains(&"because") && !line.contains(&"heat"), "{line:?}");
        assert!(words_after(Context::File, "rate 1 EUR = ").len() < 20);
    }
}
