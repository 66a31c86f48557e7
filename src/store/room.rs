//! The store room: the account of each thing that is kept, on a day.

use super::account::{Account, Lacked, Lot};
use super::list::Kind;
use super::moved::AllMoved;
use crate::model::{Batch, StockEntry};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::shelf::EDITION_DATE;
use smol_str::SmolStr;
use std::collections::BTreeMap;

/// Something that is kept. It is what its name says, whatever file speaks of it: on the shelf of the room there is one
/// tub of a name.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Thing {
    /// Its name.
    pub name: SmolStr,
    /// Whether it is a container, which has names of its own.
    pub is_container: bool,
}

impl Thing {
    /// A material or a premix.
    #[must_use]
    pub fn weighable(name: &str) -> Thing {
        Thing { name: SmolStr::new(name), is_container: false }
    }
}

/// What is in the store room at the end of a day.
#[derive(Clone, Debug)]
pub struct StoreRoom {
    /// The day.
    pub day: SmolStr,
    /// Each thing that anything is said of, by name: what it is, and its account.
    pub things: BTreeMap<Thing, (Kind, Account)>,
    /// What could not be counted, or not for sure, in sentences.
    pub notes: Vec<String>,
}

impl StoreRoom {
    /// The room as statements and records leave it, at the end of a day. Where none is asked for, that is the last day that
    /// anything is told of, or that of the edition of the shelf if it is later: never today, so that the same files give the
    /// same answer tomorrow.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, stated: &[StockEntry], records: &[Batch], day: Option<&str>) -> StoreRoom {
        let AllMoved { moved, mut notes } = AllMoved::of(resolver, stated, records);
        let last = moved.iter().filter_map(|(.., moved)| moved.day.as_deref()).max().unwrap_or(EDITION_DATE);
        let day = SmolStr::new(day.unwrap_or(last.max(EDITION_DATE)));
        let mut by_thing: BTreeMap<Thing, (Kind, Vec<super::Moved>)> = BTreeMap::new();
        for (thing, kind, moved) in moved {
            let (known, all) = by_thing.entry(thing).or_insert((kind, Vec::new()));
            // A record whose files are gone knows a premix by its name alone.
            *known = (*known).max(kind);
            all.push(moved);
        }
        let account = |(thing, (kind, moved))| (thing, (kind, Account::at(moved, &day)));
        let things: BTreeMap<Thing, (Kind, Account)> = by_thing.into_iter().map(account).collect();
        let below = things.iter().filter(|(_, (_, account))| account.is_kept() && account.is_below_nothing());
        for (thing, (kind, account)) in &things {
            notes.extend(account.lacked.iter().map(|lacked| lacked_once(thing, *kind, lacked, &day)));
        }
        notes.extend(below.map(|(thing, (kind, account))| below_nothing(thing, *kind, account, &day)));
        StoreRoom { day, things, notes }
    }

    /// The lots of something that have a code, the oldest first, those that are past their day last: so many at the most.
    #[must_use]
    pub fn lots_to_hand(&self, thing: &Thing, most: usize) -> Vec<&Lot> {
        let account = self.things.get(thing).map(|(_, account)| account);
        let coded = account.into_iter().flat_map(|account| &account.lots).filter(|lot| lot.code.is_some());
        let mut lots: Vec<&Lot> = coded.collect();
        // The order of age stays among those that may be used, and among those that may not.
        lots.sort_by_key(|lot| lot.is_past(Some(&self.day)));
        lots.truncate(most);
        lots
    }

    /// What is on hand of something and not past its day, and what is past it.
    #[must_use]
    pub fn on_hand(&self, thing: &Thing) -> (Exact, Exact) {
        self.things
            .get(thing)
            .map_or((Exact::ZERO, Exact::ZERO), |(_, account)| (account.usable(&self.day), account.past(&self.day)))
    }
}

/// That more had gone than came, before something came again.
fn lacked_once(thing: &Thing, kind: Kind, lacked: &Lacked, day: &str) -> String {
    let (name, more) = (&thing.name, &lacked.amount);
    let (unit, count) = units(kind);
    let before = lacked.until.as_ref().map(|until| format!(" before {until}")).unwrap_or_default();
    format!(
        "{more}{unit} more of `{name}` went than came{before}, and counts as none then: something was not written down. \
         Count it, and write it as in `counted {name} {count} on {day}`."
    )
}

fn units(kind: Kind) -> (&'static str, &'static str) {
    if kind == Kind::Container { ("", "12") } else { (" g", "120 g") }
}

/// That more went than came. What was never counted or bought is not kept track of, and nothing is told of it.
fn below_nothing(thing: &Thing, kind: Kind, account: &Account, day: &str) -> String {
    let (name, more) = (&thing.name, account.sum.abs());
    let (unit, count) = units(kind);
    format!(
        "{more}{unit} more of `{name}` went than came: something was not written down. Count it, and write it as in \
         `counted {name} {count} on {day}`."
    )
}
