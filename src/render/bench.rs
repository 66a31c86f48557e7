//! A batch at the bench, as data and for a terminal.

use super::DiagnosticJson;
use super::line;
use super::ph::edges;
use super::screen::shown_data;
use super::setback::{CorrectionJson, Losses, SetRightJson, WayBackJson, corrections, corrections_words};
use crate::batch::advise::{Addition, Doubt, Verdict};
use crate::batch::{Do, Made, Stage, View};
use crate::model::Batch;
use crate::quantity::Exact;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What `bench --format json` prints of a batch. Weights are decimal strings to the finest step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BenchJson {
    /// `stillroom.bench/1`.
    pub schema: String,
    /// The batch.
    pub batch: String,
    /// The formula.
    pub formula: String,
    /// Its version.
    pub version: Option<String>,
    /// `weighing`, `adjusting`, `past-window`, `over-reserve`, `finishing`, `filled`, `released` or `rejected`.
    pub stage: String,
    /// What to do next.
    pub next: BenchNext,
    /// What is held back in all.
    pub held_back_g: String,
    /// What was taken out of it.
    pub adjuster_used_g: String,
    /// What is left of it.
    pub left_of_reserve_g: String,
    /// By how much it was overdrawn.
    pub over_reserve_g: String,
    /// What is still to be topped up.
    pub top_up_g: String,
    /// After heat: what the beaker is to weigh once it is topped up.
    pub top_up_to_g: Option<String>,
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
    /// What went in beyond the plan.
    pub corrections: Vec<CorrectionJson>,
    /// Over the reserve: what makes a right batch of a larger size.
    pub set_right: Option<SetRightJson>,
    /// Past the far edge: what leads back.
    pub way_back: Option<WayBackJson>,
    /// The last reading; the middle of a strip's.
    pub ph_last: Option<f64>,
    /// The window, lower edge first.
    pub ph_window: [Option<String>; 2],
    /// The next addition of adjuster, where one is due.
    pub next_addition: Option<BenchAddition>,
    /// What the readings and weights make one doubt, the likeliest first.
    pub doubt: Vec<BenchDoubt>,
    /// Each line: what is to be weighed at first, and what was.
    pub plan: Vec<BenchLine>,
    /// Each substance: what was to be, and what was made of all that went in so far.
    pub as_made: Vec<BenchMade>,
    /// What is wrong with the record.
    pub diagnostics: Vec<DiagnosticJson>,
}

/// The next thing to do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BenchNext {
    /// `weigh`, `add`, `read`, `wait`, `top-up`, `fill`, `stop` or `done`.
    #[serde(rename = "do")]
    pub what: String,
    /// Of which material.
    pub material: Option<String>,
    /// How much.
    pub grams: Option<String>,
    /// Why.
    pub why: String,
}

/// The next addition of adjuster.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BenchAddition {
    /// The adjuster.
    pub material: String,
    /// How much.
    pub grams: String,
    /// The reading expected after it.
    pub ph_expected: f64,
    /// The least to be expected.
    pub ph_low: f64,
    /// The most.
    pub ph_high: f64,
}

/// A doubt about meter, base, acid or formula.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BenchDoubt {
    /// What would explain the readings.
    pub cause: String,
    /// By how much.
    pub size: String,
    /// How surely, from 0 to 1.
    pub share: f64,
    /// What would decide it.
    pub test: String,
}

/// A line of the plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BenchLine {
    /// The material.
    pub material: String,
    /// What is to be weighed at first; none for what is weighed to the pH.
    pub grams: Option<String>,
    /// What was weighed; none until something was.
    pub weighed_g: Option<String>,
}

/// A substance as it was to be and as it was made, in percent.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BenchMade {
    /// The substance.
    pub substance: String,
    /// What the formula asks for.
    pub target_percent: String,
    /// What went in, of all that went in so far.
    pub made_percent: String,
}

/// What `bench --format json` prints of several batches.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BenchesJson {
    /// `stillroom.benches/1`.
    pub schema: String,
    /// Each batch.
    pub batches: Vec<BenchJson>,
}

/// Digits of a printed percentage, as on a sheet.
const DIGITS: u32 = 10;

impl BenchJson {
    /// A batch at the bench, without advice.
    #[must_use]
    pub fn new(batch: &Batch, view: &View<'_>, diagnostics: Vec<DiagnosticJson>) -> BenchJson {
        let step = &view.setting.plan.finest;
        let grams = |weight: &Exact| weight.to_fixed(step.decimals().unwrap_or(2));
        let ledger = &view.ledger;
        let next = &view.state.next;
        let advised = advised(view);
        let weight = |addition: &Addition| grams_of(addition, step);
        let losses = Losses::new(batch, view);
        BenchJson {
            schema: "stillroom.bench/1".to_string(),
            batch: batch.name.to_string(),
            formula: view.setting.formula.name.to_string(),
            version: view.setting.formula.version.as_ref().map(ToString::to_string),
            stage: view.state.stage.word().to_string(),
            next: BenchNext {
                what: if is_doubted(view) { Do::Stop } else { next.what }.word().to_string(),
                material: next.material.as_ref().filter(|_| !is_doubted(view)).map(ToString::to_string),
                grams: next
                    .grams
                    .as_ref()
                    .filter(|_| !is_doubted(view))
                    .map(grams)
                    .or(advised.as_ref().map(|(_, addition)| weight(addition))),
                why: why(view),
            },
            held_back_g: grams(&ledger.held_back),
            adjuster_used_g: grams(&ledger.used()),
            left_of_reserve_g: grams(&ledger.left()),
            over_reserve_g: grams(&ledger.over()),
            top_up_g: grams(&ledger.to_top_up()),
            top_up_to_g: view.ledger.top_up_to().as_ref().map(grams),
            evaporated_g: losses.evaporated_g,
            evaporated_percent: losses.evaporated_percent,
            removed_g: losses.removed_g,
            shortfall_g: losses.shortfall_g,
            shortfall_percent: losses.shortfall_percent,
            losses: losses.words,
            corrections: corrections(view),
            set_right: SetRightJson::new(view),
            way_back: view.back.as_ref().map(|back| WayBackJson::new(back, view)),
            ph_last: view.state.last.as_ref().map(|last| last.middle().to_f64()),
            ph_window: edges(view.setting.formula.window.as_ref()),
            next_addition: advised.map(|(material, addition)| BenchAddition {
                material,
                grams: weight(&addition),
                ph_expected: to_2(addition.reading),
                ph_low: to_2(addition.low),
                ph_high: to_2(addition.high),
            }),
            doubt: view.advice.iter().flat_map(|advice| &advice.doubts).map(doubt).collect(),
            plan: ledger
                .lines
                .iter()
                .map(|line| BenchLine {
                    material: line.name.to_string(),
                    grams: line.planned.as_ref().map(grams),
                    weighed_g: (!line.entries.is_empty()).then(|| grams(&line.weighed())),
                })
                .collect(),
            as_made: view.made.iter().map(made).collect(),
            diagnostics,
        }
    }

    /// One screen for a terminal.
    #[must_use]
    pub fn text(&self) -> String {
        shown_data(self).screen()
    }

    fn screen(&self) -> String {
        let mut out = String::new();
        let version = self.version.as_ref().map(|version| format!(" version {version}")).unwrap_or_default();
        line(&mut out, format_args!("{}  {}{version}  {}\n", self.batch, self.formula, self.stage));
        self.weights(&mut out);
        self.reserve(&mut out);
        self.setbacks(&mut out);
        self.readings(&mut out);
        line(&mut out, format_args!("\nNext: {}", self.next_words()));
        line(&mut out, format_args!("  {}", self.next.why));
        out
    }

    fn weights(&self, out: &mut String) {
        let width = self.plan.iter().map(|line| line.material.chars().count()).max().unwrap_or(0);
        for of in &self.plan {
            let mark = if of.weighed_g.is_some() { "x" } else { " " };
            let planned = of.grams.as_ref().map_or("to pH".to_string(), |grams| format!("{grams} g"));
            let weighed = of.weighed_g.as_ref().map(|grams| format!("{grams} g")).unwrap_or_default();
            let text = format!("  [{mark}] {:<width$}  {planned:>10}  {weighed:>10}", of.material);
            line(out, format_args!("{}", text.trim_end()));
        }
    }

    fn reserve(&self, out: &mut String) {
        if self.held_back_g.chars().all(|digit| digit == '0' || digit == '.') {
            return;
        }
        line(
            out,
            format_args!(
                "\n  held back {} g, used {} g, left {} g; to top up {} g",
                self.held_back_g, self.adjuster_used_g, self.left_of_reserve_g, self.top_up_g
            ),
        );
    }

    /// What went otherwise than planned: lost, corrected, or to be led back.
    fn setbacks(&self, out: &mut String) {
        let told = corrections_words(&self.corrections);
        let lost = self.losses.iter().map(|lost| format!("lost: {lost}"));
        let over = self.set_right.iter().flat_map(SetRightJson::words);
        for said in over.chain(told).chain(lost).chain(self.way_back.iter().flat_map(WayBackJson::words)) {
            line(out, format_args!("  {said}"));
        }
    }

    fn readings(&self, out: &mut String) {
        if let Some(window) = super::ph_text::window_words(&self.ph_window) {
            let last = self.ph_last.map_or("none yet".to_string(), |last| format!("{last:.2}"));
            line(out, format_args!("  pH window {window}, last reading {last}"));
        }
        for doubt in &self.doubt {
            line(
                out,
                format_args!(
                    "  doubt: {}, {} ({:.0} %). To decide it: {}",
                    doubt.cause,
                    doubt.size,
                    doubt.share * 100.0,
                    doubt.test
                ),
            );
        }
    }

    /// What is next, and why, in a line.
    #[must_use]
    pub fn next_line(&self) -> String {
        format!("Next: {}. {}", self.next_words(), self.next.why)
    }

    fn next_words(&self) -> String {
        let next = &self.next;
        let grams = next.grams.as_ref().map(|grams| format!(" {grams} g")).unwrap_or_default();
        let of = next.material.as_ref().map(|material| format!(" of {material}")).unwrap_or_default();
        let then = self.next_addition.as_ref().map(|addition| {
            format!(", to read about {:.2} ({:.2} to {:.2})", addition.ph_expected, addition.ph_low, addition.ph_high)
        });
        format!("{}{grams}{of}{}", next.what, then.unwrap_or_default())
    }
}

/// The addition that is due, where one is: only while the batch is being adjusted.
fn advised(view: &View<'_>) -> Option<(String, Addition)> {
    let material = view
        .state
        .next
        .material
        .clone()
        .filter(|_| view.state.next.what == Do::Add && view.state.stage == Stage::Adjusting)?;
    Some((material.to_string(), view.advice.as_ref()?.next?))
}

/// Whether a doubt stands in the way of what is next: nothing more goes in and nothing is filled until it is settled.
fn is_doubted(view: &View<'_>) -> bool {
    let doubtful = view.advice.as_ref().is_some_and(|advice| advice.verdict == Verdict::Doubtful);
    doubtful && matches!(view.state.next.what, Do::Add | Do::Weigh | Do::TopUp | Do::Fill)
}

/// Why the next thing is next: what the advisor has to say goes before what the record alone does.
fn why(view: &View<'_>) -> String {
    let own = &view.state.next.why;
    match view.advice.as_ref().map(|advice| advice.verdict) {
        Some(Verdict::Doubtful) if is_doubted(view) => {
            "The readings cannot come from this formula and these weights: settle the doubt before anything else."
                .to_string()
        }
        Some(Verdict::OutOfReserve) if view.state.next.what == Do::Add => {
            "More of the adjuster is needed than is left of what was held back.".to_string()
        }
        Some(Verdict::ReadFirst) if view.state.next.what == Do::Add => {
            "Read the pH once more: the last reading decides nothing.".to_string()
        }
        _ => own.clone(),
    }
}

fn doubt(of: &Doubt) -> BenchDoubt {
    BenchDoubt {
        cause: of.cause.words().to_string(),
        size: of.size.clone(),
        share: to_2(of.share),
        test: of.test.clone(),
    }
}

/// An addition to the step of the scale, which it is a multiple of.
fn grams_of(addition: &Addition, step: &Exact) -> String {
    let hundred_thousandths = (addition.grams * 1e5).round();
    Exact::ratio(hundred_thousandths as i64, 100_000).to_step(step).to_fixed(step.decimals().unwrap_or(2))
}

fn to_2(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

pub(super) fn made(of: &Made) -> BenchMade {
    BenchMade {
        substance: of.name.clone(),
        target_percent: of.target.to_significant(DIGITS),
        made_percent: of.made.to_significant(DIGITS),
    }
}
