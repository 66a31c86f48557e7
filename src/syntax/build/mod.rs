//! From the parser's pairs to the tree.

mod batch;
mod formula;
mod item;
mod literal;
mod rule;

use super::invisible::Cleared;
use super::prepare::{MAX_NAME, Prepared};
use super::tree::{Name, Text};
use super::words::{Context, RESERVED};
use super::{Rule, recover, tree};
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span};
use crate::quantity::Exact;
use pest::iterators::{Pair, Pairs};
use smol_str::SmolStr;

pub use item::is_calendar_date;
pub use literal::{batch_argument, scale_argument};

/// Makes the tree of one file, and gathers the faults it meets on the way.
pub struct Builder<'p> {
    /// The file.
    pub file: FileId,
    /// Where characters were put in by `prepare`.
    inserted: &'p [u32],
    /// Where characters were taken out before that.
    removed: &'p [(usize, usize)],
    /// What is to be added to an offset before that, where a part of the text is parsed once more.
    lead: isize,
    /// What is to be added to an offset in the text to have it in the file.
    shift: isize,
    /// Faults that `prepare` has told of, so that a statement they stand in is not told of twice.
    told: Vec<Span>,
    /// What was wrong.
    pub faults: Vec<Diagnostic>,
}

impl<'p> Builder<'p> {
    /// For a prepared text.
    pub fn new(file: FileId, prepared: &'p Prepared<'_>) -> Builder<'p> {
        // What is surely mended leaves a statement that is read, and what else is wrong with it is told too.
        let open = prepared.faults.iter().filter(|fault| !fault.is_surely_mended());
        let mut told: Vec<Span> = open.map(|fault| fault.primary.place.span).collect();
        told.sort_unstable();
        Builder {
            file,
            inserted: &prepared.inserted,
            removed: &prepared.removed,
            lead: 0,
            shift: 0,
            told,
            faults: Vec::new(),
        }
    }

    /// For a text that stands at an offset in its file.
    pub fn at_offset(mut self, offset: usize) -> Builder<'p> {
        self.shift = isize::try_from(offset).unwrap_or(0);
        self
    }

    /// Tells of a failure of the grammar itself.
    pub fn grammar_failed(&mut self, error: &pest::error::Error<Rule>) {
        let at = match error.location {
            pest::error::InputLocation::Pos(at) | pest::error::InputLocation::Span((at, _)) => at,
        };
        let place = self.place_of(self.offsets(at, at + 1));
        self.faults.push(Diagnostic::new(Code::Syntax, place, "This does not read as a statement of the language."));
    }

    /// Tells of the names that are too long.
    pub fn long_names(&mut self, pairs: Pairs<'_, Rule>) {
        for pair in pairs.flatten().filter(|pair| pair.as_str().len() > MAX_NAME) {
            if !matches!(pair.as_rule(), Rule::name | Rule::phase_name | Rule::figure_name) {
                continue;
            }
            let length = pair.as_str().len();
            let message = format!("A name of {length} letters is longer than the {MAX_NAME} that a name may have.");
            let fault = self.fault(Code::NameTooLong, self.span(&pair), message);
            self.faults.push(fault.help("Call it by a word or two, and put the rest into `title`, `name` or `note`."));
        }
    }

    /// The whole file.
    pub fn file(&mut self, pairs: Pairs<'_, Rule>) -> tree::File {
        let mut items = Vec::new();
        for pair in pairs.flat_map(Pair::into_inner) {
            if let Some(item) = self.item(pair) {
                items.push(item);
            }
        }
        tree::File { items }
    }

    /// Offsets in the parsed text as a span of the file.
    fn offsets(&self, start: usize, end: usize) -> Span {
        let back = |at: usize| {
            let at = at.saturating_add_signed(self.lead);
            let before = self.inserted.partition_point(|put_in| (*put_in as usize) < at);
            at - before
        };
        let span = Cleared::span_back(self.removed, Span::new(back(start), back(end)));
        let shifted = |at: u32| (at as usize).saturating_add_signed(self.shift);
        Span::new(shifted(span.start), shifted(span.end))
    }

    /// Where a pair stands in the file.
    fn span(&self, pair: &Pair<'_, Rule>) -> Span {
        let span = pair.as_span();
        if self.inserted.is_empty() && self.removed.is_empty() && self.lead == 0 && self.shift == 0 {
            return Span::new(span.start(), span.end());
        }
        self.offsets(span.start(), span.end())
    }

    fn place_of(&self, span: Span) -> Place {
        Place { file: self.file, span }
    }

    /// A diagnostic at a stretch of this file.
    fn fault(&self, code: Code, span: Span, message: impl Into<String>) -> Diagnostic {
        Diagnostic::new(code, self.place_of(span), message)
    }

    fn name(&self, pair: &Pair<'_, Rule>) -> Name {
        Name { text: SmolStr::new(cut_name(pair.as_str())), span: self.span(pair) }
    }

    /// A name that is declared: not one of the words that open a statement in a phase.
    fn material_name(&mut self, pair: &Pair<'_, Rule>) -> Name {
        let name = self.name(pair);
        if RESERVED.contains(&name.text.as_str()) {
            self.faults.push(super::reserved(self.place_of(name.span), &name.text));
        }
        name
    }

    fn string(&self, pair: &Pair<'_, Rule>) -> Text {
        let raw = pair.as_str();
        let inner = raw.get(1..raw.len().saturating_sub(1)).unwrap_or("");
        Text { value: unescape(inner), span: self.span(pair) }
    }

    /// The first inner pair as a string.
    fn only_string(&self, pair: Pair<'_, Rule>) -> Text {
        let fallback = Text { value: SmolStr::default(), span: self.span(&pair) };
        pair.into_inner().find(|inner| inner.as_rule() == Rule::string).map_or(fallback, |inner| self.string(&inner))
    }

    /// The first inner pair as a name.
    fn only_name(&self, pair: Pair<'_, Rule>) -> Name {
        let fallback = Name { text: SmolStr::default(), span: self.span(&pair) };
        pair.into_inner().next().map_or(fallback, |inner| self.name(&inner))
    }

    /// Words out of a closed list; an unknown one is told of, with the nearest.
    fn listed<T>(
        &mut self,
        pair: &Pair<'_, Rule>,
        what: &str,
        words: &[&str],
        value: impl Fn(&str) -> Option<T>,
    ) -> Option<(T, Span)> {
        let span = self.span(pair);
        let word = pair.as_str();
        if let Some(value) = value(word) {
            return Some((value, span));
        }
        let nearest = super::near::nearest(word, words.iter().copied());
        let help = match nearest.first() {
            Some(near) => format!("Did you mean `{near}`? It may be {}.", recover::or_list(words)),
            None => format!("It may be {}.", recover::or_list(words)),
        };
        self.faults.push(self.fault(Code::Syntax, span, format!("`{word}` is no {what}.")).help(help));
        None
    }

    /// Tells of a statement that did not parse.
    fn broken(&mut self, pair: &Pair<'_, Rule>, context: Context) -> Span {
        let span = self.span(pair);
        let trimmed = Span { start: span.start, end: span.start + pair.as_str().trim_end().len() as u32 };
        // Each of them is one character: the first that begins in the statement is in it, or none is.
        let first = self.told.partition_point(|told| told.start < span.start);
        if !self.told.get(first).is_some_and(|told| span.holds(*told)) {
            recover::diagnose(self, pair, context);
        }
        trimmed
    }

    /// A builder for a part of the text, which begins at an offset of it.
    fn nested(&self, lead: isize) -> Builder<'p> {
        let lead = self.lead.saturating_add(lead);
        Builder { lead, told: Vec::new(), faults: Vec::new(), ..*self }
    }
}

/// What `recover` needs of a builder.
impl Builder<'_> {
    /// A stretch of the parsed text as a place of the file.
    pub fn place(&self, start: usize, end: usize) -> Place {
        self.place_of(self.offsets(start, end))
    }

    /// Parses a text as if it stood at an offset, for the faults inside it alone.
    pub fn faults_within(&mut self, text: &str, lead: isize) {
        use pest::Parser as _;
        let mut nested = self.nested(lead);
        if let Ok(pairs) = super::Grammar::parse(Rule::file, text) {
            nested.file(pairs);
        }
        self.faults.append(&mut nested.faults);
    }
}

/// A name as it is kept: of one that is too long, which has been told of, the beginning.
pub fn cut_name(name: &str) -> &str {
    name.get(..MAX_NAME).unwrap_or(name)
}

fn unescape(inner: &str) -> SmolStr {
    if !inner.contains('\\') {
        return SmolStr::new(inner);
    }
    let mut text = String::with_capacity(inner.len());
    let mut characters = inner.chars();
    while let Some(character) = characters.next() {
        match character {
            '\\' => match characters.next() {
                Some('n') => text.push('\n'),
                Some(other) => text.push(other),
                None => {}
            },
            other => text.push(other),
        }
    }
    SmolStr::new(text)
}

/// A figure that a count or a charge stands for, or none where it was at fault.
fn exact_or_none(text: &str) -> Option<Exact> {
    Exact::parse(&text.replace('_', ""))
}
