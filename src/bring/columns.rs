//! Which column of a table holds what: by its heading, else by what stands in it.

use super::amount::{Stated, Unit, amount};
use super::names::Names;
use super::number::{DecimalMarks, figure_at_start};
use super::phase;
use super::rows::Row;
use super::words::{Heading, heading};

/// The columns that are read; every other one is kept as it stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Columns {
    /// The phase.
    pub phase: Option<usize>,
    /// The name.
    pub name: Option<usize>,
    /// The INCI name.
    pub inci: Option<usize>,
    /// The CAS number.
    pub cas: Option<usize>,
    /// Percent.
    pub percent: Option<usize>,
    /// Grams.
    pub grams: Option<usize>,
    /// A figure whose unit no heading tells.
    pub amount: Option<usize>,
    /// The units of the figures, row by row.
    pub unit: Option<usize>,
    /// The headings as they stand.
    pub headings: Vec<String>,
    /// The headings of further columns of figures that could have been meant.
    pub passed_over: Vec<String>,
}

impl Columns {
    /// The columns of amounts, in the order in which they are asked.
    pub fn amounts(&self) -> impl Iterator<Item = usize> {
        [self.percent, self.grams, self.amount].into_iter().flatten()
    }

    /// The column of amounts that the column of units speaks of.
    pub fn measured(&self) -> Option<usize> {
        self.amount.or(self.grams).or(self.percent)
    }

    /// Finds a column of units that no heading calls so: one beside the amounts, in which units stand and nothing else.
    pub fn find_units(&mut self, rows: &[Row]) {
        let Some(measured) = self.measured().filter(|_| self.unit.is_none()) else { return };
        let taken = [self.phase, self.name, self.inci, self.cas, self.percent, self.grams, self.amount];
        let is_free = |at: &usize| {
            !taken.contains(&Some(*at)) && self.headings.get(*at).is_none_or(|text| heading(text).is_none())
        };
        let units_alone = |at: &usize| {
            let mut cells = rows.iter().map(|row| row.cell(*at)).filter(|cell| !cell.is_empty());
            cells.next().is_some_and(is_unit) && cells.all(is_unit)
        };
        let beside = [Some(measured + 1), measured.checked_sub(1)].into_iter().flatten();
        self.unit = beside.filter(is_free).find(units_alone);
    }

    /// Reads a row of headings; none where it is none.
    pub fn of_headings(row: &Row) -> Option<Columns> {
        let mut columns = Columns { headings: row.cells.clone(), ..Columns::default() };
        let (mut known, mut figures) = (0usize, 0usize);
        for (at, cell) in row.filled() {
            let figure = amount(cell, DecimalMarks::default(), true);
            if matches!(figure.stated, Stated::Rest(_) | Stated::ToPh) {
                return None;
            }
            // `200 g` may head a column; a row of a table has figures too.
            if matches!(figure.stated, Stated::Figure(..)) {
                figures += 1;
                if heading(cell) != Some(Heading::Grams) {
                    return None;
                }
            }
            let Some(found) = heading(cell) else { continue };
            known += usize::from(found != Heading::Other);
            let place = match found {
                Heading::Phase => &mut columns.phase,
                Heading::Name => &mut columns.name,
                Heading::Inci => &mut columns.inci,
                Heading::Cas => &mut columns.cas,
                Heading::Percent => &mut columns.percent,
                Heading::Grams => &mut columns.grams,
                Heading::Amount => &mut columns.amount,
                Heading::Unit => &mut columns.unit,
                Heading::Other => continue,
            };
            if place.is_none() {
                *place = Some(at);
            } else if matches!(found, Heading::Percent | Heading::Grams | Heading::Amount) {
                columns.passed_over.push(cell.to_string());
            }
        }
        if figures > 0 && known < figures + 2 {
            return None;
        }
        columns.name = columns.name.or_else(|| columns.unnamed(row));
        let has_amount = columns.amounts().next().is_some();
        let is_heading = known >= 2 && (columns.name.is_some() || columns.inci.is_some())
            || known == 1 && has_amount && columns.name.is_some();
        is_heading.then_some(columns)
    }

    /// The column of names where no heading says which: the first before the amounts that says nothing else.
    fn unnamed(&self, row: &Row) -> Option<usize> {
        let taken = [self.phase, self.inci, self.cas];
        let first = self.amounts().min()?;
        let free = (0..first).find(|at| !taken.contains(&Some(*at)));
        free.filter(|_| self.inci.is_none()).filter(|at| heading(row.cell(*at)) != Some(Heading::Other))
    }

    /// Finds the columns by what stands in them.
    pub fn of_cells(rows: &[Row], names: &mut Names) -> Columns {
        const LOOKED_AT: usize = 60;
        let width = rows.iter().map(|row| row.cells.len()).max().unwrap_or(0).min(LOOKED_AT);
        let tallies: Vec<Tally> = (0..width).map(|at| Tally::of(rows, at, names)).collect();
        let mut columns = Columns::default();
        let figures = |wanted: fn(&Tally) -> bool| {
            let fits = tallies.iter().enumerate().filter(|(_, tally)| tally.is_figures() && wanted(tally));
            fits.map(|(at, _)| at).next()
        };
        columns.percent = figures(|tally| tally.percent * 2 > tally.figures);
        columns.grams = figures(|tally| tally.grams * 2 > tally.figures);
        if columns.percent.is_none() && columns.grams.is_none() {
            let near = |tally: &Tally| (99.0..=101.0).contains(&tally.sum);
            columns.amount = figures(near).or_else(|| figures(|_| true));
        }
        columns.find_units(rows);
        let taken: Vec<usize> = columns.amounts().chain(columns.unit).collect();
        let texts = || tallies.iter().enumerate().filter(|(at, tally)| !taken.contains(at) && tally.filled > 0);
        let names_at = texts()
            .filter(|(_, tally)| !tally.is_phases())
            .max_by_key(|(at, tally)| (tally.known, tally.letters / tally.filled.max(1), std::cmp::Reverse(*at)));
        columns.name = names_at.map(|(at, _)| at);
        columns.phase = texts().find(|(at, tally)| Some(*at) != columns.name && tally.is_phases()).map(|(at, _)| at);
        columns
    }
}

/// Whether a cell is a unit alone.
fn is_unit(cell: &str) -> bool {
    let read = amount(&format!("1 {cell}"), DecimalMarks::default(), false);
    let has_unit = matches!(&read.stated, Stated::Figure(_, unit) if *unit != Unit::Unwritten);
    has_unit && read.is_whole() && !cell.contains(|c: char| c.is_ascii_digit())
}

/// What stands in a column, counted.
#[derive(Default)]
struct Tally {
    filled: usize,
    figures: usize,
    percent: usize,
    grams: usize,
    known: usize,
    phases: usize,
    letters: usize,
    sum: f64,
}

impl Tally {
    fn of(rows: &[Row], at: usize, names: &mut Names) -> Tally {
        const LOOKED_AT: usize = 80;
        let mut tally = Tally::default();
        let cells = rows.iter().map(|row| row.cell(at)).filter(|cell| !cell.is_empty());
        for cell in cells.take(LOOKED_AT) {
            tally.filled += 1;
            tally.letters += cell.chars().count();
            let read = amount(cell, DecimalMarks { comma: true, point: true }, true);
            match (&read.stated, read.is_whole()) {
                (Stated::Figure(value, unit), true) => {
                    tally.figures += 1;
                    tally.percent += usize::from(*unit == Unit::Percent);
                    tally.grams += usize::from(*unit == Unit::Grams);
                    tally.sum += value.to_f64();
                }
                (Stated::Rest(_), _) => tally.figures += 1,
                _ => {
                    let short = cell.chars().count() <= 3 || phase::heading(cell).is_some();
                    tally.phases +=
                        usize::from(short && !cell.contains(|c: char| c.is_ascii_digit() && cell.len() > 2));
                    tally.known += usize::from(names.knows(cell));
                }
            }
        }
        tally
    }

    fn is_figures(&self) -> bool {
        self.figures > 0 && self.figures * 2 >= self.filled
    }

    fn is_phases(&self) -> bool {
        self.filled > 0 && self.phases * 10 >= self.filled * 8 && self.known * 2 <= self.filled
    }
}

/// Takes note of the decimal marks in a text.
pub fn see_marks(marks: &mut DecimalMarks, text: &str) {
    let mut from = 0;
    while let Some(rest) = text.get(from..).filter(|rest| !rest.is_empty()) {
        let end = if rest.starts_with(|c: char| c.is_ascii_digit()) { figure_at_start(rest, false) } else { 0 };
        if end == 0 {
            from += rest.chars().next().map_or(1, char::len_utf8);
        } else {
            marks.see(rest.get(..end).unwrap_or(""));
            from += end;
        }
    }
}
