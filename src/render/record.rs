//! A finished batch record as a document: what good manufacturing practice asks of one (ISO 22716, clause 7.2, and what
//! clauses 10 to 17 are commonly read to ask).

use super::DiagnosticJson;
use super::bench::{BenchMade, PhTrueJson, made};
use super::in_markdown::data_in_markdown;
use super::left_over::LeftOverText;
use super::line;
use super::markdown::DEFERENCE;
use super::setback::{CorrectionJson, LossesText, corrections, corrections_words};
use super::struck::{StruckJson, put_struck};
use crate::batch::View;
use crate::model::{Batch, ContainerFill, Event, Happened, Lot, Reading};
use crate::quantity::Exact;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What `sheet --record NAME --format json` prints. Weights are decimal strings to the finest step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RecordJson {
    /// `stillroom.record/1`.
    pub schema: String,
    /// The batch.
    pub batch: String,
    /// The formula.
    pub formula: String,
    /// What it is called.
    pub title: Option<String>,
    /// Its version.
    pub version: Option<String>,
    /// The digest of its formula: as it was frozen, else of what it comes to, lots that were measured counted.
    pub digest: String,
    /// The day it was started.
    pub started: Option<String>,
    /// The code of the batch, as the record has it.
    pub code: Option<String>,
    /// Its weight, as planned.
    pub batch_g: String,
    /// The stage: `filled`, `released` and so on.
    pub stage: String,
    /// The lots used.
    pub lots: Vec<RecordLot>,
    /// Everything that happened, in its order.
    pub events: Vec<RecordEvent>,
    /// Each line: planned, allowed, weighed.
    pub lines: Vec<RecordLine>,
    /// The true pH, as far as readings, weights and chemistry tell it; none without a reading or a window.
    pub ph_true: Option<PhTrueJson>,
    /// What came out.
    pub yield_g: Option<String>,
    /// That in percent of the batch.
    pub yield_percent: Option<String>,
    /// What evaporated, or was lost otherwise, before a top-up to a tared weight; none where the record does not tell.
    pub evaporated_g: Option<String>,
    /// That in percent of the batch.
    pub evaporated_percent: Option<String>,
    /// What was taken out of the whole; none where nothing was.
    pub removed_g: Option<String>,
    /// What was in the beaker and did not come out as the yield; none without a yield. Below nought where more came out
    /// than went in.
    pub shortfall_g: Option<String>,
    /// That in percent of the batch.
    pub shortfall_percent: Option<String>,
    /// The same in words.
    pub losses: Vec<String>,
    /// What was in the beaker, or came out as the yield, and is not in the containers; none before it is filled, and where
    /// nobody knows. Below nought where more was filled than there was.
    pub left_over_g: Option<String>,
    /// The same in words, or why nobody knows, as where it was filled by volume and no density is known.
    pub left_over: Option<String>,
    /// What went in beyond the plan.
    pub corrections: Vec<CorrectionJson>,
    /// Each substance as it was to be and as it was made.
    pub as_made: Vec<BenchMade>,
    /// What was struck out of the record.
    pub struck: Vec<StruckJson>,
    /// What is not as planned.
    pub deviations: Vec<DiagnosticJson>,
}

/// A lot.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct RecordLot {
    /// The material.
    pub material: String,
    /// The code.
    pub lot: String,
    /// Its strength as measured, in percent.
    pub assay: Option<String>,
    /// The day it was opened.
    pub opened: Option<String>,
    /// The day it expires.
    pub expires: Option<String>,
}

/// A line of the formula in the record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct RecordLine {
    /// The material.
    pub material: String,
    /// What was to be weighed at first; none for what is weighed to the pH.
    pub planned_g: Option<String>,
    /// What was asked of it in all, where a loss made that less.
    pub asked_g: Option<String>,
    /// By how much it may be off: 1 %, or a step of the scale.
    pub allowed_g: Option<String>,
    /// What was weighed.
    pub weighed_g: Option<String>,
    /// Who weighed it.
    pub by: Vec<String>,
}

/// Something that happened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct RecordEvent {
    /// What, in words.
    pub what: String,
    /// The day.
    pub on: Option<String>,
    /// The hour.
    pub at: Option<String>,
    /// Who.
    pub by: Option<String>,
}

impl RecordJson {
    /// The record of a batch. `digest` is that of its formula.
    #[must_use]
    pub fn new(batch: &Batch, view: &View<'_>, digest: String, deviations: Vec<DiagnosticJson>) -> RecordJson {
        let grams = |weight: &Exact| view.ledger.grams(weight);
        let came_out = batch.events.iter().rev().find_map(|event| match &event.what {
            Happened::Yield(weight) => Some(weight.clone()),
            _ => None,
        });
        let share = came_out.as_ref().and_then(|weight| (weight * &Exact::HUNDRED).over(&view.ledger.batch));
        let losses = LossesText::new(view);
        let left_over = LeftOverText::new(view);
        RecordJson {
            schema: "stillroom.record/1".to_string(),
            batch: batch.name.to_string(),
            formula: view.setting.formula.name.to_string(),
            title: view.setting.formula.title.as_ref().map(ToString::to_string),
            version: view.setting.formula.version.as_ref().map(ToString::to_string),
            digest,
            started: batch.started.as_ref().map(ToString::to_string),
            code: batch.code.as_ref().map(ToString::to_string),
            batch_g: grams(&view.ledger.batch),
            stage: view.stage.word().to_string(),
            lots: RecordLot::all(batch),
            events: batch.events.iter().map(|event| happened(event, &grams)).collect(),
            lines: lines(batch, view, &grams),
            ph_true: view.advice.as_ref().and_then(|advice| advice.ph_true.as_ref()).map(PhTrueJson::new),
            yield_g: came_out.as_ref().map(grams),
            yield_percent: share.map(|share| share.to_significant(4)),
            evaporated_g: losses.evaporated_g,
            evaporated_percent: losses.evaporated_percent,
            removed_g: losses.removed_g,
            shortfall_g: losses.shortfall_g,
            shortfall_percent: losses.shortfall_percent,
            losses: losses.words,
            left_over_g: left_over.grams,
            left_over: left_over.words,
            corrections: corrections(view),
            as_made: view.made.iter().map(made).collect(),
            struck: StruckJson::all(batch),
            deviations,
        }
    }

    /// As Markdown, with room for what is signed by hand.
    #[must_use]
    pub fn markdown(&self) -> String {
        let fit = data_in_markdown(self, &["message", "losses", "left_over"]);
        let mut out = String::new();
        fit.head(&mut out);
        fit.weighed(&mut out);
        fit.readings(&mut out);
        fit.composition(&mut out);
        fit.end(&mut out);
        out
    }

    fn head(&self, out: &mut String) {
        let title = self.title.as_deref().unwrap_or(&self.formula);
        line(out, format_args!("# Batch record {}: {title}\n", self.batch));
        let version = self.version.as_ref().map(|version| format!(", version {version}")).unwrap_or_default();
        line(out, format_args!("Formula `{}`{version}. Digest `{}`\n", self.formula, self.digest));
        let started = self.started.as_deref().unwrap_or("—");
        if let Some(code) = &self.code {
            line(out, format_args!("| Batch | Code | Started | Weight | Standing |"));
            line(out, format_args!("| --- | --- | --- | ---: | --- |"));
            line(out, format_args!("| {} | {code} | {started} | {} g | {} |\n", self.batch, self.batch_g, self.stage));
            return;
        }
        line(out, format_args!("| Batch | Started | Weight | Standing |"));
        line(out, format_args!("| --- | --- | ---: | --- |"));
        line(out, format_args!("| {} | {started} | {} g | {} |\n", self.batch, self.batch_g, self.stage));
    }

    fn weighed(&self, out: &mut String) {
        line(out, format_args!("## Weighed\n"));
        line(out, format_args!("| Material | Lot | Planned, g | ± g | Weighed, g | Weighed by | Checked by |"));
        line(out, format_args!("| --- | --- | ---: | ---: | ---: | --- | --- |"));
        for of in &self.lines {
            let lots: Vec<String> =
                self.lots.iter().filter(|lot| lot.material == of.material).map(RecordLot::words).collect();
            line(
                out,
                format_args!(
                    "| {} | {} | {} | {} | {} | {} | \u{a0} |",
                    of.material,
                    lots.join("; "),
                    of.planned_words(),
                    of.allowed_g.as_deref().unwrap_or_default(),
                    of.weighed_g.as_deref().unwrap_or("—"),
                    of.by.join(", ")
                ),
            );
        }
        line(out, format_args!(""));
    }

    fn readings(&self, out: &mut String) {
        line(out, format_args!("## What happened, in its order\n"));
        line(out, format_args!("| What | Day | Hour | By |"));
        line(out, format_args!("| --- | --- | --- | --- |"));
        for event in &self.events {
            let cell = |text: &Option<String>| text.clone().unwrap_or_default();
            let (on, at, by) = (cell(&event.on), cell(&event.at), cell(&event.by));
            line(out, format_args!("| {} | {on} | {at} | {by} |", event.what));
        }
        line(out, format_args!(""));
        put_struck(out, &self.struck);
        for said in self.remarks() {
            line(out, format_args!("{said}\n"));
        }
    }

    /// What the readings, the yield and the weights tell, each in a sentence.
    #[must_use]
    pub fn remarks(&self) -> Vec<String> {
        let truth = self.ph_true.as_ref().map(|truth| format!("By all readings {}.", truth.words()));
        let came_out = self.yield_g.as_ref().zip(self.yield_percent.as_ref());
        let came_out = came_out.map(|(weight, percent)| format!("Yield: {weight} g, {percent} % of the batch."));
        let told = corrections_words(&self.corrections);
        let told = told.iter().chain(&self.losses).chain(&self.left_over).map(|said| {
            let mut letters = said.chars();
            let first = letters.next().map(|letter| letter.to_uppercase().to_string()).unwrap_or_default();
            format!("{first}{}.", letters.as_str())
        });
        truth.into_iter().chain(came_out).chain(told).collect()
    }

    fn composition(&self, out: &mut String) {
        line(out, format_args!("## As made; the target is without what was added to the pH\n"));
        line(out, format_args!("| Substance | Target, % | Made, % |"));
        line(out, format_args!("| --- | ---: | ---: |"));
        for of in &self.as_made {
            line(out, format_args!("| {} | {} | {} |", of.substance, of.target_percent, of.made_percent));
        }
        line(out, format_args!(""));
    }

    fn end(&self, out: &mut String) {
        line(out, format_args!("## Deviations\n"));
        for of in &self.deviations {
            line(out, format_args!("- {} ({}): {} Decision: ______ by ______", of.level, of.code, of.message));
        }
        if self.deviations.is_empty() {
            line(out, format_args!("None was found."));
        }
        line(out, format_args!("\n## Signed\n"));
        for what in [
            "Before the start: place cleared, equipment clean and working, papers at hand",
            "Made by",
            "Checked by",
            "Retained sample kept at",
            "Released or rejected by, on",
        ] {
            line(out, format_args!("- [ ] {what}: ______"));
        }
        line(out, format_args!("\n{DEFERENCE}"));
    }
}

impl RecordLine {
    /// What was to be weighed: `1.76`, or `1.58 (1.76 before the loss)`.
    #[must_use]
    pub fn planned_words(&self) -> String {
        let planned = self.planned_g.as_deref().unwrap_or("to pH");
        self.asked_g.as_ref().map_or(planned.to_string(), |asked| format!("{asked} ({planned} before the loss)"))
    }
}

impl RecordLot {
    /// The lots of a record, in its order.
    #[must_use]
    pub fn all(batch: &Batch) -> Vec<RecordLot> {
        let text = |text: &Option<smol_str::SmolStr>| text.as_ref().map(ToString::to_string);
        let lot = |lot: &Lot| RecordLot {
            material: lot.material.text.to_string(),
            lot: lot.code.to_string(),
            assay: lot.assay.as_ref().map(ToString::to_string),
            opened: text(&lot.opened),
            expires: text(&lot.expires),
        };
        batch.lots.iter().map(lot).collect()
    }

    /// The code, with its strength as measured and its last day.
    #[must_use]
    pub fn words(&self) -> String {
        let assay = self.assay.as_ref().map(|assay| format!(", {assay} %")).unwrap_or_default();
        let expires = self.expires.as_ref().map(|day| format!(", to {day}")).unwrap_or_default();
        format!("{}{assay}{expires}", self.lot)
    }
}

fn lines(batch: &Batch, view: &View<'_>, grams: &impl Fn(&Exact) -> String) -> Vec<RecordLine> {
    let who = |numbers: Vec<usize>| {
        let mut names: Vec<String> = Vec::new();
        for by in numbers.iter().filter_map(|number| batch.events.get(*number)?.by.as_ref()) {
            if !names.iter().any(|name| name == by.as_str()) {
                names.push(by.to_string());
            }
        }
        names
    };
    view.ledger
        .lines
        .iter()
        .map(|of| RecordLine {
            material: of.name.to_string(),
            planned_g: of.planned.as_ref().map(grams),
            asked_g: of.asked.as_ref().filter(|asked| of.planned.as_ref() != Some(asked)).map(grams),
            allowed_g: of.asked.as_ref().map(|planned| grams(&(planned * &Exact::ratio(1, 100)).max(of.step.clone()))),
            weighed_g: (!of.entries.is_empty()).then(|| grams(&of.weighed())),
            by: who(of.entries.iter().map(|entry| entry.event).collect()),
        })
        .collect()
}

fn happened(event: &Event, grams: &impl Fn(&Exact) -> String) -> RecordEvent {
    let text = |text: &Option<smol_str::SmolStr>| text.as_ref().map(ToString::to_string);
    let because = |why: &Option<smol_str::SmolStr>| why.as_ref().map(|why| format!(", {why}")).unwrap_or_default();
    let what = match &event.what {
        Happened::Calibrated { buffer, reads } => format!("meter read {reads} in the buffer of pH {buffer}"),
        Happened::Weighed(material, weight) => format!("weighed {} g of {}", grams(weight), material.text),
        Happened::Added(material, weight, why) => {
            format!("added {} g of {}{}", grams(weight), material.text, because(why))
        }
        Happened::Removed(weight, why) => format!("took out {} g, {why}", grams(weight)),
        Happened::Read(reading) => read(reading, &event.said),
        Happened::ToppedUp { material, grams: weight, to } => {
            let put_in = weight.as_ref().map(|weight| format!("{} g of ", grams(weight))).unwrap_or_default();
            let to = to.as_ref().map(|to| format!(" to {} g in all", grams(to))).unwrap_or_default();
            format!("topped up with {put_in}{}{to}", material.text)
        }
        Happened::Waited(_) => event.said.to_string(),
        Happened::Heated(celsius) => format!("heated to {celsius} °C"),
        Happened::Cooled(celsius) => format!("cooled to {celsius} °C"),
        Happened::Yield(weight) => format!("yield {} g", grams(weight)),
        Happened::Filled { count, each, code } => {
            let each = match each {
                Some(ContainerFill::Grams(each)) => format!(" × {each} g"),
                Some(ContainerFill::Millilitres(each)) => format!(" × {each} mL"),
                None => String::new(),
            };
            format!("filled {count}{each}{}", code.as_ref().map(|code| format!(" as {code}")).unwrap_or_default())
        }
        Happened::Retained(count) => format!("kept back {count}"),
        Happened::Sold(count, to) => {
            format!("sold {count}{}", to.as_ref().map(|to| format!(" to {to}")).unwrap_or_default())
        }
        Happened::Released => "released".to_string(),
        Happened::Rejected(why) => format!("rejected, {why}"),
        Happened::Observed(seen) => format!("observed: {seen}"),
        Happened::Complaint(said) => format!("complaint: {said}"),
        Happened::Note(note) => format!("note: {note}"),
    };
    RecordEvent { what, on: text(&event.on), at: text(&event.at), by: text(&event.by) }
}

/// A reading, its figures to the digits that were read.
fn read(reading: &Reading, said: &str) -> String {
    let how = match (reading.by_strip, reading.diluted) {
        (true, _) => " by strip",
        (_, true) => " in a diluted sample",
        _ => "",
    };
    let words: Vec<&str> = said.split(' ').skip_while(|word| *word != "pH").skip(1).collect();
    match words.as_slice() {
        [low, "to", high, ..] => format!("read pH {low} to {high}{how}"),
        [one, ..] => format!("read pH {one}{how}"),
        [] => format!("read pH {}{how}", reading.low),
    }
}
