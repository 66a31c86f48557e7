//! The assessor's file as Markdown. It follows the headings of part A of a cosmetic product safety report, so that whoever
//! writes one finds each thing in its place. Source: Regulation (EC) No 1223/2009, annex I, part A, from memory.

use super::assessor::AssessorJson;
use super::assessor_made::NO_ASSESSMENT;
use super::in_markdown::{data_in_markdown, sentence_in_markdown};
use super::label_markdown;
use super::line;

/// The fields in which the program speaks, and backticks mark what is written in a file.
const SENTENCES: &[&str] = &["message", "words", "cautions", "unpreserved", "what"];

/// Writes the file.
#[must_use]
pub fn assessor_markdown(file: &AssessorJson) -> String {
    let label = file.label.as_ref().map(label_markdown);
    let file = &data_in_markdown(file, SENTENCES);
    let mut out = String::new();
    head(&mut out, file);
    composition(&mut out, file);
    stability(&mut out, file);
    microbes(&mut out, file);
    traces(&mut out, file);
    use_of_it(&mut out, file);
    undesirable(&mut out, file);
    rules(&mut out, file);
    put_label(&mut out, label.as_deref());
    missing(&mut out, file);
    line(&mut out, format_args!("\n---\n\n{}", sentence_in_markdown(NO_ASSESSMENT)));
    out
}

fn head(out: &mut String, file: &AssessorJson) {
    line(out, format_args!("# For the safety assessor: {}\n", file.title.as_deref().unwrap_or(&file.formula)));
    line(out, format_args!("**{}**\n", sentence_in_markdown(NO_ASSESSMENT)));
    let version = file.version.as_ref().map(|version| format!(", version {version}")).unwrap_or_default();
    line(out, format_args!("Formula `{}`{version}. Shelf of {}.  ", file.formula, file.shelf));
    line(out, format_args!("Digest `{}`  ", file.digest));
    if let Some(batch) = &file.batch {
        let started = batch.started.as_ref().map(|day| format!(", begun {day}")).unwrap_or_default();
        line(out, format_args!("Batch {}{started}: as it was made, by its record.  ", batch.name));
    }
    let of = |words: &[String]| if words.is_empty() { "not said".to_string() } else { words.join(", ") };
    line(out, format_args!("Product: {}. Sold in: {}.  ", of(&file.product), of(&file.markets)));
    line(out, format_args!("The headings are those of part A of a cosmetic product safety report."));
}

fn composition(out: &mut String, file: &AssessorJson) {
    line(out, format_args!("\n## 1. Composition\n\n### The formula, as it is weighed\n"));
    line(out, format_args!("| Material | | Phase | Function | % |\n| --- | --- | --- | --- | ---: |"));
    for of in &file.lines {
        let percent = of.percent.as_deref().unwrap_or("to the pH");
        let title = of.title.as_deref().unwrap_or_default();
        let row =
            format_args!("| {} | {title} | {} | {} | {percent} |", of.material, of.phase, of.functions.join(", "));
        line(out, row);
    }
    let is_batch = file.batch.is_some();
    line(out, format_args!("\n### The substances in it{}\n", if is_batch { ", as it was made" } else { "" }));
    let asked = if is_batch { (" Asked for, % |", " ---: |") } else { ("", "") };
    line(out, format_args!("| INCI name | CAS | Function | % |{} In |", asked.0));
    line(out, format_args!("| --- | --- | --- | ---: |{} --- |", asked.1));
    for of in file.substances.iter().filter(|of| of.presence == "ingredient") {
        let asked = of.formula_percent.as_deref().unwrap_or("—");
        let asked = if is_batch { format!(" {asked} |") } else { String::new() };
        let row = format_args!(
            "| {} | {} | {} | {} |{asked} {} |",
            of.inci.as_deref().unwrap_or(&of.substance),
            of.cas.as_deref().unwrap_or(BLANK),
            of.functions.join(", "),
            of.percent,
            of.materials.join(", ")
        );
        line(out, row);
    }
    if let Some(share) = &file.undisclosed {
        line(out, format_args!("\nNot disclosed by those who supply it: {share} %."));
    }
    line(out, format_args!("\n### The raw materials\n"));
    for of in &file.materials {
        material(out, of);
    }
}

/// What stands where something is to be filled in.
const BLANK: &str = "\\_\\_\\_\\_";

fn material(out: &mut String, of: &super::AssessedMaterialJson) {
    let title = of.title.as_ref().map(|title| format!(": {title}")).unwrap_or_default();
    line(out, format_args!("- **{}**{title}, {} %", of.material, of.percent));
    line(out, format_args!("  - Supplier: {}", of.supplier.as_deref().unwrap_or(BLANK)));
    let parts: Vec<String> = of
        .contains
        .iter()
        .map(|part| {
            let cas = part.cas.as_ref().map(|cas| format!(", CAS {cas}")).unwrap_or_default();
            let presence = if part.presence == "ingredient" { String::new() } else { format!(", {}", part.presence) };
            let percent = part.percent.as_ref().map_or("not disclosed".to_string(), |percent| format!("{percent} %"));
            format!("{} ({percent}{cas}{presence})", part.inci.as_deref().unwrap_or(&part.substance))
        })
        .collect();
    line(out, format_args!("  - Contains: {}", if parts.is_empty() { BLANK.to_string() } else { parts.join("; ") }));
    let sources = if of.sources.is_empty() { BLANK.to_string() } else { of.sources.join("; ") };
    line(out, format_args!("  - Source: {sources}"));
    if let Some(ph) = &of.ph {
        line(out, format_args!("  - pH as supplied: {ph}"));
    }
    for lot in &of.lots {
        let dated =
            |what: &str, day: &Option<String>| day.as_ref().map(|day| format!(", {what} {day}")).unwrap_or_default();
        let assay = lot.assay.as_ref().map(|assay| format!(", measured at {assay} %")).unwrap_or_default();
        line(
            out,
            format_args!(
                "  - Lot {}{assay}{}{}",
                lot.lot,
                dated("opened", &lot.opened),
                dated("expires", &lot.expires)
            ),
        );
    }
    for caution in &of.cautions {
        line(out, format_args!("  - Caution: {caution}"));
    }
}

fn stability(out: &mut String, file: &AssessorJson) {
    line(out, format_args!("\n## 2. Physical and chemical characteristics, and stability\n"));
    line(out, format_args!("- pH window: {}", file.ph_window.as_deref().unwrap_or("none")));
    for words in file.ph.iter().flat_map(|ph| &ph.words) {
        line(out, format_args!("- {words}"));
    }
    for reading in file.batch.iter().flat_map(|batch| &batch.readings) {
        line(out, format_args!("- Read: {reading}"));
    }
    for event in file.batch.iter().flat_map(|batch| &batch.events) {
        line(out, format_args!("- In the record: {event}"));
    }
    let keeps = file.stated.iter().filter(|of| matches!(of.what.as_str(), "lasts" | "opened"));
    for of in keeps {
        let what = if of.what == "lasts" { "Keeps unopened" } else { "Keeps once opened" };
        let because = of.because.as_ref().map(|because| format!(", because “{because}”")).unwrap_or_default();
        line(out, format_args!("- {what}: {}{because}", of.says));
    }
    line(out, format_args!("- Results of stability trials: {BLANK}"));
}

fn microbes(out: &mut String, file: &AssessorJson) {
    line(out, format_args!("\n## 3. Microbiological quality\n"));
    let preserving = file.substances.iter().filter(|of| of.functions.iter().any(|role| role == "preservative"));
    let preserving: Vec<String> =
        preserving.map(|of| format!("{} {} %", of.inci.as_deref().unwrap_or(&of.substance), of.percent)).collect();
    match preserving.is_empty() {
        true => line(out, format_args!("- No material is there as a preservative.")),
        false => line(out, format_args!("- In materials that are there to preserve: {}", preserving.join("; "))),
    }
    if let Some(why) = &file.unpreserved {
        line(out, format_args!("- {why}"));
    }
    line(out, format_args!("- Results of a challenge test: {BLANK}"));
}

fn traces(out: &mut String, file: &AssessorJson) {
    line(out, format_args!("\n## 4. Impurities, traces, and the packaging\n"));
    for of in file.substances.iter().filter(|of| of.presence != "ingredient") {
        let cas = of.cas.as_deref().unwrap_or(BLANK);
        let name = of.inci.as_deref().unwrap_or(&of.substance);
        line(
            out,
            format_args!("- {name} (CAS {cas}), {}: {} %, in {}", of.presence, of.percent, of.materials.join(", ")),
        );
    }
    let packed = file.stated.iter().find(|of| of.what == "packed in").map_or(BLANK, |of| of.says.as_str());
    line(out, format_args!("- Packed in: {packed}"));
    line(out, format_args!("- What the packaging is made of: {BLANK}"));
}

fn use_of_it(out: &mut String, file: &AssessorJson) {
    line(out, format_args!("\n## 5. to 8. Use, exposure, and the toxicology of the substances\n"));
    let stated = |what: &str| file.stated.iter().find(|of| of.what == what).map_or(BLANK, |of| of.says.as_str());
    line(out, format_args!("- What it is for: {}", stated("function")));
    line(out, format_args!("- How it is used: {}", stated("directions")));
    for of in file.stated.iter().filter(|of| of.what == "warning") {
        line(out, format_args!("- Warns: {}", of.says));
    }
    line(out, format_args!("- Exposure to the product and to each substance: {BLANK}"));
    line(out, format_args!("- Toxicological profile of each substance: {BLANK}"));
}

fn undesirable(out: &mut String, file: &AssessorJson) {
    line(out, format_args!("\n## 9. Undesirable effects\n"));
    for of in &file.complaints {
        line(out, format_args!("- {}: {}", of.batch, of.says));
    }
    if file.complaints.is_empty() {
        line(out, format_args!("No complaint is written down in the records that were read."));
    }
}

fn rules(out: &mut String, file: &AssessorJson) {
    line(out, format_args!("\n## 10. What else there is on the product\n\n### Rules that were looked at\n"));
    line(out, format_args!("As on {} ({}).\n", file.on, file.on_by));
    if file.rules.is_empty() {
        line(out, format_args!("None: no rule of the shelf or of the file speaks of anything in it."));
    } else {
        line(out, format_args!("| Rule | Market | A breach is | In force | What was found | Source |"));
        line(out, format_args!("| --- | --- | --- | --- | --- | --- |"));
    }
    for of in &file.rules {
        let from = of.from.as_ref().map(|day| format!("from {day}"));
        let until = of.until.as_ref().map(|day| format!("until {day}"));
        let force: Vec<String> = from.into_iter().chain(until).collect();
        let markets = if of.markets.is_empty() { "all".to_string() } else { of.markets.join(", ") };
        let source = of.source.as_deref().unwrap_or("none");
        let (level, outcome) = (&of.level, &of.outcome);
        line(out, format_args!("| {} | {markets} | {level} | {} | {outcome} | {source} |", of.rule, force.join(" ")));
    }
    for market in &file.unread_markets {
        line(out, format_args!("\nThe shelf has no rules of `{market}`: none were looked at."));
    }
    for of in &file.left_open {
        line(
            out,
            format_args!("\nThe rules of `{}` on the shelf do not speak of {}.", of.market, of.substances.join(", ")),
        );
    }
    if !file.diagnostics.is_empty() || !file.allowed.is_empty() {
        line(out, format_args!("\n### What was found\n"));
    }
    for of in &file.diagnostics {
        line(out, format_args!("- {} `{}`: {}", of.level, of.code, of.message));
    }
    for of in &file.allowed {
        line(out, format_args!("- Allowed, because “{}”: {}", of.because, of.message));
    }
}

fn put_label(out: &mut String, label: Option<&str>) {
    line(out, format_args!("\n### The label\n"));
    let Some(label) = label else {
        line(out, format_args!("None: {BLANK}"));
        return;
    };
    // Its own headings stand below these.
    for text in label.lines() {
        let below = if text.starts_with('#') { "###" } else { "" };
        line(out, format_args!("{below}{text}"));
    }
}

fn missing(out: &mut String, file: &AssessorJson) {
    line(out, format_args!("\n## What is missing\n"));
    line(
        out,
        format_args!("Results of stability and challenge tests, exposure, toxicology and what the packaging is made"),
    );
    line(out, format_args!("of stand in no file that was read. Beside that:\n"));
    for of in &file.missing {
        line(out, format_args!("- {}: {}", of.of, of.what));
    }
    if file.missing.is_empty() {
        line(out, format_args!("- nothing that the files could say."));
    }
}
