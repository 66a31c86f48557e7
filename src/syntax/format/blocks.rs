//! From tokens to statements and blocks, comments and blank lines among them.

use super::tokens::{Kind, Token};
use std::iter::Peekable;
use std::vec::IntoIter;

/// What stands in a block.
#[derive(Debug)]
pub struct Entry<'t> {
    /// Whether a blank line goes before it.
    pub blank_before: bool,
    /// The thing itself.
    pub what: What<'t>,
}

/// A statement, or a comment on lines of its own.
#[derive(Debug)]
pub enum What<'t> {
    /// A comment.
    Comment(Token<'t>),
    /// A statement.
    Statement(Statement<'t>),
}

impl<'t> Entry<'t> {
    /// The statement, where it is one.
    pub fn statement(&self) -> Option<&Statement<'t>> {
        match &self.what {
            What::Statement(statement) => Some(statement),
            What::Comment(_) => None,
        }
    }
}

/// A statement.
#[derive(Debug)]
pub struct Statement<'t> {
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
    pub entries: Vec<Entry<'t>>,
    /// Whether all of it was typed on one line.
    pub on_one_line: bool,
}

/// The entries of a file; none where braces do not pair.
pub fn blocks(tokens: Vec<Token<'_>>) -> Option<Vec<Entry<'_>>> {
    let mut reader = Reader { tokens: tokens.into_iter().peekable() };
    let entries = reader.entries();
    reader.tokens.peek().is_none().then_some(entries)
}

struct Reader<'t> {
    tokens: Peekable<IntoIter<Token<'t>>>,
}

impl<'t> Reader<'t> {
    /// Everything up to the brace that closes, or the end.
    fn entries(&mut self) -> Vec<Entry<'t>> {
        let mut entries: Vec<Entry<'t>> = Vec::new();
        while let Some(token) = self.tokens.peek() {
            // Nothing is parted from the brace that opens.
            let blank_before = token.breaks > 1 && !entries.is_empty();
            let what = match token.kind {
                Kind::Close => break,
                Kind::Comment => self.tokens.next().map(What::Comment),
                _ => Some(What::Statement(self.statement())),
            };
            entries.extend(what.map(|what| Entry { blank_before, what }));
        }
        entries
    }

    fn statement(&mut self) -> Statement<'t> {
        let mut tokens: Vec<Token<'t>> = Vec::new();
        let mut body = None;
        let mut brackets = 0usize;
        // After a comma, and after the `=` of a group, the statement goes on, on the next line too.
        let mut goes_on = false;
        while let Some(token) = self.tokens.peek() {
            let ends = !tokens.is_empty() && brackets == 0 && !goes_on;
            match token.kind {
                Kind::Close => break,
                Kind::Open => {
                    self.tokens.next();
                    body = Some(self.body());
                    break;
                }
                Kind::Comment if ends => break,
                _ if ends && token.breaks > 0 => break,
                Kind::BracketOpen => brackets += 1,
                Kind::BracketClose => brackets = brackets.saturating_sub(1),
                _ => {}
            }
            goes_on = match token.kind {
                Kind::Comment => goes_on,
                kind => matches!(kind, Kind::Comma | Kind::Equals),
            };
            tokens.extend(self.tokens.next());
        }
        Statement { tokens, body, trailing: self.comment_on_this_line() }
    }

    fn body(&mut self) -> Body<'t> {
        let after_open = self.comment_on_this_line();
        let entries = self.entries();
        let closes_at_once = self.tokens.next().is_some_and(|close| close.breaks == 0);
        let on_one_line = after_open.is_none()
            && match entries.as_slice() {
                [] => true,
                [only] => closes_at_once && only.statement().is_some_and(Statement::is_on_one_line),
                _ => false,
            };
        Body { after_open, entries, on_one_line }
    }

    fn comment_on_this_line(&mut self) -> Option<Token<'t>> {
        self.tokens.next_if(|token| token.kind == Kind::Comment && token.breaks == 0)
    }
}

impl Statement<'_> {
    /// Whether the line of the brace before it holds all of it.
    fn is_on_one_line(&self) -> bool {
        self.trailing.is_none()
            && self.tokens.iter().all(|token| token.breaks == 0)
            && self.body.as_ref().is_none_or(|body| body.on_one_line)
    }
}
