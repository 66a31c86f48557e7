//! Text within Markdown: it comes out as that very text, and makes no link, no picture, no HTML and no block.
//!
//! What is escaped, and where, follows CommonMark 0.31.2 (backslash escapes, section 2.4), and of its extensions by the
//! code hosts tables and strikethrough. Ordinary text stays as it is: a sign is escaped only where it would mean
//! something.

use super::screen::{is_unseen, push_escape, shown, with_texts};
use serde::Serialize;
use serde::de::DeserializeOwned;

/// Data with every text in it made fit for Markdown, in a cell and in running text. In the fields named, texts are
/// sentences of the program's own, in which backticks mark what is written in a file: there they stay.
#[must_use]
pub fn data_in_markdown<T: Serialize + DeserializeOwned + Clone>(data: &T, sentences: &[&str]) -> T {
    with_texts(data, &|field, text| match sentences.contains(&field) {
        true => sentence_in_markdown(text),
        false => in_markdown(text),
    })
}

/// A text as running text, or in a cell of a table.
#[must_use]
pub fn in_markdown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    escape(&mut out, text.trim(), true);
    out
}

/// A sentence in which backticks mark code.
#[must_use]
pub fn sentence_in_markdown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text.trim();
    let mut first = true;
    while let Some((before, inside, after)) = code_span(rest) {
        escape(&mut out, before, first);
        out.push_str(&code_in_markdown(inside));
        (rest, first) = (after, false);
    }
    escape(&mut out, rest, first);
    out
}

/// The text before the first pair of backticks, between them, and after them.
fn code_span(text: &str) -> Option<(&str, &str, &str)> {
    let (before, rest) = text.split_once('`')?;
    let (inside, after) = rest.split_once('`')?;
    Some((before, inside, after))
}

/// A text as code. One with a pipe in it would not read the same in a cell and outside one, and one with a backtick
/// would need others around it: they are running text with backticks to be seen.
#[must_use]
pub fn code_in_markdown(text: &str) -> String {
    let text = shown(text);
    if text.trim().is_empty() || text.contains(['`', '|']) || text.starts_with(' ') || text.ends_with(' ') {
        let mut out = String::from("\\`");
        escape(&mut out, &text, false);
        out.push_str("\\`");
        return out;
    }
    format!("`{text}`")
}

/// Writes a text. `first` says whether it may stand at the beginning of a line, where more signs mean something.
fn escape(out: &mut String, text: &str, first: bool) {
    let opener = if first { opener(text) } else { None };
    let closes = closing_hashes(text);
    let mut before = None;
    for (at, letter) in text.char_indices() {
        let after = text.get(at + letter.len_utf8()..).unwrap_or_default();
        if is_unseen(letter) {
            push_escape(out, letter);
        } else {
            let means = opener == Some(at) || closes == Some(at) || means_something(before, letter, after);
            out.push_str(if means { "\\" } else { "" });
            out.push(letter);
        }
        before = Some(letter);
    }
}

/// Whether a sign within a line would mean something in Markdown. What lies past the ends of the text is not known.
fn means_something(before: Option<char>, letter: char, after: &str) -> bool {
    let next = after.chars().next();
    match letter {
        '`' | '[' | '|' => true,
        '\\' => next.is_none_or(|next| next.is_ascii_punctuation()),
        '<' => next.is_none_or(|next| next.is_ascii_alphabetic() || matches!(next, '/' | '!' | '?')),
        '&' => is_entity(after),
        // Between blanks they open and close nothing.
        '*' | '~' => !is_blank(before) || !is_blank(next),
        // Within a word, neither does this.
        '_' => !(is_blank(before) && is_blank(next) || is_word(before) && is_word(next)),
        _ => false,
    }
}

fn is_blank(letter: Option<char>) -> bool {
    letter.is_some_and(|letter| letter == ' ')
}

fn is_word(letter: Option<char>) -> bool {
    letter.is_some_and(char::is_alphanumeric)
}

/// Whether what follows an ampersand makes it a character reference, or might with what comes after the text.
fn is_entity(after: &str) -> bool {
    let rest = after.trim_start_matches('#').trim_start_matches(|letter: char| letter.is_ascii_alphanumeric());
    rest.is_empty() || (rest.starts_with(';') && rest.len() < after.len())
}

/// The sign at the beginning of a line that would make it a heading, a list, a quotation, a rule or an underline.
fn opener(text: &str) -> Option<usize> {
    let first = text.chars().next()?;
    let ends = |at: usize| text.get(at..).is_none_or(|rest| rest.is_empty() || rest.starts_with([' ', '\t']));
    let run = |of: fn(&char) -> bool| text.chars().take_while(of).count();
    let opens = match first {
        '>' => true,
        '#' => run(|letter| *letter == '#') <= 6 && ends(run(|letter| *letter == '#')),
        '-' | '+' => ends(1) || text.chars().all(|letter| matches!(letter, '-' | ' ')),
        '=' => text.chars().all(|letter| matches!(letter, '=' | ' ')),
        digit if digit.is_ascii_digit() => {
            let digits = run(char::is_ascii_digit);
            let is_number = text.get(digits..).is_some_and(|rest| rest.starts_with(['.', ')'])) && ends(digits + 1);
            return Some(digits).filter(|digits| is_number && *digits <= 9);
        }
        _ => false,
    };
    opens.then_some(0)
}

/// Where hashes at the end begin, which a heading would lose.
fn closing_hashes(text: &str) -> Option<usize> {
    let rest = text.trim_end_matches('#');
    (rest.len() < text.len() && (rest.is_empty() || rest.ends_with(' '))).then_some(rest.len())
}

#[cfg(test)]
mod tests {
    use super::{in_markdown, sentence_in_markdown};

    #[test]
    fn ordinary_text_stays_as_it_is() {
        for text in [
            "Glycolic night gel, 6 % (pH 3.5 – 4.0)",
            "2 * 3 < 7 & more",
            "snake_case_name, -20 °C, +1 %",
            "R&D & more; it's 1.5 %!",
            "C:\\data",
            "1.3",
        ] {
            assert_eq!(in_markdown(text), text);
        }
        let sentence = "`water` is 5 % over: `glycerin 5 %` and *no* more than that.";
        assert_eq!(sentence_in_markdown(sentence), sentence.replace('*', "\\*"));
    }

    #[test]
    fn what_would_mean_something_is_escaped() {
        for (text, wanted) in [
            ("<script>", "\\<script>"),
            ("a <", "a \\<"),
            ("[x](javascript:a)", "\\[x](javascript:a)"),
            ("![x](y)", "!\\[x](y)"),
            ("a|b\\|c", "a\\|b\\\\\\|c"),
            ("**b** _i_ ~~s~~", "\\*\\*b\\*\\* \\_i\\_ \\~\\~s\\~\\~"),
            ("&lt; &#60; &amp", "\\&lt; \\&#60; \\&amp"),
            ("`a`", "\\`a\\`"),
            ("# a", "\\# a"),
            ("a #", "a \\#"),
            ("- a", "\\- a"),
            ("---", "\\---"),
            ("12. a", "12\\. a"),
            ("> a", "\\> a"),
            ("===", "\\==="),
            ("end\\", "end\\\\"),
            ("a\nb\u{202e}", "a\\nb\\u{202e}"),
        ] {
            assert_eq!(in_markdown(text), wanted);
        }
        assert_eq!(sentence_in_markdown("`a|b` and `c"), "\\`a\\|b\\` and \\`c");
    }
}
