//! A beaker test in words: what to do where no dose can be foreseen, and what one that was made comes to in the batch.

use super::number::{grams, ph_edge};
use crate::model::{Formula, Line};
use crate::quantity::Exact;
use crate::resolve::finest;

/// How much of the batch goes into the beaker, in grams: the first in which every line shows on the scale.
const SAMPLES: [i64; 4] = [50, 100, 200, 500];
/// Of so few steps of the scale nobody reads a dose.
const FEW_STEPS: i64 = 10;

/// What to do to learn how much of a line the batch takes, step by step.
pub(super) fn beaker_test(formula: &Formula, line: &Line, batch: &Exact) -> Vec<String> {
    let (name, step) = (&line.name, scale_step(formula));
    // What a beaker takes is tenths of a gram, whatever the batch is weighed on.
    let fine = step.clone().min(Exact::ratio(1, 100));
    let sample = sample_of(formula, &fine);
    let Some(window) = formula.sound_window() else { return Vec::new() };
    let aim = middle(window.low.as_ref(), window.high.as_ref());
    let goal = match (&window.low, &window.high) {
        (Some(low), Some(high)) => format!("between pH {} and {}", ph_edge(low), ph_edge(high)),
        (Some(low), None) => format!("at pH {} or over", ph_edge(low)),
        (None, Some(high)) => format!("at pH {} or under", ph_edge(high)),
        (None, None) => return Vec::new(),
    };
    let times = batch.over(&sample).unwrap_or_default();
    let example = Exact::ratio(2, 5);
    let scaled = &example * &times;
    let few = &fine * &Exact::whole(FEW_STEPS);
    let on_a_finer = match fine < step {
        true => format!(" on a scale that reads {} g", short(&fine)),
        false => String::new(),
    };
    let with_it = if fine < step { format!(" with `scale {} g`", short(&fine)) } else { String::new() };
    let sample = short(&sample);
    let held = formula.lines.iter().any(|line| line.hold_back.is_some());
    let held = if held { " Weigh what it holds back in with the rest." } else { "" };
    vec![
        format!(
            "No dose of `{name}` can be foreseen closely enough to weigh by. A beaker test of {sample} g tells it:"
        ),
        format!(
            "Make {sample} g by this formula{on_a_finer}, all of its water in it and no `{name}`: the sheet of a batch \
             of {sample} g{with_it} has the weights.{held}"
        ),
        format!(
            "Read its pH. Weigh `{name}` in, a little at a time; stir, wait and read after each, until the pH is {goal}. Add \
             up what went in."
        ),
        format!(
            "This batch takes so many times as much: grams × {} ÷ {sample}. If the beaker takes {} g, the batch takes {} g.",
            short(batch),
            grams(&example, &Exact::ratio(1, 100)),
            grams(&scaled, &step)
        ),
        format!(
            "If less than {} g goes in, weigh 1 g of `{name}` into 9 g of water and use that: a tenth of what goes in of it is \
             `{name}`.",
            short(&few)
        ),
        format!(
            "Write it on the line, and the sheet goes by it: `{name} q.s. to pH titrated {sample} g: 0 g to pH …, 0.40 g to pH \
             {}`, with your grams and what you read.",
            ph_edge(&aim)
        ),
    ]
}

/// The least beaker in which every line weighs a step of a scale.
fn sample_of(formula: &Formula, step: &Exact) -> Exact {
    let shows = |sample: &Exact| {
        let mut percents = formula.lines.iter().filter_map(|line| line.percent.as_ref());
        percents.all(|percent| !percent.is_positive() || &(&percent.hundredth() * sample) >= step)
    };
    let [.., most] = SAMPLES.map(Exact::whole);
    SAMPLES.into_iter().map(Exact::whole).find(shows).unwrap_or(most)
}

/// What a beaker test that was made comes to in the batch, reading by reading.
pub(super) fn titrated(formula: &Formula, batch: &Exact) -> Vec<String> {
    let step = scale_step(formula);
    let told = formula.lines.iter().filter_map(|line| Some((line, line.titrated.as_deref()?)));
    let words = told.map(|(line, titration)| {
        let sample = short(&titration.sample);
        let readings: Vec<String> = titration
            .points
            .iter()
            .map(|(weighed, ph)| {
                let scaled = titration.scaled(weighed, batch);
                format!("{} g to pH {} are {} g", short(weighed), ph_edge(ph), grams(&scaled, &step))
            })
            .collect();
        format!("Titrated with {} in {sample} g: {} in {} g.", line.name, readings.join(", "), short(batch))
    });
    words.collect()
}

fn scale_step(formula: &Formula) -> Exact {
    if formula.scales.is_empty() { Exact::ratio(1, 100) } else { finest(&formula.scales) }
}

fn middle(low: Option<&Exact>, high: Option<&Exact>) -> Exact {
    match (low, high) {
        (Some(low), Some(high)) => (&(low + high) * &Exact::ratio(1, 2)).to_step(&Exact::ratio(1, 100)),
        (Some(edge), None) | (None, Some(edge)) => edge.clone(),
        (None, None) => Exact::whole(7),
    }
}

/// A weight as it is written, in as few digits as it has.
fn short(of: &Exact) -> String {
    of.to_significant(10)
}
