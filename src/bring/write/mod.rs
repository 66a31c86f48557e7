//! The text of the formula, with what the table says beside each line.

mod figure;
mod sum;
mod text;

use self::figure::{grams, percent, share};
use self::sum::stated_total;
use crate::bring::amount::Stated;
use crate::bring::basis::{Basis, Given, LineMeaning, Reckoned, Sum, reckoned};
use crate::bring::comment::{kept, slug, string};
use crate::bring::dosing::{Dosing, HELD_BACK};
use crate::bring::index::Meant;
use crate::bring::names::{Names, is_of_the_shelf};
use crate::bring::own::OwnMaterials;
use crate::bring::phase::{self, PhaseHead};
use crate::bring::read::{Entry, Read, Table, TableLine};
use crate::bring::rows::{Row, Shape};
use crate::bring::{Brought, Unsure, Wishes};
use crate::quantity::Exact;
use crate::syntax::RESERVED;
use crate::syntax::vocabulary::Role;

/// The most lines of a formula: what follows is kept as comments.
const MOST_LINES: usize = 1000;

/// What stands before everything that was not sure.
const NOT_SURE: &str = "Not sure";

/// A phase as it is written.
struct Phase {
    letter: String,
    title: Option<String>,
    warm: Option<Exact>,
    cools: Option<bool>,
    remarks: Vec<String>,
    lines: Vec<String>,
}

struct Writer<'t> {
    table: &'t Table,
    shape: Shape,
    sum: Sum,
    dosing: Dosing,
    /// Whether weights stay weights: while a line has no amount, nobody knows what each is a share of.
    stays_grams: bool,
    own: OwnMaterials,
    phases: Vec<Phase>,
    at: Option<usize>,
    unsure: Vec<Unsure>,
    /// Whether a line has an amount that the table says.
    has_amounts: bool,
    told: Vec<String>,
    /// What the formula is called, where the table says so, and the rows above it.
    title: Option<String>,
    above: Vec<String>,
    below: Vec<String>,
}

/// Writes a table as a formula.
pub fn written(table: &Table, shape: Shape, wishes: &Wishes, names: &mut Names<'_>) -> Brought {
    let lines: Vec<&TableLine> = table_lines(table).take(MOST_LINES).collect();
    let meanings: Vec<LineMeaning> = lines.iter().map(|line| meaning(line, names)).collect();
    let paired: Vec<(&TableLine, LineMeaning)> = lines.into_iter().zip(meanings).collect();
    let sum = reckoned(&paired, stated_total(table), wishes);
    let dosing = Dosing::of(table, &paired, &sum);
    let mut formula = formula_name(&wishes.name);
    if names.is_taken(&formula) {
        formula.push_str("-formula");
    }
    let own = OwnMaterials::beside(&formula);
    let mut writer = Writer {
        table,
        shape,
        sum,
        dosing,
        stays_grams: false,
        own,
        phases: Vec::new(),
        at: None,
        unsure: Vec::new(),
        has_amounts: false,
        told: Vec::new(),
        title: None,
        above: Vec::new(),
        below: Vec::new(),
    };
    writer.stays_grams = writer.lacks_an_amount() && writer.is_plainly_in_grams();
    writer.rows(names);
    writer.tell_sum(paired.iter().any(|(_, meaning)| meaning.is_water));
    let text = writer.text(&formula);
    Brought { text, unsure: writer.unsure, told: writer.told, has_amounts: writer.has_amounts }
}

fn table_lines(table: &Table) -> impl Iterator<Item = &TableLine> {
    table.rows.iter().filter_map(|read| match &read.entry {
        Entry::Line(line) => Some(&**line),
        _ => None,
    })
}

fn meaning(line: &TableLine, names: &mut Names<'_>) -> LineMeaning {
    let name = match names.meant(&line.name, &line.inci, &line.cas) {
        Meant::Surely(name) | Meant::Likely(name, _) => name,
        Meant::Unknown { contains, .. } => {
            return LineMeaning { is_water: false, is_dosed: false, is_known: contains.is_some(), density: None };
        }
    };
    let dosed = [Role::PhAdjuster, Role::Fragrance, Role::Preservative, Role::Colourant, Role::Flavour];
    LineMeaning {
        is_water: names.is_water(&name),
        is_dosed: names.has_role(&name, &dosed),
        is_known: true,
        density: names.density(&name),
    }
}

/// A name for the formula that the language takes and nothing on the shelf has.
pub fn formula_name(wished: &str) -> String {
    let name = slug(wished);
    let name = if name == "material" { "formula".to_string() } else { name };
    match is_of_the_shelf(&name) || RESERVED.contains(&name.as_str()) {
        true => format!("{name}-formula"),
        false => name,
    }
}

impl Writer<'_> {
    fn rows(&mut self, names: &mut Names<'_>) {
        let first = self.table.rows.iter().position(|read| matches!(read.entry, Entry::Line(_)));
        let last = self.table.rows.iter().rposition(|read| matches!(read.entry, Entry::Line(_)));
        let mut number = 0usize;
        for (at, read) in self.table.rows.iter().enumerate() {
            let (before, after) = (first.is_none_or(|first| at < first), last.is_some_and(|last| at > last));
            match &read.entry {
                Entry::Line(line) => {
                    self.line(read, line, number, names);
                    number += 1;
                }
                Entry::Phase(head) if !after && first.is_some() => self.open(head, &read.row, false),
                Entry::Text { doubt } => {
                    self.remark(read, before, after);
                    if let Some(doubt) = doubt {
                        self.not_sure(read.row.line, &joined(&read.row), doubt);
                    }
                }
                _ => self.remark(read, before, after),
            }
        }
    }

    fn not_sure(&mut self, line: usize, what: &str, why: &str) {
        let what = if what.is_empty() { String::new() } else { format!("`{what}`: ") };
        let why = why.trim_end_matches('.');
        self.unsure.push(Unsure { line, says: format!("{what}{why}.") });
    }

    /// A row that is no line: above, below, or among the lines of its phase.
    fn remark(&mut self, read: &Read, before: bool, after: bool) {
        let text = joined(&read.row);
        let is_text = matches!(read.entry, Entry::Text { doubt: None });
        if before && self.title.is_none() && is_text && read.row.filled().count() == 1 && self.above.is_empty() {
            let plain = text.trim_start_matches('#').trim_matches(|c: char| c == '*' || c == '_' || c.is_whitespace());
            self.title = string(plain).filter(|_| !plain.is_empty() && plain.chars().count() <= 80);
        }
        let doubt = match &read.entry {
            Entry::Text { doubt: Some(doubt) } => format!("{NOT_SURE}: {doubt}. "),
            _ => String::new(),
        };
        let comment = format!("# {doubt}{text}");
        if before {
            self.above.push(comment);
        } else if after {
            self.below.push(comment);
        } else if let Some(phase) = self.at.and_then(|at| self.phases.get_mut(at)) {
            phase.lines.push(comment);
        }
    }

    /// Opens a phase, or goes back to one of that name.
    fn open(&mut self, head: &PhaseHead, row: &Row, of_column: bool) {
        // A temperature alone, right behind a heading, is that phase's.
        let is_bare = |phase: &Phase| phase.lines.is_empty() && phase.warm.is_none();
        let behind = self.at.filter(|at| self.phases.get(*at).is_some_and(is_bare));
        let behind = behind.filter(|_| head.letter.is_none() && head.title.is_none());
        let same = self.phases.iter().position(|phase| match &head.letter {
            Some(letter) => *letter == phase.letter,
            None => head.title.is_some() && head.title == phase.title,
        });
        let same = same.or(behind);
        if let Some(same) = same {
            if self.at.is_some_and(|at| at != same) {
                let letter = self.phases.get(same).map_or("", |phase| &phase.letter);
                let told =
                    format!("Lines of phase {letter} stand apart in the table; in the formula they are together.");
                if !self.told.contains(&told) {
                    self.told.push(told);
                }
            }
            self.at = Some(same);
            self.warm_again(head, row);
            if !of_column && let Some(phase) = self.phases.get_mut(same) {
                phase.lines.push(format!("# {}", joined(row)));
            }
            return;
        }
        let letter = head.letter.clone().unwrap_or_else(|| self.next_letter());
        let mut remarks = Vec::new();
        if let Some(says) = warmth_doubt(head) {
            remarks.push(format!("# {NOT_SURE}: {says}."));
            self.not_sure(row.line, &format!("phase {letter}"), &says);
        }
        let title = head.title.clone().filter(|title| string(title).is_some());
        self.phases.push(Phase {
            letter,
            title,
            warm: head.warm.clone(),
            cools: head.cools,
            remarks,
            lines: Vec::new(),
        });
        self.at = Some(self.phases.len() - 1);
        if !of_column {
            self.remember(&joined(row));
        }
    }

    /// A phase that is opened again with a temperature: it has that where it has no other yet, and no line.
    fn warm_again(&mut self, head: &PhaseHead, row: &Row) {
        let Some(phase) = self.at.and_then(|at| self.phases.get_mut(at)) else { return };
        if head.warm.is_none() || phase.warm == head.warm {
            return;
        }
        if phase.warm.is_none() && phase.lines.is_empty() {
            (phase.warm, phase.cools) = (head.warm.clone(), head.cools);
            if let Some(says) = warmth_doubt(head) {
                phase.remarks.push(format!("# {NOT_SURE}: {says}."));
                self.not_sure(row.line, "", &says);
            }
            return;
        }
        let warm = head.warm.as_ref().map(|warm| warm.to_significant(4)).unwrap_or_default();
        let says = format!("phase {} stands above, and these {warm} °C are not written for it", phase.letter);
        phase.lines.push(format!("# {NOT_SURE}: {says}."));
        self.not_sure(row.line, "", &says);
    }

    /// Keeps what a table calls the phase, where the phase itself does not say it.
    fn remember(&mut self, text: &str) {
        let Some(phase) = self.at.and_then(|at| self.phases.get_mut(at)) else { return };
        let bare = phase::without_marks(text).to_lowercase();
        let letter = phase.letter.to_lowercase();
        let says = bare == letter
            || bare == format!("phase {letter}")
            || phase.title.as_ref().is_some_and(|title| title.to_lowercase() == bare);
        let comment = format!("# {text}");
        if !says && !text.is_empty() && !phase.remarks.contains(&comment) {
            phase.remarks.push(comment);
        }
    }

    fn next_letter(&self) -> String {
        let taken = |letter: &String| self.phases.iter().any(|phase| phase.letter == *letter);
        let letters = (b'A'..=b'Z').map(|letter| char::from(letter).to_string());
        let numbered = (1..=self.phases.len() + 1).map(|number| format!("P{number}"));
        letters.chain(numbered).find(|letter| !taken(letter)).unwrap_or_else(|| "Z".to_string())
    }

    fn line(&mut self, read: &Read, line: &TableLine, number: usize, names: &mut Names<'_>) {
        let row = &read.row;
        let head = phase::cell(&line.phase);
        if head.names_one() {
            self.open(&head, row, true);
            self.remember(&kept(&line.phase));
        }
        if self.at.is_none() {
            self.phases.push(Phase {
                letter: "A".into(),
                title: None,
                warm: None,
                cools: None,
                remarks: Vec::new(),
                lines: Vec::new(),
            });
            self.at = Some(0);
        }
        let called = kept(if line.name.is_empty() { &line.inci } else { &line.name });
        let Some(Reckoned { given, doubts }) = self.sum.lines.get(number).cloned() else {
            let why = format!("a formula has {MOST_LINES} lines at most; this one is kept as a remark");
            self.not_sure(row.line, &called, &why);
            if number == MOST_LINES {
                // One line that is no formula's keeps all of it from being weighed without the rest of them.
                let name = self.own.material(line, names).name;
                self.push(format!("{name} {}", self.nought()));
            }
            return self.push(format!("# {NOT_SURE}: {why}. {}", joined(row)));
        };
        let mut doubts = doubts;
        let mut is_given = true;
        let amount = match self.amount(&given, number) {
            Ok(amount) if self.dosing.is_held(number) => {
                let held = format!("{HELD_BACK} %");
                doubts.push(format!("{held} are held back for what brings the pH; the table does not say how much"));
                format!("{amount} hold back {held}")
            }
            Ok(amount) => amount,
            Err(why) => {
                let nought = self.nought();
                let mend = "and nothing can be weighed until you write its amount or delete the line";
                doubts.insert(0, format!("{why}; it stands with {nought}, {mend}"));
                is_given = false;
                nought.to_string()
            }
        };
        // Water that takes the rest because she asked for it says nothing of how much of all else is taken.
        self.has_amounts |=
            is_given && line.amounts.iter().any(|amount| !matches!(amount.stated, Stated::Nothing | Stated::Unread));
        let material = self.own.material(line, names);
        doubts.extend(material.doubt);
        if !doubts.is_empty() {
            self.not_sure(row.line, &called, &doubts.join("; "));
        }
        let comment = self.beside(read, line, &material.name, &amount, &doubts);
        self.push(format!("{} {amount}{comment}", material.name));
    }

    fn push(&mut self, line: String) {
        if let Some(phase) = self.at.and_then(|at| self.phases.get_mut(at)) {
            phase.lines.push(line);
        }
    }

    /// The amount of a line that has none: the checks refuse it until it is written, and so the formula with it.
    fn nought(&self) -> &'static str {
        if self.stays_grams { "0 g" } else { "0 %" }
    }

    /// Whether a line of the table is not one that could be weighed.
    fn lacks_an_amount(&self) -> bool {
        let lacks = |(number, line): (usize, &Reckoned)| match &line.given {
            Given::Nothing(_) => true,
            Given::ToPh => !self.dosing.is_to_ph(number),
            Given::Rest | Given::Figure(_) => false,
        };
        table_lines(self.table).nth(MOST_LINES).is_some() || self.sum.lines.iter().enumerate().any(lacks)
    }

    /// Whether every figure is one of grams, and nothing in the formula asks for a share.
    fn is_plainly_in_grams(&self) -> bool {
        let held = (0..self.sum.lines.len()).any(|number| self.dosing.is_held(number));
        self.sum.basis == Basis::Weights && !self.sum.has_rest && !self.sum.in_parts && !held
    }

    /// The amount as the language writes it; where there is none, why.
    fn amount(&self, given: &Given, number: usize) -> Result<String, String> {
        const TOO_LONG: &str = "its figure has too many digits";
        match given {
            Given::Rest => match self.sum.whole {
                Some(_) => Ok("q.s.".into()),
                None => Err("nothing says how much it all is".into()),
            },
            Given::ToPh if self.dosing.is_to_ph(number) => Ok("q.s. to pH".into()),
            Given::ToPh => Err(self.dosing.why_not()),
            Given::Nothing(why) => Err(why.clone()),
            Given::Figure(value) => match self.sum.basis {
                Basis::Percent => percent(value).ok_or_else(|| TOO_LONG.into()),
                Basis::Shares => percent(&(value * &Exact::HUNDRED)).ok_or_else(|| TOO_LONG.into()),
                Basis::Weights if self.stays_grams => grams(value).ok_or_else(|| TOO_LONG.into()),
                Basis::Weights => {
                    let whole = self.sum.whole.as_ref().ok_or("nothing says how much it all is")?;
                    share(value, whole).ok_or_else(|| TOO_LONG.into())
                }
            },
        }
    }

    /// The comment beside a line: what was not sure, and what the table says that the line does not.
    fn beside(&self, read: &Read, line: &TableLine, material: &str, amount: &str, doubts: &[String]) -> String {
        let mut cells: Vec<String> = Vec::new();
        if self.shape == Shape::Lines {
            let said = format!("{material} {amount}");
            let raw = joined(&read.row);
            if raw.to_lowercase() != said {
                cells.push(raw);
            }
        } else {
            let shown = |cell: &String| {
                cell.to_lowercase() == material
                    || cell.replace(' ', "") == amount.replace(' ', "")
                    || format!("{cell} %") == amount
            };
            // A cell that names no phase opened none, and stands nowhere else.
            let phase = |cell: &String| *cell == line.phase && phase::cell(cell).names_one();
            let said = line.said.iter().filter(|cell| !shown(cell) && !phase(cell));
            cells.extend(said.map(|cell| kept(cell)));
            cells.extend(line.kept.iter().map(|(heading, cell)| match heading.as_str() {
                "" => kept(cell),
                heading => format!("{}: {}", kept(heading), kept(cell)),
            }));
        }
        let cells = cells.join(" | ");
        match (doubts, cells.as_str()) {
            ([], "") => String::new(),
            ([], cells) => format!("  # {cells}"),
            (doubts, "") => format!("  # {NOT_SURE}: {}.", doubts.join("; ")),
            (doubts, cells) => format!("  # {NOT_SURE}: {}. {cells}", doubts.join("; ")),
        }
    }
}

/// What is not sure of the temperature of a heading.
fn warmth_doubt(head: &PhaseHead) -> Option<String> {
    let warm = head.warm.as_ref()?.to_significant(4);
    match (head.cools, &head.warm_doubt) {
        (_, Some(doubt)) => Some(doubt.clone()),
        (None, None) => Some(format!("its {warm} °C are written as the heat of the phase")),
        (Some(_), None) => None,
    }
}

/// A row as one line: its cells as they stand.
fn joined(row: &Row) -> String {
    row.filled().map(|(_, cell)| kept(cell)).collect::<Vec<_>>().join(" | ")
}
