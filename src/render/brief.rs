//! Diagnostics for people in short: the message, the place with its line, and what to do. Further places, and the
//! sources, stand in the long form.

use super::alike::{Told, in_printed_order, told_together};
use super::human::{Style, chosen, left_out};
use super::screen::{Screen, shown};
use crate::diagnostic::{Diagnostic, Level};
use crate::workspace::{LineIndex, Sources};
use unicode_segmentation::UnicodeSegmentation as _;
use unicode_width::UnicodeWidthStr as _;

/// So much of a line is shown at most, in columns.
const LINE: usize = 88;
/// So many bytes of it, whatever a letter is made of.
const MOST: usize = 2_000;

/// Tells of diagnostics in short, the errors first; notes that are alike stand in one table.
#[must_use]
pub fn brief(sources: &Sources, diagnostics: &[Diagnostic], style: Style) -> Screen {
    let mut out = String::new();
    let (told, more) = chosen(diagnostics);
    for told in told_together(&in_printed_order(told)) {
        tell(sources, &told, style, &mut out);
        out.push('\n');
    }
    left_out(sources, &more, &mut out);
    Screen::drawn(out)
}

/// Whether the long form says more of any of them.
#[must_use]
pub fn says_more(diagnostics: &[Diagnostic]) -> bool {
    diagnostics.iter().any(|one| !one.secondary.is_empty() || one.source.is_some())
}

fn tell(sources: &Sources, told: &Told, style: Style, out: &mut String) {
    let diagnostic = &told.diagnostic;
    let place = diagnostic.primary.place;
    let text = sources.text(place.file);
    let lines = LineIndex::new(text);
    let (line, column) = lines.line_column(place.span.start);
    let head = format!("{} [{}]", diagnostic.level.word(), diagnostic.code);
    let path = sources.path(place.file);
    out.push_str(&format!("{} {}:{line}:{column}\n", coloured(&head, diagnostic.level, style), shown(&path)));
    wrapped(&shown(&diagnostic.message), "  ", "  ", style.width, out);
    if diagnostic.level != Level::Note
        && let Some((written, under)) = excerpt(text, place.span.start as usize, place.span.end as usize)
    {
        out.push_str(&format!("    {written}\n    {}\n", coloured(&under, diagnostic.level, style)));
    }
    if let Some(help) = &diagnostic.help {
        wrapped(&shown(help), "  help: ", "        ", style.width, out);
    }
    told.table.iter().for_each(|row| out.push_str(&format!("    {}\n", shown(row))));
}

/// The line of a place without the blanks before it, cut where it is long, and what marks the place under it.
fn excerpt(text: &str, start: usize, end: usize) -> Option<(String, String)> {
    let from = text.get(..start)?.rfind('\n').map_or(0, |at| at + 1);
    let line = text.get(from..)?.lines().next().unwrap_or("");
    let stop = end.min(from + line.len()).max(start);
    let (before, marked) = (text.get(from..start)?.trim_start(), text.get(start..stop)?);
    let after = text.get(stop..from + line.len()).unwrap_or("");
    let before = shown(before);
    let marked = shown(marked);
    let kept = last_columns(&before, LINE / 2);
    let lead = if kept.len() < before.len() { "…" } else { "" };
    let room = LINE.saturating_sub(kept.width() + lead.width());
    let marked = first_columns(&marked, room);
    let shown_after = shown(after.trim_end());
    let tail = first_columns(&shown_after, room.saturating_sub(marked.width()));
    let cut = if tail.len() < shown_after.len() { "…" } else { "" };
    let under = "─".repeat(marked.width().max(1));
    let blanks = " ".repeat(lead.width() + kept.width());
    Some((format!("{lead}{kept}{marked}{tail}{cut}"), format!("{blanks}{under}")))
}

/// As much of the beginning of a text as fits into so many columns, and into so many bytes: no letter is cut in two.
fn first_columns(text: &str, columns: usize) -> &str {
    let fits = |end: &usize| text.get(..*end).is_some_and(|part| part.width() <= columns && part.len() <= MOST);
    let ends = text.grapheme_indices(true).map(|(at, letter)| at + letter.len());
    text.get(..ends.take_while(fits).last().unwrap_or(0)).unwrap_or("")
}

/// As much of the end of a text as fits into so many columns.
fn last_columns(text: &str, columns: usize) -> &str {
    let fits = |start: &usize| text.get(*start..).is_some_and(|part| part.width() <= columns && part.len() <= MOST);
    let starts = text.grapheme_indices(true).rev().map(|(at, _)| at);
    text.get(starts.take_while(fits).last().unwrap_or(text.len())..).unwrap_or("")
}

/// A text broken between words, with what stands before its first line and before the others.
fn wrapped(text: &str, first: &str, others: &str, width: usize, out: &mut String) {
    let (mut column, mut empty) = (first.width(), true);
    out.push_str(first);
    for word in text.split(' ') {
        if !empty && column + 1 + word.width() > width {
            out.push('\n');
            out.push_str(others);
            (column, empty) = (others.width(), true);
        }
        if !empty {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += word.width();
        empty = false;
    }
    out.push('\n');
}

fn coloured(text: &str, level: Level, style: Style) -> String {
    let colour = match level {
        Level::Error => "31",
        Level::Warning => "33",
        Level::Note => "36",
    };
    if style.colour { format!("\u{1b}[{colour}m{text}\u{1b}[0m") } else { text.to_string() }
}
