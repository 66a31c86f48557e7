//! More taken out of what is held back than there was.

use super::context::BatchContext;
use crate::batch::{Ledger, LedgerEntry, Reserve};
use crate::diagnostic::{Code, Diagnostic, Level};
use crate::quantity::Exact;

/// More taken out of a reserve than was held back: the batch is over its weight and everything in it diluted. An error
/// where something leaves its target by it, by more than 2 % of itself; else a note.
pub fn over(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let ledger = context.ledger;
    let overdrawn = ledger.reserves.iter().find(|reserve| reserve.over().is_positive());
    let Some((reserve, last)) = overdrawn.and_then(|reserve| Some((reserve, reserve.overdrawn_by.as_ref()?))) else {
        return;
    };
    if ledger.is_set_right() {
        faults.push(was_set_right(context, reserve, last));
        return;
    }
    let message = format!(
        "{} and {} g were held back: the batch is {} g over its weight, everything in it {} % too thin.",
        what_went_in(context, reserve),
        context.grams(reserve.held_back()),
        context.grams(&ledger.over()),
        ledger.thinner_percent().to_significant(2)
    );
    let fault = Diagnostic::new(Code::BatchOverReserve, last.place, message);
    faults.push(if ledger.is_trifle() {
        fault
            .at_level(Level::Note)
            .help("That is less than 2 %, and nothing has to be set right. Next time hold back more.")
    } else {
        fault.help(set_right(context, ledger))
    });
}

/// A batch over its reserve that was made a right one of a larger size: worth knowing, and no fault any more.
fn was_set_right(context: &BatchContext<'_, '_>, reserve: &Reserve, last: &LedgerEntry) -> Diagnostic {
    let message = format!(
        "{} and {} g were held back; set right since, it is a batch of {} g.",
        what_went_in(context, reserve),
        context.grams(reserve.held_back()),
        context.grams(&larger(context.ledger))
    );
    Diagnostic::new(Code::BatchOverReserve, last.place, message)
        .at_level(Level::Note)
        .help("Every line is back at its percentage. Next time hold back more.")
}

/// What went in out of a reserve: adjuster, and what was weighed too much of its line.
fn what_went_in(context: &BatchContext<'_, '_>, reserve: &Reserve) -> String {
    let (used, before) = (context.grams(reserve.used()), reserve.weighed_before());
    if !before.is_positive() {
        return format!("{used} g of adjuster went in");
    }
    let before = format!("{} g of `{}` more than planned", context.grams(before), reserve.material);
    match reserve.drawn.is_empty() {
        true => format!("{before} went in"),
        false => format!("{used} g of adjuster and {before} went in"),
    }
}

/// The weight of the right batch that one over its reserve becomes.
fn larger(ledger: &Ledger) -> Exact {
    &ledger.size() + &ledger.growth().unwrap_or(Exact::ZERO)
}

/// What leaves its target, and how to set it right: so much more of each line makes it a right batch of a larger size.
fn set_right(context: &BatchContext<'_, '_>, ledger: &Ledger) -> String {
    let leaves = leaves(context);
    if ledger.growth().is_none() {
        return format!("{leaves}Reject the batch, or relabel it by what it is now.");
    }
    let lacking = ledger.lacking();
    let weights = lacking.iter().map(|(name, grams)| format!("{} g of `{name}`", context.grams(grams)));
    format!(
        "{leaves}Weigh in {} more: it is then a right batch of {} g. Read the pH again after.",
        weights.collect::<Vec<_>>().join(", "),
        context.grams(&larger(ledger))
    )
}

/// What is thinned away from its target: the lines that ask for an active, and those that are weighed within a range of
/// use and are below it now.
fn leaves(context: &BatchContext<'_, '_>) -> String {
    let ledger = context.ledger;
    // What is in the beaker, and not what was meant to be: a line may be off by itself as well.
    let weights = ledger.finished(None);
    let whole = weights.total();
    let formula = &context.setting.formula;
    let told = formula.lines.iter().filter_map(|line| {
        let percent = line.percent.as_ref()?;
        let thinned = (weights.parts.get(&line.name)? * &Exact::HUNDRED).over(&whole)?;
        let material = match &line.material {
            Some(crate::model::LineMaterial::Material(material)) => Some(material),
            _ => None,
        };
        let usage = material.and_then(|material| material.usage_in(&formula.products));
        let least = usage.filter(|usage| !usage.active).and_then(|usage| usage.range.low.clone());
        if let Some(least) = least.filter(|least| thinned < *least && percent >= least) {
            return Some(format!("`{}` is {} % and wants {least} %", line.name, thinned.to_significant(3)));
        }
        line.target.as_ref()?;
        Some(format!("`{}` is {} % for {} %", line.name, thinned.to_significant(3), percent.to_significant(3)))
    });
    let told = told.collect::<Vec<_>>().join(", ");
    if told.is_empty() { told } else { format!("{told}. ") }
}
