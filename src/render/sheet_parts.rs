//! What a sheet to be written on says beside its figures, whatever it is set in: what is made ready, what is looked at
//! before filling, and what is left blank to be filled in.

use super::number::for_maker;
use super::ph_text::window_words;
use super::{Sheet, SheetLine};
use crate::batch::advise::nearest_buffer;

/// Rows to write on for what is added to the pH.
pub const ADDITION_ROWS: usize = 6;

/// What is made ready before anything is weighed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ready {
    /// Bench, tools and scale: the name of each and its words.
    pub ticks: Vec<(&'static str, String)>,
    /// The meter: its words, and the buffer that it is read in; none where no pH is asked for.
    pub meter: Option<(String, String)>,
}

/// Something to be filled in by hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blank {
    /// What it is kept under.
    pub name: &'static str,
    /// What is asked for.
    pub words: String,
    /// Whether that is a figure.
    pub is_figure: bool,
}

impl Blank {
    fn figure(name: &'static str, words: String) -> Blank {
        Blank { name, words, is_figure: true }
    }

    fn text(name: &'static str, words: &str) -> Blank {
        Blank { name, words: words.to_string(), is_figure: false }
    }
}

/// What a line is called.
#[must_use]
pub fn called(line: &SheetLine) -> &str {
    line.title.as_deref().unwrap_or(&line.material)
}

/// All lines of a sheet.
pub fn lines_of(sheet: &Sheet) -> impl Iterator<Item = &SheetLine> {
    sheet.phases.iter().flat_map(|phase| &phase.lines)
}

/// The lines of which something is held back.
pub fn holding(sheet: &Sheet) -> impl Iterator<Item = &SheetLine> {
    lines_of(sheet).filter(|line| line.held_back_g.is_some())
}

/// The window of a sheet in words: `3.6 to 4.0`.
#[must_use]
pub fn sheet_window(sheet: &Sheet) -> Option<String> {
    window_words(&sheet.ph.as_ref()?.window)
}

/// What to take care of, gathered by what it is said of.
#[must_use]
pub fn gathered(cautions: &[String]) -> Vec<(&str, Vec<&str>)> {
    let mut all: Vec<(&str, Vec<&str>)> = Vec::new();
    for caution in cautions {
        let (of, text) = caution.split_once(": ").unwrap_or(("", caution));
        match all.iter_mut().find(|(known, _)| *known == of) {
            Some((_, texts)) => texts.push(text),
            None => all.push((of, vec![text])),
        }
    }
    all
}

/// What is made ready before anything is weighed (common practice, no source).
#[must_use]
pub fn ready(sheet: &Sheet) -> Ready {
    let tick = |name, words: &str| (name, words.to_string());
    let buffer = sheet.ph.as_ref().and_then(|ph| middle(&ph.window)).map(nearest_buffer);
    Ready {
        ticks: vec![
            tick("ready-bench", "Bench and hands clean, hair tied back, what “Take care” asks for put on."),
            tick("ready-tools", "Tools and containers clean and dry; every lot at hand and in date."),
            (
                "ready-scale",
                format!("Scale of {} level; it shows nought, and a known weight.", sheet.scales.join("; ")),
            ),
        ],
        meter: buffer.map(|buffer| ("Meter set to its buffers, and rinsed.".to_string(), format!("{buffer:.2}"))),
    }
}

/// The middle of a window, or the edge that it has.
fn middle(window: &[Option<String>; 2]) -> Option<f64> {
    let edges: Vec<f64> = window.iter().flatten().filter_map(|edge| edge.parse().ok()).collect();
    (!edges.is_empty()).then(|| edges.iter().sum::<f64>() / edges.len() as f64)
}

/// What is said of what is held back of a line: between its weight and the name, and after that.
#[must_use]
pub fn held_words(line: &SheetLine) -> (String, String) {
    let percent = line.held_back_percent.as_deref().map(for_maker).unwrap_or_default();
    (
        format!(" of the {} g of ", line.grams.as_deref().unwrap_or_default()),
        format!(" are held back ({percent} % of the batch)."),
    )
}

/// What is looked at before filling: the name of each and its words.
#[must_use]
pub fn before_filling() -> [(&'static str, &'static str); 2] {
    [
        ("all-ticked", "Every line is ticked, with its lot; look and smell are as they should be."),
        ("clean", "Containers are clean; code and date are on each."),
    ]
}

/// What is filled in once all is weighed.
#[must_use]
pub fn outcome_blanks(sheet: &Sheet) -> Vec<Blank> {
    let held = holding(sheet).next().map(|_| Blank::figure("topped-up", "Topped up, g".to_string()));
    let last = sheet_window(sheet).map(|window| Blank::figure("ph-last", format!("pH, last of all: {window}")));
    let yielded = Blank::figure("yield", format!("Yield of {} g, g", sheet.batch_g));
    let filled = sheet.fill.as_ref().map(|fill| {
        let planned = fill.planned.as_ref().unwrap_or(&fill.filled);
        Blank::figure("filled", format!("Filled of {planned} planned"))
    });
    held.into_iter().chain(last).chain([yielded]).chain(filled).collect()
}

/// What is filled in afterwards, and who answers for it.
#[must_use]
pub fn after_blanks() -> [Blank; 4] {
    [
        Blank::text("after-day", "After 24 h: look, smell, pH"),
        Blank::text("after-week", "After 7 days: look, smell, pH"),
        Blank::text("signed", "Made by"),
        Blank::text("checked", "Checked by"),
    ]
}

/// What is said of free acid and salt, where a line asks for an acid.
#[must_use]
pub fn free_acid_words(sheet: &Sheet) -> Vec<String> {
    let told = sheet.actives.iter().filter_map(|of| {
        let near = of.free_percent_near.as_ref().zip(of.salt_percent_near.as_ref())?;
        let far = of.free_percent_far.as_ref().zip(of.salt_percent_far.as_ref())?;
        Some(format!(
            "Foreseen of {}: {} % free and {} % as salt at the near edge of the window, {} % free and {} % as salt at the \
             far edge. Free acid is what works and what stings.",
            of.substance, near.0, near.1, far.0, far.1
        ))
    });
    told.collect()
}

/// A share as a figure, or as a range.
#[must_use]
pub fn share_words(low: &str, high: &str) -> String {
    let (low, high) = (for_maker(low), for_maker(high));
    if low == high { low } else { format!("{low} to {high}") }
}
