//! How a statement falls into the cells of a row, and which rows share their columns.

use crate::syntax::statement::token::{Token, TokenKind};

/// The block a statement stands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Within {
    /// The file itself.
    File,
    /// A block of fields: a material, the header of a formula, a batch.
    Fields,
    /// A phase.
    Phase,
    /// The steps.
    Steps,
    /// The plan of a batch.
    Plan,
}

impl Within {
    /// The block that a statement opens.
    pub fn opened_by(tokens: &[Token<'_>]) -> Within {
        match tokens.first().map(|first| first.text.as_ref()) {
            Some("phase") => Within::Phase,
            Some("steps") => Within::Steps,
            Some("plan") => Within::Plan,
            _ => Within::Fields,
        }
    }
}

/// Rows of one kind in one block share their columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kin {
    /// Reads as a sentence and stands in no columns: `heat to 75 °C`.
    Sentence,
    /// A word and its value.
    Field,
    /// What is weighed: name, amount, what is said of it.
    Line,
    /// A line of a phase in a variant.
    Add,
    /// A line with another amount.
    Set,
    /// A line with another material.
    Swap,
    /// A line of a frozen plan: name, percentage, amount, what is said of it.
    FrozenPlanLine,
    /// `let NAME = FIGURE`.
    Let,
    /// `group NAME = NAMES`.
    Group,
    /// `rate MONEY = MONEY on DATE`.
    Rate,
}

/// How a statement falls into cells.
#[derive(Debug)]
pub struct CellRow {
    /// Which rows it shares its columns with.
    pub kin: Kin,
    /// The token that each cell begins with, ascending, the first at nought.
    pub starts: Vec<usize>,
    /// How many cells stand in columns; those after them only keep two blanks.
    pub columns: usize,
}

impl CellRow {
    /// Blanks between a cell and the next.
    pub fn gap(&self) -> usize {
        match self.kin {
            Kin::Let | Kin::Group | Kin::Rate => 1,
            _ => 2,
        }
    }

    /// The tokens of a cell.
    pub fn cell<'a, 't>(&self, tokens: &'a [Token<'t>], number: usize) -> &'a [Token<'t>] {
        let start = self.starts.get(number).copied().unwrap_or(tokens.len());
        let end = self.starts.get(number + 1).copied().unwrap_or(tokens.len());
        tokens.get(start..end).unwrap_or_default()
    }

    fn sentence() -> CellRow {
        CellRow { kin: Kin::Sentence, starts: vec![0], columns: 1 }
    }

    fn new(kin: Kin, mut starts: Vec<usize>, columns: usize, tokens: &[Token<'_>]) -> CellRow {
        starts.retain(|start| *start < tokens.len());
        starts.dedup();
        let mut row = CellRow { kin, columns: columns.min(starts.len()), starts };
        // Past a cell that runs over lines there are no columns: what follows it stands on its last line.
        let runs_over = (0..row.columns).find(|number| runs_over_lines(row.cell(tokens, *number)));
        row.columns = runs_over.map_or(row.columns, |number| number + 1);
        row
    }
}

/// Cuts a statement without a block into cells.
pub fn row(tokens: &[Token<'_>], within: Within) -> CellRow {
    let Some(first) = tokens.first() else { return CellRow::sentence() };
    match (within, first.text.as_ref()) {
        (Within::Steps, _) => CellRow::sentence(),
        (Within::Phase, "add") if first.kind == TokenKind::Keyword => line(Kin::Add, tokens, 2),
        (Within::Phase | Within::Plan, _) if first.kind == TokenKind::Keyword => CellRow::sentence(),
        (Within::Phase, _) => line(Kin::Line, tokens, 1),
        (Within::Plan, _) => plan_line(tokens),
        (_, "let") => equation(Kin::Let, tokens),
        (_, "group") => equation(Kin::Group, tokens),
        (_, "rate") => equation(Kin::Rate, tokens),
        (Within::File, _) | (_, "ensure" | "allow" | "remove") => CellRow::sentence(),
        (_, "set") => line(Kin::Set, tokens, 2),
        (_, "swap") => line(Kin::Swap, tokens, 4),
        (Within::Fields, _) => field(tokens),
    }
}

/// A word, its value, and at the end the source of a fact or the stamps of an entry.
fn field(tokens: &[Token<'_>]) -> CellRow {
    let mut starts = vec![0, 1];
    for (number, pair) in tokens.windows(2).enumerate().skip(1) {
        if let [word, next] = pair {
            let begins = match word.text.as_ref() {
                "source" | "by" => next.kind == TokenKind::Text,
                "on" => next.kind == TokenKind::Date,
                "at" => next.kind == TokenKind::Time,
                _ => false,
            };
            if begins && word.kind == TokenKind::Keyword {
                starts.push(number);
            }
        }
    }
    CellRow::new(Kin::Field, starts, 2, tokens)
}

fn equation(kin: Kin, tokens: &[Token<'_>]) -> CellRow {
    let equals = tokens.iter().position(|token| token.kind == TokenKind::Equals).unwrap_or(tokens.len());
    CellRow::new(kin, vec![0, equals], 2, tokens)
}

/// A line, whose name takes so many tokens.
fn line(kin: Kin, tokens: &[Token<'_>], name: usize) -> CellRow {
    let tails = tails(tokens, name);
    // A swap may keep its amount, and then the first thing said of it is no amount to be lined up.
    let columns = if tails.first() == Some(&name) { 1 } else { 3 };
    let starts = [vec![0, name], tails].concat();
    CellRow::new(kin, starts, columns, tokens)
}

fn plan_line(tokens: &[Token<'_>]) -> CellRow {
    // What is weighed at the bench has no percentage, and its amount is three words: `q.s. to pH`.
    if tokens.get(1).is_some_and(|token| token.is_keyword("q.s.")) {
        return CellRow::new(Kin::FrozenPlanLine, [vec![0, 1], tails(tokens, 4)].concat(), 2, tokens);
    }
    // The percentage is a number and its unit.
    let starts = [vec![0, 1, 3], tails(tokens, 3)].concat();
    CellRow::new(Kin::FrozenPlanLine, starts, 4, tokens)
}

/// Where `hold back`, `from`, `titrated`, `because` and `allow` begin.
fn tails(tokens: &[Token<'_>], from: usize) -> Vec<usize> {
    let mut starts = Vec::new();
    // The reason of an `allow` goes with it.
    let mut allowing = false;
    for (number, token) in tokens.iter().enumerate().skip(from) {
        let reason = token.is_keyword("because");
        if reason && !allowing || ["hold", "from", "titrated", "allow"].iter().any(|word| token.is_keyword(word)) {
            starts.push(number);
        }
        if token.kind == TokenKind::Keyword {
            allowing = token.is_keyword("allow");
        }
    }
    starts
}

/// Whether a line end is kept before a token: after a comma, at an operator in brackets, and beside comments, but
/// never just inside a bracket.
pub fn breaks(before: &Token<'_>, token: &Token<'_>) -> bool {
    if before.kind == TokenKind::Comment {
        return true;
    }
    let inside = before.kind == TokenKind::BracketOpen && token.kind != TokenKind::Comment;
    token.breaks > 0 && !inside && token.kind != TokenKind::BracketClose
}

fn runs_over_lines(cell: &[Token<'_>]) -> bool {
    cell.windows(2).any(|pair| matches!(pair, [before, token] if breaks(before, token)))
}
