//! From text to rows of cells: what separates them, and what stands in each.

/// What separates the cells of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Commas, as spreadsheets of an English-speaking house write them.
    Commas,
    /// Semicolons, as those with decimal commas do.
    Semicolons,
    /// Tabs: what was copied out of a spreadsheet.
    Tabs,
    /// Upright strokes.
    Markdown,
    /// Nothing: a note, one line for each material.
    Lines,
}

/// A row of a table, or a line of a note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// The line it begins on, from 1.
    pub line: usize,
    /// What stands in it, without blanks around.
    pub cells: Vec<String>,
}

impl Row {
    /// The cell of a column; empty where there is none.
    pub fn cell(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", String::as_str)
    }

    /// The cells in which something stands, with their columns.
    pub fn filled(&self) -> impl Iterator<Item = (usize, &str)> {
        self.cells.iter().map(String::as_str).enumerate().filter(|(_, cell)| !cell.is_empty())
    }
}

/// The most line ends in one cell before a quotation mark is taken for one that was never closed.
const LINES_IN_A_CELL: usize = 40;

/// Cuts a text into rows.
pub fn rows(text: &str) -> (Shape, Vec<Row>) {
    let lines: Vec<&str> = text.lines().filter(|line| !line.trim().is_empty()).collect();
    if lines.iter().filter(|line| line.trim().starts_with('|')).count() >= 2 || lines.iter().any(|line| is_rule(line)) {
        return (Shape::Markdown, markdown(text));
    }
    for (shape, mark) in [(Shape::Tabs, b'\t'), (Shape::Semicolons, b';'), (Shape::Commas, b',')] {
        if shape == Shape::Commas && commas_are_decimal(&lines) {
            continue;
        }
        let cut = delimited(text, mark);
        if is_table(&cut) {
            return (shape, cut);
        }
    }
    let rows = text.lines().zip(1..).map(|(line, number)| Row { line: number, cells: vec![line.trim().to_string()] });
    (Shape::Lines, rows.filter(|row| row.filled().next().is_some()).collect())
}

/// Whether enough rows have as many cells as one another, and more than one.
fn is_table(rows: &[Row]) -> bool {
    let mut counts: Vec<usize> = rows.iter().map(|row| row.cells.len()).filter(|count| *count > 1).collect();
    counts.sort_unstable();
    let most = counts.chunk_by(|one, other| one == other).map(<[usize]>::len).max().unwrap_or(0);
    most >= 2 && most * 5 >= rows.len() * 2 || rows.len() == 1 && most == 1
}

/// Whether the commas of a text are mostly those of figures: `82,5`.
fn commas_are_decimal(lines: &[&str]) -> bool {
    let is_digit = |byte: Option<&u8>| byte.is_some_and(u8::is_ascii_digit);
    let (mut between, mut other) = (0usize, 0usize);
    for line in lines {
        let bytes = line.as_bytes();
        for (at, _) in line.match_indices(',') {
            let inside = at > 0 && is_digit(bytes.get(at - 1)) && is_digit(bytes.get(at + 1));
            *(if inside { &mut between } else { &mut other }) += 1;
        }
    }
    between > other
}

fn delimited(text: &str, mark: u8) -> Vec<Row> {
    let rows = read(text, mark, true);
    let runaway = |cell: &String| cell.matches('\n').count() > LINES_IN_A_CELL;
    match rows.iter().any(|row| row.cells.iter().any(runaway)) {
        true => read(text, mark, false),
        false => rows,
    }
}

fn read(text: &str, mark: u8, quoted: bool) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new();
    let reader = reader.delimiter(mark).has_headers(false).flexible(true).quoting(quoted);
    let mut found = Vec::new();
    for record in reader.from_reader(text.as_bytes()).records() {
        // The text is UTF-8 and rows may be of any length, so nothing is left that could fail.
        let Ok(record) = record else { continue };
        let line = record.position().map_or(0, csv::Position::line);
        let cells: Vec<String> = record.iter().map(|cell| cell.trim().to_string()).collect();
        found.push(Row { line: usize::try_from(line).unwrap_or(usize::MAX), cells });
    }
    found.retain(|row| row.filled().next().is_some());
    found
}

fn markdown(text: &str) -> Vec<Row> {
    let lines = text.lines().zip(1..).filter(|(line, _)| !line.trim().is_empty() && !is_rule(line));
    lines.map(|(line, number)| Row { line: number, cells: strokes(line) }).collect()
}

/// The line under the headings: strokes, hyphens and colons alone.
fn is_rule(line: &str) -> bool {
    line.contains('|') && line.contains("--") && line.chars().all(|c| matches!(c, '|' | '-' | ':' | ' ' | '\t'))
}

/// The cells of a line, at each stroke that has no backslash before it.
fn strokes(line: &str) -> Vec<String> {
    let line = line.trim();
    if !line.contains('|') {
        return vec![line.to_string()];
    }
    let mut cells = vec![String::new()];
    let mut letters = line.strip_prefix('|').unwrap_or(line).chars().peekable();
    while let Some(letter) = letters.next() {
        let escaped = letter == '\\' && letters.peek() == Some(&'|');
        if letter == '|' {
            cells.push(String::new());
        } else if let Some(cell) = cells.last_mut() {
            cell.push(if escaped { letters.next().unwrap_or(letter) } else { letter });
        }
    }
    if cells.len() > 1 && cells.last().is_some_and(|last| last.trim().is_empty()) {
        cells.pop();
    }
    cells.into_iter().map(|cell| cell.trim().to_string()).collect()
}
