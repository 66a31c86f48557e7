//! What would settle an order that is not proven: for each pair the smallest figure that somebody could ask a supplier for,
//! so that the order as it is printed is the right one.

use super::entry::Entry;
use super::order::{ExactlyOne, Ordered};
use super::tally::{Given, Tally};
use crate::model::DeclId;
use crate::quantity::Exact;
use crate::resolve::Resolver;
use smol_str::SmolStr;
use std::collections::BTreeMap;

/// A figure that would settle the order of two entries as it is printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settling {
    /// The entry that stands first.
    pub first: String,
    /// The entry that stands behind it.
    pub then: String,
    /// The material it is asked of.
    pub material: SmolStr,
    /// The substance in it.
    pub substance: SmolStr,
    /// How much of it there has to be, in percent of the material.
    pub bound: Bound,
}

/// On which side a figure settles.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Bound {
    /// So much or less, of the entry that stands behind.
    AtMost(Exact),
    /// So much or more, of the entry that stands first.
    AtLeast(Exact),
}

impl Bound {
    /// `12 % or less`, rounded to the side on which what is asked settles it indeed.
    #[must_use]
    pub fn words(&self) -> String {
        let (coarse, fine) = (Exact::ratio(1, 100), finest());
        match self {
            Bound::AtMost(most) => {
                let cut = most.down_to_step(&coarse);
                format!("{} % or less", if cut.is_zero() { most.down_to_step(&fine) } else { cut })
            }
            Bound::AtLeast(least) => {
                let raised = least.up_to_step(&coarse);
                format!("{} % or more", if raised > Exact::HUNDRED { Exact::HUNDRED } else { raised })
            }
        }
    }
}

/// The last place of a figure that is asked for, in percent.
fn finest() -> Exact {
    Exact::ratio(1, 100_000)
}

/// For each pair that is not proven the figure that narrows least what is known now: of the second from above, or of the
/// first from below. None where no single figure does, as where the bench decides it.
pub(super) fn settling(names: &Resolver<'_>, tally: &Tally, ordered: &Ordered, one: ExactlyOne) -> Vec<Settling> {
    let entry = |at: &usize| ordered.entries.get(*at);
    let pairs = ordered.unproven.iter().filter_map(|(first, then)| Some((entry(first)?, entry(then)?)));
    pairs.filter_map(|(first, then)| of_pair(names, tally, first, then, one)).collect()
}

fn of_pair(names: &Resolver<'_>, tally: &Tally, first: &Entry, then: &Entry, one: ExactlyOne) -> Option<Settling> {
    let (of_first, of_then) = (ranged(tally, first), ranged(tally, then));
    let from_above = of_then.iter().filter_map(|part| part.at_most(first, then, one));
    let from_below = of_first.iter().filter_map(|part| part.at_least(first, then, &of_then));
    // The first of equals is the first by the alphabet.
    let (_, part, bound) =
        from_above.chain(from_below).reduce(|best, next| if next.0 < best.0 { next } else { best })?;
    Some(Settling {
        first: first.name.clone(),
        then: then.name.clone(),
        material: part.material.clone(),
        substance: names.substance(part.substance)?.name.clone(),
        bound,
    })
}

/// A figure with how much of what is open it cuts away, from 0 to 1, and the part that it is of.
type Found<'p> = (Exact, &'p Ranged, Bound);

/// What a part of a material gives to an entry, over all its ways in.
struct Ranged {
    material: SmolStr,
    substance: DeclId,
    /// How much of the material there is, in percent of the whole.
    of: Exact,
    /// The least and the most of it, in percent of the whole.
    least: Exact,
    most: Exact,
    /// What the other parts leave at their least, in percent of the whole, where the part is no more than that.
    room: Option<Exact>,
}

/// The parts of an entry that are not known to the figure, by material and substance.
fn ranged(tally: &Tally, entry: &Entry) -> Vec<Ranged> {
    let mut found: BTreeMap<(SmolStr, DeclId), Ranged> = BTreeMap::new();
    let key = entry.name.to_lowercase();
    let is_open = |given: &&Given| given.key == key && !given.share.is_point();
    for given in tally.given.base.iter().filter(is_open) {
        let Some(substance) = given.substance else { continue };
        let none = || Ranged {
            material: given.material.clone(),
            substance,
            of: Exact::ZERO,
            least: Exact::ZERO,
            most: Exact::ZERO,
            room: given.room.as_ref().map(|_| Exact::ZERO),
        };
        let part = found.entry((given.material.clone(), substance)).or_insert_with(none);
        part.of = &part.of + &given.of;
        part.least = &part.least + &given.share.low;
        part.most = &part.most + &given.share.high;
        part.room = part.room.as_ref().zip(given.room.as_ref()).map(|(sum, room)| sum + room);
    }
    found.into_values().collect()
}

impl Ranged {
    /// The most there may be of a part of the second, so that it is no more than the first at its least, or that nothing
    /// binds it.
    fn at_most(&self, first: &Entry, then: &Entry, one: ExactlyOne) -> Option<Found<'_>> {
        let free = Some(Exact::ONE).filter(|most| !one.binds(most));
        let share = free.map_or_else(|| first.share.low.clone(), |free| free.max(first.share.low.clone()));
        let figure = &share - &(&then.share.high - &self.most);
        // Less than is surely there settles nothing, and what is in it at all is not none of it.
        let most = self.of_material(&figure)?;
        let can_be = figure >= self.least && most >= finest();
        can_be.then(|| Some((self.cut(&(&self.most - &figure))?, self, Bound::AtMost(most))))?
    }

    /// The least there has to be of a part of the first, so that the second is no more. Where the second is what that part
    /// leaves in the same material, each percent more of the one is one less of the other.
    fn at_least(&self, first: &Entry, then: &Entry, of_then: &[Ranged]) -> Option<Found<'_>> {
        let rest = &first.share.low - &self.least;
        let alone = &then.share.high - &rest;
        let left = of_then.iter().filter(|part| part.material == self.material).filter_map(|part| {
            let open = &(&then.share.high - &part.most) + part.room.as_ref()?;
            (&(&open - &rest) + &self.least).over(&Exact::whole(2))
        });
        let figure = left.fold(alone, Exact::min);
        let least = self.of_material(&figure)?;
        let can_be = figure <= self.most && least.up_to_step(&Exact::ratio(1, 100)) <= self.of_material(&self.most)?;
        can_be.then(|| Some((self.cut(&(&figure - &self.least))?, self, Bound::AtLeast(least))))?
    }

    fn of_material(&self, share: &Exact) -> Option<Exact> {
        (share * &Exact::HUNDRED).over(&self.of)
    }

    fn cut(&self, away: &Exact) -> Option<Exact> {
        away.over(&(&self.most - &self.least))
    }
}
