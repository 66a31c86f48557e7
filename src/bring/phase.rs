//! What a heading or a cell says of a phase: its letter, its title, how warm it is.

use super::number::{DecimalMarks, figure_at_start};
use super::words::bare;
use crate::quantity::Exact;

/// A phase as the table names it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PhaseHead {
    /// Its letter or number, in capitals.
    pub letter: Option<String>,
    /// What else it is called.
    pub title: Option<String>,
    /// How warm, in degrees Celsius, as it is written.
    pub warm: Option<Exact>,
}

impl PhaseHead {
    /// Whether it names a phase, and is no mark or warmth alone.
    pub fn names_one(&self) -> bool {
        self.letter.is_some() || self.title.is_some()
    }
}

const WORDS: &[&str] = &["phase", "fase", "teil", "part"];
const ENDINGS: &[&str] = &["phase", "fase"];

/// A heading without the marks that make it one, of Markdown or of a note: `**Phase A:**`.
pub fn without_marks(text: &str) -> &str {
    text.trim_matches(|c: char| c.is_whitespace() || matches!(c, '*' | '_' | '#' | ':'))
}

/// A row of its own that opens a phase; none where it is none.
pub fn heading(text: &str) -> Option<PhaseHead> {
    let words = text.split_whitespace().count();
    let lower = bare(text);
    let first = lower.split(|c: char| !c.is_alphanumeric()).next().unwrap_or("");
    let opens = WORDS.contains(&first) && words <= 8;
    let speaks = lower.split(|c: char| !c.is_alphanumeric()).any(|word| ENDINGS.iter().any(|end| word.ends_with(end)));
    let bare_letter = letter_of(first).is_some() && first.len() == lower.trim_end_matches([')', '.']).len();
    (opens || speaks && words <= 6 || bare_letter).then(|| cell(text))
}

/// What a cell of the column of phases says.
pub fn cell(text: &str) -> PhaseHead {
    let (text, warm) = without_warmth(text);
    let around = |c: char| {
        c.is_whitespace()
            || matches!(c, '*' | '_' | '#' | ':' | '-' | '–' | '—' | ',' | '.' | '(' | ')' | '|' | '[' | ']')
    };
    let text = text.trim_matches(around);
    let (first, rest) = text.split_once(|c: char| !c.is_alphanumeric()).unwrap_or((text, ""));
    let is_word = WORDS.contains(&first.to_lowercase().as_str());
    let (candidate, after) = match is_word {
        true => rest.trim_start().split_once(|c: char| !c.is_alphanumeric()).unwrap_or((rest.trim_start(), "")),
        false => (first, rest),
    };
    let last = text.rsplit(|c: char| !c.is_alphanumeric()).next().unwrap_or("");
    let (letter, title) = match letter_of(candidate) {
        Some(letter) => (Some(letter), after.trim_matches(around)),
        // `Wasserphase A`
        None if last != text && last.len() < 3 && letter_of(last).is_some() => {
            (letter_of(last), text.strip_suffix(last).unwrap_or(text).trim_matches(around))
        }
        None => (None, text),
    };
    PhaseHead { letter, title: (!title.is_empty()).then(|| title.to_string()), warm }
}

/// A letter with or without a digit, a number, or a Roman number, as the name of a phase.
fn letter_of(word: &str) -> Option<String> {
    let capitals = word.to_uppercase();
    let mut letters = capitals.chars();
    let (first, rest) = (letters.next()?, letters.as_str());
    let digits = |text: &str| text.len() <= 2 && text.bytes().all(|byte| byte.is_ascii_digit());
    if first.is_ascii_uppercase() && digits(rest) {
        return Some(capitals);
    }
    if word.bytes().all(|byte| byte.is_ascii_digit()) && word.len() <= 2 {
        return Some(format!("P{word}"));
    }
    let roman = word.len() <= 4 && word.chars().all(|c| matches!(c, 'I' | 'V' | 'X'));
    roman.then_some(capitals)
}

/// The text without a temperature, and that in degrees Celsius.
fn without_warmth(text: &str) -> (String, Option<Exact>) {
    for (at, _) in text.char_indices().filter(|(_, letter)| letter.is_ascii_digit()) {
        if text
            .get(..at)
            .is_some_and(|before| before.ends_with(|c: char| c.is_alphanumeric() || matches!(c, '.' | ',')))
        {
            continue;
        }
        let Some(after) = text.get(at..) else { continue };
        let end = figure_at_start(after, false);
        let (Some(figure), Some(unit)) = (after.get(..end), after.get(end..)) else { continue };
        let Some((celsius, rest)) = degrees(unit) else { continue };
        let Some(number) = (DecimalMarks { comma: true, point: true }).read(figure) else { continue };
        let value = match celsius {
            true => number.value,
            false => &(&number.value - &Exact::whole(32)) * &Exact::ratio(5, 9),
        };
        let before = text.get(..at).unwrap_or("").trim_end();
        let before =
            ["<", "≤", "below", "under", "unter", "at", "to", "bei", "auf", "à", "ca.", "~", "(", "@", "heat", "cool"]
                .iter()
                .fold(before, |before, word| before.strip_suffix(word).unwrap_or(before).trim_end());
        return (format!("{before} {}", rest.trim_start_matches(')')), Some(value));
    }
    (text.to_string(), None)
}

/// Whether a text begins with a sign of degrees, of Celsius or of Fahrenheit, and what follows.
fn degrees(text: &str) -> Option<(bool, &str)> {
    let text = text.trim_start();
    let of = |signs: &[&str]| {
        let found = signs.iter().find_map(|sign| text.strip_prefix(sign));
        found.filter(|rest| !rest.starts_with(char::is_alphanumeric))
    };
    of(&["°C", "° C", "ºC", "º C", "℃", "C", "°c", "deg C"])
        .map(|rest| (true, rest))
        .or_else(|| of(&["°F", "° F", "ºF", "F"]).map(|rest| (false, rest)))
        .or_else(|| of(&["°", "º"]).map(|rest| (true, rest)))
}
