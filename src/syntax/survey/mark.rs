//! The words of a statement that parses, each with what it is.

use super::role::{Above, NameRole, role_of};
use super::steps;
use crate::diagnostic::Span;
use crate::syntax::Rule;
use crate::syntax::context::Context;
use crate::syntax::statement::Nodes;

/// A word of a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mark {
    /// What it is.
    pub kind: MarkKind,
    /// Where it stands.
    pub span: Span,
}

/// What a word of a text is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkKind {
    /// A comment, to the end of its line.
    Comment,
    /// A text between quotation marks, or a stretch of one.
    Text,
    /// A file after `use`.
    Path,
    /// A figure.
    Number,
    /// A unit.
    Unit,
    /// A date or a time of day.
    Date,
    /// `+`, `-`, `*`, `/`.
    Sign,
    /// A word of the language.
    Keyword,
    /// A word out of a closed list: a role, a market, what a material does.
    Listed,
    /// The code of a diagnostic, after `allow`.
    Code,
    /// A name, and in which way it is meant.
    Name(NameRole),
    /// A word of a statement that does not parse.
    Loose,
}

impl MarkKind {
    /// Whether it is a name.
    #[must_use]
    pub fn is_name(self) -> bool {
        matches!(self, MarkKind::Name(_) | MarkKind::Loose | MarkKind::Code)
    }
}

/// Goes through the nodes of a statement.
pub(super) struct Marker<'t> {
    text: &'t str,
    /// Where the statement stands.
    at: usize,
    context: Context,
    /// How much of the statement has been gone through.
    done: usize,
}

impl<'t> Marker<'t> {
    pub(super) fn new(text: &'t str, at: usize, context: Context) -> Marker<'t> {
        Marker { text, at, context, done: 0 }
    }

    /// Notes every word.
    pub(super) fn mark(&mut self, nodes: &Nodes<'_>, marks: &mut Vec<Mark>) {
        let mut above: Vec<(Above, u32)> = Vec::new();
        for node in nodes.all() {
            let (rule, span) = (node.as_rule(), node.span());
            while above.last().is_some_and(|(_, end)| *end <= span.start && *end < span.end) {
                above.pop();
            }
            if let Some(kind) = self.leaf(rule, &mut above) {
                self.between((span.start as usize).saturating_sub(self.at), marks);
                match kind {
                    MarkKind::Text if above.last().is_some_and(|(above, _)| is_step(above.rule)) => {
                        steps::mark(span, node.as_str(), marks);
                    }
                    kind => marks.push(Mark { kind, span }),
                }
                self.done = (span.end as usize).saturating_sub(self.at);
            } else {
                above.push((Above { rule, names: 0 }, span.end));
            }
        }
        self.between(self.text.len(), marks);
    }

    /// What a node is that holds no others of interest.
    fn leaf(&self, rule: Rule, above: &mut [(Above, u32)]) -> Option<MarkKind> {
        let parent = above.last().map(|(above, _)| above.rule);
        Some(match rule {
            Rule::comment => MarkKind::Comment,
            Rule::string if parent == Some(Rule::use_item) => MarkKind::Path,
            Rule::string => MarkKind::Text,
            Rule::shelf_path => MarkKind::Path,
            Rule::number | Rule::makes_count => MarkKind::Number,
            Rule::unit => MarkKind::Unit,
            Rule::date | Rule::time => MarkKind::Date,
            Rule::add_sign | Rule::times_sign => MarkKind::Sign,
            Rule::word if parent == Some(Rule::allow) => MarkKind::Code,
            Rule::word if parent == Some(Rule::avoid) => MarkKind::Name(NameRole::KeptApart),
            Rule::word | Rule::any_word => MarkKind::Listed,
            Rule::figure_name => MarkKind::Name(NameRole::Figure),
            Rule::phase_name => MarkKind::Name(NameRole::Phase),
            Rule::name => MarkKind::Name(role_of(above, self.context)),
            _ => return None,
        })
    }

    /// The words of the language up to an offset of the statement.
    fn between(&mut self, end: usize, marks: &mut Vec<Mark>) {
        let stretch = self.text.get(self.done..end).unwrap_or("");
        let ends = |letter: char| letter.is_whitespace() || matches!(letter, '{' | '}' | '(' | ')' | ',' | '=' | ':');
        let mut from = 0;
        while let Some(rest) = stretch.get(from..).filter(|rest| !rest.is_empty()) {
            let length = rest.find(ends).unwrap_or(rest.len());
            if length > 0 {
                let start = self.at + self.done + from;
                marks.push(Mark { kind: MarkKind::Keyword, span: Span::new(start, start + length) });
            }
            let blank = rest.get(length..).and_then(|rest| rest.chars().next()).map_or(0, char::len_utf8);
            from += length + blank;
        }
        self.done = self.done.max(end);
    }
}

/// Whether the text of a node is a step, with names in braces: of a formula, or of the plan of a batch.
fn is_step(rule: Rule) -> bool {
    matches!(rule, Rule::step | Rule::plan_step)
}
