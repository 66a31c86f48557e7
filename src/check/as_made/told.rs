//! The words of a formula's fault where a batch has it: the only place in which they change.

use crate::batch::Setting;
use crate::diagnostic::{Diagnostic, Level};
use crate::model::{Batch, Happened};
use crate::quantity::Exact;

/// A fault of a formula as one of a batch. `larger` is the batch that sets it right, where one does; where the formula has
/// the fault itself, it only takes out what the batch has beyond that.
pub(super) fn of_batch(
    mut fault: Diagnostic,
    batch: &Batch,
    setting: &Setting<'_>,
    larger: Option<&Exact>,
    is_of_formula: bool,
) -> Diagnostic {
    let filled = batch.is_filled();
    if filled && batch.readings().next().is_some() {
        fault.message = fault
            .message
            .replace("The pH window reaches outside", "The reading lies outside")
            .replace("the window", "the reading");
        fault.secondary.iter_mut().filter(|label| label.text == "the window").for_each(|label| {
            label.text = "the reading".to_string();
        });
    }
    let opening = if filled { "As made" } else { "Once all is in" };
    fault.message = format!("{opening}: {}", continued(&fault.message));
    let figure = fault.help.as_deref().and_then(figure);
    let or_reject =
        "Put the record right if it is a slip of the pen; else reject the batch: `rejected because \"…\"`.".to_string();
    let mend = match larger.map(|grams| made_larger(batch, setting, grams)) {
        Some(made) if is_of_formula => format!(
            "The formula is told of it itself, and no batch of it is within: a larger one only takes out what was weighed \
             too much. If the weights are right, {made}"
        ),
        Some(made) => format!("If the weights are right, {made}"),
        // What the formula was let go beyond, with open eyes, is no reason to throw a batch away that has a little more of it.
        None if is_of_formula && fault.level != Level::Error => {
            "The formula is told of it itself, as planned: that is no \
             reason to reject this batch. Judge by how much it goes beyond the plan, and note it."
                .to_string()
        }
        None => or_reject,
    };
    fault.help = Some(figure.map_or_else(|| mend.clone(), |figure| format!("{figure} {mend}")));
    fault.fix = None;
    // A batch that was rejected goes nowhere: worth knowing, and nothing to be done any more.
    if batch.events.iter().any(|event| matches!(event.what, Happened::Rejected(_))) {
        fault.level = Level::Note;
    }
    fault
}

/// What makes the batch a larger one. A size stands once: the one that is there is struck out first.
fn made_larger(batch: &Batch, setting: &Setting<'_>, grams: &Exact) -> String {
    let print = |weight: &Exact| weight.to_fixed(setting.plan.finest.decimals().unwrap_or(2));
    let grams = print(grams);
    let written = match &batch.size {
        Some(size) => {
            format!("strike the size out, `struck size {} g because \"larger\"`, write `size {grams} g`", print(size))
        }
        None => format!("write `size {grams} g` in the record"),
    };
    format!("make it a batch of {grams} g: {written}, and weigh in the rest.")
}

/// A sentence after a colon.
fn continued(sentence: &str) -> String {
    let mut letters = sentence.chars();
    match letters.next() {
        Some(first) if letters.as_str().starts_with(|next: char| next.is_lowercase() || next == ' ') => {
            format!("{}{}", first.to_lowercase(), letters.as_str())
        }
        _ => sentence.to_string(),
    }
}

/// The sentence of a formula's help that gives the limit as a figure: it holds for a batch too.
fn figure(help: &str) -> Option<&str> {
    let end = help.find(". ").map_or(help.len(), |at| at + 1);
    let sentence = help.get(..end)?;
    ["At most ", "At least ", "Even without "].iter().any(|opening| sentence.starts_with(opening)).then_some(sentence)
}
