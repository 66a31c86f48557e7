//! Which words of the language are worth trying at a place of a statement: those of the statements that begin as it does.
//!
//! Read from the grammar itself. What is named here may still not fit; what is not named cannot.

use super::grammar_words::{ENTRIES, GRAMMAR, is_rule_name};
use crate::syntax::context::Context;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

type Words = BTreeSet<&'static str>;

/// What a rule of the grammar is made of.
#[derive(Debug)]
enum Part {
    /// Letters as they stand.
    Letters(&'static str),
    /// Another rule.
    Rule(&'static str),
    /// One of several.
    Choice(Vec<Part>),
    /// One after the other.
    Sequence(Vec<Part>),
    /// What may be left out.
    Optional(Box<Part>),
    /// What is looked at and not taken.
    Look,
}

/// One piece of the grammar's text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Token {
    Letters(&'static str),
    Name(&'static str),
    Sign(char),
}

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

/// The rules of the grammar.
struct Rules(BTreeMap<&'static str, Part>);

/// The words that may stand after the beginning of a statement, by the alphabet.
pub(super) fn words_after(context: Context, before: &str) -> Vec<&'static str> {
    static FORMS: OnceLock<Vec<Vec<Form>>> = OnceLock::new();
    let all = FORMS.get_or_init(|| {
        let rules = Rules::read();
        ENTRIES.iter().map(|entry| rules.forms(&Part::Rule(entry), &mut Vec::new())).collect()
    });
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

impl Rules {
    fn read() -> Rules {
        let mut bodies: BTreeMap<&'static str, Vec<Token>> = BTreeMap::new();
        let mut current = "";
        for line in GRAMMAR.lines().filter(|line| !line.trim_start().starts_with("//")) {
            let mut body = line;
            if let Some((name, rest)) = line.split_once('=').filter(|(name, _)| is_rule_name(name.trim())) {
                current = name.trim();
                body = rest;
            }
            bodies.entry(current).or_default().extend(tokens(body));
        }
        let part = |tokens: &[Token]| {
            // What stands before the first brace says how a rule is taken, not what it is made of.
            let from = tokens.iter().position(|token| *token == Token::Sign('{')).map_or(tokens.len(), |at| at + 1);
            let mut rest = tokens.get(from..).unwrap_or_default();
            choice(&mut rest, 0)
        };
        Rules(bodies.iter().map(|(name, tokens)| (*name, part(tokens))).collect())
    }

    /// What something begins with. `seen` are the rules that it stands in.
    fn beginning(&self, part: &Part, seen: &mut Vec<&'static str>) -> Beginning {
        match part {
            Part::Look => Beginning { nothing: true, ..Beginning::default() },
            Part::Letters(letters) if is_blank(letters) => Beginning::default(),
            Part::Letters(letters) if is_word(letters) => {
                Beginning { words: Words::from([*letters]), ..Beginning::default() }
            }
            Part::Letters(_) => Beginning { open: true, ..Beginning::default() },
            Part::Rule("SOI" | "EOI") => Beginning { nothing: true, ..Beginning::default() },
            Part::Rule(name) => match self.0.get(name).filter(|_| !seen.contains(name)) {
                Some(body) => {
                    seen.push(*name);
                    let found = self.beginning(body, seen);
                    seen.pop();
                    found
                }
                None => Beginning { open: true, ..Beginning::default() },
            },
            Part::Optional(inner) => Beginning { nothing: true, ..self.beginning(inner, seen) },
            Part::Choice(parts) => parts.iter().fold(Beginning::default(), |mut all, part| {
                let one = self.beginning(part, seen);
                all.words.extend(one.words);
                (all.open, all.nothing) = (all.open || one.open, all.nothing || one.nothing);
                all
            }),
            Part::Sequence(parts) => {
                let mut all = Beginning { nothing: true, ..Beginning::default() };
                for part in parts {
                    let one = self.beginning(part, seen);
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

    /// Every word that may stand in something.
    fn words(&self, part: &Part, seen: &mut BTreeSet<&'static str>, words: &mut Words) {
        match part {
            Part::Look => {}
            Part::Letters(letters) => words.extend(Some(*letters).filter(|letters| is_word(letters))),
            Part::Rule(name) => {
                if let Some(body) = self.0.get(name).filter(|_| seen.insert(*name)) {
                    self.words(body, seen, words);
                }
            }
            Part::Optional(inner) => self.words(inner, seen, words),
            Part::Choice(parts) | Part::Sequence(parts) => {
                parts.iter().for_each(|part| self.words(part, seen, words));
            }
        }
    }

    /// The statements that something may be, each apart. `seen` are the rules that it stands in.
    fn forms(&self, part: &Part, seen: &mut Vec<&'static str>) -> Vec<Form> {
        match part {
            Part::Choice(parts) => parts.iter().flat_map(|part| self.forms(part, seen)).collect(),
            Part::Rule(name) if !seen.contains(name) => match self.0.get(name) {
                Some(body) => {
                    seen.push(*name);
                    let found = self.forms(body, seen);
                    seen.pop();
                    found
                }
                None => vec![self.one_form(part)],
            },
            Part::Sequence(parts) => {
                let is_nothing = |part: &&Part| {
                    let beginning = self.beginning(part, &mut Vec::new());
                    beginning.nothing && beginning.words.is_empty() && !beginning.open
                };
                let first = parts.iter().take_while(is_nothing).count();
                let head = parts.get(first).filter(|head| !self.beginning(head, &mut Vec::new()).nothing);
                let Some(head) = head else { return vec![self.one_form(part)] };
                let mut rest = Words::new();
                let others = parts.iter().enumerate().filter(|(at, _)| *at != first);
                others.for_each(|(_, part)| self.words(part, &mut BTreeSet::new(), &mut rest));
                let mut forms = self.forms(head, seen);
                forms.iter_mut().for_each(|form| form.words.extend(rest.iter().copied()));
                forms
            }
            _ => vec![self.one_form(part)],
        }
    }

    fn one_form(&self, part: &Part) -> Form {
        let Beginning { words: begins, open, .. } = self.beginning(part, &mut Vec::new());
        let mut words = Words::new();
        self.words(part, &mut BTreeSet::new(), &mut words);
        Form { begins, open, words }
    }
}

fn is_word(letters: &str) -> bool {
    letters.starts_with(char::is_alphabetic)
        && letters.chars().all(|letter| letter.is_alphabetic() || "-./".contains(letter))
}

/// Blanks and line ends, as the grammar writes them.
fn is_blank(letters: &str) -> bool {
    matches!(letters, " " | "\\t" | "\\n" | "\\r")
}

fn tokens(mut rest: &'static str) -> Vec<Token> {
    let mut tokens = Vec::new();
    while let Some(first) = rest.chars().next() {
        let length = match first {
            '"' | '\'' => {
                let inside = rest.get(1..).unwrap_or_default();
                let length = closing(inside, first);
                tokens.push(Token::Letters(inside.get(..length).unwrap_or_default()));
                length + 2
            }
            letter if letter.is_alphanumeric() || letter == '_' => {
                let goes_on = |letter: char| letter.is_alphanumeric() || letter == '_';
                let length = rest.find(|letter| !goes_on(letter)).unwrap_or(rest.len());
                tokens.push(Token::Name(rest.get(..length).unwrap_or_default()));
                length
            }
            letter => {
                tokens.extend((!letter.is_whitespace()).then_some(Token::Sign(letter)));
                letter.len_utf8()
            }
        };
        rest = rest.get(length..).unwrap_or_default();
    }
    tokens
}

/// Where letters in quotation marks end.
fn closing(inside: &str, quote: char) -> usize {
    let mut escaped = false;
    for (at, letter) in inside.char_indices() {
        if letter == quote && !escaped {
            return at;
        }
        escaped = letter == '\\' && !escaped;
    }
    inside.len()
}

/// Takes one of several, up to the bracket that closes them.
fn choice(rest: &mut &[Token], depth: usize) -> Part {
    let mut parts = vec![sequence(rest, depth)];
    while let Some((Token::Sign('|'), after)) = rest.split_first() {
        *rest = after;
        parts.push(sequence(rest, depth));
    }
    only(parts).unwrap_or_else(Part::Choice)
}

fn sequence(rest: &mut &[Token], depth: usize) -> Part {
    let mut parts = Vec::new();
    while let Some((token, after)) = rest.split_first() {
        match token {
            Token::Sign('|' | ')' | '}') => break,
            Token::Sign('~') => *rest = after,
            _ => parts.push(one(rest, depth)),
        }
    }
    only(parts).unwrap_or_else(Part::Sequence)
}

/// The only one of some; all of them where there are others or none.
fn only(mut parts: Vec<Part>) -> Result<Part, Vec<Part>> {
    match parts.pop() {
        Some(last) if parts.is_empty() => Ok(last),
        last => {
            parts.extend(last);
            Err(parts)
        }
    }
}

/// Takes one part, with what says how often it stands.
fn one(rest: &mut &[Token], depth: usize) -> Part {
    let Some((token, after)) = rest.split_first() else { return Part::Look };
    *rest = after;
    let part = match *token {
        Token::Letters(letters) => Part::Letters(letters),
        Token::Name(name) => Part::Rule(name),
        Token::Sign('!' | '&') => {
            one(rest, depth);
            return Part::Look;
        }
        Token::Sign('(') if depth < crate::syntax::MAX_NESTING => {
            let inner = choice(rest, depth + 1);
            if let Some((Token::Sign(')'), after)) = rest.split_first() {
                *rest = after;
            }
            inner
        }
        Token::Sign(_) => Part::Look,
    };
    how_often(part, rest)
}

fn how_often(mut part: Part, rest: &mut &[Token]) -> Part {
    loop {
        match rest.split_first() {
            Some((Token::Sign('?' | '*'), after)) => {
                part = Part::Optional(Box::new(part));
                *rest = after;
            }
            Some((Token::Sign('+'), after)) => *rest = after,
            // So many times, in braces.
            Some((Token::Sign('{'), after)) => {
                let end = after.iter().position(|token| *token == Token::Sign('}')).map_or(after.len(), |at| at + 1);
                *rest = after.get(end..).unwrap_or_default();
            }
            _ => return part,
        }
    }
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

    #[test]
    fn every_rule_of_the_grammar_is_read() {
        let rules = Rules::read();
        let mut names = BTreeSet::new();
        fn walk(part: &Part, names: &mut BTreeSet<&'static str>) {
            match part {
                Part::Rule(name) => drop(names.insert(name)),
                Part::Optional(inner) => walk(inner, names),
                Part::Choice(parts) | Part::Sequence(parts) => parts.iter().for_each(|part| walk(part, names)),
                Part::Letters(_) | Part::Look => {}
            }
        }
        rules.0.values().for_each(|part| walk(part, &mut names));
        let own = names.iter().filter(|name| is_rule_name(name));
        let unknown: Vec<_> = own.filter(|name| !rules.0.contains_key(**name)).collect();
        assert!(unknown.is_empty(), "{unknown:?}");
        assert!(rules.0.len() > 200, "{}", rules.0.len());
    }
}
