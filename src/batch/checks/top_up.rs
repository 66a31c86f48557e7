//! The top-up beside what was held back and not used, or beside the weight of the batch.

use super::context::BatchContext;
use crate::batch::{Ledger, Reserve};
use crate::diagnostic::{Code, Diagnostic, Level, Place};
use crate::model::Happened;
use crate::quantity::Exact;

/// A top-up that is not what was held back less what was used, reserve by reserve, or a tared weight that is not the
/// batch's. Where something went over its reserve, that is told instead.
pub fn off(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if context.ledger.over().is_positive() {
        return;
    }
    let last = context.batch.events.iter().enumerate().rev().find_map(|(number, event)| {
        let Happened::ToppedUp { to, .. } = &event.what else { return None };
        Some((number, event.place, to.clone()))
    });
    match last {
        Some((number, place, Some(to))) => faults.extend(brought_off(context, number, place, &to)),
        Some((_, place, None)) if context.ledger.reserves.is_empty() => faults.extend(out_of_nothing(context, place)),
        Some(_) => faults.extend(context.ledger.reserves.iter().filter_map(|reserve| sum_off(context, reserve))),
        None => {}
    }
}

/// A top-up, by sum, of a batch that holds nothing back.
fn out_of_nothing(context: &BatchContext<'_, '_>, place: Place) -> Option<Diagnostic> {
    let found = context.ledger.topped_up();
    if is_little(context, &found) {
        return None;
    }
    let message = format!("The top-up was {} g, and nothing was held back for it.", context.grams(&found));
    Some(Diagnostic::new(Code::BatchTopupOff, place, message).help(help(context, &found)))
}

/// A reserve that was topped up with more than is left of it, or less. Less may be half of it until the batch is filled.
fn sum_off(context: &BatchContext<'_, '_>, reserve: &Reserve) -> Option<Diagnostic> {
    let only = context.ledger.reserves.len() == 1;
    let topped = context.batch.events.iter().rev().find_map(|event| match &event.what {
        Happened::ToppedUp { material, .. } => (only || material.text == reserve.material).then_some(event.place),
        _ => None,
    });
    let filled = context.batch.events.iter().find(|event| matches!(event.what, Happened::Filled { .. }));
    let place = topped.or(filled.map(|event| event.place))?;
    let (found, wanted) = (reserve.topped_up_in_all(), reserve.left());
    let off = &found - &wanted;
    let as_planned = is_as_planned(context, reserve, &off);
    if is_little(context, &off) || (as_planned && off.is_negative()) {
        return None;
    }
    let of = if only { String::new() } else { format!(" of `{}`", reserve.material) };
    let before = reserve.weighed_before();
    let before = match before.is_negative() {
        _ if before.is_zero() => String::new(),
        true => format!(" and {} g weighed too little", context.grams(&before.abs())),
        false => format!(" less {} g weighed too much", context.grams(before)),
    };
    let message = format!(
        "The top-up{of} was {} g; {} g held back{before} less {} g used are {} g.",
        context.grams(&found),
        context.grams(reserve.held_back()),
        context.grams(reserve.used()),
        context.grams(&wanted)
    );
    let fault = Diagnostic::new(Code::BatchTopupOff, place, message).help(help(context, &off));
    Some(if as_planned { fault.at_level(Level::Note) } else { fault })
}

/// Whether a top-up is the one of the plan, where what was weighed of its line is what was planned as far as weighing can
/// tell: within 1 %, or a step of its scale. What that leaves out is worth no more than a note, what thins the batch no
/// less.
fn is_as_planned(context: &BatchContext<'_, '_>, reserve: &Reserve, off: &Exact) -> bool {
    let line = context.ledger.lines.iter().find(|line| line.name == reserve.material);
    let asked = line.and_then(|line| Some((line.asked.as_ref()?, &line.step)));
    let before = reserve.weighed_before();
    asked.is_some_and(|(asked, step)| before.abs() <= asked.hundredth().max(step.clone()))
        && is_little(context, &(off - before))
}

/// A batch that was brought to another weight than its own.
fn brought_off(context: &BatchContext<'_, '_>, event: usize, place: Place, to: &Exact) -> Option<Diagnostic> {
    let wanted = weight_at(context, event);
    let off = to - &wanted;
    // To a tared weight under way: what is held back is still to come.
    let under_way = !context.batch.is_filled() && is_little(context, &(&off + &context.ledger.left()));
    if is_little(context, &off) || under_way {
        return None;
    }
    let reckoned = if wanted == context.ledger.batch {
        format!("it is a batch of {} g", context.grams(&wanted))
    } else {
        format!("with what was taken out and what came after, it should weigh {} g", context.grams(&wanted))
    };
    let message = format!("The batch was brought to {} g; {reckoned}.", context.grams(to));
    Some(Diagnostic::new(Code::BatchTopupOff, place, message).help(help(context, &off)))
}

fn is_little(context: &BatchContext<'_, '_>, off: &Exact) -> bool {
    off.abs() <= &context.setting.plan.finest * &Exact::whole(2)
}

fn help(context: &BatchContext<'_, '_>, off: &Exact) -> String {
    if off.is_positive() {
        format!("The batch is {} g over its weight, and everything in it thinner by that.", context.grams(&off.abs()))
    } else {
        format!("{} g are missing: top up with them before filling.", context.grams(&off.abs()))
    }
}

/// What the beaker should weigh at a moment of the record: the batch, less what was taken out and what is still to come.
fn weight_at(context: &BatchContext<'_, '_>, event: usize) -> Exact {
    let then = Ledger::after(&context.setting.formula, &context.setting.plan, context.batch, event);
    let later = context.batch.events.iter().skip(event + 1).filter_map(|event| match &event.what {
        Happened::Weighed(_, grams) | Happened::Added(_, grams, _) => Some(grams.clone()),
        _ => None,
    });
    // Of a filled batch nothing is to come: that a line is missing is told by itself.
    let to_come = if context.batch.is_filled() { Exact::ZERO } else { context.ledger.to_come() };
    &then.size() - &(&later.sum::<Exact>() + &to_come)
}
