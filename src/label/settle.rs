//! What would settle an order that is not proven: the smallest figure that somebody could ask a supplier for.

use super::entry::Entry;
use super::order::{ExactlyOne, Ordered};
use super::tally::{Given, Tally};
use crate::model::DeclId;
use crate::quantity::Exact;
use crate::resolve::Resolver;
use smol_str::SmolStr;
use std::collections::BTreeMap;

/// A figure that would settle the order of two entries.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settling {
    /// The material it is asked of.
    pub material: SmolStr,
    /// The substance in it.
    pub substance: SmolStr,
    /// How much of it there may be at most, in percent of the material.
    pub at_most: Exact,
}

/// For each pair that is not proven the figure that asks least: of the second, or of the first, which then changes places
/// with it.
pub(super) fn settling(names: &Resolver<'_>, tally: &Tally, ordered: &Ordered, one: ExactlyOne) -> Vec<Settling> {
    let mut found: Vec<Settling> = Vec::new();
    for (first, then) in &ordered.unproven {
        let (Some(first), Some(then)) = (ordered.entries.get(*first), ordered.entries.get(*then)) else { continue };
        let settles = at_most(names, tally, then, &first.share.low, one)
            .or_else(|| at_most(names, tally, first, &then.share.low, one));
        found.extend(settles.filter(|settles| !found.contains(settles)));
    }
    found
}

/// What a part of a material gives to an entry, over all its ways in.
struct Ranged {
    /// How much of the material there is, in percent of the whole.
    of: Exact,
    least: Exact,
    most: Exact,
}

/// The figure of one material that brings an entry to no more than this, or to where nothing binds it.
fn at_most(names: &Resolver<'_>, tally: &Tally, entry: &Entry, share: &Exact, one: ExactlyOne) -> Option<Settling> {
    let free = Some(Exact::ONE).filter(|most| !one.binds(most));
    let share = free.map_or_else(|| share.clone(), |free| free.max(share.clone()));
    let mut ranged: BTreeMap<(SmolStr, DeclId), Ranged> = BTreeMap::new();
    let is_open = |given: &&Given| given.is_under(&entry.name) && !given.share.is_point();
    for given in tally.given.base.iter().filter(is_open) {
        let Some(substance) = given.substance else { continue };
        let none = || Ranged { of: Exact::ZERO, least: Exact::ZERO, most: Exact::ZERO };
        let of = ranged.entry((given.material.clone(), substance)).or_insert_with(none);
        of.of = &of.of + &given.of;
        of.least = &of.least + &given.share.low;
        of.most = &of.most + &given.share.high;
    }
    let figures = ranged.into_iter().filter_map(|((material, substance), of)| {
        let rest = &entry.share.high - &of.most;
        let room = &share - &rest;
        // Less than is there already would settle nothing.
        let figure = Some(room).filter(|room| *room >= of.least && !room.is_negative())?;
        let at_most = (&figure * &Exact::HUNDRED).over(&of.of)?;
        Some(Settling { material, substance: names.substance(substance)?.name.clone(), at_most })
    });
    // The first of equals is the first by the alphabet.
    figures.reduce(|best, next| if next.at_most > best.at_most { next } else { best })
}
