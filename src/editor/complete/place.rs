//! Where in the language a cursor is, in a text that need not parse there.

use crate::diagnostic::Span;
use crate::syntax::Context;
use crate::syntax::survey::{Lexeme, LexemeKind, lexemes};

/// What a cursor is within.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Within {
    /// A comment, a text, a figure: nothing can be proposed.
    Nothing,
    /// A statement.
    Statement,
    /// Right behind a figure, where its unit may stand.
    Unit,
    /// The braces of a step, before a blank in them.
    StepName,
    /// The braces of a step, after the name.
    StepPart,
    /// The path of a `use`.
    Path,
}

/// Where a cursor is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CursorPlace<'t> {
    /// What it is within.
    pub within: Within,
    /// What the statement stands in.
    pub context: Context,
    /// The statement before the word that the cursor is at.
    pub before: &'t str,
    /// The first word of the statement; of one that is begun now, the word itself.
    pub opener: &'t str,
    /// The word that the cursor is at, before it and after it.
    pub word: Span,
    /// Where the block opens that the statement stands in.
    pub block: Option<usize>,
}

/// A block that is open.
struct Open {
    context: Context,
    /// Where its opening word stands.
    at: usize,
}

/// Where the cursor is at an offset.
#[must_use]
pub fn place_of(text: &str, offset: usize) -> CursorPlace<'_> {
    let offset = floor(text, offset);
    let before = text.get(..offset).unwrap_or_default();
    let words = lexemes(before);
    let mut open: Vec<Open> = Vec::new();
    let mut brackets = 0usize;
    // The statement that is written: its first word, and where what it is made of begins.
    let (mut first, mut start): (Option<Lexeme<'_>>, usize) = (None, 0);
    let mut after_comma = false;
    for (number, lexeme) in words.iter().enumerate() {
        match (lexeme.kind, lexeme.text) {
            (LexemeKind::LineEnd, _) if brackets == 0 && !after_comma => (first, start) = (None, lexeme.end()),
            (LexemeKind::LineEnd | LexemeKind::Comment, _) => {}
            (LexemeKind::Sign, "{") => {
                let context = open.last().map_or(Context::File, |open| open.context);
                let inside = first.and_then(|first| inside(context, first.text));
                let at = first.map_or(lexeme.start, |first| first.start);
                open.push(Open { context: inside.unwrap_or(context), at });
                (first, start, brackets, after_comma) = (None, lexeme.end(), 0, false);
            }
            (LexemeKind::Sign, "}") => {
                open.pop();
                (first, start, brackets, after_comma) = (None, lexeme.end(), 0, false);
            }
            (kind, sign) => {
                if first.is_none() {
                    first = Some(*lexeme);
                    // A block that nobody closed ends where the next declaration begins a line.
                    let at_line = lexeme.start == 0 || text.as_bytes().get(lexeme.start - 1) == Some(&b'\n');
                    if at_line && !open.is_empty() && opens_a_declaration(&words, number) {
                        open.clear();
                    }
                }
                match sign {
                    "(" if kind == LexemeKind::Sign => brackets += 1,
                    ")" if kind == LexemeKind::Sign => brackets = brackets.saturating_sub(1),
                    _ => {}
                }
                after_comma = kind == LexemeKind::Sign && sign == ",";
            }
        }
    }
    let context = open.last().map_or(Context::File, |open| open.context);
    let block = open.last().map(|open| open.at);
    let last = words.last().filter(|last| last.end() == offset).copied();
    let (within, word_start) = match last.map(|last| (last.kind, last)) {
        Some((LexemeKind::Comment, _)) => (Within::Nothing, offset),
        Some((LexemeKind::Text(false), last)) => in_text(context, first, last, offset),
        Some((LexemeKind::Figure, last)) if !last.text.ends_with(',') => (Within::Unit, offset),
        Some((LexemeKind::Text(true) | LexemeKind::Figure, _)) => (Within::Nothing, offset),
        Some((LexemeKind::Word, last)) => (Within::Statement, last.start),
        _ => (Within::Statement, offset),
    };
    let goes_on = |letter: char| letter.is_alphanumeric() || matches!(letter, '-' | '_' | '.' | '/' | '%');
    let rest = text.get(offset..).unwrap_or_default();
    let after = rest.find(|letter| !goes_on(letter)).unwrap_or(rest.len());
    // Where more of the figure or a unit stands already, there is no room for one.
    let ahead = rest.trim_start_matches([' ', '\t']).chars().next();
    let is_taken = after > 0 || ahead.is_some_and(|letter| letter.is_alphabetic() || matches!(letter, '%' | '°'));
    let within = if within == Within::Unit && is_taken { Within::Nothing } else { within };
    let after = if within == Within::Path { rest.find(['"', '\n']).unwrap_or(rest.len()) } else { after };
    let whole = text.get(word_start..offset + after).unwrap_or_default();
    CursorPlace {
        within,
        context,
        before: text.get(start..word_start).unwrap_or_default().trim_start(),
        opener: first.filter(|first| first.start < word_start).map_or(whole, |first| first.text),
        word: Span::new(word_start, offset + after),
        block,
    }
}

/// What a block holds that a word opens in another.
fn inside(context: Context, opener: &str) -> Option<Context> {
    context.of_block(opener).or_else(|| Context::File.of_block(opener).filter(|_| context == Context::File))
}

/// Whether a declaration opens with a word: a word that opens one, a name, and what follows that.
fn opens_a_declaration(words: &[Lexeme<'_>], at: usize) -> bool {
    const OPENERS: &[&str] =
        &["substance", "formula", "variant", "rule", "batch", "container", "maker", "stock", "material"];
    let opens = words.get(at).is_some_and(|word| OPENERS.contains(&word.text));
    // `material NAME …` may be a line of a plan, and `formula NAME` one of a batch: those open no block.
    let rest = words.get(at + 1..).unwrap_or_default();
    let line = rest.iter().take_while(|word| word.kind != LexemeKind::LineEnd);
    opens && line.into_iter().any(|word| word.kind == LexemeKind::Sign && word.text == "{")
}

/// Within a text that is not closed: the braces of a step, or a path.
fn in_text(context: Context, first: Option<Lexeme<'_>>, last: Lexeme<'_>, offset: usize) -> (Within, usize) {
    let opened_by = |word: &str| first.is_some_and(|first| first.text == word);
    if context == Context::File && opened_by("use") {
        return (Within::Path, last.start + 1);
    }
    if context != Context::Steps && !(context == Context::Plan && opened_by("step")) {
        return (Within::Nothing, offset);
    }
    let typed = last.text;
    let Some(brace) = open_brace(typed) else { return (Within::Nothing, offset) };
    let inside = typed.get(brace + 1..).unwrap_or_default();
    let blanks = inside.len() - inside.trim_start().len();
    let name = inside.trim_start();
    match name.rfind(char::is_whitespace) {
        None => (Within::StepName, last.start + brace + 1 + blanks),
        Some(blank) => (Within::StepPart, last.start + brace + 1 + blanks + blank + 1),
    }
}

/// The brace of a step that is open at the end of a text; `{{` is a brace of the text.
fn open_brace(typed: &str) -> Option<usize> {
    let mut from = 0;
    loop {
        let open = from + typed.get(from..)?.find('{')?;
        let inside = typed.get(open + 1..)?;
        if inside.starts_with('{') {
            from = open + 2;
            continue;
        }
        match inside.find('}') {
            Some(close) => from = open + 1 + close + 1,
            None => return Some(open),
        }
    }
}

fn floor(text: &str, offset: usize) -> usize {
    let mut offset = offset.min(text.len());
    while !text.is_char_boundary(offset) {
        offset -= 1;
    }
    offset
}
