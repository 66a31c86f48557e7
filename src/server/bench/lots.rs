//! The lots on hand of a material: those of the store room that is open.

use super::sight::LotOnHand;
use crate::model::Batch;
use crate::render::shown;
use crate::resolve::Resolver;
use crate::store::{Lot, StoreRoom, Thing};

/// So many are shown, each a tap away.
const MOST: usize = 9;

/// The lots of a material that have a code, the oldest first, those that are past their day last.
#[must_use]
pub fn lots_on_hand(resolver: &Resolver<'_>, material: &str, day: &str) -> Vec<LotOnHand> {
    let records: Vec<Batch> = resolver.sources.files.iter().flat_map(|source| resolver.batches_of(source)).collect();
    let room = StoreRoom::of(resolver, &resolver.store(), &records, Some(day));
    let account = room.things.get(&Thing::weighable(material)).map(|(_, account)| account);
    let coded = account.into_iter().flat_map(|account| &account.lots).filter(|lot| lot.code.is_some());
    let mut lots: Vec<&Lot> = coded.collect();
    // The order of age stays among those that may be used, and among those that may not.
    lots.sort_by_key(|lot| lot.is_past(Some(&room.day)));
    lots.into_iter().take(MOST).map(|lot| on_hand(lot, &room.day)).collect()
}

fn on_hand(lot: &Lot, day: &str) -> LotOnHand {
    let until = match &lot.expires {
        Some(expires) if lot.is_past(Some(day)) => format!(", past its day since {expires}"),
        Some(expires) => format!(", to {expires}"),
        None => String::new(),
    };
    let since = lot.since.as_ref().map(|since| format!(", since {since}")).unwrap_or_default();
    LotOnHand {
        code: lot.code.as_ref().map(ToString::to_string).unwrap_or_default(),
        expires: lot.expires.as_ref().map(ToString::to_string),
        words: shown(&format!("{} g left{since}{until}", lot.amount)).into_owned(),
    }
}
