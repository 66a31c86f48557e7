//! From blocks to text.

use super::cells::{CellRow, Kin, Within, breaks, row};
use super::layout::{Body, LayoutEntry, LayoutPart, LayoutStatement};
use crate::syntax::statement::token::{Token, TokenKind};
use unicode_width::UnicodeWidthStr as _;

/// How wide a block on one line may be, and how far out comments are still lined up.
const WIDTH: usize = 100;

/// Blanks for each level.
const INDENT: usize = 2;

/// Writes the entries of a file.
pub fn write(entries: &mut [LayoutEntry<'_>]) -> String {
    part_blocks(entries);
    let mut page = LaidOutPage { lines: Vec::new() };
    page.block(entries, Within::File, 0);
    page.text()
}

/// Puts a blank line before and after every block of the file level, the comments on top of it counted with it.
fn part_blocks(entries: &mut [LayoutEntry<'_>]) {
    let is_block =
        |entry: &LayoutEntry<'_>| entry.statement().is_some_and(|statement| on_one_line(statement, 0).is_none());
    let mut parted = Vec::new();
    // Where the comments that stand right on top of an entry begin.
    let mut top = 0;
    let mut before: Option<&LayoutEntry<'_>> = None;
    for (number, entry) in entries.iter().enumerate() {
        if entry.blank_before || before.is_some_and(|before| before.statement().is_some()) {
            top = number;
        }
        if is_block(entry) && top > 0 {
            parted.push(top);
        }
        if before.is_some_and(is_block) {
            parted.push(number);
        }
        before = Some(entry);
    }
    for number in parted {
        if let Some(entry) = entries.get_mut(number) {
            entry.blank_before = true;
        }
    }
}

/// A statement that is to stand on one line with its block, if it has one: how it reads there, blanks before it left out.
fn on_one_line(statement: &LayoutStatement<'_>, depth: usize) -> Option<String> {
    let mut text = flat(&statement.tokens);
    let Some(body) = &statement.body else { return Some(text) };
    if !body.on_one_line {
        return None;
    }
    text.push_str(" { ");
    for inner in body.entries.iter().filter_map(LayoutEntry::statement) {
        text.push_str(&on_one_line(inner, depth)?);
        text.push(' ');
    }
    text.push('}');
    (depth * INDENT + text.width() <= WIDTH).then_some(text)
}

/// Tokens with the blanks that go between them.
fn flat(tokens: &[Token<'_>]) -> String {
    let mut text = String::new();
    let mut before = None;
    for token in tokens {
        text.push_str(before.map_or("", |before| blanks(before, token)));
        text.push_str(&token.text);
        before = Some(token);
    }
    text
}

/// What goes between two tokens of a line.
fn blanks(before: &Token<'_>, token: &Token<'_>) -> &'static str {
    match (before.kind, token.kind) {
        (_, TokenKind::Comment) => "  ",
        (TokenKind::BracketOpen, _) | (_, TokenKind::BracketClose | TokenKind::Comma | TokenKind::Colon) => "",
        _ => " ",
    }
}

/// Where the cells of the rows of one kind begin.
struct Columns {
    kin: Kin,
    starts: Vec<usize>,
}

/// The columns of all the rows of a block.
fn columns(rows: &[(&[Token<'_>], CellRow)], indent: usize) -> Vec<Columns> {
    let mut all: Vec<Columns> = Vec::new();
    for (_, row) in rows {
        if all.iter().any(|known| known.kin == row.kin) {
            continue;
        }
        let mut starts = vec![indent];
        let mut start = indent;
        for number in 0.. {
            let kin = rows.iter().filter(|(_, other)| other.kin == row.kin);
            if kin.clone().all(|(_, other)| other.columns <= number + 1) {
                break;
            }
            // A cell is as wide as the widest that has another after it. Fields that are but a word count too.
            let wide = kin.filter(|(_, other)| other.columns > number + 1 || row.kin == Kin::Field && number == 0);
            let width = wide.map(|(tokens, other)| flat(other.cell(tokens, number)).width()).max().unwrap_or(0);
            start += width + row.gap();
            starts.push(start);
        }
        all.push(Columns { kin: row.kin, starts });
    }
    all
}

/// A line of the page.
#[derive(Default)]
struct PageLine {
    text: String,
    /// The comment at its end.
    comment: Option<String>,
    /// The level of the block it stands in, where its comment is to be lined up with those above and below.
    run: Option<usize>,
}

/// A line in the making, and how wide it is so far; measuring it anew for each bracket takes too long on a long one.
#[derive(Default)]
struct Measured {
    text: String,
    width: usize,
}

impl Measured {
    fn blank(width: usize) -> Measured {
        Measured { text: " ".repeat(width), width }
    }

    fn push(&mut self, piece: &str) {
        self.text.push_str(piece);
        self.width += piece.width();
    }
}

struct LaidOutPage {
    lines: Vec<PageLine>,
}

impl LaidOutPage {
    fn push(&mut self, text: String) {
        self.lines.push(PageLine { text, ..PageLine::default() });
    }

    /// Puts a comment at the end of the last line.
    fn comment(&mut self, comment: Option<&Token<'_>>, run: Option<usize>) {
        if let (Some(line), Some(comment)) = (self.lines.last_mut(), comment) {
            line.comment = Some(comment.text.to_string());
            line.run = run;
        }
    }

    fn block(&mut self, entries: &[LayoutEntry<'_>], within: Within, depth: usize) {
        // In a block columns go all the way down; at file level they end with the paragraph.
        let paragraphs = entries.chunk_by(|_, next| within != Within::File || !next.blank_before);
        for paragraph in paragraphs {
            let rows = paragraph.iter().filter_map(LayoutEntry::statement).filter(|statement| statement.body.is_none());
            let rows: Vec<(&[Token<'_>], CellRow)> =
                rows.map(|statement| (statement.tokens.as_slice(), row(&statement.tokens, within))).collect();
            let columns = columns(&rows, depth * INDENT);
            for entry in paragraph {
                if entry.blank_before {
                    self.push(String::new());
                }
                match &entry.what {
                    LayoutPart::Comment(comment) => {
                        self.push(format!("{}{}", " ".repeat(depth * INDENT), comment.text))
                    }
                    LayoutPart::LayoutStatement(statement) => self.statement(statement, within, &columns, depth),
                }
            }
        }
    }

    fn statement(&mut self, statement: &LayoutStatement<'_>, within: Within, columns: &[Columns], depth: usize) {
        match &statement.body {
            None => self.row(&statement.tokens, &row(&statement.tokens, within), columns, depth),
            Some(body) => match on_one_line(statement, depth) {
                Some(text) => self.push(format!("{}{text}", " ".repeat(depth * INDENT))),
                None => self.opened_up(statement, body, depth),
            },
        }
        let run = statement.body.is_none().then_some(depth);
        self.comment(statement.trailing.as_ref(), run);
    }

    fn opened_up(&mut self, statement: &LayoutStatement<'_>, body: &Body<'_>, depth: usize) {
        let indent = " ".repeat(depth * INDENT);
        self.push(format!("{indent}{} {{", flat(&statement.tokens)));
        self.comment(body.after_open.as_ref(), None);
        self.block(&body.entries, Within::opened_by(&statement.tokens), depth + 1);
        self.push(format!("{indent}}}"));
    }

    /// A statement without a block, cell by cell, over as many lines as it was typed on.
    fn row(&mut self, tokens: &[Token<'_>], row: &CellRow, columns: &[Columns], depth: usize) {
        let indent = depth * INDENT;
        let starts = columns.iter().find(|known| known.kin == row.kin).map_or(&[][..], |known| &known.starts);
        let mut text = Measured::blank(indent);
        // Where a line goes on that was broken: under the first thing in the bracket or the value, else further in.
        let mut under = vec![indent + INDENT];
        let mut before: Option<&Token<'_>> = None;
        for (number, token) in tokens.iter().enumerate() {
            let cell = row.starts.iter().position(|start| *start == number).filter(|cell| *cell > 0);
            match (cell, before) {
                (Some(cell), _) => {
                    let column = starts.get(cell).filter(|_| cell < row.columns).copied().unwrap_or(0);
                    let blanks = column.saturating_sub(text.width).max(row.gap());
                    text.push(&" ".repeat(blanks));
                    under = vec![text.width];
                }
                (None, Some(before)) if breaks(before, token) => {
                    self.push(std::mem::take(&mut text.text));
                    // After the sign of an equation the list stands by itself.
                    if before.kind == TokenKind::Equals {
                        under = vec![indent + INDENT];
                    }
                    text = Measured::blank(under.last().copied().unwrap_or(indent));
                }
                (None, Some(before)) => {
                    text.push(blanks(before, token));
                    if before.kind == TokenKind::Equals {
                        under = vec![text.width];
                    }
                }
                (None, None) => {}
            }
            text.push(&token.text);
            match token.kind {
                TokenKind::BracketOpen => under.push(text.width),
                TokenKind::BracketClose => drop(under.pop()),
                _ => {}
            }
            before = Some(token);
        }
        self.push(text.text);
    }

    /// The lines as text, comments at their ends lined up where they follow one another.
    fn text(&self) -> String {
        let mut out = String::new();
        for run in
            self.lines.chunk_by(|line, next| line.comment.is_some() && line.run.is_some() && line.run == next.run)
        {
            let widest = run.iter().map(|line| line.text.width()).max().filter(|width| *width <= WIDTH).unwrap_or(0);
            for line in run {
                out.push_str(&line.text);
                if let Some(comment) = &line.comment {
                    let blanks = widest.saturating_sub(line.text.width()) + 2;
                    out.push_str(&" ".repeat(blanks));
                    out.push_str(comment);
                }
                out.push('\n');
            }
        }
        out
    }
}
