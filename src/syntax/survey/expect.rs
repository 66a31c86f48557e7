//! What may stand at a place of a statement that is being written: asked of the grammar itself, by trying.
//!
//! A word fits where the statement up to it, with it and with some end, parses. So nothing is held to fit that would not
//! parse, and there is no second grammar to be kept right.

use super::candidates::words_after;
use super::grammar_words::words_in;
use super::lexer::{Lexeme, LexemeKind, lexemes};
use super::mark::{Mark, MarkKind, Marker};
use crate::syntax::context::Context;
use crate::syntax::statement::Parse;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// What may stand at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Expected {
    /// A word of the language.
    Word(&'static str),
    /// A name, a unit, a word out of a list: whatever is of this kind.
    Kind(MarkKind),
    /// A file of the shelf, `shelf/` with it.
    ShelfPath,
    /// A text in quotation marks.
    Text,
}

/// So many places are remembered.
const MOST: usize = 4096;

/// The longest beginning of a statement that is looked at.
const LONGEST: usize = 4096;

/// What fits, by the block and by the beginning of the statement.
type Fitting = BTreeMap<(usize, String), Arc<Vec<Expected>>>;

/// What was found to fit.
#[derive(Debug, Default)]
pub struct Expectations {
    known: Mutex<Fitting>,
}

impl Expectations {
    /// What may stand after the beginning of a statement.
    #[must_use]
    pub fn after(&self, context: Context, before: &str) -> Arc<Vec<Expected>> {
        if before.len() > LONGEST {
            return Arc::default();
        }
        let plain = plain(context, before);
        let key = (context as usize, plain);
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(found) = known.get(&key) {
            return Arc::clone(found);
        }
        let found = Arc::new(expected(context, &key.1));
        if known.len() >= MOST {
            known.clear();
        }
        known.insert(key, Arc::clone(&found));
        found
    }
}

/// A beginning in which names, figures and texts are all alike, so that like ones are tried once.
fn plain(context: Context, before: &str) -> String {
    let words = words_in(context);
    let mut out = String::with_capacity(before.len());
    let mut end = 0;
    for lexeme in lexemes(before) {
        let Lexeme { kind, text, start } = lexeme;
        if start > end || kind == LexemeKind::LineEnd {
            out.push(' ');
        }
        end = lexeme.end();
        match kind {
            LexemeKind::Text(_) => out.push_str("\"x\""),
            LexemeKind::Figure if text.contains(['-', ':']) => out.push_str(text),
            LexemeKind::Figure => out.push_str(if text.ends_with(',') { "1," } else { "1" }),
            LexemeKind::Word if is_name(text) && !words.contains(&text) => out.push_str("zz"),
            LexemeKind::Word | LexemeKind::Sign => out.push_str(text),
            LexemeKind::Comment | LexemeKind::LineEnd => {}
        }
    }
    if before.ends_with(char::is_whitespace) && !out.ends_with(' ') {
        out.push(' ');
    }
    let spaced: Vec<&str> = out.split(' ').filter(|piece| !piece.is_empty()).collect();
    let last = if out.ends_with(' ') && !spaced.is_empty() { " " } else { "" };
    format!("{}{last}", spaced.join(" "))
}

fn is_name(text: &str) -> bool {
    text.starts_with(|letter: char| letter.is_ascii_lowercase())
        && text.chars().all(|letter| letter.is_ascii_alphanumeric() || letter == '-')
}

fn expected(context: Context, before: &str) -> Vec<Expected> {
    let open = before.chars().fold(0usize, |open, letter| match letter {
        '(' => open + 1,
        ')' => open.saturating_sub(1),
        _ => open,
    });
    let close = ")".repeat(open.min(crate::syntax::MAX_NESTING));
    let ends: Vec<String> = ENDS
        .iter()
        .map(|end| {
            // The brackets close after what is tried, or after the figure that goes on with it.
            format!("{close}{end}")
        })
        .collect();
    let mut found: Vec<Expected> = Vec::new();
    for name in ["zz", "ZZ"] {
        for end in &ends {
            let kind = kind_of(context, before, name, end);
            if let Some(kind) = kind.filter(|kind| is_asked_for(*kind)).map(Expected::Kind)
                && !found.contains(&kind)
            {
                found.push(kind);
            }
        }
    }
    for (typed, expected) in [("shelf/zz", Expected::ShelfPath), ("\"x\"", Expected::Text)] {
        if ends.iter().any(|end| kind_of(context, before, typed, end).is_some()) {
            found.push(expected);
        }
    }
    for word in words_after(context, before) {
        let fits = |end: &String| {
            let kind = kind_of(context, before, word, end);
            kind.is_some_and(|kind| kind == MarkKind::Keyword || is_part_of_unit(kind, word))
        };
        if ends.iter().any(fits) {
            found.push(Expected::Word(word));
        }
    }
    found
}

fn is_asked_for(kind: MarkKind) -> bool {
    !matches!(kind, MarkKind::Keyword | MarkKind::Comment | MarkKind::Text)
}

/// `w/v` after a percent sign.
fn is_part_of_unit(kind: MarkKind, word: &str) -> bool {
    kind == MarkKind::Unit && word.contains('/')
}

/// What a word is in a statement that begins and ends so; none where that does not parse.
fn kind_of(context: Context, before: &str, word: &str, end: &str) -> Option<MarkKind> {
    let text = format!("{before}{word}{end}");
    let parse = Parse::new(context.rule(), &text)?;
    let mut marks: Vec<Mark> = Vec::new();
    Marker::new(&text, 0, context).mark(&parse.nodes(&text, 0), &mut marks);
    let (from, to) = (before.len(), before.len() + word.len());
    let is_it = |mark: &&Mark| (mark.span.start as usize) <= from && to <= mark.span.end as usize;
    let mark = marks.iter().find(is_it)?;
    // A word that a name or a text only goes on with is none by itself.
    let alone = mark.span.start as usize == from && mark.span.end as usize == to;
    (alone || mark.kind == MarkKind::Unit).then_some(mark.kind)
}

/// Ends of statements: each statement of the language ends in one of them, from wherever it is left.
const ENDS: &[&str] = &[
    "",
    " 1",
    " 1 %",
    " \"x\"",
    " x",
    " {",
    " x {",
    " x of x {",
    " of x {",
    " because \"x\"",
    " x because \"x\"",
    " 1 g because \"x\"",
    " x 1 g because \"x\"",
    " to 1",
    " 1 to 2",
    " up to 1 %",
    " x up to 1 %",
    " in x up to 1 %",
    " pH 1 to 2",
    " in pH 1 to 2",
    " pH 1 to 2 because \"x\"",
    " 1 to 2 because \"x\"",
    " to 2 because \"x\"",
    " 1 % because \"x\"",
    " 2 because \"x\"",
    " 1 % at most 1 %",
    " at most 1 %",
    " x at most 1 %",
    " least 1 %",
    " most 1 %",
    " to 1 %",
    " x to 1 %",
    " to x",
    " = 1",
    " = x",
    " x = 1",
    " x = x",
    " = 1 EUR on 2020-01-01",
    " 1 EUR = 1 USD on 2020-01-01",
    " EUR = 1 USD on 2020-01-01",
    " USD on 2020-01-01",
    " on 2020-01-01",
    " 2020-01-01",
    " 00:00",
    " x 1",
    " x 1 %",
    " x 1 g",
    " 1 x 1 mL",
    " 1 mL",
    " x 1 x 1 mL",
    " x 1 g on 2020-01-01",
    " 1 g on 2020-01-01",
    " g on 2020-01-01",
    " x \"x\"",
    " 1 EUR per 1 g",
    " EUR per 1 g",
    " per 1 g",
    " 1 h at 1 EUR per h",
    " h at 1 EUR per h",
    " at 1 EUR per h",
    " 1 EUR per h",
    " per h",
    " at 1 EUR",
    " h",
    " of x",
    " of x with 1 x",
    " x with 1 x",
    " with 1 x",
    " 1 x",
    " pKa 1",
    " 1 pKa 1",
    " to 1 pKa 1",
    " capacity 1 pKa 1",
    " pKa 1 charge 1",
    " 1 charge 1",
    " charge 1",
    " x log K 1",
    " log K 1",
    " K 1",
    " as hydroxide pKsp 1",
    " hydroxide pKsp 1",
    " x pKsp 1",
    " pKsp 1",
    " pKa of acids by 1, of bases by 1 at 1 %",
    " of acids by 1, of bases by 1 at 1 %",
    " acids by 1, of bases by 1 at 1 %",
    " by 1, of bases by 1 at 1 %",
    " 1, of bases by 1 at 1 %",
    " of bases by 1 at 1 %",
    " bases by 1 at 1 %",
    " by 1 at 1 %",
    " 1 at 1 %",
    " at 1 %",
    " from 1 % free",
    " 1 % free",
    " free",
    " with metals",
    " metals",
    " microbes",
    " above 1 %",
    " x above 1 %",
    " as formed",
    " formed",
    " contain x",
    " price",
    " q.s.",
    " x q.s.",
    " x for x",
    " for x",
    " to pH",
    " 1 g: 1 g to pH 1",
    " g: 1 g to pH 1",
    " to pH 1",
    " pH 1",
    " pH",
    " back 1 %",
    " supplied pH 1",
    " pH 1 reads 1",
    " 1 reads 1",
    " reads 1",
    " 1 in 1",
    " in 1",
    " strip",
    " rancid",
    " against x",
    " order x",
    " in x",
    " below 1 %",
    " weighed x 1 g because \"x\"",
    " x x 1 % 1 %",
    " x 1 % 1 %",
    " 1 % 1 %",
    " % 1 %",
    " x name \"x\"",
    " x x 1 %",
    " name \"x\"",
    " EUR",
    " 1 EUR",
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::syntax::survey::NameRole;

    fn after(context: Context, before: &str) -> Arc<Vec<Expected>> {
        Expectations::default().after(context, before)
    }

    #[test]
    fn what_the_grammar_takes_is_expected() {
        let name = |role| Expected::Kind(MarkKind::Name(role));
        assert!(after(Context::Phase, "").contains(&name(NameRole::Line)));
        assert!(after(Context::Phase, "").contains(&Expected::Word("heat")));
        let after_percent = after(Context::Phase, "glycerin  3 % ");
        for word in ["active", "of", "hold", "because", "allow", "from", "titrated"] {
            assert!(after_percent.contains(&Expected::Word(word)), "{word}: {after_percent:?}");
        }
        assert!(!after_percent.contains(&Expected::Word("heat")));
        assert!(after(Context::Phase, "glycerin ").contains(&Expected::Word("q.s.")));
        assert!(after(Context::Phase, "glycerin (2 * ").contains(&name(NameRole::Figure)));
        assert!(after(Context::Phase, "glycerin 3 ").contains(&Expected::Kind(MarkKind::Unit)));
        assert!(after(Context::File, "use ").contains(&Expected::ShelfPath));
        assert!(after(Context::Material, "contains ").contains(&name(NameRole::Substance)));
        assert!(after(Context::Material, "role emollient, ").contains(&Expected::Kind(MarkKind::Listed)));
        assert!(after(Context::Formula, "allow ").contains(&Expected::Kind(MarkKind::Code)));
    }
}
