//! The words of a text that need not parse: enough to know what stands before a cursor.

use super::mark::{Mark, MarkKind};
use crate::diagnostic::Span;

/// A word as it stands, whatever it is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lexeme<'t> {
    /// What it looks like.
    pub kind: LexemeKind,
    /// Its text.
    pub text: &'t str,
    /// Its first byte.
    pub start: usize,
}

/// What a word looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LexemeKind {
    /// A comment, to the end of its line.
    Comment,
    /// A text between quotation marks; false where the second is missing.
    Text(bool),
    /// Letters, digits, hyphens and points; `shelf/all` and `g/mL` too.
    Word,
    /// What opens with a digit.
    Figure,
    /// A bracket, a comma, a sign: one character.
    Sign,
    /// The end of a line.
    LineEnd,
}

impl Lexeme<'_> {
    /// The byte after its last.
    #[must_use]
    pub fn end(&self) -> usize {
        self.start + self.text.len()
    }
}

/// Cuts a text into words. What is no word, figure, text or comment is a sign of one character.
#[must_use]
pub fn lexemes(text: &str) -> Vec<Lexeme<'_>> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        let Some(first) = rest.chars().next() else { break };
        let (kind, length) = match first {
            ' ' | '\t' | '\r' => {
                at += 1;
                continue;
            }
            '\n' => (LexemeKind::LineEnd, 1),
            '#' => (LexemeKind::Comment, rest.find('\n').unwrap_or(rest.len())),
            '"' => text_length(rest),
            first if first.is_ascii_digit() => (LexemeKind::Figure, length_of(rest, is_of_figure)),
            first if is_of_word(first) => (LexemeKind::Word, length_of(rest, is_of_word)),
            first => (LexemeKind::Sign, first.len_utf8()),
        };
        found.push(Lexeme { kind, text: rest.get(..length).unwrap_or(rest), start: at });
        at += length.max(1);
    }
    found
}

fn length_of(text: &str, goes_on: impl Fn(char) -> bool) -> usize {
    text.find(|letter| !goes_on(letter)).unwrap_or(text.len())
}

fn is_of_word(letter: char) -> bool {
    letter.is_alphanumeric() || matches!(letter, '-' | '_' | '.' | '/' | '%' | '°')
}

fn is_of_figure(letter: char) -> bool {
    letter.is_ascii_digit() || matches!(letter, '.' | ',' | '_' | '-' | ':')
}

fn text_length(rest: &str) -> (LexemeKind, usize) {
    let mut escaped = false;
    for (at, letter) in rest.char_indices().skip(1) {
        match letter {
            '\n' => return (LexemeKind::Text(false), at),
            '"' if !escaped => return (LexemeKind::Text(true), at + 1),
            _ => escaped = letter == '\\' && !escaped,
        }
    }
    (LexemeKind::Text(false), rest.len())
}

/// Marks the words of a statement that does not parse.
pub(super) fn mark_broken(text: &str, at: usize, marks: &mut Vec<Mark>) {
    for lexeme in lexemes(text) {
        let kind = match lexeme.kind {
            LexemeKind::Comment => MarkKind::Comment,
            LexemeKind::Text(_) => MarkKind::Text,
            LexemeKind::Figure => MarkKind::Number,
            LexemeKind::Word => MarkKind::Loose,
            LexemeKind::Sign | LexemeKind::LineEnd => continue,
        };
        marks.push(Mark { kind, span: Span::new(at + lexeme.start, at + lexeme.end()) });
    }
}
