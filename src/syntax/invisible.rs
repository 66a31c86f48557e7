//! Characters that nobody sees: blanks that are none to the language, and marks of no width. Told by name, and taken
//! out of what the grammar sees, so that all else is still read. Between quotes and after `#` they are content.

use super::cut::{closing_quote, line_end};
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span, Sureness};

/// A text without what nobody sees, and how its offsets lead back.
#[derive(Clone, Debug, Default)]
pub struct Cleared {
    /// The text.
    pub text: String,
    /// Where bytes were taken out: offsets in the cleared text, ascending, each with all the bytes taken out so far.
    pub removed: Vec<(usize, usize)>,
}

/// A run of one character that nobody sees.
#[derive(Clone, Copy, Debug)]
pub struct Unseen {
    /// Where it begins.
    at: usize,
    character: char,
    name: &'static str,
    mend: CharacterMend,
    count: usize,
}

/// What is to become of a character that nobody sees.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum CharacterMend {
    /// A blank is meant.
    Blank,
    /// Nothing is meant.
    Nothing,
    /// Nothing or something else may be meant: a line's end, a hyphen, another order of the letters.
    Unsure,
}

/// Characters that nobody sees, with their names in Unicode.
const UNSEEN: &[(char, &str, CharacterMend)] = &[
    ('\u{0b}', "vertical tab", CharacterMend::Blank),
    ('\u{0c}', "form feed", CharacterMend::Blank),
    ('\u{85}', "next-line mark", CharacterMend::Unsure),
    ('\u{a0}', "no-break space", CharacterMend::Blank),
    ('\u{ad}', "soft hyphen", CharacterMend::Unsure),
    ('\u{34f}', "combining grapheme joiner", CharacterMend::Nothing),
    ('\u{61c}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{1680}', "ogham space", CharacterMend::Blank),
    ('\u{180e}', "Mongolian vowel separator", CharacterMend::Nothing),
    ('\u{2000}', "en quad", CharacterMend::Blank),
    ('\u{2001}', "em quad", CharacterMend::Blank),
    ('\u{2002}', "en space", CharacterMend::Blank),
    ('\u{2003}', "em space", CharacterMend::Blank),
    ('\u{2004}', "three-per-em space", CharacterMend::Blank),
    ('\u{2005}', "four-per-em space", CharacterMend::Blank),
    ('\u{2006}', "six-per-em space", CharacterMend::Blank),
    ('\u{2007}', "figure space", CharacterMend::Blank),
    ('\u{2008}', "punctuation space", CharacterMend::Blank),
    ('\u{2009}', "thin space", CharacterMend::Blank),
    ('\u{200a}', "hair space", CharacterMend::Blank),
    ('\u{200b}', "zero-width space", CharacterMend::Nothing),
    ('\u{200c}', "zero-width non-joiner", CharacterMend::Nothing),
    ('\u{200d}', "zero-width joiner", CharacterMend::Nothing),
    ('\u{200e}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{200f}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{2028}', "line separator", CharacterMend::Unsure),
    ('\u{2029}', "paragraph separator", CharacterMend::Unsure),
    ('\u{202a}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{202b}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{202c}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{202d}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{202e}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{202f}', "narrow no-break space", CharacterMend::Blank),
    ('\u{205f}', "medium mathematical space", CharacterMend::Blank),
    ('\u{2060}', "word joiner", CharacterMend::Nothing),
    ('\u{2061}', "function application", CharacterMend::Nothing),
    ('\u{2062}', "invisible times", CharacterMend::Nothing),
    ('\u{2063}', "invisible separator", CharacterMend::Nothing),
    ('\u{2064}', "invisible plus", CharacterMend::Nothing),
    ('\u{2066}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{2067}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{2068}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{2069}', "mark of the writing direction", CharacterMend::Unsure),
    ('\u{3000}', "ideographic space", CharacterMend::Blank),
    ('\u{3164}', "Hangul filler", CharacterMend::Nothing),
    ('\u{feff}', "byte-order mark", CharacterMend::Nothing),
];

fn unseen(character: char) -> Option<(&'static str, CharacterMend)> {
    // Nearly all that is written is below the first of them.
    if character < '\u{7f}' && !matches!(character, '\u{0b}' | '\u{0c}') {
        return None;
    }
    let at = UNSEEN.binary_search_by_key(&character, |(known, _, _)| *known).ok()?;
    UNSEEN.get(at).map(|(_, name, mend)| (*name, *mend))
}

/// The signs below the letters that anything to be looked at begins with, a bit each.
const TELLING: u64 = 1 << b'"' | 1 << b'#' | 1 << 0x0b | 1 << 0x0c;

/// What nobody sees in a text.
pub fn unseen_in(text: &str) -> Vec<Unseen> {
    if text.is_ascii() && !text.bytes().any(|byte| matches!(byte, 0x0b | 0x0c)) {
        return Vec::new();
    }
    let bytes = text.as_bytes();
    let mut found = Vec::new();
    let mut at = 0;
    let telling = |byte: &u8| *byte >= 0x80 || *byte < 64 && TELLING >> byte & 1 == 1;
    while let Some(next) = bytes.get(at..).and_then(|rest| rest.iter().position(telling)) {
        at += next;
        let Some(character) = text.get(at..).and_then(|rest| rest.chars().next()) else { break };
        match character {
            // A quote that is not closed is told of as that, and what is after it may be content.
            '"' => at = closing_quote(bytes, at).map_or_else(|| line_end(bytes, at), |end| end + 1),
            '#' => at = line_end(bytes, at),
            _ => match unseen(character) {
                None => at += character.len_utf8(),
                Some((name, mend)) => {
                    let run = run_length(text, at, character);
                    found.push(Unseen { at, character, name, mend, count: run / character.len_utf8() });
                    at += run;
                }
            },
        }
    }
    found
}

/// Clears a text; none where there is nothing to clear, as nearly always.
pub fn clear(text: &str) -> Option<Cleared> {
    let found = unseen_in(text);
    if found.is_empty() {
        return None;
    }
    let mut cleared = Cleared::default();
    let (mut from, mut gone) = (0, 0);
    for Unseen { at, character, mend, count, .. } in found {
        let run = count * character.len_utf8();
        let kept = if mend == CharacterMend::Nothing { 0 } else { count };
        cleared.text.push_str(text.get(from..at).unwrap_or(""));
        (0..kept).for_each(|_| cleared.text.push(' '));
        from = at + run;
        gone += run - kept;
        cleared.removed.push((cleared.text.len(), gone));
    }
    cleared.text.push_str(text.get(from..).unwrap_or(""));
    Some(cleared)
}

/// The offset after characters that nobody sees.
pub fn after_unseen(text: &str, at: usize) -> usize {
    let rest = text.get(at..).unwrap_or("");
    at + rest.len() - rest.trim_start_matches(|character| unseen(character).is_some()).len()
}

/// Whether nobody sees anything of a text: blanks, controls and marks of no width say nothing.
#[must_use]
pub fn is_blank(text: &str) -> bool {
    text.chars().all(|letter| letter.is_whitespace() || letter.is_control() || unseen(letter).is_some())
}

/// How many bytes one character fills from an offset on.
fn run_length(text: &str, at: usize, character: char) -> usize {
    let rest = text.get(at..).unwrap_or("");
    rest.len() - rest.trim_start_matches(character).len()
}

impl Unseen {
    /// The same as it is told, of a text that stands at an offset of its file.
    pub fn told(self, file: FileId, shift: usize) -> Diagnostic {
        let Unseen { at, character, name, mend, count } = self;
        let at = at + shift;
        let place = Place { file, span: Span::new(at, at + count * character.len_utf8()) };
        let code = u32::from(character);
        let message = match count {
            1 => format!("A character that nobody sees stands here: a {name} (U+{code:04X})."),
            _ => format!("{count} characters that nobody sees stand here, each a {name} (U+{code:04X})."),
        };
        let message = if name.starts_with(['e', 'i', 'o']) { message.replace(" a ", " an ") } else { message };
        let fault = Diagnostic::new(Code::Syntax, place, message);
        let they = if count == 1 { "it" } else { "them" };
        match mend {
            CharacterMend::Blank if count == 1 => {
                fault.help("Put a blank in its place.").fix(place, " ", Sureness::Safe)
            }
            CharacterMend::Blank => {
                fault.help("Put blanks in their place.").fix(place, " ".repeat(count), Sureness::Safe)
            }
            CharacterMend::Nothing => fault.help(format!("Take {they} out.")).fix(place, "", Sureness::Safe),
            CharacterMend::Unsure => {
                let help = format!("Take {they} out, and see that the line still says what you meant.");
                fault.help(help).fix(place, "", Sureness::NeedsALook)
            }
        }
    }
}

impl Cleared {
    /// An offset of the cleared text in the text as it was: before what was taken out there, or after it.
    pub fn back(removed: &[(usize, usize)], at: usize, after: bool) -> usize {
        let before = removed.partition_point(|(put, _)| if after { *put <= at } else { *put < at });
        at + before.checked_sub(1).and_then(|last| removed.get(last)).map_or(0, |(_, gone)| *gone)
    }

    /// A span of the cleared text in the text as it was.
    pub fn span_back(removed: &[(usize, usize)], span: Span) -> Span {
        let (start, end) = (span.start as usize, span.end as usize);
        let first = Cleared::back(removed, start, true);
        Span::new(first, Cleared::back(removed, end, start == end).max(first))
    }
}

#[cfg(test)]
mod tests {
    use super::{UNSEEN, clear, unseen_in};

    #[test]
    fn the_list_is_in_order_so_that_it_can_be_searched() {
        assert!(UNSEEN.is_sorted_by_key(|(character, _, _)| *character));
    }

    #[test]
    fn quotes_and_comments_keep_what_they_have() {
        assert!(clear("title \"5\u{a0}%\" # \u{200b}\n  note \"\\\"\u{a0}\"").is_none());
        let text = "a\u{200b}b\u{a0}\u{a0}c";
        assert_eq!((clear(text).unwrap().text.as_str(), unseen_in(text).len()), ("ab  c", 2));
    }
}
