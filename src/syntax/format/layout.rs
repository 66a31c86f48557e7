//! The shared tree as the layout looks at it: what stands on its own lines, with its words, its block and the comment
//! at its end.

use crate::syntax::cut::{self, ParseState, Walk};
use crate::syntax::statement::token::{Token, TokenKind, comment, line_ends, tokens};

/// What stands in a block.
#[derive(Debug)]
pub struct LayoutEntry<'t> {
    /// Whether a blank line goes before it.
    pub blank_before: bool,
    /// The thing itself.
    pub what: LayoutPart<'t>,
}

/// A statement, or a comment on lines of its own.
#[derive(Debug)]
pub enum LayoutPart<'t> {
    /// A comment.
    Comment(Token<'t>),
    /// A statement.
    LayoutStatement(LayoutStatement<'t>),
}

/// A statement.
#[derive(Debug)]
pub struct LayoutStatement<'t> {
    /// Its tokens up to its block, comments between them too.
    pub tokens: Vec<Token<'t>>,
    /// Its block.
    pub body: Option<Body<'t>>,
    /// The comment at the end of its last line.
    pub trailing: Option<Token<'t>>,
}

/// What stands between two braces.
#[derive(Debug)]
pub struct Body<'t> {
    /// The comment on the line of the opening brace.
    pub after_open: Option<Token<'t>>,
    /// What stands in it.
    pub entries: Vec<LayoutEntry<'t>>,
    /// Whether all of it was typed on one line.
    pub on_one_line: bool,
}

impl<'t> LayoutEntry<'t> {
    /// The statement, where it is one.
    pub fn statement(&self) -> Option<&LayoutStatement<'t>> {
        match &self.what {
            LayoutPart::LayoutStatement(statement) => Some(statement),
            LayoutPart::Comment(_) => None,
        }
    }
}

/// The entries of a file; none where something in it does not parse.
pub fn entries<'t>(cut: &'t cut::Cut, text: &'t str) -> Option<Vec<LayoutEntry<'t>>> {
    let mut list = List::default();
    list.take(Walk::new(&cut.entries, text, 0), false)?;
    Some(list.entries)
}

/// The entries of one block in the making.
#[derive(Default)]
struct List<'t> {
    entries: Vec<LayoutEntry<'t>>,
    after_open: Option<Token<'t>>,
    /// How many line ends stand before what comes next.
    breaks: usize,
}

impl<'t> List<'t> {
    /// Takes everything up to the end. Blocks of sound statements nest three deep at most.
    fn take(&mut self, mut walk: Walk<'t>, in_block: bool) -> Option<()> {
        while let Some((entry, text)) = walk.next_entry() {
            match &entry.what {
                cut::EntryKind::Blank => {
                    self.breaks = line_ends(text);
                    continue;
                }
                cut::EntryKind::Comment => self.comment(text, in_block),
                cut::EntryKind::Statement(statement) => {
                    let what = LayoutPart::LayoutStatement(self.statement(statement, text, walk.inside(entry))?);
                    self.push(what);
                }
                cut::EntryKind::Stray => return None,
            }
            self.breaks = 0;
        }
        Some(())
    }

    fn push(&mut self, what: LayoutPart<'t>) {
        // Nothing is parted from the brace that opens.
        let blank_before = self.breaks > 1 && !self.entries.is_empty();
        self.entries.push(LayoutEntry { blank_before, what });
    }

    fn comment(&mut self, text: &'t str, in_block: bool) {
        let token = Token { kind: TokenKind::Comment, text: comment(text), breaks: self.breaks };
        match self.entries.last_mut().map(|entry| &mut entry.what) {
            Some(LayoutPart::LayoutStatement(statement)) if self.breaks == 0 => statement.trailing = Some(token),
            None if self.breaks == 0 && in_block => self.after_open = Some(token),
            _ => self.push(LayoutPart::Comment(token)),
        }
    }

    fn statement(&self, statement: &'t cut::Statement, text: &'t str, inside: Walk<'t>) -> Option<LayoutStatement<'t>> {
        let ParseState::Sound(parse) = &statement.reading else { return None };
        let mut tokens = tokens(parse, text.get(..statement.head as usize)?);
        if let Some(first) = tokens.first_mut() {
            first.breaks = self.breaks;
        }
        let body = match &statement.block {
            None => None,
            Some(_) => {
                tokens.pop_if(|last| last.kind == TokenKind::Open);
                Some(Body::new(inside)?)
            }
        };
        Some(LayoutStatement { tokens, body, trailing: None })
    }
}

impl<'t> Body<'t> {
    fn new(inside: Walk<'t>) -> Option<Body<'t>> {
        let mut list = List::default();
        list.take(inside, true)?;
        let List { entries, after_open, breaks } = list;
        let on_one_line = after_open.is_none()
            && match entries.as_slice() {
                [] => true,
                [only] => breaks == 0 && only.statement().is_some_and(LayoutStatement::is_on_one_line),
                _ => false,
            };
        Some(Body { after_open, entries, on_one_line })
    }
}

impl LayoutStatement<'_> {
    /// Whether the line of the brace before it holds all of it.
    fn is_on_one_line(&self) -> bool {
        self.trailing.is_none()
            && self.tokens.iter().all(|token| token.breaks == 0)
            && self.body.as_ref().is_none_or(|body| body.on_one_line)
    }
}

/// All words and comments of entries, in the order they stand; braces too.
pub fn words<'e>(entries: &'e [LayoutEntry<'_>]) -> Vec<(TokenKind, &'e str)> {
    let mut all = Vec::new();
    for entry in entries {
        let mut add = |token: &'e Token<'_>| all.push((token.kind, token.text.as_ref()));
        match &entry.what {
            LayoutPart::Comment(token) => add(token),
            LayoutPart::LayoutStatement(statement) => {
                statement.tokens.iter().for_each(&mut add);
                if let Some(body) = &statement.body {
                    all.push((TokenKind::Open, "{"));
                    all.extend(body.after_open.iter().map(|token| (token.kind, token.text.as_ref())));
                    all.extend(words(&body.entries));
                    all.push((TokenKind::Close, "}"));
                }
                all.extend(statement.trailing.iter().map(|token| (token.kind, token.text.as_ref())));
            }
        }
    }
    all
}
