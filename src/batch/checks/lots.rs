//! The lots of a batch: each material has one, and none was too old.

use super::context::BatchContext;
use crate::batch::writing::quoted;
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::{Batch, Formula, Lot, Named, Stated};
use crate::resolve::{NameSet, Resolver, day_after};
use smol_str::SmolStr;

/// The weighed materials without a lot, of a filled batch, told once for all of them.
pub fn missing(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if !context.batch.is_filled() {
        return;
    }
    let mut without: Vec<&Named> = Vec::new();
    let strangers = context.ledger.strangers.iter().filter(|entry| context.near(entry).is_empty());
    let entries = context.ledger.lines.iter().flat_map(|line| &line.entries).chain(strangers);
    for entry in entries {
        let name = &entry.material.text;
        let is_told = without.iter().any(|told| told.text == *name);
        if !is_told && !context.batch.lots.iter().any(|lot| lot.material.text == *name) {
            without.push(&entry.material);
        }
    }
    let Some((first, others)) = without.split_first() else { return };
    let message = match others.len() {
        0 => format!("`{}` went into `{}`, and no lot of it is written down.", first.text, context.batch.name),
        _ => {
            let names: Vec<String> = without.iter().map(|named| format!("`{}`", named.text)).collect();
            format!(
                "No lot is written down of {} materials in `{}`: {}.",
                names.len(),
                context.batch.name,
                names.join(", ")
            )
        }
    };
    let fault = Diagnostic::new(Code::LotMissing, first.place, message);
    let fault = others.iter().fold(fault, |fault, named| fault.and(named.place, "this one too"));
    let wanted = match others.len() {
        0 => format!("what stands on the bottle: `lot {} \"…\"`", first.text),
        _ => format!("what stands on each bottle, a line for each: `lot {} \"…\"`", first.text),
    };
    faults.push(fault.help(format!("Write {wanted}. Without it no batch can be traced.")));
}

/// A lot used after the day it expires, or after it has kept for as long as it keeps once opened. One that is not in yet
/// is told of before it goes in.
pub fn expired(resolver: &Resolver<'_>, batch: &Batch, formula: Option<&Formula>, faults: &mut Vec<Diagnostic>) {
    for lot in &batch.lots {
        let waits = is_to_come(batch, formula, lot);
        let used = if waits { last_day_told(batch) } else { day_of_use(batch, lot) };
        let Some(used) = used else { continue };
        let Some(LastDay { until, why, kept, bought }) =
            last_day(resolver, batch, lot).filter(|last| used > last.until)
        else {
            continue;
        };
        let (code, material) = (&lot.code, &lot.material.text);
        let message = match waits {
            true => format!("Lot {code} of `{material}` is not in yet, and {why} {until}."),
            false => format!("Lot {code} of `{material}` was used on {used}, and {why} {until}."),
        };
        let fault = Diagnostic::new(Code::LotExpired, lot.place, message).rests_on_all(kept);
        let fault = bought.into_iter().fold(fault, |fault, place| fault.and(place, "bought with this last day"));
        let help = match waits {
            true => format!(
                "Do not weigh this lot in: take another one, and write it down. Strike this one out: `struck lot {material} \
                 {} because \"too old\"`.",
                quoted(code)
            ),
            false => "Reject the batch, or have it judged by someone who is qualified to.".to_string(),
        };
        faults.push(fault.help(help));
    }
}

/// Whether nothing of a lot is in the batch yet: it is of a line of the formula, none of which went in, and the batch is
/// not filled. Of what a premix is made of, the record does not tell when it went in.
fn is_to_come(batch: &Batch, formula: Option<&Formula>, lot: &Lot) -> bool {
    let name = &lot.material.text;
    let is_line = formula.is_some_and(|formula| formula.lines.iter().any(|line| line.name == *name));
    let is_in = || batch.events.iter().filter_map(|event| event.what.puts_in()).any(|material| material.text == *name);
    is_line && !batch.is_filled() && !is_in()
}

/// The last day that the record tells of: what is not in yet goes in then or later.
fn last_day_told(batch: &Batch) -> Option<SmolStr> {
    batch.events.iter().filter_map(|event| event.on.clone()).chain(batch.started.clone()).max()
}

/// The day a material was first weighed, by its own stamp, else the day the batch was started. Days are written so that
/// their order is the order of their letters.
fn day_of_use(batch: &Batch, lot: &Lot) -> Option<SmolStr> {
    use crate::model::Happened::{Added, Weighed};
    let uses = batch.events.iter().filter(|event| {
        matches!(&event.what, Weighed(material, _) | Added(material, _, _) if material.text == lot.material.text)
    });
    let stamped = uses.filter_map(|event| event.on.clone()).next();
    stamped.or_else(|| batch.started.clone())
}

/// The last day that a lot may be used.
struct LastDay {
    until: SmolStr,
    /// Why, up to the day.
    why: &'static str,
    /// The fact of the material that it rests on.
    kept: Option<Place>,
    /// Where the store room says it.
    bought: Option<Place>,
}

/// The last day a lot may be used: the earliest of those that are known. The store room speaks of the same bottle.
fn last_day(resolver: &Resolver<'_>, batch: &Batch, lot: &Lot) -> Option<LastDay> {
    let expired = |until: SmolStr, bought: Option<Place>| {
        let why = if bought.is_some() { "by the store room it expired on" } else { "it expired on" };
        LastDay { until, why, kept: None, bought }
    };
    let written = lot.expires.clone().map(|day| expired(day, None));
    let bought = resolver.expiry_of_lot(&lot.material.text, &lot.code);
    let bought = bought.map(|(day, place)| expired(day, Some(place)));
    let kept = || {
        let id = resolver.scopes.find(batch.id.file, NameSet::Weighable, &lot.material.text)?;
        let material = resolver.material(id)?;
        let until = day_after(lot.opened.as_ref()?, material.keeps.as_ref()?)?;
        let kept = material.stated_at(Stated::Keeps);
        Some(LastDay { until, why: "once opened it kept until", kept, bought: None })
    };
    [written, bought, kept()].into_iter().flatten().min_by(|one, other| one.until.cmp(&other.until))
}
