//! The pH that a table speaks of.

use super::number::{DecimalMarks, figure_at_start};
use super::rows::Row;
use crate::quantity::Exact;

/// What a table says of the pH.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StatedPh {
    /// A window, each end as the language writes it, and the line it stands on.
    Window(String, String, usize),
    /// One figure alone, and the line it stands on.
    Single(String, usize),
}

/// The window of a formula.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Window {
    /// Its low end, as the language writes it.
    pub low: String,
    /// Its high end.
    pub high: String,
    /// The line of the table that it stands on.
    pub line: usize,
    /// The figure that it was laid around, where the table has no more than that.
    pub around: Option<String>,
}

/// The window that a table states, where it states just one. Where something is added up to the one figure that the table
/// has, a window is laid around that.
pub fn window(rows: &[&Row], marks: DecimalMarks, is_dosed: bool) -> Option<Window> {
    let stated = stated(rows, marks);
    let windows: Vec<Window> = stated
        .iter()
        .filter_map(|ph| match ph {
            StatedPh::Window(low, high, line) => {
                Some(Window { low: low.clone(), high: high.clone(), line: *line, around: None })
            }
            StatedPh::Single(..) => None,
        })
        .collect();
    match (windows.as_slice(), stated.as_slice()) {
        ([only], _) => Some(only.clone()),
        ([], [StatedPh::Single(ph, line)]) if is_dosed => around(ph, *line),
        _ => None,
    }
}

/// Two tenths to each side: what a meter and a patient hand can keep to.
fn around(ph: &str, line: usize) -> Option<Window> {
    let (value, apart) = (Exact::parse(ph)?, Exact::ratio(2, 10));
    let shown = |end: Exact| Some(end.to_fixed(end.decimals()?));
    Some(Window {
        low: shown((&value - &apart).max(Exact::ZERO))?,
        high: shown((&value + &apart).min(Exact::whole(14)))?,
        line,
        around: Some(ph.to_string()),
    })
}

/// Everything that is said of the pH, in the order it stands, each once.
pub fn stated(rows: &[&Row], marks: DecimalMarks) -> Vec<StatedPh> {
    let mut found: Vec<StatedPh> = Vec::new();
    for row in rows {
        let text = row.filled().map(|(_, cell)| cell).collect::<Vec<_>>().join(" ");
        for (at, _) in text.match_indices("pH").chain(text.match_indices("PH ")) {
            let before = text.get(..at).unwrap_or("");
            if before.ends_with(char::is_alphanumeric) {
                continue;
            }
            let after = text.get(at + 2..).unwrap_or("");
            let known = |one: &StatedPh, other: &StatedPh| match (one, other) {
                (StatedPh::Window(a, b, _), StatedPh::Window(c, d, _)) => (a, b) == (c, d),
                (StatedPh::Single(a, _), StatedPh::Single(b, _)) => a == b,
                _ => false,
            };
            if let Some(ph) = behind(after, row.line, marks)
                && !found.iter().any(|other| known(other, &ph))
            {
                found.push(ph);
            }
        }
    }
    found
}

fn behind(text: &str, line: usize, marks: DecimalMarks) -> Option<StatedPh> {
    let text = text.trim_start_matches([' ', ':', '=', '~', '|', '(', '≈']);
    let (low, after) = one(text, marks)?;
    let after = after.trim_start();
    let between = ["to", "bis", "-", "–", "—", "and", "à", "a", "/", ".."];
    let high = between.iter().find_map(|between| one(after.strip_prefix(between)?.trim_start(), marks));
    Some(match high {
        Some((high, _)) if rises(&low, &high) => StatedPh::Window(low, high, line),
        _ => StatedPh::Single(low, line),
    })
}

fn rises(low: &str, high: &str) -> bool {
    let ends = Exact::parse(low).zip(Exact::parse(high));
    ends.is_some_and(|(low, high)| (&high - &low).is_positive())
}

/// A figure from 0 to 14, as the language writes it, and what follows.
fn one(text: &str, marks: DecimalMarks) -> Option<(String, &str)> {
    let end = figure_at_start(text, false);
    let figure = text.get(..end)?;
    let as_decimal = DecimalMarks { comma: marks.comma || figure.contains(','), point: marks.point };
    let value = as_decimal.read(figure)?.value;
    let fits = !(&Exact::whole(14) - &value).is_negative();
    let decimals = value.decimals()?;
    fits.then(|| (value.to_fixed(decimals), text.get(end..).unwrap_or("")))
}
