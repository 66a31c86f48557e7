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
    room.lots_to_hand(&Thing::weighable(material), MOST).into_iter().map(|lot| on_hand(lot, &room.day)).collect()
}

fn on_hand(lot: &Lot, day: &str) -> LotOnHand {
    LotOnHand {
        code: lot.code.as_ref().map(ToString::to_string).unwrap_or_default(),
        expires: lot.expires.as_ref().map(ToString::to_string),
        words: shown(&lot.left_by(day)).into_owned(),
    }
}
