//! The batch sheet as plain text, for a terminal.

use super::line;
use super::markdown::DEFERENCE;
use super::number::for_maker;
use super::ph_text::{beaker_test, window_words};
use super::screen::{shown, shown_data};
use super::{Sheet, SheetLine};
use unicode_width::UnicodeWidthStr;

/// Writes a sheet as plain text.
#[must_use]
pub fn text(sheet: &Sheet) -> String {
    let written = sheet;
    let sheet = &shown_data(written);
    let mut out = String::new();
    let title = sheet.title.as_deref().unwrap_or(&sheet.formula);
    let version = sheet.version.as_ref().map(|version| format!("  version {version}")).unwrap_or_default();
    line(&mut out, format_args!("{title}{version}"));
    line(
        &mut out,
        format_args!(
            "{}  batch {} g ({})  scale {}",
            sheet.formula,
            sheet.batch_g,
            sheet.asked,
            sheet.scales.join("; ")
        ),
    );
    if let Some(window) = sheet.ph.as_ref().and_then(|ph| window_words(&ph.window)) {
        line(&mut out, format_args!("pH {window}"));
    }
    for words in sheet.ph.iter().flat_map(|ph| &ph.words) {
        line(&mut out, format_args!("{words}"));
    }
    beaker_test(&mut out, sheet.ph.as_ref().map_or(&[], |ph| &ph.beaker_test));
    weights(&mut out, sheet);
    for (number, step) in written.steps.iter().enumerate() {
        // A step may run over lines.
        let lines: Vec<_> = step.split('\n').map(shown).collect();
        line(&mut out, format_args!("{}. {}", number + 1, lines.join("\n     ")));
    }
    if !sheet.steps.is_empty() {
        line(&mut out, format_args!(""));
    }
    for warning in sheet.warnings() {
        line(&mut out, format_args!("! Warning ({}): {}", warning.code, warning.message));
    }
    for caution in &sheet.cautions {
        line(&mut out, format_args!("! {caution}"));
    }
    for active in &sheet.actives {
        line(
            &mut out,
            format_args!(
                "{}: {} % asked, {} % as weighed",
                active.substance,
                for_maker(&active.target_percent),
                for_maker(&active.as_weighed_percent)
            ),
        );
    }
    if let Some(unpreserved) = &sheet.unpreserved {
        line(&mut out, format_args!("{unpreserved}"));
    }
    for allowed in &sheet.allowed {
        line(&mut out, format_args!("allowed {}: {}", allowed.code, allowed.because));
    }
    if let Some(remark) = &sheet.remark {
        line(&mut out, format_args!("\n{remark}"));
    }
    if !sheet.product.iter().any(|product| product == "stock") {
        line(&mut out, format_args!("\n{DEFERENCE}"));
    }
    out
}

fn called(line: &SheetLine) -> &str {
    line.title.as_deref().unwrap_or(&line.material)
}

fn weights(out: &mut String, sheet: &Sheet) {
    let lines = || sheet.phases.iter().flat_map(|phase| &phase.lines);
    let name_width = lines().map(|line| called(line).width()).max().unwrap_or(0);
    let percent = |line: &SheetLine| {
        line.percent.as_ref().map_or("to pH".to_string(), |percent| format!("{} %", for_maker(percent)))
    };
    let percent_width = lines().map(|line| percent(line).width()).max().unwrap_or(0);
    let gram_width = lines()
        .filter_map(|line| line.grams.as_ref())
        .map(|grams| grams.len())
        .chain([sheet.total_g.len()])
        .max()
        .unwrap_or(0);
    for phase in sheet.phases.iter().filter(|phase| !phase.lines.is_empty()) {
        let title = phase.title.as_ref().map(|title| format!("  {title}")).unwrap_or_default();
        let heat = phase.heat_c.as_ref().map(|heat| format!("  heat to {heat} °C")).unwrap_or_default();
        let cool = phase.cool_c.as_ref().map(|cool| format!("  cool to {cool} °C")).unwrap_or_default();
        line(out, format_args!("\n{}{title}{heat}{cool}", phase.name));
        for weighed in &phase.lines {
            let pad = " ".repeat(name_width - called(weighed).width());
            let grams = weighed.grams.as_ref().map_or(" ".repeat(gram_width), |grams| format!("{grams:>gram_width$}"));
            let unit = if weighed.grams.is_some() { "g" } else { " at the bench" };
            let held = match (&weighed.first_weighing_g, &weighed.held_back_g) {
                (Some(first), Some(held)) => format!("  first {first} g, {held} g held back"),
                _ => String::new(),
            };
            line(
                out,
                format_args!(
                    "  [ ] {}{pad}  {:>percent_width$}  {grams} {unit}{held}",
                    called(weighed),
                    percent(weighed)
                ),
            );
        }
    }
    line(
        out,
        format_args!("\n      {:name_width$}  {:>percent_width$}  {:>gram_width$} g\n", "together", "", sheet.total_g),
    );
}
