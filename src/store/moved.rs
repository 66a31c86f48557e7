//! What happened to what is on hand: the statements of the store room, and the records of batches.

use super::account::{Moved, Movement};
use super::list::Kind;
use super::room::Thing;
use super::vessels::filled_into;
use crate::batch::Weights;
use crate::batch::trail::Record;
use crate::model::{Batch, Container, ContainerFill, Content, Event, Happened, Named, StockEntry, Stocked};
use crate::quantity::Exact;
use crate::resolve::{NameSet, Resolver};
use crate::syntax::vocabulary::{Product, StockWord};
use rustc_hash::FxHashSet;
use smol_str::SmolStr;

/// All that happened to what is on hand, and what could not be counted of it.
#[derive(Default)]
pub(super) struct AllMoved {
    /// Each with what it happened to, in the order of the files.
    pub moved: Vec<(Thing, Kind, Moved)>,
    /// What could not be counted, or not for sure, in sentences.
    pub notes: Vec<String>,
}

impl AllMoved {
    /// What statements and records say.
    pub fn of(resolver: &Resolver<'_>, stated: &[StockEntry], records: &[Batch]) -> AllMoved {
        let mut all = AllMoved::default();
        for entry in stated {
            all.moved.push(of_entry(resolver, entry));
        }
        let weighed = names_weighed(stated, records);
        let containers = resolver.containers();
        for batch in records {
            all.take_out(resolver, batch);
            all.take_containers(resolver, &containers, batch);
            if is_premix(resolver, batch, &weighed) {
                all.put_in(batch);
            }
        }
        all
    }

    /// What went into a batch, whether it came out of it again or was spilled.
    fn take_out(&mut self, resolver: &Resolver<'_>, batch: &Batch) {
        let days = days_of(batch);
        for (number, (event, day)) in batch.events.iter().zip(days).enumerate() {
            let Some((material, grams)) = self.went_in(batch, number, event) else { continue };
            if day.is_none() {
                self.notes.push(format!(
                    "`{}` says no day: what went into it is taken to be drawn after every count.",
                    batch.name
                ));
            }
            let of_material = |lot: &&crate::model::Lot| lot.material.text == material.text;
            let moved = Moved {
                what: Movement::Used,
                day,
                amount: grams,
                lots: batch.lots.iter().filter(of_material).map(|lot| lot.code.clone()).collect(),
                expires: None,
                from: None,
                batch: Some(batch.name.clone()),
                said: event.said.to_string(),
                place: event.place,
            };
            self.moved.push((Thing::weighable(&material.text), kind_of(resolver, batch, &material.text), moved));
        }
        self.notes.dedup();
    }

    /// The containers that a batch was filled into: they are gone, whatever became of what is in them.
    fn take_containers(&mut self, resolver: &Resolver<'_>, containers: &[Container], batch: &Batch) {
        for (event, day) in batch.events.iter().zip(days_of(batch)) {
            let Happened::Filled { count, each: Some(each), .. } = &event.what else { continue };
            let content = match each {
                ContainerFill::Grams(grams) => Content::Grams(grams.clone()),
                ContainerFill::Millilitres(volume) => Content::Millilitres(volume.clone()),
            };
            let names = match filled_into(resolver, containers, batch, &content) {
                Ok(names) if count.decimals() == Some(0) => names,
                Ok(_) => continue,
                Err(why) => {
                    self.notes.push(format!("`{}`: {why}", batch.name));
                    continue;
                }
            };
            for name in names {
                let moved = Moved {
                    what: Movement::Used,
                    day: day.clone(),
                    amount: count.clone(),
                    lots: Vec::new(),
                    expires: None,
                    from: None,
                    batch: Some(batch.name.clone()),
                    said: event.said.to_string(),
                    place: event.place,
                };
                self.moved.push((Thing { name, is_container: true }, Kind::Container, moved));
            }
        }
    }

    /// What an event put in, and how much of it left the store room.
    fn went_in<'b>(&mut self, batch: &Batch, number: usize, event: &'b Event) -> Option<(&'b Named, Exact)> {
        match &event.what {
            Happened::Weighed(material, grams) | Happened::Added(material, grams, _) => Some((material, grams.clone())),
            Happened::ToppedUp { material, grams: Some(grams), .. } => Some((material, grams.clone())),
            // What went into the air before is not known: so much it was at the least.
            Happened::ToppedUp { material, grams: None, to: Some(to) } => {
                let least = (to - &Weights::after(batch, number).total()).max(Exact::ZERO);
                self.notes.push(format!(
                    "In `{}`, `{}` was topped up by the weight of the whole: {least} g of it at the least are counted.",
                    batch.name, material.text
                ));
                Some((material, least))
            }
            _ => None,
        }
    }

    /// What came out of a batch of a premix.
    fn put_in(&mut self, batch: &Batch) {
        let Some(formula) = &batch.formula else { return };
        let days = days_of(batch);
        if batch.events.iter().any(|event| matches!(event.what, Happened::Rejected(_))) {
            self.notes.push(format!("`{}` was rejected: nothing of it is counted as `{}`.", batch.name, formula.text));
            return;
        }
        // A yield that is written again takes the place of the one before.
        let yields = batch.events.iter().zip(days).filter_map(|(event, day)| match &event.what {
            Happened::Yield(grams) => Some((event, day, grams)),
            _ => None,
        });
        let Some((event, day, grams)) = yields.last() else {
            self.notes.push(format!("No yield is written down of `{}`: nothing of it is counted.", batch.name));
            return;
        };
        let record = Record { batch: batch.clone(), file: String::new() };
        let mut lots = record.codes();
        if !lots.contains(&batch.name) {
            lots.push(batch.name.clone());
        }
        let moved = Moved {
            what: Movement::Made,
            day,
            amount: grams.clone(),
            lots,
            expires: None,
            from: None,
            batch: Some(batch.name.clone()),
            said: event.said.to_string(),
            place: event.place,
        };
        self.moved.push((Thing::weighable(&formula.text), Kind::Premix, moved));
    }
}

fn of_entry(resolver: &Resolver<'_>, entry: &StockEntry) -> (Thing, Kind, Moved) {
    let what = match entry.word {
        StockWord::Counted => Movement::Counted,
        StockWord::Bought => Movement::Bought,
        StockWord::Spent => Movement::Spent,
    };
    let kind = match entry.of {
        Stocked::Material(_) => Kind::Material,
        Stocked::Premix(_) => Kind::Premix,
        Stocked::Container(_) => Kind::Container,
    };
    let said = entry.place.span.of(resolver.sources.text(entry.place.file));
    let moved = Moved {
        what,
        day: Some(entry.on.clone()),
        amount: entry.amount.clone(),
        lots: entry.lot.iter().cloned().collect(),
        expires: entry.expires.clone(),
        from: entry.from.clone(),
        batch: None,
        said: crate::syntax::one_blank(said).to_string(),
        place: entry.place,
    };
    (Thing { name: entry.name.clone(), is_container: kind == Kind::Container }, kind, moved)
}

/// The day of each event: its own stamp, else that of the last before it, since a record is in the order of the bench;
/// else the day the batch was started.
fn days_of(batch: &Batch) -> Vec<Option<SmolStr>> {
    let mut day = batch.started.clone();
    let on = |event: &Event| {
        if let Some(on) = &event.on {
            day = Some(on.clone());
        }
        day.clone()
    };
    batch.events.iter().map(on).collect()
}

fn kind_of(resolver: &Resolver<'_>, batch: &Batch, name: &str) -> Kind {
    let id = resolver.scopes.find(batch.id.file, NameSet::Weighable, name);
    let item = id.and_then(|id| resolver.scopes.item(id));
    if item.is_some_and(crate::resolve::is_formula) { Kind::Premix } else { Kind::Material }
}

/// Everything that is kept, or was weighed into something.
fn names_weighed(stated: &[StockEntry], records: &[Batch]) -> FxHashSet<SmolStr> {
    let kept = stated.iter().filter(|entry| !matches!(entry.of, Stocked::Container(_))).map(|entry| &entry.name);
    let weighed = records.iter().flat_map(|batch| &batch.events).filter_map(|event| event.what.puts_in());
    kept.chain(weighed.map(|named| &named.text)).cloned().collect()
}

/// Whether a batch is of a premix: its formula says so, or its plan; where neither can be asked, something was made with it.
fn is_premix(resolver: &Resolver<'_>, batch: &Batch, weighed: &FxHashSet<SmolStr>) -> bool {
    let frozen = batch.plan.as_ref().filter(|plan| !plan.products.is_empty());
    let known = resolver.formula_of_batch(batch).map(|resolved| resolved.formula.is_stock());
    let by_plan = || frozen.map(|plan| plan.products.contains(&Product::Stock));
    let by_use = || batch.formula.as_ref().is_some_and(|formula| weighed.contains(&formula.text));
    known.or_else(by_plan).unwrap_or_else(by_use)
}
