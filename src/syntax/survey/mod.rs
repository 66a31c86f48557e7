//! What stands at each place of a text: for whoever asks of a place, and not of a statement.
//!
//! [`Survey::new`] goes through a text once and notes every word of it: what it is, and of a name in which way it is
//! meant. What a name stands for, `resolve` says; here is only how it is written.

mod candidates;
mod expect;
mod grammar_part;
mod grammar_words;
mod lexer;
mod mark;
mod role;
mod steps;

pub use expect::{Expectations, Expected};
pub use lexer::{Lexeme, LexemeKind, lexemes};
pub use mark::{Mark, MarkKind};
pub use role::NameRole;

use super::context::Context;
use super::cut::{Cut, EntryKind, ParseState, Statement, Walk};
use super::statement::{Memo, Nodes};
use crate::diagnostic::Span;
use mark::Marker;

/// A text with a mark on every word of it.
#[derive(Debug, Default)]
pub struct Survey {
    /// The statements, each before those in its block.
    pub statements: Vec<SurveyedStatement>,
    /// The words, in the order they stand; none lies in another.
    pub marks: Vec<Mark>,
}

/// A statement where it stands.
#[derive(Clone, Debug)]
pub struct SurveyedStatement {
    /// What it stands in.
    pub context: Context,
    /// The number of the statement in whose block it stands; none at file level.
    pub parent: Option<usize>,
    /// The whole of it, its block included.
    pub span: Span,
    /// It without its block; the brace that opens it counts.
    pub head: Span,
    /// What its block holds; none where it has none.
    pub inside: Option<Context>,
    /// Whether its block has a closing brace.
    pub closed: bool,
    /// Whether it parses.
    pub sound: bool,
    /// The numbers of the marks of its head.
    pub marks: std::ops::Range<usize>,
    /// The stretches that the grammar takes its head apart into, each before those inside it.
    pub nests: Vec<Span>,
}

impl Survey {
    /// Goes through a text. What was parsed before with the same memo is not parsed again.
    #[must_use]
    pub fn new(text: &str, memo: &Memo) -> Survey {
        let cut = Cut::new(text, memo);
        let mut survey = Survey::default();
        // Blocks that wait: going down into one leaves what follows it for later.
        let mut open = vec![(Walk::new(&cut.entries, text, 0), 0usize, Some(Context::File), None)];
        while let Some((mut walk, at, context, parent)) = open.pop() {
            let Some((entry, typed)) = walk.next_entry() else { continue };
            let next = at + entry.length as usize;
            match &entry.what {
                EntryKind::Comment => survey.marks.push(Mark { kind: MarkKind::Comment, span: Span::new(at, next) }),
                EntryKind::Blank | EntryKind::Stray => {}
                EntryKind::Statement(statement) => {
                    let number = survey.statement(statement, typed, at, context.unwrap_or(Context::File), parent);
                    if let Some(block) = &statement.block {
                        let inside = walk.inside(entry);
                        open.push((walk, next, context, parent));
                        open.push((inside, at + statement.head as usize, block.context, Some(number)));
                        continue;
                    }
                }
            }
            open.push((walk, next, context, parent));
        }
        survey
    }

    fn statement(
        &mut self,
        statement: &Statement,
        typed: &str,
        at: usize,
        context: Context,
        parent: Option<usize>,
    ) -> usize {
        let head_end = at + statement.head as usize;
        let head = typed.get(..statement.head as usize).unwrap_or(typed);
        let first = self.marks.len();
        let start = u32::try_from(at).unwrap_or(u32::MAX);
        let (mut sound, mut nests) = (false, Vec::new());
        match &statement.reading {
            ParseState::Sound(parse) => {
                sound = true;
                let nodes: Nodes<'_> = parse.nodes(head, start);
                nests.extend(nodes.all().map(|node| node.span()));
                Marker::new(head, at, context).mark(&nodes, &mut self.marks);
            }
            _ => lexer::mark_broken(head, at, &mut self.marks),
        }
        let inside = statement.block.as_ref().and_then(|block| block.context);
        self.statements.push(SurveyedStatement {
            context,
            parent,
            span: Span::new(at, at + typed.len()),
            head: Span::new(at, head_end),
            inside,
            closed: statement.block.as_ref().is_some_and(|block| block.closed),
            sound,
            marks: first..self.marks.len(),
            nests,
        });
        self.statements.len() - 1
    }

    /// The mark that an offset lies in or ends at; of two that meet there, the one that is a word of somebody's.
    #[must_use]
    pub fn mark_at(&self, offset: u32) -> Option<&Mark> {
        let after = self.marks.partition_point(|mark| mark.span.start <= offset);
        let touching = |at: usize| self.marks.get(at).filter(|mark| mark.span.end >= offset);
        let here = after.checked_sub(1).and_then(touching);
        let before = after.checked_sub(2).and_then(touching);
        match (before, here) {
            (Some(before), Some(here)) if before.kind.is_name() && !here.kind.is_name() => Some(before),
            (_, Some(here)) => Some(here),
            (before, None) => before,
        }
    }

    /// The innermost statement that an offset lies in, its block included; its end counts.
    #[must_use]
    pub fn statement_at(&self, offset: u32) -> Option<usize> {
        let holds = |statement: &SurveyedStatement| statement.span.start <= offset && offset <= statement.span.end;
        let after = self.statements.partition_point(|statement| statement.span.start <= offset);
        (0..after).rev().find(|at| self.statements.get(*at).is_some_and(holds))
    }

    /// The statement whose marks a mark is among.
    #[must_use]
    pub fn statement_of(&self, mark: usize) -> Option<&SurveyedStatement> {
        let after = self.statements.partition_point(|statement| statement.marks.start <= mark);
        (0..after).rev().find_map(|at| self.statements.get(at).filter(|statement| statement.marks.contains(&mark)))
    }

    /// The statements that a statement stands in, itself first and the one at file level last.
    pub fn chain(&self, from: usize) -> impl Iterator<Item = (usize, &SurveyedStatement)> {
        let mut next = Some(from);
        std::iter::from_fn(move || {
            let at = next?;
            let statement = self.statements.get(at)?;
            // A parent always stands before what it holds.
            next = statement.parent.filter(|parent| *parent < at);
            Some((at, statement))
        })
    }

    /// The marks of a statement's head.
    #[must_use]
    pub fn marks_of(&self, statement: &SurveyedStatement) -> &[Mark] {
        self.marks.get(statement.marks.clone()).unwrap_or_default()
    }
}
