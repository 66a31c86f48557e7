//! The pH that a table speaks of.

use super::number::{DecimalMarks, figure_at_start};
use super::rows::Row;

/// What a table says of the pH.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StatedPh {
    /// A window, each end as the language writes it, and the line it stands on.
    Window(String, String, usize),
    /// One figure alone, and the line it stands on.
    Single(String, usize),
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
    use crate::quantity::Exact;
    let ends = Exact::parse(low).zip(Exact::parse(high));
    ends.is_some_and(|(low, high)| (&high - &low).is_positive())
}

/// A figure from 0 to 14, as the language writes it, and what follows.
fn one(text: &str, marks: DecimalMarks) -> Option<(String, &str)> {
    let end = figure_at_start(text, false);
    let figure = text.get(..end)?;
    let as_decimal = DecimalMarks { comma: marks.comma || figure.contains(','), point: marks.point };
    let value = as_decimal.read(figure)?.value;
    let fits = !(&crate::quantity::Exact::whole(14) - &value).is_negative();
    let decimals = value.decimals()?;
    fits.then(|| (value.to_fixed(decimals), text.get(end..).unwrap_or("")))
}
