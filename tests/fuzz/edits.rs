//! Texts edited by their tokens: words of the language put in, lines taken from elsewhere, signs that hurt. Most of what
//! comes of it is nearly right, which is where faults hide.

use proptest::prelude::*;

/// Signs that no maker writes on purpose.
const HOSTILE: &[&str] = &[
    "\"", "{", "}", "(", ")", "#", "\\", "\r", "\n", "\t", "µ", "‰", "\u{202e}", "\u{feff}", "\u{a0}", "\u{200b}", "é",
    "–", "−", "😀", "\u{0}", "\u{7f}", "\u{85}", "½", "، ", "°", "|", "<", "&", "`", "%%", ",", ".", "-", "=", "*",
    "/",
];

/// Figures at edges.
const FIGURES: &[&str] = &[
    "0",
    "-1",
    "1,5",
    "2,000",
    "0.0000001",
    "99999999999999999999999999",
    "100",
    "100.0001",
    "1e9",
    "1_000",
    "0.5",
    "7",
    "14.1",
];

/// One edit: what, where, and with what.
#[derive(Clone, Debug)]
pub struct Edit {
    kind: u8,
    at: u16,
    with: u16,
}

/// Random edits.
pub fn edits() -> impl Strategy<Value = Vec<Edit>> {
    let edit = (0u8..12, any::<u16>(), any::<u16>()).prop_map(|(kind, at, with)| Edit { kind, at, with });
    prop::collection::vec(edit, 1..7)
}

/// A text with edits carried out, by the words of the language and with another text to take from.
pub fn edited(text: &str, edits: &[Edit], other: &str, words: &[String]) -> String {
    let mut tokens: Vec<String> = tokens(text);
    let others = self::tokens(other);
    for edit in edits {
        carry_out(edit, &mut tokens, &others, words);
    }
    tokens.concat()
}

fn carry_out(edit: &Edit, tokens: &mut Vec<String>, others: &[String], words: &[String]) {
    let pick = |from: usize| if from == 0 { None } else { Some(usize::from(edit.with) % from) };
    let Some(at) = (!tokens.is_empty()).then(|| usize::from(edit.at) % tokens.len()) else {
        tokens.extend(pick(words.len()).map(|word| words[word].clone()));
        return;
    };
    let word = || pick(words.len()).map(|word| words[word].clone()).unwrap_or_default();
    match edit.kind {
        0 => drop(tokens.remove(at)),
        1 => tokens.insert(at, format!(" {} ", word())),
        2 => tokens[at] = word(),
        3 => {
            let line = line_at(tokens, at);
            let copied = tokens[line.clone()].to_vec();
            tokens.splice(line.end..line.end, copied);
        }
        4 => {
            let other = usize::from(edit.with) % tokens.len();
            tokens.swap(at, other);
        }
        5 => {
            if let Some(from) = pick(others.len()) {
                let line = others[line_at(others, from)].to_vec();
                let end = line_at(tokens, at).end;
                tokens.splice(end..end, line);
            }
        }
        6 => drop(tokens.drain(line_at(tokens, at))),
        7 => {
            if let Some(from) = pick(others.len()) {
                tokens[at].clone_from(&others[from]);
            }
        }
        8 => tokens.insert(at, HOSTILE[usize::from(edit.with) % HOSTILE.len()].to_string()),
        9 => {
            // The next figure from there on, so that figures are not left to chance.
            let figure = (at..tokens.len()).find(|at| tokens[*at].starts_with(|c: char| c.is_ascii_digit()));
            let at = figure.unwrap_or(at);
            tokens[at] = FIGURES[usize::from(edit.with) % FIGURES.len()].to_string();
        }
        10 => {
            // A slip of the pen within a word.
            let letters: Vec<char> = tokens[at].chars().collect();
            let slip = usize::from(edit.with) % letters.len().max(1);
            tokens[at] = letters.iter().enumerate().filter(|(at, _)| *at != slip).map(|(_, letter)| letter).collect();
        }
        _ => tokens.truncate(at),
    }
}

/// The line around a token, its end included.
fn line_at(tokens: &[String], at: usize) -> std::ops::Range<usize> {
    let start = tokens[..at].iter().rposition(|token| token == "\n").map_or(0, |line| line + 1);
    let end = tokens[at..].iter().position(|token| token == "\n").map_or(tokens.len(), |line| at + line + 1);
    start..end
}

/// Words and figures, stretches of blanks, and every other character by itself.
fn tokens(text: &str) -> Vec<String> {
    let kind = |c: char| match c {
        c if c.is_alphanumeric() || "-_.".contains(c) => 1,
        ' ' | '\t' => 2,
        _ => 0,
    };
    let mut found: Vec<String> = Vec::new();
    let mut last = 0;
    for character in text.chars() {
        match found.last_mut() {
            Some(token) if kind(character) != 0 && kind(character) == last => token.push(character),
            _ => found.push(character.to_string()),
        }
        last = kind(character);
    }
    found
}
