//! The words of a statement, as the grammar itself takes it apart, with nothing left out but blanks.

use super::Parse;
use crate::syntax::Rule;
use std::borrow::Cow;

/// What a token is, as far as the layout has to know.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TokenKind {
    /// A word of the language: `hold`, `because`, `title`.
    Keyword,
    /// A word of the maker's, a figure, a sign: whatever stands by itself between blanks.
    Plain,
    /// A date.
    Date,
    /// A time of day.
    Time,
    /// A text in quotation marks.
    Text,
    /// A comment, to the end of its line.
    Comment,
    /// `{`
    Open,
    /// `}`
    Close,
    /// `(`
    BracketOpen,
    /// `)`
    BracketClose,
    /// `,`
    Comma,
    /// `=`
    Equals,
    /// `:`
    Colon,
}

/// A token and how it stood.
#[derive(Clone, Debug)]
pub struct Token<'t> {
    /// What it is.
    pub kind: TokenKind,
    /// Its text, in the one way it is written.
    pub text: Cow<'t, str>,
    /// How many line ends stood before it.
    pub breaks: usize,
}

impl Token<'_> {
    /// Whether this is a word of the language, and that one.
    pub fn is_keyword(&self, word: &str) -> bool {
        self.kind == TokenKind::Keyword && self.text == word
    }
}

/// All tokens of a statement.
#[must_use]
pub fn tokens<'t>(parse: &'t Parse, text: &'t str) -> Vec<Token<'t>> {
    let mut scan = Scan { text, at: 0, breaks: 0, tokens: Vec::new() };
    for node in parse.nodes(text, 0).all() {
        let kind = match node.as_rule() {
            Rule::comment => TokenKind::Comment,
            Rule::string => TokenKind::Text,
            Rule::date => TokenKind::Date,
            Rule::time => TokenKind::Time,
            Rule::name
            | Rule::phase_name
            | Rule::figure_name
            | Rule::word
            | Rule::any_word
            | Rule::number
            | Rule::unit
            | Rule::makes_count
            | Rule::shelf_path
            | Rule::add_sign
            | Rule::times_sign => TokenKind::Plain,
            // What else there is holds tokens, or is words of the language.
            _ => continue,
        };
        let span = node.span();
        scan.between(span.start as usize);
        let text = match node.as_rule() {
            Rule::unit => unit(node.as_str()),
            Rule::comment => comment(node.as_str()),
            _ => Cow::Borrowed(node.as_str()),
        };
        scan.push(kind, text);
        scan.at = span.end as usize;
    }
    scan.between(text.len());
    scan.tokens
}

/// A comment as it is written: blanks at its end mean nothing.
#[must_use]
pub fn comment(typed: &str) -> Cow<'_, str> {
    Cow::Borrowed(typed.trim_end_matches([' ', '\t', '\r']))
}

/// How many line ends there are in a text: CRLF is one, told by its second half, and a lone CR is one too.
#[must_use]
pub fn line_ends(text: &str) -> usize {
    let lone = |at: usize| text.as_bytes().get(at + 1) != Some(&b'\n');
    text.bytes().enumerate().filter(|(at, byte)| *byte == b'\n' || *byte == b'\r' && lone(*at)).count()
}

/// A unit in the one way it is written.
fn unit(typed: &str) -> Cow<'_, str> {
    match (typed, typed.strip_prefix('%')) {
        ("C", _) => Cow::Borrowed("°C"),
        ("F", _) => Cow::Borrowed("°F"),
        (_, Some(of)) if !of.is_empty() => Cow::Owned(format!("% {}", of.trim_start())),
        _ => Cow::Borrowed(typed),
    }
}

struct Scan<'t> {
    text: &'t str,
    /// How far the text has been taken.
    at: usize,
    breaks: usize,
    tokens: Vec<Token<'t>>,
}

impl<'t> Scan<'t> {
    fn push(&mut self, kind: TokenKind, text: Cow<'t, str>) {
        self.tokens.push(Token { kind, text, breaks: self.breaks });
        self.breaks = 0;
    }

    /// Takes what stands before the next token: blanks, punctuation and words of the language.
    fn between(&mut self, end: usize) {
        let mut rest = self.text.get(self.at..end).unwrap_or("");
        while let Some(first) = rest.chars().next() {
            let length = match punctuation(first) {
                Some(kind) => {
                    self.push(kind, Cow::Borrowed(rest.get(..1).unwrap_or("")));
                    1
                }
                None if matches!(first, ' ' | '\t' | '\n' | '\r') => {
                    // CRLF is one line end, told by its second half; a lone CR is one too.
                    if first == '\n' || first == '\r' && !rest.starts_with("\r\n") {
                        self.breaks += 1;
                    }
                    1
                }
                None => {
                    let ends = |c: char| matches!(c, ' ' | '\t' | '\n' | '\r') || punctuation(c).is_some();
                    let length = rest.find(ends).unwrap_or(rest.len());
                    self.push(TokenKind::Keyword, Cow::Borrowed(rest.get(..length).unwrap_or("")));
                    length
                }
            };
            rest = rest.get(length..).unwrap_or("");
        }
        self.at = end;
    }
}

fn punctuation(character: char) -> Option<TokenKind> {
    Some(match character {
        '{' => TokenKind::Open,
        '}' => TokenKind::Close,
        '(' => TokenKind::BracketOpen,
        ')' => TokenKind::BracketClose,
        ',' => TokenKind::Comma,
        '=' => TokenKind::Equals,
        ':' => TokenKind::Colon,
        _ => return None,
    })
}
