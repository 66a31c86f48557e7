//! Line ends, which a text field knows one of: those of the file stay as they were where its lines did.

use std::borrow::Cow;

/// A text as a text field of a browser has it: every line end is a line feed (HTML Living Standard, textarea, "API
/// value"), and what HTML cannot carry is what HTML makes of it.
#[must_use]
pub fn as_in_a_field(text: &str) -> Cow<'_, str> {
    if text.contains(['\r', '\0']) {
        return Cow::Owned(text.replace("\r\n", "\n").replace('\r', "\n").replace('\0', "\u{fffd}"));
    }
    Cow::Borrowed(text)
}

/// A text out of a text field as it goes into the file that it was read from: lines that did not change keep their ends,
/// and those between get the end that most lines have.
#[must_use]
pub fn as_in_file(file: &str, field: &str) -> String {
    let field = as_in_a_field(field);
    let old = lines(file);
    if old.iter().all(|line| line.end == "\n" || line.end.is_empty()) && !file.contains('\0') {
        return field.into_owned();
    }
    let new: Vec<&str> = field.split_inclusive('\n').collect();
    let is_same = |old: &Line<'_>, new: &str| {
        let (words, end) = new.strip_suffix('\n').map_or((new, false), |words| (words, true));
        old.end.is_empty() != end && as_in_a_field(old.words) == words
    };
    let begins = old.iter().zip(&new).take_while(|(old, new)| is_same(old, new)).count();
    let left = old.len().min(new.len()) - begins;
    let ends = old.iter().rev().zip(new.iter().rev()).take(left).take_while(|(old, new)| is_same(old, new)).count();
    let usual = usual_end(&old);
    let mut out = String::with_capacity(file.len().max(field.len()));
    let keep = |out: &mut String, line: &Line<'_>| {
        out.push_str(line.words);
        out.push_str(line.end);
    };
    old.iter().take(begins).for_each(|line| keep(&mut out, line));
    for line in new.iter().skip(begins).take(new.len() - begins - ends) {
        match line.strip_suffix('\n') {
            Some(words) => {
                out.push_str(words);
                out.push_str(usual);
            }
            None => out.push_str(line),
        }
    }
    old.iter().skip(old.len() - ends).for_each(|line| keep(&mut out, line));
    out
}

/// A line, and what ends it.
struct Line<'t> {
    words: &'t str,
    end: &'t str,
}

fn lines(text: &str) -> Vec<Line<'_>> {
    let mut all = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        let at = rest.find(['\n', '\r']).unwrap_or(rest.len());
        let (words, after) = rest.split_at(at);
        let long = if after.starts_with("\r\n") { 2 } else { after.len().min(1) };
        let (end, next) = after.split_at(long);
        all.push(Line { words, end });
        rest = next;
    }
    all
}

fn usual_end(lines: &[Line<'_>]) -> &'static str {
    let count = |end: &str| lines.iter().filter(|line| line.end == end).count();
    if count("\r\n") > count("\n") { "\r\n" } else { "\n" }
}

#[cfg(test)]
mod tests {
    use super::{as_in_a_field, as_in_file};

    #[test]
    fn what_was_not_edited_is_as_it_was() {
        for file in ["", "a", "a\n", "a\r\nb\r\n", "a\r\nb\nc\rd", "\r\r\n\n", "a\0\r\n\u{feff}b"] {
            assert_eq!(as_in_file(file, &as_in_a_field(file)), file, "{file:?}");
        }
    }

    #[test]
    fn only_lines_that_changed_get_new_ends() {
        for (file, field, wanted) in [
            ("a\r\nb\r\nc\r\n", "a\nx\ny\nc\n", "a\r\nx\r\ny\r\nc\r\n"),
            ("a\nb\r\nc\n", "a\nb\nx\nc\n", "a\nb\r\nx\nc\n"),
            ("a\r\nb", "a\nb\n", "a\r\nb\r\n"),
            ("a\r\nb\r\n", "a\nb", "a\r\nb"),
            ("a\r\na\r\na\r\n", "a\na\n", "a\r\na\r\n"),
            ("a\r\n", "", ""),
        ] {
            assert_eq!(as_in_file(file, field), wanted, "{file:?} {field:?}");
        }
    }
}
