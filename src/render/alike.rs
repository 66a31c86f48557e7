//! The order in which diagnostics are printed, and those that are alike put into one with a table.

use crate::diagnostic::{Diagnostic, Level};
use unicode_width::UnicodeWidthStr as _;

/// From so many on, notes that differ in their message alone are told together.
const MANY: usize = 3;

/// So many rows of such a table are shown.
const ROWS: usize = 12;

/// Diagnostics as they are printed: errors first, then warnings, then notes, each by place.
pub(super) fn in_printed_order<'d>(all: impl IntoIterator<Item = &'d Diagnostic>) -> Vec<&'d Diagnostic> {
    let mut ordered: Vec<&Diagnostic> = all.into_iter().collect();
    ordered.sort_by_key(|one| match one.level {
        Level::Error => 0,
        Level::Warning => 1,
        Level::Note => 2,
    });
    ordered
}

/// Whether two are told as one: rows of one table, or notes with the same help.
fn is_alike(one: &Diagnostic, other: &Diagnostic) -> bool {
    let same = one.code == other.code && one.level == other.level;
    same && one.primary.place.file == other.primary.place.file
        && match (&one.alike, &other.alike) {
            (Some(one), Some(other)) => one.message == other.message && one.columns == other.columns,
            (None, None) => one.level == Level::Note && one.help.is_some() && one.help == other.help,
            _ => false,
        }
}

/// What is told at once: a diagnostic, and the rows of a table where it stands for several.
pub(super) struct Told {
    /// The diagnostic, or what stands for several.
    pub diagnostic: Diagnostic,
    /// The rows of its table, the heads of the columns first.
    pub table: Vec<String>,
}

/// The same with those that are alike as one, where the first of them stands.
pub(super) fn told_together(all: &[&Diagnostic]) -> Vec<Told> {
    let mut told: Vec<Told> = Vec::with_capacity(all.len());
    let mut done = vec![false; all.len()];
    for (at, one) in all.iter().enumerate() {
        if done.get(at).copied().unwrap_or(true) {
            continue;
        }
        let may_have_more = one.alike.is_some() || one.level == Level::Note;
        let members: Vec<usize> = match may_have_more {
            true => (at..all.len()).filter(|other| all.get(*other).is_some_and(|other| is_alike(one, other))).collect(),
            false => vec![at],
        };
        let least = if one.alike.is_some() { 2 } else { MANY };
        if members.len() < least {
            told.push(Told { diagnostic: (*one).clone(), table: Vec::new() });
            continue;
        }
        for member in &members {
            if let Some(done) = done.get_mut(*member) {
                *done = true;
            }
        }
        let members: Vec<&Diagnostic> = members.iter().filter_map(|at| all.get(*at).copied()).collect();
        told.push(as_one(one, &members));
    }
    told
}

fn as_one(first: &Diagnostic, members: &[&Diagnostic]) -> Told {
    let mut diagnostic = first.clone();
    for other in members.iter().skip(1) {
        let known =
            |place| diagnostic.primary.place == place || diagnostic.secondary.iter().any(|one| one.place == place);
        if !known(other.primary.place) {
            diagnostic.secondary.push(other.primary.clone());
        }
        for label in &other.secondary {
            if label.place != diagnostic.primary.place && !diagnostic.secondary.contains(label) {
                diagnostic.secondary.push(label.clone());
            }
        }
    }
    let mut sources: Vec<&str> = members.iter().filter_map(|one| one.source.as_deref()).collect();
    sources.sort_unstable();
    sources.dedup();
    diagnostic.source = Some(sources.join("; ")).filter(|sources| !sources.is_empty());
    let Some(alike) = &first.alike else {
        diagnostic.message = format!("There are {} of these.", members.len());
        let mut table: Vec<String> = members.iter().take(ROWS).map(|one| one.message.clone()).collect();
        if members.len() > ROWS {
            table.push(format!("and {} more", members.len() - ROWS));
        }
        return Told { diagnostic, table };
    };
    let mut rows: Vec<&[String]> =
        members.iter().filter_map(|one| one.alike.as_ref()).map(|alike| alike.cells.as_slice()).collect();
    let mut seen: Vec<&[String]> = Vec::new();
    rows.retain(|row| {
        !seen.contains(row) && {
            seen.push(row);
            true
        }
    });
    diagnostic.message = alike.message.replace("{count}", &rows.len().to_string());
    diagnostic.help = alike.help.clone();
    let heads: Vec<String> = alike.columns.iter().map(|head| (*head).to_string()).collect();
    let all: Vec<&[String]> = std::iter::once(heads.as_slice()).chain(rows).collect();
    Told { diagnostic, table: columns(&all) }
}

/// Rows with their cells in columns.
fn columns(rows: &[&[String]]) -> Vec<String> {
    let count = rows.iter().map(|row| row.len()).max().unwrap_or(0);
    let width = |at: usize| rows.iter().filter_map(|row| row.get(at)).map(|cell| cell.width()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..count).map(width).collect();
    let line = |row: &&[String]| {
        let cells = row.iter().zip(&widths);
        let laid = cells.map(|(cell, width)| format!("{cell}{}", " ".repeat(width.saturating_sub(cell.width()))));
        laid.collect::<Vec<_>>().join("  ").trim_end().to_string()
    };
    rows.iter().map(line).collect()
}
