//! What stands before the jars, in the order in which it is asked for.

use super::act::Stage;
use super::order::{Act, acts, done};
use super::reading::is_in;
use super::view::View;
use crate::model::Batch;
use crate::quantity::Exact;
use smol_str::SmolStr;

/// Something that is still to come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ahead {
    /// It is heated to so many degrees Celsius.
    Heat(Exact),
    /// It is cooled to so many.
    Cool(Exact),
    /// A line is weighed in.
    Weigh(SmolStr),
    /// The pH is brought into its window.
    Adjust,
    /// What was held back and not used goes in.
    TopUp,
    /// The pH is read once more.
    Read,
    /// It is left to itself for so many seconds; none where the step does not say how long.
    Wait(Option<Exact>),
}

/// What is still to come before a batch is filled; nothing once it is, or is rejected.
#[must_use]
pub fn ahead(view: &View<'_>, batch: &Batch) -> Vec<Ahead> {
    if matches!(view.stage, Stage::Filled | Stage::Released | Stage::Rejected) {
        return Vec::new();
    }
    let formula = &view.setting.formula;
    let window = formula.window.as_ref();
    let acts = acts(formula);
    let done = done(&acts, formula, batch, &view.ledger);
    let is_inside = view.last.as_ref().is_some_and(|last| is_in(batch, window, &last.reading));
    let (mut all, mut last) = (Vec::new(), Vec::new());
    for (placed, _) in acts.iter().zip(&done).filter(|(_, done)| !**done) {
        match &placed.act {
            Act::Heat(celsius) => all.push(Ahead::Heat(celsius.clone())),
            Act::Cool(celsius) => all.push(Ahead::Cool(celsius.clone())),
            Act::Weigh => {
                let name = placed.line.and_then(|line| formula.lines.get(line)).map(|line| line.name.clone());
                all.extend(name.map(Ahead::Weigh));
            }
            Act::Adjust => all.extend((!is_inside).then_some(Ahead::Adjust)),
            // What waits after the last line waits for the top-up too.
            Act::Wait(time) if placed.phase == formula.phases.len() => last.push(Ahead::Wait(time.clone())),
            Act::Wait(time) => all.push(Ahead::Wait(time.clone())),
        }
    }
    let tops_up = view.ledger.to_top_up().to_step(&view.ledger.step).is_positive();
    all.extend(tops_up.then_some(Ahead::TopUp));
    let goes_in = all.iter().any(|ahead| matches!(ahead, Ahead::Weigh(_) | Ahead::Adjust | Ahead::TopUp));
    let is_stale = view.last.as_ref().is_none_or(|last| last.stale);
    all.extend((window.is_some() && (goes_in || is_stale)).then_some(Ahead::Read));
    all.extend(last);
    all
}
