//! The batch sheet as Markdown, made to be printed and written on.

use super::in_markdown::{data_in_markdown, in_markdown};
use super::line;
use super::number::for_maker;
use super::sheet::is_warning;
use super::sheet_parts::{
    ADDITION_ROWS, Blank, after_blanks, before_filling, called, free_acid_words, gathered, held_words, holding,
    lines_of, outcome_blanks, ready, share_words, sheet_window,
};
use super::{Sheet, SheetFill, SheetKeeps, SheetLine};

/// What is filled in by hand, in a cell and in a line.
const CELL: &str = "\u{a0}";
const BLANK: &str = "______";

/// The fields in which the program speaks, and backticks mark what is written in a file.
const SENTENCES: &[&str] = &["message", "remark", "unpreserved", "words", "beaker_test"];

/// What every sheet for skin says at its end.
pub const DEFERENCE: &str = "This sheet is arithmetic, not a safety assessment. What may be made, sold and said on a label \
is for local law and a qualified safety assessor to decide.";

/// Writes a sheet as Markdown, in the order in which it is worked by. Every figure of the formula in it stands in the
/// JSON.
#[must_use]
pub fn markdown(sheet: &Sheet) -> String {
    let written = sheet;
    let sheet = &data_in_markdown(written, SENTENCES);
    let mut out = String::new();
    head(&mut out, sheet);
    cautions(&mut out, sheet);
    before(&mut out, sheet);
    weigh(&mut out, sheet);
    adjust(&mut out, sheet);
    steps(&mut out, &written.steps);
    filling(&mut out, sheet);
    composition(&mut out, sheet);
    figures(&mut out, sheet);
    remarks(&mut out, sheet);
    out
}

/// A table of what is filled in by hand.
fn blanks(out: &mut String, of: &[Blank]) {
    let row = |cells: Vec<&str>| format!("| {} |", cells.join(" | "));
    line(out, format_args!("{}", row(of.iter().map(|blank| blank.words.as_str()).collect())));
    line(out, format_args!("{}", row(of.iter().map(|_| "---").collect())));
    line(out, format_args!("{}\n", row(of.iter().map(|_| CELL).collect())));
}

fn head(out: &mut String, sheet: &Sheet) {
    line(out, format_args!("# {}\n", sheet.title.as_deref().unwrap_or(&sheet.formula)));
    let version = sheet.version.as_ref().map(|version| format!(", version {version}")).unwrap_or_default();
    let window = sheet_window(sheet).map(|window| format!(", pH {window}")).unwrap_or_default();
    line(
        out,
        format_args!(
            "Formula `{}`{version}. Batch **{} g** ({}){window}.\n",
            sheet.formula, sheet.batch_g, sheet.asked
        ),
    );
    line(out, format_args!("| Batch code | Made on | Made by |"));
    line(out, format_args!("| --- | --- | --- |"));
    let made_on = sheet.keeps.as_ref().and_then(|keeps| keeps.made_on.as_deref()).unwrap_or(CELL);
    line(out, format_args!("| {} | {made_on} | {CELL} |\n", sheet.batch_code.as_deref().unwrap_or(CELL)));
    if sheet.batch_g != sheet.asked_g {
        line(
            out,
            format_args!(
                "The weights on these scales add to {} g; {} g were asked for.\n",
                sheet.batch_g, sheet.asked_g
            ),
        );
    }
}

fn cautions(out: &mut String, sheet: &Sheet) {
    if sheet.cautions.is_empty() && sheet.warnings().next().is_none() {
        return;
    }
    line(out, format_args!("## Take care\n"));
    for warning in sheet.warnings() {
        line(out, format_args!("- **Warning** ({}): {}", warning.code, warning.message));
    }
    for (of, texts) in gathered(&sheet.cautions) {
        let of = if of.is_empty() { String::new() } else { format!("{of}: ") };
        line(out, format_args!("- {of}{}", texts.join(" ")));
    }
    line(out, format_args!(""));
}

fn before(out: &mut String, sheet: &Sheet) {
    line(out, format_args!("## Before you start\n"));
    let made_ready = ready(sheet);
    for (_, words) in &made_ready.ticks {
        line(out, format_args!("- [ ] {words}"));
    }
    if let Some((words, buffer)) = &made_ready.meter {
        line(out, format_args!("- [ ] {words} It shows the buffer of pH {buffer} as {BLANK}."));
    }
    line(out, format_args!(""));
}

fn weigh(out: &mut String, sheet: &Sheet) {
    line(out, format_args!("## Weigh\n"));
    for phase in sheet.phases.iter().filter(|phase| !phase.lines.is_empty()) {
        let title = phase.title.as_ref().map(|title| format!(" · {title}")).unwrap_or_default();
        line(out, format_args!("### {}{title}\n", phase.name));
        for (word, asked) in [("Heat", &phase.heat_c), ("Cool", &phase.cool_c)] {
            if let Some(asked) = asked {
                line(out, format_args!("{word} to **{asked} °C**; reached {BLANK} °C.\n"));
            }
        }
        line(out, format_args!("| ☐ | Material | % | Weigh now, g | Lot | Weighed, g |"));
        line(out, format_args!("| --- | --- | ---: | ---: | --- | --- |"));
        for weighed in &phase.lines {
            let percent = weighed.percent.as_deref().map_or("to pH".to_string(), for_maker);
            let grams = match (&weighed.first_weighing_g, &weighed.grams) {
                (Some(first), _) => format!("**{first}** first"),
                (None, Some(grams)) => format!("**{grams}**"),
                (None, None) => "at the bench".to_string(),
            };
            line(out, format_args!("| ☐ | {} | {percent} | {grams} | {CELL} | {CELL} |", called(weighed)));
        }
        line(out, format_args!(""));
        for weighed in phase.lines.iter().filter(|weighed| weighed.because.is_some()) {
            let because = weighed.because.as_deref().unwrap_or_default();
            line(out, format_args!("- {}: {}", called(weighed), because));
        }
        if phase.lines.iter().any(|weighed| weighed.because.is_some()) {
            line(out, format_args!(""));
        }
    }
    line(out, format_args!("All weights together: **{} g**.\n", sheet.total_g));
    for held in holding(sheet) {
        let (of, after) = held_words(held);
        let grams = held.held_back_g.as_deref().unwrap_or_default();
        line(out, format_args!("**{grams} g**{of}{}{after}\n", called(held)));
    }
}

fn adjust(out: &mut String, sheet: &Sheet) {
    let adjusters: Vec<&SheetLine> = lines_of(sheet).filter(|line| line.at_bench).collect();
    if adjusters.is_empty() {
        if sheet.ph.as_ref().is_some_and(|ph| !ph.words.is_empty()) {
            line(out, format_args!("## The pH\n"));
            foreseen(out, sheet);
        }
        return;
    }
    line(out, format_args!("## Bring to the window\n"));
    if let Some(window) = sheet_window(sheet) {
        line(out, format_args!("Window: **pH {window}**. The meter decides.\n"));
    }
    for adjuster in &adjusters {
        let from = adjuster.from.as_ref().map(|from| format!(", out of the `{from}` held back")).unwrap_or_default();
        line(
            out,
            format_args!("{}{from}, a little at a time; weigh what goes in, stir, wait, read.\n", called(adjuster)),
        );
    }
    foreseen(out, sheet);
    line(out, format_args!("| ☐ | Added, g | In all, g | pH read |"));
    line(out, format_args!("| --- | --- | --- | --- |"));
    line(out, format_args!("| ☐ | before any | none | {CELL} |"));
    for _ in 0..ADDITION_ROWS {
        line(out, format_args!("| ☐ | {CELL} | {CELL} | {CELL} |"));
    }
    line(out, format_args!(""));
    for held in holding(sheet) {
        let held_back = held.held_back_g.as_deref().unwrap_or_default();
        line(
            out,
            format_args!("Top up with {}: **{held_back} g** less all that was added = {BLANK} g.\n", called(held)),
        );
    }
}

/// What is foreseen of the pH and of each adjuster.
fn foreseen(out: &mut String, sheet: &Sheet) {
    for words in sheet.ph.iter().flat_map(|ph| &ph.words) {
        line(out, format_args!("{words}\n"));
    }
    let mut test = sheet.ph.iter().flat_map(|ph| &ph.beaker_test);
    let Some(what_for) = test.next() else { return };
    line(out, format_args!("{what_for}\n"));
    test.for_each(|step| line(out, format_args!("- [ ] {step}")));
    line(out, format_args!(""));
}

/// The steps as they are written: one may run over lines.
fn steps(out: &mut String, steps: &[String]) {
    if steps.is_empty() {
        return;
    }
    line(out, format_args!("## Steps\n"));
    for step in steps {
        let lines: Vec<String> = step.split('\n').map(in_markdown).collect();
        line(out, format_args!("- [ ] {}", lines.join("  \n      ")));
    }
    line(out, format_args!(""));
}

fn is_stock(sheet: &Sheet) -> bool {
    sheet.product.iter().any(|product| product == "stock")
}

/// Before filling, what came of it, and after.
fn filling(out: &mut String, sheet: &Sheet) {
    line(out, format_args!("## Before filling\n"));
    for (_, words) in before_filling() {
        line(out, format_args!("- [ ] {words}"));
    }
    line(out, format_args!(""));
    blanks(out, &outcome_blanks(sheet));
    for words in filled_words(sheet) {
        line(out, format_args!("{words}\n"));
    }
    if let Some(unpreserved) = &sheet.unpreserved {
        line(out, format_args!("{unpreserved}\n"));
    }
    blanks(out, &after_blanks());
}

/// What goes into each container, and how long it keeps.
pub(super) fn filled_words(sheet: &Sheet) -> Vec<String> {
    let fill = sheet.fill.as_ref().map(SheetFill::words);
    fill.into_iter().chain(sheet.keeps.as_ref().map(SheetKeeps::words)).collect()
}

fn held_to_a_target(out: &mut String, sheet: &Sheet) {
    line(out, format_args!("## Held to a target\n"));
    line(out, format_args!("| Substance | Target, % | As weighed, % |"));
    line(out, format_args!("| --- | ---: | ---: |"));
    for active in &sheet.actives {
        line(
            out,
            format_args!(
                "| {} | {} | {} |",
                active.substance,
                for_maker(&active.target_percent),
                for_maker(&active.as_weighed_percent)
            ),
        );
    }
    line(out, format_args!(""));
    for words in free_acid_words(sheet) {
        line(out, format_args!("{words}\n"));
    }
}

fn composition(out: &mut String, sheet: &Sheet) {
    if !sheet.actives.is_empty() {
        held_to_a_target(out, sheet);
    }
    let adjusted = lines_of(sheet).any(|line| line.at_bench);
    let adjuster = if adjusted { ", without what is added to the pH" } else { "" };
    line(out, format_args!("## Composition{adjuster}\n"));
    line(out, format_args!("| Substance | Target, % | As weighed, % |"));
    line(out, format_args!("| --- | ---: | ---: |"));
    for substance in &sheet.substances {
        line(
            out,
            format_args!(
                "| {} | {} | {} |",
                substance.inci.as_deref().unwrap_or(&substance.substance),
                share_words(&substance.percent_low, &substance.percent_high),
                share_words(&substance.as_weighed_low, &substance.as_weighed_high)
            ),
        );
    }
    line(out, format_args!(""));
}

/// Each line as it is written, its figures before they are rounded, and what the sheet rests on.
fn figures(out: &mut String, sheet: &Sheet) {
    line(out, format_args!("## Long figures\n"));
    line(out, format_args!("| Material | As written | % | g in all | exact, g |"));
    line(out, format_args!("| --- | --- | ---: | ---: | ---: |"));
    for of in lines_of(sheet) {
        line(
            out,
            format_args!(
                "| {} | {} | {} | {} | {} |",
                called(of),
                of.amount,
                of.percent.as_deref().unwrap_or("to pH"),
                of.grams.as_deref().unwrap_or(CELL),
                of.grams_exact.as_deref().unwrap_or(CELL)
            ),
        );
    }
    line(out, format_args!(""));
    line(out, format_args!("Lines together {} %. Shelf of {}.  ", sheet.total_percent_exact, sheet.shelf));
    line(out, format_args!("Digest `{}`\n", sheet.digest));
}

fn remarks(out: &mut String, sheet: &Sheet) {
    let others = || sheet.diagnostics.iter().filter(|diagnostic| !is_warning(diagnostic));
    if others().next().is_some() || !sheet.allowed.is_empty() {
        line(out, format_args!("## Remarks\n"));
        for diagnostic in others() {
            line(out, format_args!("- {} ({}): {}", diagnostic.level, diagnostic.code, diagnostic.message));
        }
        for allowed in &sheet.allowed {
            line(out, format_args!("- allowed ({}): {} Because: {}", allowed.code, allowed.message, allowed.because));
        }
        line(out, format_args!(""));
    }
    if let Some(remark) = &sheet.remark {
        line(out, format_args!("{remark}\n"));
    }
    if is_stock(sheet) {
        line(out, format_args!("A stock for the bench, not for skin."));
    } else {
        line(out, format_args!("{DEFERENCE}"));
    }
}
