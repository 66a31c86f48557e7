//! One look at the raw text before the grammar sees it: what nobody sees, and brackets.
//!
//! The grammar may count on braces that pair and on nesting that is not deep. What does not pair is told
//! here, once, and the text handed on is mended so that every other statement of the file still parses.

use super::invisible::{Cleared, clear};
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span};
use std::borrow::Cow;

/// How many brackets may stand open at once.
pub const MAX_NESTING: usize = 64;

/// The largest file, in bytes.
pub const MAX_FILE: usize = 16 * 1024 * 1024;

/// The longest name, in letters.
pub const MAX_NAME: usize = 100;

/// Words that open a block at file level and are followed by a name and a brace.
const BLOCK_WORDS: &[&str] = &["substance", "material", "formula", "variant", "rule", "batch", "container"];

/// The text as the grammar is to see it.
#[derive(Debug)]
pub struct Prepared<'t> {
    /// The text, mended where its brackets did not pair.
    pub text: Cow<'t, str>,
    /// Where characters were put in, as offsets in the mended text, ascending.
    pub inserted: Vec<u32>,
    /// Where characters that nobody sees were taken out, before any were put in; see [`Cleared`].
    pub removed: Vec<(usize, usize)>,
    /// What was wrong.
    pub faults: Vec<Diagnostic>,
}

#[derive(Clone, Copy)]
struct Open {
    at: usize,
    brace: bool,
    indent: usize,
    /// Whether it opens a formula or a variant, in which `phase` and `steps` open blocks.
    formula: bool,
}

enum Edit {
    /// Close a block before this offset.
    CloseBefore(usize),
    /// Open a block at this offset.
    OpenAt(usize),
    /// Blank these bytes.
    Blank(usize, usize),
}

/// Takes out what nobody sees, and looks at the brackets of what is left.
#[must_use]
pub fn prepare(file: FileId, text: &str) -> Prepared<'_> {
    let Some(Cleared { text, removed, mut faults }) = clear(file, text) else { return brackets(file, text) };
    let prepared = brackets(file, &text);
    faults.extend(prepared.faults.into_iter().map(|mut fault| {
        fault.primary.place.span = Cleared::span_back(&removed, fault.primary.place.span);
        fault
    }));
    let text = Cow::Owned(prepared.text.into_owned());
    Prepared { text, inserted: prepared.inserted, removed, faults }
}

/// Looks at the brackets of a text.
fn brackets(file: FileId, text: &str) -> Prepared<'_> {
    if brackets_pair(text) {
        let (inserted, removed, faults) = (Vec::new(), Vec::new(), Vec::new());
        return Prepared { text: Cow::Borrowed(text), inserted, removed, faults };
    }
    let mut scan = Scan {
        file,
        text,
        stack: Vec::new(),
        edits: Vec::new(),
        faults: Vec::new(),
        too_deep: None,
        told_deep: false,
        indent: 0,
        formula: false,
    };
    scan.run();
    let (mended, inserted) = apply(text, &scan.edits);
    Prepared { text: Cow::Owned(mended), inserted, removed: Vec::new(), faults: scan.faults }
}

/// The fast path: whether all brackets pair and none is too deep.
fn brackets_pair(text: &str) -> bool {
    let bytes = text.as_bytes();
    let mut stack = [false; MAX_NESTING];
    let mut depth = 0usize;
    let mut at = 0usize;
    while let Some(&byte) = bytes.get(at) {
        match byte {
            b'"' => at = string_end(bytes, at).unwrap_or(at),
            b'#' => at = line_end(bytes, at),
            b'{' | b'(' => {
                let Some(slot) = stack.get_mut(depth) else { return false };
                *slot = byte == b'{';
                depth += 1;
            }
            b'}' | b')' => {
                let Some(below) = depth.checked_sub(1) else { return false };
                if stack.get(below) != Some(&(byte == b'}')) {
                    return false;
                }
                depth = below;
            }
            _ => {}
        }
        at += 1;
    }
    depth == 0
}

/// The offset of the closing quote of the string that opens at `at`; none where it is not closed on its line.
pub fn string_end(bytes: &[u8], at: usize) -> Option<usize> {
    let mut at = at + 1;
    loop {
        match bytes.get(at)? {
            b'"' => return Some(at),
            b'\n' => return None,
            b'\\' => at += 2,
            _ => at += 1,
        }
    }
}

/// The offset of the end of the line that `at` is in.
pub fn line_end(bytes: &[u8], at: usize) -> usize {
    bytes.get(at..).and_then(|rest| rest.iter().position(|byte| *byte == b'\n')).map_or(bytes.len(), |n| at + n)
}

struct Scan<'t> {
    file: FileId,
    text: &'t str,
    stack: Vec<Open>,
    edits: Vec<Edit>,
    faults: Vec<Diagnostic>,
    /// The bracket that is too deep, and the depth below it, until it closes.
    too_deep: Option<(usize, usize)>,
    /// Whether one was told of.
    told_deep: bool,
    /// How far the line is indented, and whether it begins a formula or a variant: read once a line, since a line may
    /// hold any number of brackets.
    indent: usize,
    formula: bool,
}

impl Scan<'_> {
    fn run(&mut self) {
        let bytes = self.text.as_bytes();
        let mut at = 0usize;
        let mut line_start = 0usize;
        self.begin_line(0);
        self.look_for_a_missing_brace(0);
        while let Some(&byte) = bytes.get(at) {
            match byte {
                b'\n' => {
                    line_start = at + 1;
                    self.begin_line(line_start);
                    self.look_for_a_new_block(line_start);
                    self.look_for_a_missing_brace(line_start);
                }
                b'"' => at = string_end(bytes, at).unwrap_or(at),
                b'#' => at = line_end(bytes, at).saturating_sub(1).max(at),
                b'{' | b'(' => self.open(at, byte == b'{'),
                b')' if self.stack.last().is_some_and(|open| !open.brace) => self.close(at),
                b'}' => self.close_brace(at, line_start),
                _ => {}
            }
            at += 1;
        }
        self.finish();
    }

    fn place(&self, at: usize) -> Place {
        Place { file: self.file, span: Span::new(at, at + 1) }
    }

    fn begin_line(&mut self, line_start: usize) {
        self.indent = indent(self.text.as_bytes(), line_start);
        self.formula = matches!(first_word(self.text, line_start), "formula" | "variant");
    }

    fn open(&mut self, at: usize, brace: bool) {
        if self.stack.len() == MAX_NESTING && self.too_deep.is_none() {
            self.too_deep = Some((at, self.stack.len()));
            if !std::mem::replace(&mut self.told_deep, true) {
                self.faults.push(
                    Diagnostic::new(
                        Code::TooDeep,
                        self.place(at),
                        format!("Brackets are nested more than {MAX_NESTING} deep here."),
                    )
                    .help("Break the expression up: give a part of it a name with `let`."),
                );
            }
        }
        self.stack.push(Open { at, brace, indent: self.indent, formula: self.formula });
    }

    fn close(&mut self, at: usize) {
        self.stack.pop();
        if let Some((start, depth)) = self.too_deep
            && self.stack.len() <= depth
        {
            self.edits.push(Edit::Blank(start, at + 1));
            self.too_deep = None;
        }
    }

    fn close_brace(&mut self, at: usize, line_start: usize) {
        // Brackets left open inside a block are the grammar's to tell of.
        while self.stack.last().is_some_and(|open| !open.brace) {
            self.close(at.saturating_sub(1));
        }
        // A brace that begins its line, further left than the block it would close: that block was not closed.
        let first_on_line = self.text.get(line_start..at).is_some_and(|lead| lead.trim().is_empty());
        let indent = self.indent;
        while first_on_line && self.stack.len() > 1 && self.stack.last().is_some_and(|open| open.indent > indent) {
            self.unclosed(at);
        }
        if self.stack.is_empty() {
            self.faults.push(
                Diagnostic::new(Code::Syntax, self.place(at), "This `}` closes nothing.")
                    .help("Take it out, or put back the `{` that it belongs to."),
            );
            self.edits.push(Edit::Blank(at, at + 1));
        } else {
            self.close(at);
        }
    }

    /// A line that opens a block of the file level at the left margin, while others are open: they were not closed.
    fn look_for_a_new_block(&mut self, line_start: usize) {
        if self.stack.is_empty() {
            return;
        }
        let line = self.text.get(line_start..).unwrap_or("").lines().next().unwrap_or("");
        let mut words = line.split_whitespace();
        let opens =
            words.next().is_some_and(|word| BLOCK_WORDS.contains(&word)) && line.starts_with(char::is_alphabetic);
        if opens && line.contains('{') {
            // However many are open, it is one fault, on the innermost.
            let innermost = self.stack.iter().rev().find(|open| open.brace).copied();
            if let Some(open) = innermost.filter(|_| self.too_deep.is_none()) {
                self.tell_unclosed(open);
            }
            while let Some(open) = self.stack.last() {
                // What is too deep is blanked, so it needs no closing.
                let blanked = self.too_deep.is_some_and(|(start, _)| open.at >= start);
                if open.brace && !blanked {
                    self.edits.push(Edit::CloseBefore(line_start));
                }
                self.close(line_start.saturating_sub(1));
            }
        }
    }

    /// A line that should open a block, without its brace, and with more deeply indented lines after it.
    fn look_for_a_missing_brace(&mut self, line_start: usize) {
        let rest = self.text.get(line_start..).unwrap_or("");
        let mut lines = rest.lines();
        let line = lines.next().unwrap_or("");
        let code = line.split('#').next().unwrap_or("").trim_end();
        let word = first_word(self.text, line_start);
        let opens = match self.stack.last() {
            None => BLOCK_WORDS.contains(&word),
            Some(open) => open.brace && open.formula && matches!(word, "phase" | "steps"),
        };
        if !opens || code.contains('{') {
            return;
        }
        let deeper = lines.find(|line| !line.trim().is_empty()).is_some_and(|next| {
            indent(next.as_bytes(), 0) > indent(line.as_bytes(), 0) && !next.trim_start().starts_with('{')
        });
        if !deeper {
            return;
        }
        let end = line_start + code.len();
        self.faults.push(
            Diagnostic::new(
                Code::Syntax,
                self.place(end.saturating_sub(1)),
                "The `{` that opens this block is missing.",
            )
            .help(format!("Write `{} {{`.", code.trim_start())),
        );
        self.edits.push(Edit::OpenAt(end));
        self.open(end, true);
    }

    /// Tells of the innermost open block as not closed, and closes it before an offset.
    fn unclosed(&mut self, before: usize) {
        if let Some(open) = self.stack.last().copied() {
            self.tell_unclosed(open);
            self.edits.push(Edit::CloseBefore(before));
            self.close(before.saturating_sub(1));
        }
    }

    fn tell_unclosed(&mut self, open: Open) {
        self.faults.push(
            Diagnostic::new(Code::Syntax, self.place(open.at), "The block that opens here is not closed.")
                .help("Write `}` on a line of its own where the block ends."),
        );
    }

    fn finish(&mut self) {
        if let Some((start, _)) = self.too_deep {
            self.edits.push(Edit::Blank(start, self.text.len()));
            self.stack.retain(|open| open.at < start);
        }
        // A file that stops in the middle of a block is one fault, on the block it stops in.
        let open: Vec<Open> = self.stack.iter().copied().filter(|open| open.brace).collect();
        if self.too_deep.is_none()
            && let Some(innermost) = open.last()
        {
            self.tell_unclosed(*innermost);
        }
        for _ in &open {
            self.edits.push(Edit::CloseBefore(self.text.len()));
        }
    }
}

/// The first word of a line, read no further than its end: lines may be very long.
fn first_word(text: &str, line_start: usize) -> &str {
    let line = text.get(line_start..).unwrap_or("").trim_start_matches([' ', '\t']);
    let end = line.find(|c: char| c.is_whitespace() || c == '{' || c == '(').unwrap_or(line.len());
    line.get(..end).unwrap_or("")
}

fn indent(bytes: &[u8], line_start: usize) -> usize {
    bytes.get(line_start..).map_or(0, |rest| rest.iter().take_while(|byte| matches!(byte, b' ' | b'\t')).count())
}

/// Carries the edits out and notes where characters came in.
fn apply(text: &str, edits: &[Edit]) -> (String, Vec<u32>) {
    let mut blanked: Vec<u8> = text.as_bytes().to_vec();
    for edit in edits {
        if let Edit::Blank(start, end) = edit {
            for byte in blanked.get_mut(*start..*end).unwrap_or_default() {
                if *byte != b'\n' {
                    *byte = b' ';
                }
            }
        }
    }
    let blanked = String::from_utf8_lossy(&blanked).into_owned();
    // A closing brace on a line of its own, so that a comment before it does not swallow it.
    let mut put_in: Vec<(usize, &[&str])> = edits
        .iter()
        .filter_map(|edit| match edit {
            Edit::CloseBefore(at) => Some((*at, &["\n", "}", "\n"][..])),
            Edit::OpenAt(at) => Some((*at, &[" ", "{"][..])),
            Edit::Blank(..) => None,
        })
        .collect();
    put_in.sort_by_key(|(at, _)| *at);
    let mut mended = String::with_capacity(text.len() + put_in.len() * 3);
    let mut inserted = Vec::new();
    let mut from = 0usize;
    for (at, characters) in put_in {
        mended.push_str(blanked.get(from..at).unwrap_or(""));
        from = at;
        for character in characters {
            inserted.push(u32::try_from(mended.len()).unwrap_or(u32::MAX));
            mended.push_str(character);
        }
    }
    mended.push_str(blanked.get(from..).unwrap_or(""));
    (mended, inserted)
}
