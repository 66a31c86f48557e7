//! The nodes of a parsed statement.

use crate::diagnostic::Span;
use crate::syntax::Rule;
use crate::syntax::grammar::Grammar;
use crate::syntax::invisible::{Cleared, clear};
use pest::{Parser as _, Token};

/// A statement as the grammar takes it apart. Its places are relative to its own start.
#[derive(Debug)]
pub struct Parse {
    /// Its nodes, each before those inside it.
    nodes: Box<[Raw]>,
    /// What the grammar saw, where the text had characters in it that nobody sees.
    cleared: Option<Box<Cleared>>,
}

#[derive(Clone, Copy, Debug)]
struct Raw {
    rule: Rule,
    start: u32,
    end: u32,
    /// The number of the first node after those inside it.
    next: u32,
}

impl Parse {
    /// Parses a whole text by a rule; the nodes are those inside the rule's own.
    #[must_use]
    pub fn new(rule: Rule, text: &str) -> Option<Parse> {
        let cleared = clear(text).map(Box::new);
        let pairs = Grammar::parse(rule, cleared.as_ref().map_or(text, |cleared| &cleared.text)).ok()?;
        let mut nodes: Vec<Raw> = Vec::new();
        let mut open: Vec<usize> = Vec::new();
        let offset = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        for token in pairs.tokens() {
            match token {
                Token::Start { rule: Rule::EOI, .. } | Token::End { rule: Rule::EOI, .. } => {}
                Token::Start { rule: inner, .. } | Token::End { rule: inner, .. } if inner == rule => {}
                Token::Start { rule, pos } => {
                    open.push(nodes.len());
                    let start = offset(pos.pos());
                    nodes.push(Raw { rule, start, end: start, next: 0 });
                }
                Token::End { pos, .. } => {
                    let next = offset(nodes.len());
                    if let Some(node) = open.pop().and_then(|number| nodes.get_mut(number)) {
                        node.end = offset(pos.pos());
                        node.next = next;
                    }
                }
            }
        }
        Some(Parse { nodes: nodes.into_boxed_slice(), cleared })
    }

    /// The rule of the first node.
    #[must_use]
    pub fn rule(&self) -> Option<Rule> {
        self.nodes.first().map(|first| first.rule)
    }

    /// The nodes that lie in no other, of a statement that is this text and stands at an offset.
    #[must_use]
    pub fn nodes<'t>(&'t self, text: &'t str, at: u32) -> Nodes<'t> {
        Nodes { parse: self, from: 0, to: self.nodes.len(), text, at }
    }
}

/// A node of a statement, with its text.
#[derive(Clone, Copy, Debug)]
pub struct Node<'t> {
    parse: &'t Parse,
    number: usize,
    raw: Raw,
    /// The whole statement.
    text: &'t str,
    /// Where the statement starts.
    at: u32,
}

impl<'t> Node<'t> {
    /// The rule that it is of.
    #[must_use]
    pub fn as_rule(&self) -> Rule {
        self.raw.rule
    }

    /// Its text.
    #[must_use]
    pub fn as_str(&self) -> &'t str {
        let text = self.parse.cleared.as_ref().map_or(self.text, |cleared| &cleared.text);
        text.get(self.raw.start as usize..self.raw.end as usize).unwrap_or("")
    }

    /// Where it stands.
    #[must_use]
    pub fn span(&self) -> Span {
        let mut span = Span { start: self.raw.start, end: self.raw.end };
        if let Some(cleared) = &self.parse.cleared {
            span = Cleared::span_back(&cleared.removed, span);
        }
        Span { start: self.at + span.start, end: self.at + span.end }
    }

    /// The nodes inside it.
    #[must_use]
    pub fn into_inner(self) -> Nodes<'t> {
        Nodes { parse: self.parse, from: self.number + 1, to: self.raw.next as usize, text: self.text, at: self.at }
    }
}

/// Nodes that stand one after another, those inside them left out.
#[derive(Clone, Debug)]
pub struct Nodes<'t> {
    parse: &'t Parse,
    from: usize,
    to: usize,
    text: &'t str,
    at: u32,
}

impl<'t> Nodes<'t> {
    /// The next one, without taking it.
    #[must_use]
    pub fn peek(&self) -> Option<Node<'t>> {
        if self.from < self.to { self.node(self.from) } else { None }
    }

    /// All of them, each before those inside it.
    pub fn all(&self) -> impl Iterator<Item = Node<'t>> + use<'t> {
        let nodes = self.clone();
        (self.from..self.to).filter_map(move |number| nodes.node(number))
    }

    fn node(&self, number: usize) -> Option<Node<'t>> {
        let raw = *self.parse.nodes.get(number)?;
        Some(Node { parse: self.parse, number, raw, text: self.text, at: self.at })
    }
}

impl<'t> Iterator for Nodes<'t> {
    type Item = Node<'t>;

    fn next(&mut self) -> Option<Node<'t>> {
        let node = self.peek()?;
        self.from = node.raw.next as usize;
        Some(node)
    }
}
