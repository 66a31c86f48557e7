//! A line of a note, cut into phase, name and amount.

use super::amount::{Stated, Unit, amount};
use super::number::DecimalMarks;
use super::words::bare;

/// What a line of a note says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoteLine {
    /// The letter before the name, where one stands there.
    pub phase: String,
    /// The name.
    pub name: String,
    /// The amount as it is written; empty where none is.
    pub amount: String,
    /// Whether the amount has a unit, or is the rest.
    pub has_unit: bool,
}

/// The most words of a name: what is longer is a sentence.
const MOST_WORDS: usize = 12;

/// Cuts a line; none where it states no amount.
pub fn note_line(line: &str, marks: DecimalMarks) -> Option<NoteLine> {
    let spaced = leaders_as_blanks(line);
    let text = without_bullet(&spaced);
    let (phase, text) = phase_before(text);
    let (name, amount) = amount_behind(text, marks).or_else(|| amount_before(text, marks))?;
    let name = name.trim_matches(|c: char| {
        c.is_whitespace() || matches!(c, ':' | '-' | '–' | '—' | '=' | ',' | ';' | '|' | '.' | '→')
    });
    let words = name.split_whitespace().count();
    if words == 0 || words > MOST_WORDS || !name.contains(char::is_alphabetic) {
        return None;
    }
    let has_unit = has_unit(amount, marks);
    Some(NoteLine { phase: phase.to_string(), name: name.to_string(), amount: amount.trim().to_string(), has_unit })
}

/// What stands in a line without bullet and letter of the phase, for a name that has no amount.
pub fn bare_line(line: &str) -> (&str, &str) {
    phase_before(without_bullet(line))
}

fn has_unit(text: &str, marks: DecimalMarks) -> bool {
    match amount(text, marks, false).stated {
        Stated::Figure(_, unit) => unit != Unit::Unwritten,
        Stated::Rest(_) | Stated::ToPh => true,
        Stated::Nothing | Stated::Unread => false,
    }
}

/// `Water ..... 82.5` with its leaders turned into blanks.
fn leaders_as_blanks(line: &str) -> String {
    let line = line.replace(['…', '\t'], "   ");
    let mut text = String::with_capacity(line.len());
    let mut rest = line.as_str();
    while let Some(letter) = rest.chars().next() {
        let run = leader_at_start(rest, text.ends_with(|c: char| c.is_ascii_digit()));
        let length = if run > 0 { run } else { letter.len_utf8() };
        let Some((taken, after)) = rest.split_at_checked(length) else { break };
        if run > 0 {
            text.push_str("  ")
        } else {
            text.push_str(taken)
        }
        rest = after;
    }
    text
}

/// How long a leader at the beginning of a text is: three dots, strokes or points and more, also with blanks between the
/// dots; or two dots that are not those of a range.
fn leader_at_start(text: &str, behind_a_digit: bool) -> usize {
    let Some(mark) = text.chars().next().filter(|mark| matches!(mark, '.' | '_' | '·' | '-' | '–' | '=' | '~'))
    else {
        return 0;
    };
    let mut marks = 0usize;
    let mut end = 0usize;
    for (at, letter) in text.char_indices() {
        match letter {
            letter if letter == mark => {
                marks += 1;
                end = at + letter.len_utf8();
            }
            ' ' if matches!(mark, '.' | '·') => {}
            _ => break,
        }
    }
    // `ca. .5` and `2..3` have two dots, and a leader in neither.
    let range = marks == 2 && (behind_a_digit || mark != '.' || end > 2);
    if marks < 2 || range { 0 } else { end }
}

/// A line without the bullet, the box or the number of a list before it.
fn without_bullet(line: &str) -> &str {
    let line = line.trim();
    let line = ["- [ ]", "- [x]", "-", "*", "•", "–", "·", "+", "□", "☐", ">"]
        .iter()
        .find_map(|bullet| line.strip_prefix(bullet).filter(|rest| rest.starts_with(char::is_whitespace)))
        .unwrap_or(line)
        .trim_start();
    let digits = line.bytes().take_while(u8::is_ascii_digit).count();
    let numbered = (1..=2).contains(&digits).then(|| line.get(digits..)).flatten();
    let rest = numbered.and_then(|rest| rest.strip_prefix(['.', ')'])).filter(|rest| rest.starts_with(' '));
    rest.map_or(line, str::trim_start)
}

/// `A Water`, `A: Water`, `B2) Gum`: the letter, and what follows.
fn phase_before(text: &str) -> (&str, &str) {
    let length = text.find(|c: char| !c.is_alphanumeric()).unwrap_or(text.len());
    let (word, rest) = text.split_at_checked(length).unwrap_or(("", text));
    let mut letters = word.chars();
    let is_letter = letters.next().is_some_and(|c| c.is_ascii_uppercase()) && letters.as_str().len() <= 1;
    let is_letter = is_letter && letters.as_str().bytes().all(|byte| byte.is_ascii_digit());
    let after = rest.trim_start_matches([':', ')', '.', '|', '-', ' ']);
    let follows = rest.starts_with([':', ')', '|', ' ', '.']) && after.starts_with(char::is_alphanumeric);
    // `C 12-15 …` and `E 322` are names.
    if is_letter && follows && after.starts_with(char::is_alphabetic) { (word, after) } else { ("", text) }
}

/// The name and the amount behind it: the longest end that is an amount and nothing else. What stands in brackets or
/// after a comma behind the amount goes with it.
fn amount_behind(text: &str, marks: DecimalMarks) -> Option<(&str, &str)> {
    let mut core = text.trim_end();
    for _ in 0..3 {
        if let Some(found) = end_that_is_amount(core, marks) {
            let (name, _) = found;
            return text.get(name.len()..).map(|amount| (name, amount));
        }
        core = match core.ends_with(')') {
            true => core.get(..core.rfind('(')?)?.trim_end(),
            false => core.get(..core.rfind([',', ';'])?)?.trim_end(),
        };
    }
    None
}

fn end_that_is_amount(text: &str, marks: DecimalMarks) -> Option<(&str, &str)> {
    const LOOKED_AT: usize = 24;
    let bounds: Vec<usize> = text.match_indices([' ', ':', '=']).map(|(at, mark)| at + mark.len()).collect();
    let mut best = None;
    for at in bounds.iter().rev().take(LOOKED_AT) {
        let (name, end) = text.split_at_checked(*at)?;
        let end = end.trim_start();
        if end.is_empty() || !amount(end, marks, false).is_whole() {
            continue;
        }
        best = Some((name, end));
    }
    best
}

/// `82.5 g water`, `q.s. water`: the name behind its amount. A figure alone is a number of something else.
fn amount_before(text: &str, marks: DecimalMarks) -> Option<(&str, &str)> {
    const LOOKED_AT: usize = 6;
    let mut best = None;
    for (at, _) in text.match_indices(' ').take(LOOKED_AT) {
        let Some((start, name)) = text.split_at_checked(at) else { continue };
        if amount(start, marks, false).is_whole() && has_unit(start, marks) && name.contains(char::is_alphabetic) {
            best = Some((name, start));
        }
    }
    let (name, amount) = best?;
    let name = name.trim_start();
    Some((name.strip_prefix("of ").unwrap_or(name), amount))
}

/// Whether a line is a sentence, and no line of a table.
pub fn is_sentence(line: &str) -> bool {
    let text = bare(line);
    text.split_whitespace().count() > 4 && line.trim_end().ends_with(['.', '!', '?', ';'])
}
