//! From the parser's nodes to the tree.

mod batch;
mod formula;
mod item;
mod literal;
mod rule;
mod selling;

use super::context::Context;
use super::cut::{ParseState, Placed, Walk};
use super::invisible::clear;
use super::near::{nearest, or_list};
use super::statement::fault::Broken;
use super::statement::{Node, Nodes};
use super::tree::{Name, Text};
use super::words::RESERVED;
use super::{MAX_NAME, Rule, tree};
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span};
use crate::quantity::Exact;
use batch::PlanInTheMaking;
use smol_str::SmolStr;

pub use item::is_calendar_date;
pub use literal::{batch_argument, scale_argument};

/// Gathers what is kept for a whole session, in no more room than it takes.
fn kept<T>(all: impl Iterator<Item = T>) -> Vec<T> {
    let mut kept: Vec<T> = all.collect();
    kept.shrink_to_fit();
    kept
}

/// Makes the tree of one file, and gathers the faults it meets on the way.
pub struct Builder {
    /// The file.
    pub file: FileId,
    /// Faults of brackets, and of what nobody sees, so that a statement they stand in is not told of twice.
    told: Vec<Span>,
    /// Whether any word of the file is too long for a name.
    long_words: bool,
    /// What the meter of the formula at hand is good to, where a pH of it is to be offered.
    meter: Option<Exact>,
    /// What was wrong.
    pub faults: Vec<Diagnostic>,
}

impl Builder {
    /// For a file of which something has been told.
    pub fn new(file: FileId, text: &str, faults: &[Diagnostic]) -> Builder {
        // What is surely mended leaves a statement that is read, and what else is wrong with it is told too.
        let open = faults.iter().filter(|fault| !fault.is_surely_mended());
        let mut told: Vec<Span> = open.map(|fault| fault.primary.place.span).collect();
        told.sort_unstable();
        Builder { file, told, long_words: has_long_word(text), meter: None, faults: Vec::new() }
    }

    /// Whether any word of the file is too long for a name, which is told of wherever it stands.
    pub fn has_long_words(&self) -> bool {
        self.long_words
    }

    /// The whole file.
    pub fn items(&mut self, statements: Walk<'_>) -> tree::File {
        tree::File { items: kept(statements.filter_map(|placed| self.item(&placed))) }
    }

    /// The nodes of a statement; none where it does not parse, and then that is told.
    fn read<'t>(&mut self, placed: &Placed<'t>, context: Context) -> Option<Nodes<'t>> {
        let nodes = placed.nodes();
        let is_told = placed.statement.crowded || matches!(placed.statement.reading, ParseState::Broken);
        if is_told {
            self.broken(placed, context);
        }
        if nodes.is_none() {
            self.look_inside(placed);
        }
        if let Some(nodes) = nodes.as_ref().filter(|_| self.long_words) {
            self.long_names(nodes);
        }
        nodes
    }

    /// Tells of a statement that does not parse, or stands where none may.
    fn broken(&mut self, placed: &Placed<'_>, context: Context) {
        let (text, span) = (placed.head(), placed.span());
        let cleared = clear(text).unwrap_or_default();
        let seen = if cleared.removed.is_empty() { text } else { &cleared.text };
        // Other blanks than the language's own are what is wrong, and are told of.
        let seen = seen.trim_end_matches([' ', '\t', '\r', '\n']);
        let (removed, meter) = (cleared.removed.as_slice(), self.meter.clone());
        let broken = Broken { file: self.file, text: seen, removed, at: span.start, context, meter };
        // Each of them is one character: the first that begins in the statement is in it, or none is.
        let first = self.told.partition_point(|told| told.start < span.start);
        if self.told.get(first).is_some_and(|told| span.holds(*told)) {
            return;
        }
        let crowded = placed.statement.crowded;
        self.faults.push(if crowded { broken.follows_a_block() } else { broken.fault() });
    }

    /// Looks for the meter of a formula where a pH in it did not parse.
    fn note_meter(&mut self, placed: &Placed<'_>) {
        let broken = |inner: &Placed<'_>| matches!(inner.statement.reading, ParseState::Broken);
        let asked = placed.statements().any(|inner| broken(&inner) && inner.head().starts_with("pH"));
        let meter = |inner: Placed<'_>| {
            let figure = inner.head().strip_prefix("meter")?.split_whitespace().next()?;
            Exact::parse(figure).filter(|_| figure.len() <= 8)
        };
        self.meter = if asked { placed.statements().find_map(meter) } else { None };
    }

    /// Tells of the names that are too long.
    fn long_names(&mut self, nodes: &Nodes<'_>) {
        for node in nodes.all().filter(|node| node.as_str().len() > MAX_NAME) {
            if !matches!(node.as_rule(), Rule::name | Rule::phase_name | Rule::figure_name) {
                continue;
            }
            let length = node.as_str().len();
            let message = format!("A name of {length} letters is longer than the {MAX_NAME} that a name may have.");
            let fault = self.fault(Code::NameTooLong, node.span(), message);
            self.faults.push(fault.help("Call it by a word or two, and put the rest into `title`, `name` or `note`."));
        }
    }

    /// The first node of a statement, and where the language has it so the only one.
    fn only<'t>(&mut self, placed: &Placed<'t>, context: Context) -> Option<Node<'t>> {
        self.read(placed, context)?.next()
    }

    /// The faults in the block of a statement that is itself at fault.
    fn look_inside(&mut self, placed: &Placed<'_>) {
        let Some(context) = placed.inside() else { return };
        for inner in placed.statements() {
            match context {
                Context::File => drop(self.item(&inner)),
                Context::Maker => drop(self.maker_field(&inner)),
                Context::Container => drop(self.container_field(&inner)),
                Context::Stock => drop(self.stock_entry(&inner)),
                Context::Substance => drop(self.substance_fact(&inner)),
                Context::Material => drop(self.material_fact(&inner)),
                Context::Formula => drop(self.formula_statement(&inner)),
                Context::Phase | Context::VariantPhase => drop(self.phase_statement(&inner, context)),
                Context::Steps => drop(self.step(&inner)),
                Context::Variant => drop(self.variant_statement(&inner)),
                Context::Rule => drop(self.rule_statement(&inner)),
                Context::Batch => drop(self.batch_statement(&inner)),
                Context::Plan => self.plan_statement(&inner, &mut PlanInTheMaking::default()),
            }
        }
    }

    fn place_of(&self, span: Span) -> Place {
        Place { file: self.file, span }
    }

    /// A diagnostic at a stretch of this file.
    fn fault(&self, code: Code, span: Span, message: impl Into<String>) -> Diagnostic {
        Diagnostic::new(code, self.place_of(span), message)
    }

    /// The first inner node as a name that is declared.
    fn declared_name(&mut self, opening: Node<'_>) -> Name {
        match opening.into_inner().next() {
            Some(name) => self.material_name(&name),
            None => Name { text: SmolStr::default(), span: opening.span() },
        }
    }

    fn name(&self, node: &Node<'_>) -> Name {
        Name { text: SmolStr::new(cut_name(node.as_str())), span: node.span() }
    }

    /// A name that is declared: not one of the words that open a statement in a phase.
    fn material_name(&mut self, node: &Node<'_>) -> Name {
        let name = self.name(node);
        if RESERVED.contains(&name.text.as_str()) {
            self.faults.push(super::reserved(self.place_of(name.span), &name.text));
        }
        name
    }

    fn string(&self, node: &Node<'_>) -> Text {
        let raw = node.as_str();
        let inner = raw.get(1..raw.len().saturating_sub(1)).unwrap_or("");
        Text { value: unescape(inner), span: node.span() }
    }

    /// The first inner node as a string.
    fn only_string(&self, node: Node<'_>) -> Text {
        let fallback = Text { value: SmolStr::default(), span: node.span() };
        node.into_inner().find(|inner| inner.as_rule() == Rule::string).map_or(fallback, |inner| self.string(&inner))
    }

    /// The first inner node as a name.
    fn only_name(&self, node: Node<'_>) -> Name {
        let fallback = Name { text: SmolStr::default(), span: node.span() };
        node.into_inner().next().map_or(fallback, |inner| self.name(&inner))
    }

    /// Words out of a closed list; an unknown one is told of, with the nearest.
    fn listed<T>(
        &mut self,
        node: &Node<'_>,
        what: &str,
        words: &[&str],
        value: impl Fn(&str) -> Option<T>,
    ) -> Option<(T, Span)> {
        let span = node.span();
        // Where capitals may stand they mean nothing.
        let small = node.as_str().to_ascii_lowercase();
        let word = small.as_str();
        if let Some(value) = value(word) {
            return Some((value, span));
        }
        let near = nearest(word, words.iter().copied());
        let help = match near.first() {
            Some(near) => format!("Did you mean `{near}`? It may be {}.", or_list(words)),
            None => format!("It may be {}.", or_list(words)),
        };
        self.faults.push(self.fault(Code::Syntax, span, format!("`{word}` is no {what}.")).help(help));
        None
    }
}

/// A name as it is kept: of one that is too long, which has been told of, the beginning.
pub fn cut_name(name: &str) -> &str {
    name.get(..MAX_NAME).unwrap_or(name)
}

/// Whether any word is too long for a name: seen in one look, so that names need not be looked at one by one.
fn has_long_word(text: &str) -> bool {
    let is_letter = |byte: &&u8| byte.is_ascii_alphanumeric() || **byte == b'-';
    // One that is too long stands over one of these places at least.
    (0..text.len()).step_by(MAX_NAME + 1).any(|at| {
        let (before, after) = text.as_bytes().split_at(at);
        let after = after.iter().take_while(is_letter).count();
        after > 0 && before.iter().rev().take_while(is_letter).count() + after > MAX_NAME
    })
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
