//! From rows to what they are: phases, lines, totals, and text that is kept.

use super::amount::{Amount, Stated, Unit, amount};
use super::columns::{Columns, see_marks};
use super::lines::{bare_line, is_sentence, note_line};
use super::names::Names;
use super::number::{DecimalMarks, begins_a_figure};
use super::phase::{self, PhaseHead};
use super::rows::{Row, Shape};
use super::words::{is_total, opens_method};

/// What a row is.
#[derive(Clone, Debug)]
pub enum Entry {
    /// It opens a phase.
    Phase(PhaseHead),
    /// It is a material with its amount.
    Line(Box<TableLine>),
    /// It says what all of it comes to.
    Total(Vec<Amount>),
    /// It has the headings.
    Headings,
    /// It is told of, and no more.
    Text {
        /// Why it may have been meant otherwise.
        doubt: Option<String>,
    },
}

/// A row with what it is.
#[derive(Clone, Debug)]
pub struct Read {
    /// The row as it stands.
    pub row: Row,
    /// What it is.
    pub entry: Entry,
}

/// A material with its amount.
#[derive(Clone, Debug)]
pub struct TableLine {
    /// What the column of phases says; empty where it says nothing.
    pub phase: String,
    /// The name.
    pub name: String,
    /// The INCI name beside it.
    pub inci: String,
    /// The CAS number beside it.
    pub cas: String,
    /// Whether it may be no material at all: what it says is not taken without more.
    pub is_doubtful: bool,
    /// The amounts, each as its column has it, with the unit of the heading where the cell has none.
    pub amounts: Vec<Amount>,
    /// The cells that the formula's line says again, and so need no comment: as they stand.
    pub said: Vec<String>,
    /// The other cells, with their headings.
    pub kept: Vec<(String, String)>,
}

/// What a table holds.
#[derive(Clone, Debug)]
pub struct Table {
    /// Its rows.
    pub rows: Vec<Read>,
    /// Columns of figures that were passed over.
    pub passed_over: Vec<String>,
    /// The decimal marks that its figures show.
    pub marks: DecimalMarks,
}

/// Says what every row of a table is.
pub fn table(shape: Shape, rows: Vec<Row>, names: &mut Names<'_>) -> Table {
    let mut marks = DecimalMarks::default();
    if shape == Shape::Lines {
        rows.iter().flat_map(Row::filled).for_each(|(_, cell)| see_marks(&mut marks, cell));
        let rows = note(rows, marks, names);
        return Table { rows, passed_over: Vec::new(), marks };
    }
    const HEADING_WITHIN: usize = 25;
    let found =
        rows.iter().take(HEADING_WITHIN).enumerate().find_map(|(at, row)| Some((at, Columns::of_headings(row)?)));
    let (first, mut columns) = match found {
        Some((at, columns)) => (at, columns),
        None => (0, Columns::of_cells(&rows, names)),
    };
    columns.find_units(rows.get(first + 1..).unwrap_or_default());
    for row in rows.iter().skip(first) {
        columns.amounts().for_each(|at| see_marks(&mut marks, row.cell(at)));
    }
    let passed_over = columns.passed_over.clone();
    let mut reader = Reader { columns, marks, names, in_method: false, begun: false };
    let entries = rows.into_iter().enumerate().map(|(at, row)| {
        let entry = if at < first { reader.above(&row) } else { reader.row(&row) };
        Read { row, entry }
    });
    let rows = entries.collect();
    Table { rows, passed_over, marks }
}

struct Reader<'n, 'o> {
    columns: Columns,
    marks: DecimalMarks,
    names: &'n mut Names<'o>,
    in_method: bool,
    /// Whether a material has been read.
    begun: bool,
}

impl Reader<'_, '_> {
    /// A row above the headings: a title, or how much it makes.
    fn above(&self, row: &Row) -> Entry {
        let first = row.filled().next().map_or("", |(_, cell)| cell);
        let figures: Vec<Amount> = row.filled().skip(1).map(|(_, cell)| amount(cell, self.marks, true)).collect();
        let weighs = |amount: &Amount| matches!(amount.stated, Stated::Figure(_, Unit::Grams));
        if is_total(first) && figures.iter().any(weighs) {
            return Entry::Total(figures);
        }
        Entry::Text { doubt: None }
    }

    fn row(&mut self, row: &Row) -> Entry {
        if let Some(columns) = Columns::of_headings(row) {
            // The same headings again have the same units beside them.
            let unit = self.columns.unit.filter(|_| columns.headings == self.columns.headings);
            self.columns = Columns { unit: columns.unit.or(unit), ..columns };
            return Entry::Headings;
        }
        let mut filled = row.filled();
        let (Some((first_at, first)), second) = (filled.next(), filled.next()) else {
            return Entry::Text { doubt: None };
        };
        let only = second.is_none();
        let cell = |column: Option<usize>| column.map_or("", |at| row.cell(at));
        let (name, inci) = (cell(self.columns.name), cell(self.columns.inci));
        let amounts = self.amounts(row);
        let has_amount = amounts.iter().any(|amount| amount.stated != Stated::Nothing);
        if only && (opens_method(first) || self.in_method) {
            self.in_method = true;
            return Entry::Text { doubt: None };
        }
        if is_total(name) || is_total(first) || name.is_empty() && inci.is_empty() && has_amount {
            return Entry::Total(amounts);
        }
        if only && Some(first_at) == self.columns.phase {
            return Entry::Phase(phase::cell(first));
        }
        if only {
            return self.lone(row, first);
        }
        if name.is_empty() && inci.is_empty() {
            return Entry::Text { doubt: self.begun.then(|| "it names no material".to_string()) };
        }
        if !has_amount && let Some(head) = phase::heading(name).filter(|_| !self.names.knows(name)) {
            return Entry::Phase(head);
        }
        self.in_method = false;
        self.line(row, amounts)
    }

    /// A row with one cell alone: a heading, a material without an amount, a title, a remark.
    fn lone(&mut self, row: &Row, text: &str) -> Entry {
        if self.names.knows(text) {
            return self.line(row, self.amounts(row));
        }
        let words = text.split_whitespace().count();
        if let Some(head) = phase::heading(text).or_else(|| phase::warm_heading(text)) {
            return Entry::Phase(head);
        }
        if let Some(line) = unread_line(text, self.marks, self.begun, self.names) {
            self.begun = true;
            return line;
        }
        if speaks_of_an_amount(text, self.marks) {
            return Entry::Text { doubt: Some(SPEAKS_OF_AN_AMOUNT.into()) };
        }
        let capitals = text.chars().any(char::is_alphabetic) && !text.chars().any(char::is_lowercase);
        if (capitals || text.ends_with(':')) && words <= 5 && (self.begun || !self.columns.headings.is_empty()) {
            return Entry::Phase(PhaseHead {
                title: Some(text.trim_end_matches(':').to_string()),
                ..phase::cell(text)
            });
        }
        let doubt = self.begun && words <= 5 && !is_sentence(text);
        Entry::Text { doubt: doubt.then(|| "it has no amount, and is kept as a remark".to_string()) }
    }

    fn amounts(&self, row: &Row) -> Vec<Amount> {
        let of = |at: usize, unit: Option<Unit>| {
            let mut read = self.amount_with_unit(row, at);
            if let (Stated::Figure(value, Unit::Unwritten), Some(unit)) = (&read.stated, &unit) {
                read.stated = Stated::Figure(value.clone(), unit.clone());
            }
            Amount { heading: unit, ..read }
        };
        let columns = &self.columns;
        [(columns.percent, Some(Unit::Percent)), (columns.grams, Some(Unit::Grams)), (columns.amount, None)]
            .into_iter()
            .filter_map(|(at, unit)| Some(of(at?, unit)))
            .collect()
    }

    /// The amount in a column, with the unit that the column of units has for it.
    fn amount_with_unit(&self, row: &Row, at: usize) -> Amount {
        let alone = amount(row.cell(at), self.marks, true);
        let unit = self.unit_beside(row, at);
        let Stated::Figure(_, written) = &alone.stated else { return alone };
        if unit.is_empty() {
            return alone;
        }
        if *written == Unit::Unwritten {
            return amount(&format!("{} {unit}", row.cell(at)), self.marks, true);
        }
        let same =
            matches!(amount(&format!("1 {unit}"), self.marks, true).stated, Stated::Figure(_, of) if of == *written);
        let mut alone = alone;
        if !same {
            alone.doubts.push(format!("`{unit}` stands beside it, and is not acted on"));
        }
        alone
    }

    /// What the column of units has for a column of amounts; empty where that is none of it.
    fn unit_beside<'r>(&self, row: &'r Row, at: usize) -> &'r str {
        let unit = self.columns.unit.filter(|_| self.columns.measured() == Some(at));
        unit.map_or("", |unit| row.cell(unit))
    }

    fn line(&mut self, row: &Row, amounts: Vec<Amount>) -> Entry {
        self.begun = true;
        let columns = &self.columns;
        let cell = |column: Option<usize>| column.map_or("", |at| row.cell(at)).to_string();
        let said_by = [columns.phase, columns.name].into_iter().flatten().chain(columns.amounts().take(1));
        let said_by: Vec<usize> = said_by.collect();
        // The unit goes with its figure.
        let unit = columns.unit.filter(|_| columns.measured().is_some_and(|at| said_by.contains(&at)));
        let kept = row
            .filled()
            .filter(|(at, _)| !said_by.contains(at) && Some(*at) != unit)
            .map(|(at, cell)| (columns.headings.get(at).cloned().unwrap_or_default(), cell.to_string()));
        let said = |at: usize| format!("{} {}", row.cell(at), self.unit_beside(row, at)).trim().to_string();
        Entry::Line(Box::new(TableLine {
            phase: cell(columns.phase),
            name: cell(columns.name),
            inci: cell(columns.inci),
            cas: cell(columns.cas),
            is_doubtful: false,
            amounts,
            said: said_by.iter().map(|at| said(*at)).filter(|cell| !cell.is_empty()).collect(),
            kept: kept.collect(),
        }))
    }
}

const SPEAKS_OF_AN_AMOUNT: &str = "it speaks of an amount, and is kept as a remark";

/// A text that has an amount in it and is no plain line, where it is likely that of a material: it begins with a name that
/// is known, or is short and stands among others. Its amount is not read, and it is no remark that could be passed over.
fn unread_line(text: &str, marks: DecimalMarks, begun: bool, names: &mut Names<'_>) -> Option<Entry> {
    if !speaks_of_an_amount(text, marks) {
        return None;
    }
    let (phase, body) = bare_line(text);
    let figure = body.match_indices(' ').find_map(|(at, _)| {
        let after = body.get(at + 1..)?;
        begins_a_figure(after).then(|| body.get(..at)).flatten()
    });
    let before = figure.map(|name| name.trim_matches(|c: char| !c.is_alphanumeric() && c != ')'));
    let known = before.filter(|name| !name.is_empty() && names.knows(name));
    let name = known.or_else(|| (begun && text.split_whitespace().count() <= 5).then_some(body))?;
    Some(Entry::Line(Box::new(TableLine {
        phase: phase.to_string(),
        name: name.to_string(),
        inci: String::new(),
        cas: String::new(),
        is_doubtful: true,
        amounts: vec![Amount::unread("it speaks of an amount in words that are not read")],
        said: vec![text.to_string()],
        kept: Vec::new(),
    })))
}

/// Whether a text that is no sentence has a figure with a unit of amounts in it, and so may be a line that was not read.
fn speaks_of_an_amount(text: &str, marks: DecimalMarks) -> bool {
    const LOOKED_AT: usize = 20;
    let mut starts = std::iter::once(0).chain(text.match_indices(' ').map(|(at, _)| at + 1)).take(LOOKED_AT);
    let has_unit = |at: usize| {
        let rest = text.get(at..).filter(|rest| begins_a_figure(rest))?;
        match amount(rest, marks, false).stated {
            Stated::Figure(_, unit) => Some(unit != Unit::Unwritten),
            _ => None,
        }
    };
    !is_sentence(text) && starts.any(|at| has_unit(at) == Some(true))
}

/// Says what the lines of a note are.
fn note(rows: Vec<Row>, marks: DecimalMarks, names: &mut Names<'_>) -> Vec<Read> {
    let cut: Vec<_> = rows.iter().map(|row| note_line(row.cell(0), marks)).collect();
    let with_unit = cut.iter().flatten().filter(|line| line.has_unit).count();
    // Where figures stand with units, one without is hardly an amount.
    let units_are_written = with_unit * 2 > cut.iter().flatten().count();
    let mut in_method = false;
    let mut begun = false;
    let mut read = Vec::with_capacity(rows.len());
    for (row, line) in rows.into_iter().zip(cut) {
        let text = row.cell(0).to_string();
        in_method |= begun && opens_method(&text);
        let entry = match line {
            _ if in_method => Entry::Text { doubt: None },
            Some(line) if is_total(&line.name) => Entry::Total(vec![amount(&line.amount, marks, false)]),
            Some(line) if line.name.eq_ignore_ascii_case("ph") => Entry::Text { doubt: None },
            Some(line) if !line.has_unit && phase::heading_with_figure(&text).is_some() && !names.knows(&line.name) => {
                phase::heading_with_figure(&text).map_or(Entry::Text { doubt: None }, Entry::Phase)
            }
            Some(line)
                if !is_sentence(&text) && (line.has_unit || !units_are_written || begun) || names.knows(&line.name) =>
            {
                begun = true;
                let is_doubtful = !line.has_unit && units_are_written && !names.knows(&line.name);
                let said = [&line.phase, &line.name, &line.amount].into_iter().filter(|part| !part.is_empty());
                Entry::Line(Box::new(TableLine {
                    said: said.cloned().collect(),
                    amounts: vec![amount(&line.amount, marks, false)],
                    phase: line.phase,
                    name: line.name,
                    inci: String::new(),
                    cas: String::new(),
                    is_doubtful,
                    kept: Vec::new(),
                }))
            }
            Some(_) => Entry::Text { doubt: Some("it is no plain line of a material, and is kept as a remark".into()) },
            None => lone_line(&text, marks, &mut begun, names),
        };
        read.push(Read { row, entry });
    }
    read
}

/// A line of a note without an amount.
fn lone_line(text: &str, marks: DecimalMarks, begun: &mut bool, names: &mut Names<'_>) -> Entry {
    let (letter, name) = bare_line(text);
    if names.knows(name) {
        *begun = true;
        return Entry::Line(Box::new(TableLine {
            phase: letter.to_string(),
            name: name.to_string(),
            inci: String::new(),
            cas: String::new(),
            is_doubtful: false,
            amounts: Vec::new(),
            said: Vec::new(),
            kept: Vec::new(),
        }));
    }
    if let Some(head) = phase::heading(text).or_else(|| phase::warm_heading(text)) {
        return Entry::Phase(head);
    }
    if let Some(line) = unread_line(text, marks, *begun, names) {
        *begun = true;
        return line;
    }
    if speaks_of_an_amount(text, marks) {
        return Entry::Text { doubt: Some(SPEAKS_OF_AN_AMOUNT.into()) };
    }
    let words = text.split_whitespace().count();
    let capitals = text.chars().any(char::is_alphabetic) && !text.chars().any(char::is_lowercase);
    if (capitals && *begun || text.ends_with(':')) && words <= 5 {
        return Entry::Phase(PhaseHead { title: Some(text.trim_end_matches(':').to_string()), ..phase::cell(text) });
    }
    let doubt = *begun && words <= 5 && !is_sentence(text);
    Entry::Text { doubt: doubt.then(|| "it has no amount, and is kept as a remark".to_string()) }
}
