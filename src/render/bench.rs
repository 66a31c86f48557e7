//! A batch at the bench, as data and for a terminal.

use super::DiagnosticJson;
use super::left_over::LeftOverText;
use super::ph::edges;
use super::setback::{CorrectionJson, FinishedJson, LossesText, SetRightJson, WayBackJson, corrections};
use super::sheet::piece as words_of;
use super::struck::StruckJson;
use crate::batch::advise::{Addition, Doubt, TruePh};
use crate::batch::{BeyondReserve, Do, Made, Next, Reserve, View, grams_of};
use crate::model::Batch;
use crate::quantity::{Exact, Interval};
use crate::sheet::{StepPiece, WeighedPart, steps};
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
    /// What of it went in with the weighing of its lines already; below nought what was weighed too little of them.
    pub weighed_before_g: String,
    /// What was taken out of it.
    pub adjuster_used_g: String,
    /// What is left of it.
    pub left_of_reserve_g: String,
    /// By how much it was overdrawn.
    pub over_reserve_g: String,
    /// What is still to be topped up.
    pub top_up_g: String,
    /// What is held back, line by line; the figures above are their sums.
    pub reserves: Vec<BenchReserve>,
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
    /// What was in the beaker, or came out as the yield, and is not in the containers; none before it is filled, and where
    /// nobody knows. Below nought where more was filled than there was.
    pub left_over_g: Option<String>,
    /// The same in words, or why nobody knows, as where it was filled by volume and no density is known.
    pub left_over: Option<String>,
    /// What went in beyond the plan.
    pub corrections: Vec<CorrectionJson>,
    /// Over the reserve: what makes a right batch of a larger size.
    pub set_right: Option<SetRightJson>,
    /// Past the far edge: what leads back.
    pub way_back: Option<WayBackJson>,
    /// The last reading; the middle of a strip's.
    pub ph_last: Option<f64>,
    /// What that counts as, less what the meter is known to show too much; none where no buffer was shown off.
    pub ph_counts_as: Option<f64>,
    /// The true pH of what is in the beaker, as far as readings, weights and chemistry tell it; none before a reading.
    pub ph_true: Option<PhTrueJson>,
    /// The window, lower edge first.
    pub ph_window: [Option<String>; 2],
    /// The next addition of adjuster, where one is due.
    pub next_addition: Option<BenchAddition>,
    /// Where that is more than is left of what was held back: what it does.
    pub beyond_reserve: Option<BenchBeyond>,
    /// What the readings and weights make one doubt, the likeliest first.
    pub doubt: Vec<BenchDoubt>,
    /// Each line: what is to be weighed at first, and what was.
    pub plan: Vec<BenchLine>,
    /// Each substance: what was to be, and what was made of all that went in so far.
    pub as_made: Vec<BenchMade>,
    /// What was struck out of the record.
    pub struck: Vec<StruckJson>,
    /// What is wrong with the record.
    pub diagnostics: Vec<DiagnosticJson>,
}

/// The true pH, as far as it is known.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PhTrueJson {
    /// It lies above this and below `high` by 95 %.
    pub low: f64,
    /// See `low`.
    pub high: f64,
    /// The chance that it lies in the window, from 0 to 1.
    pub inside: f64,
}

impl PhTrueJson {
    /// The same, to two places.
    #[must_use]
    pub fn new(truth: &TruePh) -> PhTrueJson {
        PhTrueJson { low: to_2(truth.low), high: to_2(truth.high), inside: (truth.inside * 100.0).floor() / 100.0 }
    }

    /// In words: "truly pH 3.62 to 3.95; in the window 91 in 100".
    #[must_use]
    pub fn words(&self) -> String {
        format!("truly pH {:.2} to {:.2}; in the window {:.0} in 100", self.low, self.high, self.inside * 100.0)
    }
}

/// The next thing to do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BenchNext {
    /// `heat`, `cool`, `weigh`, `add`, `read`, `check-meter`, `wait`, `top-up`, `fill`, `release`, `stop` or `done`.
    #[serde(rename = "do")]
    pub what: String,
    /// Of which material.
    pub material: Option<String>,
    /// How much.
    pub grams: Option<String>,
    /// To how many degrees Celsius.
    pub celsius: Option<String>,
    /// For how many minutes; none where the formula does not say how long.
    pub minutes: Option<String>,
    /// The pH of the buffer to read.
    pub buffer: Option<f64>,
    /// The step of the formula that tells of it.
    pub step: Option<String>,
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

/// What is held back of a line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BenchReserve {
    /// The line.
    pub material: String,
    /// What is held back of it.
    pub held_back_g: String,
    /// What of it went in with the weighing of the line already; below nought what was weighed too little of it.
    pub weighed_before_g: String,
    /// What was taken out of that.
    pub used_g: String,
    /// What is left of it.
    pub left_g: String,
    /// By how much it was overdrawn.
    pub over_g: String,
    /// What is still to be topped up of it.
    pub top_up_g: String,
}

/// An addition that is more than is left of what was held back.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BenchBeyond {
    /// How far over its weight it takes the batch.
    pub over_g: String,
    /// The right batch of a larger size that it can be made; none where nothing makes one.
    pub larger_batch_g: Option<String>,
    /// The actives, and what the preservatives bring, in the finished batch with it.
    pub after: Vec<FinishedJson>,
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
    /// What is asked of it, less what a loss made needless; none for what is weighed to the pH.
    pub grams: Option<String>,
    /// What was to be weighed at first, before any loss.
    pub planned_g: Option<String>,
    /// What was weighed; none until something was.
    pub weighed_g: Option<String>,
}

/// A substance as it was to be and as it was made, in percent.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BenchMade {
    /// The substance.
    pub substance: String,
    /// What the formula asks for; from the least to the most where a material does not disclose it: `0 to 5`.
    pub target_percent: String,
    /// What went in, of all that went in so far; likewise.
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

/// Digits of the ends of a range, which nobody knows better.
const RANGE_DIGITS: u32 = 4;

impl BenchJson {
    /// A batch at the bench, without advice.
    #[must_use]
    pub fn new(batch: &Batch, view: &View<'_>, diagnostics: Vec<DiagnosticJson>) -> BenchJson {
        let grams = |weight: &Exact| view.ledger.grams(weight);
        let ledger = &view.ledger;
        let losses = LossesText::new(view);
        let left_over = LeftOverText::new(view);
        BenchJson {
            schema: "stillroom.bench/1".to_string(),
            batch: batch.name.to_string(),
            formula: view.setting.formula.name.to_string(),
            version: view.setting.formula.version.as_ref().map(ToString::to_string),
            stage: view.stage.word().to_string(),
            next: next(view),
            held_back_g: grams(&ledger.held_back()),
            weighed_before_g: grams(&ledger.weighed_before()),
            adjuster_used_g: grams(&ledger.used()),
            left_of_reserve_g: grams(&ledger.room()),
            over_reserve_g: grams(&ledger.over()),
            top_up_g: grams(&ledger.to_top_up()),
            reserves: ledger.reserves.iter().map(|of| reserve(of, view)).collect(),
            top_up_to_g: view.ledger.top_up_to().as_ref().map(grams),
            evaporated_g: losses.evaporated_g,
            evaporated_percent: losses.evaporated_percent,
            removed_g: losses.removed_g,
            shortfall_g: losses.shortfall_g,
            shortfall_percent: losses.shortfall_percent,
            losses: losses.words,
            left_over_g: left_over.grams,
            left_over: left_over.words,
            corrections: corrections(view),
            set_right: SetRightJson::new(view),
            way_back: view.back.as_ref().map(|back| WayBackJson::new(back, view)),
            ph_last: view.last.as_ref().map(|last| last.reading.middle().to_f64()),
            ph_counts_as: view.counts_as.as_ref().map(Exact::to_f64),
            ph_true: view.advice.as_ref().and_then(|advice| advice.ph_true.as_ref()).map(PhTrueJson::new),
            ph_window: edges(view.setting.formula.window.as_ref()),
            next_addition: next_addition(view),
            beyond_reserve: view.beyond_reserve.as_ref().filter(|_| is_advised(view)).map(|of| beyond(of, view)),
            doubt: view.advice.iter().flat_map(|advice| &advice.doubts).map(doubt).collect(),
            plan: ledger
                .lines
                .iter()
                .map(|line| BenchLine {
                    material: line.name.to_string(),
                    grams: line.asked.as_ref().map(grams),
                    planned_g: line.planned.as_ref().map(grams),
                    weighed_g: (!line.entries.is_empty()).then(|| grams(&line.weighed())),
                })
                .collect(),
            as_made: view.made.iter().map(made).collect(),
            struck: StruckJson::all(batch),
            diagnostics,
        }
    }
}

/// What is next, as it is printed.
fn next(view: &View<'_>) -> BenchNext {
    let Next { what, material, grams, celsius, seconds, buffer, step, why } = &view.next;
    let minutes = seconds.as_ref().map(|seconds| seconds * &Exact::ratio(1, 60));
    BenchNext {
        what: what.word().to_string(),
        material: material.as_ref().map(ToString::to_string),
        grams: grams.as_ref().map(|weight| view.ledger.grams(weight)),
        celsius: celsius.as_ref().map(ToString::to_string),
        minutes: minutes.map(|minutes| minutes.to_significant(4)),
        buffer: *buffer,
        step: step.and_then(|number| step_words(view, number)),
        why: why.clone(),
    }
}

/// A step by its number, with names as on the sheet and weights as they are asked for now: less what a loss made
/// needless, and of what is held back the top-up once that is due.
#[must_use]
pub fn step_words(view: &View<'_>, number: usize) -> Option<String> {
    let mut pieces = steps(&view.setting.formula, &view.setting.plan).into_iter().nth(number)?;
    for piece in &mut pieces {
        let StepPiece::Weighed(weight) = piece else { continue };
        let line = view.ledger.lines.iter().find(|line| line.name == weight.name);
        let reserve = view.ledger.reserves.iter().find(|reserve| reserve.material == weight.name);
        match weight.part {
            WeighedPart::Rest { .. } if view.next.what == Do::TopUp => {
                let due = view.ledger.top_ups().into_iter().find(|(name, _)| name == weight.name);
                weight.grams = due.map(|(_, grams)| grams);
                weight.part = WeighedPart::All;
            }
            WeighedPart::Rest { .. } => weight.grams = reserve.map(|reserve| reserve.held_back().clone()),
            WeighedPart::All | WeighedPart::First => weight.grams = line.and_then(|line| line.asked.clone()),
        }
    }
    Some(pieces.iter().map(words_of).collect())
}

fn reserve(of: &Reserve, view: &View<'_>) -> BenchReserve {
    let top_ups = view.ledger.top_ups();
    let top_up = top_ups.iter().find(|(name, _)| *name == of.material).map_or(Exact::ZERO, |(_, grams)| grams.clone());
    BenchReserve {
        material: of.material.to_string(),
        held_back_g: view.ledger.grams(of.held_back()),
        weighed_before_g: view.ledger.grams(of.weighed_before()),
        used_g: view.ledger.grams(of.used()),
        left_g: view.ledger.grams(&of.room()),
        over_g: view.ledger.grams(&of.over()),
        top_up_g: view.ledger.grams(&top_up),
    }
}

fn beyond(of: &BeyondReserve, view: &View<'_>) -> BenchBeyond {
    BenchBeyond {
        over_g: view.ledger.grams(&of.over),
        larger_batch_g: of.larger.as_ref().map(|larger| view.ledger.grams(larger)),
        after: of.after.iter().map(FinishedJson::new).collect(),
    }
}

/// Whether what is next is an addition that the advisor worked out.
fn is_advised(view: &View<'_>) -> bool {
    view.next.what == Do::Add && view.next.material.is_some() && view.next.material == view.adjuster
}

/// The addition that is due, where one is.
fn next_addition(view: &View<'_>) -> Option<BenchAddition> {
    let beyond = view.beyond_reserve.as_ref().map(|of| &of.addition);
    let addition: &Addition = view.advice.as_ref()?.next.as_ref().or(beyond).filter(|_| is_advised(view))?;
    Some(BenchAddition {
        material: view.adjuster.as_ref()?.to_string(),
        grams: view.ledger.grams(&grams_of(addition, &view.setting.plan.finest)),
        ph_expected: to_2(addition.reading),
        ph_low: to_2(addition.low),
        ph_high: to_2(addition.high),
    })
}

fn doubt(of: &Doubt) -> BenchDoubt {
    BenchDoubt {
        cause: of.cause.words().to_string(),
        size: of.size.clone(),
        share: to_2(of.share),
        test: of.test.clone(),
    }
}

fn to_2(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

pub(super) fn made(of: &Made) -> BenchMade {
    let figures = match of.undisclosed.as_deref() {
        Some((target, made)) => [range_of(target), range_of(made)],
        None => [of.target.to_significant(DIGITS), of.made.to_significant(DIGITS)],
    };
    let [target_percent, made_percent] = figures;
    BenchMade { substance: of.name.clone(), target_percent, made_percent }
}

/// What may be anything between two figures: `0 to 5`.
fn range_of(share: &Interval) -> String {
    let [low, high] = [&share.low, &share.high].map(|end| end.to_significant(RANGE_DIGITS));
    if low == high { high } else { format!("{low} to {high}") }
}
