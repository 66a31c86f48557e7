//! The batch sheet as Markdown, made to be printed and written on.

use super::in_markdown::{data_in_markdown, in_markdown};
use super::line;
use super::number::for_maker;
use super::ph_text::window_words;
use super::sheet::is_warning;
use super::{Sheet, SheetLine};

/// The fields in which the program speaks, and backticks mark what is written in a file.
const SENTENCES: &[&str] = &["message", "remark", "unpreserved", "words", "beaker_test"];

/// Rows to write on for additions at the bench.
const ADDITION_ROWS: usize = 6;

/// What every sheet for skin says at its end.
pub const DEFERENCE: &str = "This sheet is arithmetic, not a safety assessment. What may be made, sold and said on a label \
is for local law and a qualified safety assessor to decide.";

/// Writes a sheet as Markdown. Every number in it stands in the JSON.
#[must_use]
pub fn markdown(sheet: &Sheet) -> String {
    let written = sheet;
    let sheet = &data_in_markdown(written, SENTENCES);
    let mut out = String::new();
    head(&mut out, sheet);
    weigh(&mut out, sheet);
    reserve(&mut out, sheet);
    adjust(&mut out, sheet);
    steps(&mut out, &written.steps);
    cautions(&mut out, sheet);
    before_filling(&mut out, sheet);
    composition(&mut out, sheet);
    remarks(&mut out, sheet);
    out
}

fn head(out: &mut String, sheet: &Sheet) {
    line(out, format_args!("# {}\n", sheet.title.as_deref().unwrap_or(&sheet.formula)));
    let version = sheet.version.as_ref().map(|version| format!(", version {version}")).unwrap_or_default();
    line(out, format_args!("Formula `{}`{version}. Shelf of {}.  ", sheet.formula, sheet.shelf));
    line(out, format_args!("Digest `{}`\n", sheet.digest));
    line(out, format_args!("| Batch | Scale | pH window | Made on | Made by | Batch code |"));
    line(out, format_args!("| --- | --- | --- | --- | --- | --- |"));
    let window = window(sheet).unwrap_or_else(|| "none".to_string());
    line(
        out,
        format_args!(
            "| **{} g** ({}) | {} | {window} | \u{a0} | \u{a0} | \u{a0} |\n",
            sheet.batch_g,
            sheet.asked,
            sheet.scales.join("; ")
        ),
    );
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

fn window(sheet: &Sheet) -> Option<String> {
    window_words(&sheet.ph.as_ref()?.window)
}

fn called(line: &SheetLine) -> &str {
    line.title.as_deref().unwrap_or(&line.material)
}

fn weigh(out: &mut String, sheet: &Sheet) {
    line(out, format_args!("## Weigh\n"));
    for phase in sheet.phases.iter().filter(|phase| !phase.lines.is_empty()) {
        let title = phase.title.as_ref().map(|title| format!(" · {title}")).unwrap_or_default();
        let heat = phase.heat_c.as_ref().map(|heat| format!(" · heat to {heat} °C")).unwrap_or_default();
        let cool = phase.cool_c.as_ref().map(|cool| format!(" · cool to {cool} °C")).unwrap_or_default();
        line(out, format_args!("### {}{title}{heat}{cool}\n", phase.name));
        line(out, format_args!("| ☐ | Material | % | g | Lot | Weighed, g |"));
        line(out, format_args!("| --- | --- | ---: | ---: | --- | --- |"));
        for weighed in &phase.lines {
            let percent = weighed.percent.as_deref().map_or("to pH".to_string(), for_maker);
            let grams = match (&weighed.first_weighing_g, &weighed.grams) {
                (Some(first), _) => format!("**{first}** first"),
                (None, Some(grams)) => format!("**{grams}**"),
                (None, None) => "at the bench".to_string(),
            };
            line(out, format_args!("| ☐ | {} | {percent} | {grams} | \u{a0} | \u{a0} |", called(weighed)));
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
}

fn holding(sheet: &Sheet) -> impl Iterator<Item = &SheetLine> {
    sheet.phases.iter().flat_map(|phase| &phase.lines).filter(|line| line.held_back_g.is_some())
}

fn reserve(out: &mut String, sheet: &Sheet) {
    if holding(sheet).next().is_none() {
        return;
    }
    line(out, format_args!("## Held back\n"));
    line(out, format_args!("| ☐ | Material | In all, g | Weigh first, g | Held back, g | Held back, % of the batch |"));
    line(out, format_args!("| --- | --- | ---: | ---: | ---: | ---: |"));
    for held in holding(sheet) {
        line(
            out,
            format_args!(
                "| ☐ | {} | {} | **{}** | **{}** | {} |",
                called(held),
                held.grams.as_deref().unwrap_or_default(),
                held.first_weighing_g.as_deref().unwrap_or_default(),
                held.held_back_g.as_deref().unwrap_or_default(),
                held.held_back_percent.as_deref().unwrap_or_default()
            ),
        );
    }
    line(out, format_args!(""));
}

fn adjust(out: &mut String, sheet: &Sheet) {
    let adjusters: Vec<&SheetLine> =
        sheet.phases.iter().flat_map(|phase| &phase.lines).filter(|line| line.at_bench).collect();
    if adjusters.is_empty() {
        if sheet.ph.as_ref().is_some_and(|ph| !ph.words.is_empty()) {
            line(out, format_args!("## The pH\n"));
            foreseen(out, sheet);
        }
        return;
    }
    line(out, format_args!("## Bring to the window\n"));
    if let Some(window) = window(sheet) {
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
    line(out, format_args!("| ☐ | Added | g | Added in all, g | pH read |"));
    line(out, format_args!("| --- | --- | --- | --- | --- |"));
    line(out, format_args!("| ☐ | before any | \u{a0} | \u{a0} | \u{a0} |"));
    for _ in 0..ADDITION_ROWS {
        line(out, format_args!("| ☐ | \u{a0} | \u{a0} | \u{a0} | \u{a0} |"));
    }
    line(out, format_args!(""));
    for held in holding(sheet) {
        let held_back = held.held_back_g.as_deref().unwrap_or_default();
        line(
            out,
            format_args!("Top up with {}: **{held_back} g** less all that was added = ______ g.\n", called(held)),
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

fn cautions(out: &mut String, sheet: &Sheet) {
    if sheet.cautions.is_empty() && sheet.warnings().next().is_none() {
        return;
    }
    line(out, format_args!("## Take care\n"));
    for warning in sheet.warnings() {
        line(out, format_args!("- **Warning** ({}): {}", warning.code, warning.message));
    }
    for caution in &sheet.cautions {
        line(out, format_args!("- {caution}"));
    }
    line(out, format_args!(""));
}

fn is_stock(sheet: &Sheet) -> bool {
    sheet.product.iter().any(|product| product == "stock")
}

fn before_filling(out: &mut String, sheet: &Sheet) {
    line(out, format_args!("## Before filling\n"));
    line(out, format_args!("- [ ] Every line is ticked, with its lot."));
    line(out, format_args!("- [ ] The batch weighs {} g, less what stuck to the tools: ______ g.", sheet.batch_g));
    if let Some(window) = window(sheet) {
        line(out, format_args!("- [ ] The pH, read last of all and after the preservative, is {window}: ______"));
    }
    line(out, format_args!("- [ ] Look and smell are as they should be."));
    line(out, format_args!("- [ ] Containers are clean; batch code and date are on each.\n"));
    if let Some(unpreserved) = &sheet.unpreserved {
        line(out, format_args!("{unpreserved}\n"));
    }
}

/// A share as a figure, or as a range.
fn share(low: &str, high: &str) -> String {
    let (low, high) = (for_maker(low), for_maker(high));
    if low == high { low } else { format!("{low} to {high}") }
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
    for active in &sheet.actives {
        let share = |free: &Option<String>, salt: &Option<String>| {
            free.as_ref().zip(salt.as_ref()).map(|(free, salt)| format!("{free} % free and {salt} % as salt"))
        };
        let near = share(&active.free_percent_near, &active.salt_percent_near);
        let far = share(&active.free_percent_far, &active.salt_percent_far);
        if let (Some(near), Some(far)) = (near, far) {
            line(
                out,
                format_args!(
                    "Foreseen of {}: {near} at the near edge of the window, {far} at the far edge. Free acid is what works \
                     and what stings.\n",
                    active.substance
                ),
            );
        }
    }
}

fn composition(out: &mut String, sheet: &Sheet) {
    if !sheet.actives.is_empty() {
        held_to_a_target(out, sheet);
    }
    let adjusted = sheet.phases.iter().flat_map(|phase| &phase.lines).any(|line| line.at_bench);
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
                share(&substance.percent_low, &substance.percent_high),
                share(&substance.as_weighed_low, &substance.as_weighed_high)
            ),
        );
    }
    line(out, format_args!(""));
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
