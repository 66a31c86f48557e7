//! Where brackets do not pair: which block was never closed, and which was never opened.
//!
//! How far in a line stands says what its maker meant. What is guessed here is where a block ends; every statement in
//! it is read as always.

use super::MAX_NESTING;
use super::cutter::OpenBlock;
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span};
use crate::syntax::context::Context;
use crate::syntax::invisible::clear;

/// Words that open a block at file level and are followed by a name and a brace.
const BLOCK_WORDS: &[&str] = &["substance", "material", "formula", "variant", "rule", "batch", "container"];

/// Something wrong with brackets, and where.
#[derive(Clone, Debug)]
pub enum BracketFault {
    /// A block is not closed.
    Unclosed(usize),
    /// A brace closes nothing.
    ClosesNothing(usize),
    /// The line of this text, which ends at the offset, opens a block without its brace.
    NoBrace(usize, String),
    /// A bracket is one too deep.
    TooDeep(usize),
}

impl BracketFault {
    /// Where the bracket stands, or the last letter of the line that it is missing from.
    fn letter(&self, text: &str) -> Span {
        let at = match self {
            BracketFault::Unclosed(at) | BracketFault::ClosesNothing(at) | BracketFault::TooDeep(at) => *at,
            BracketFault::NoBrace(end, _) => end.saturating_sub(1),
        };
        // A line that lacks its brace may end in a letter of several bytes.
        let is_start = |at: &usize| text.is_char_boundary(*at);
        let start = (0..=at.min(text.len())).rev().find(is_start).unwrap_or_default();
        let length = text.get(start..).and_then(|rest| rest.chars().next()).map_or(1, char::len_utf8);
        Span::new(start, start + length)
    }

    /// The same as it is told of its text, which stands at an offset of a file.
    #[must_use]
    pub fn told(&self, text: &str, file: FileId, shift: usize) -> Diagnostic {
        let Span { start, end } = self.letter(text);
        let place = Place { file, span: Span::new(start as usize + shift, end as usize + shift) };
        let syntax = |message: &str| Diagnostic::new(Code::Syntax, place, message);
        match self {
            BracketFault::Unclosed(_) => syntax("The block that opens here is not closed.")
                .help("Write `}` on a line of its own where the block ends."),
            BracketFault::ClosesNothing(_) => {
                syntax("This `}` closes nothing.").help("Take it out, or put back the `{` that it belongs to.")
            }
            BracketFault::NoBrace(_, code) => {
                syntax("The `{` that opens this block is missing.").help(format!("Write `{code} {{`."))
            }
            BracketFault::TooDeep(_) => {
                let message = format!("Brackets are nested more than {MAX_NESTING} deep here.");
                Diagnostic::new(Code::TooDeep, place, message)
                    .help("Break the expression up: give a part of it a name with `let`.")
            }
        }
    }
}

/// Watches the lines of a text whose brackets do not pair.
pub struct Mender<'t> {
    text: &'t str,
    /// What was wrong so far.
    pub faults: Vec<BracketFault>,
    /// How far the text was watched.
    seen: usize,
    /// Where the line starts that was reached.
    line_start: usize,
    /// How many blanks it starts with.
    indent: usize,
}

impl<'t> Mender<'t> {
    /// At the start of a text.
    pub fn new(text: &'t str) -> Mender<'t> {
        Mender { text, faults: Vec::new(), seen: 0, line_start: 0, indent: indent(text) }
    }

    /// Notes how far the text is cut.
    pub fn reached(&mut self, at: usize) {
        let passed = self.text.get(self.seen..at).unwrap_or("");
        if let Some(line_end) = passed.rfind('\n') {
            self.line_start = self.seen + line_end + 1;
            self.indent = indent(self.text.get(self.line_start..).unwrap_or(""));
        }
        self.seen = at;
    }

    /// How far in the line stands that was reached, and whether it opens a formula.
    pub fn line(&self) -> (usize, bool) {
        let line = self.text.get(self.line_start..).unwrap_or("");
        (self.indent, matches!(first_word(line), "formula" | "variant"))
    }

    fn begins_line(&self, at: usize) -> bool {
        at == self.line_start + self.indent
    }

    /// Whether a line opens a block of the file level at the left margin: then no other block is open any more.
    pub fn opens_at_margin(&mut self, at: usize) -> bool {
        self.reached(at);
        if at != self.line_start {
            return false;
        }
        let line = self.text.get(at..).unwrap_or("").lines().next().unwrap_or("");
        line.starts_with(char::is_alphabetic)
            && line.split_whitespace().next().is_some_and(|word| BLOCK_WORDS.contains(&word))
            && line.contains('{')
    }

    /// Whether a brace begins its line, further left than the line that opened a block.
    pub fn is_left_of(&self, at: usize, level: &OpenBlock) -> bool {
        self.begins_line(at) && level.indent > self.indent
    }

    /// The line at an offset, where it should open a block, has no brace, and has lines further in after it.
    pub fn opening_without_brace(&mut self, at: usize, level: Option<&OpenBlock>) -> Option<&'t str> {
        if !self.begins_line(at) {
            return None;
        }
        let mut lines = self.text.get(at..)?.lines();
        let code = lines.next()?.split('#').next()?.trim_end();
        let word = first_word(code);
        let opens = match level {
            Some(level) if level.formula => matches!(word, "phase" | "steps"),
            Some(level) => level.context == Some(Context::File) && BLOCK_WORDS.contains(&word),
            None => false,
        };
        if !opens || code.contains('{') {
            return None;
        }
        let next = lines.find(|line| !line.trim().is_empty())?;
        if indent(next) <= self.indent || next.trim_start().starts_with('{') {
            return None;
        }
        let seen = clear(code).map_or_else(|| code.to_string(), |cleared| cleared.text);
        self.faults.push(BracketFault::NoBrace(at + code.len(), seen));
        Some(code)
    }

    /// A block is not closed.
    pub fn tell_unclosed(&mut self, level: Option<&OpenBlock>) {
        self.faults.extend(level.map(|level| BracketFault::Unclosed(level.opened_at)));
    }

    /// A bracket is one too deep: told once a file.
    pub fn tell_too_deep(&mut self, at: usize) {
        if !self.faults.iter().any(|fault| matches!(fault, BracketFault::TooDeep(_))) {
            self.faults.push(BracketFault::TooDeep(at));
        }
    }
}

/// The first word of a line, read no further than its end: lines may be very long.
fn first_word(line: &str) -> &str {
    let line = line.trim_start_matches([' ', '\t']);
    let end = line.find(|c: char| c.is_whitespace() || c == '{' || c == '(').unwrap_or(line.len());
    line.get(..end).unwrap_or("")
}

/// How many blanks a text starts with.
fn indent(text: &str) -> usize {
    text.bytes().take_while(|byte| matches!(byte, b' ' | b'\t')).count()
}
