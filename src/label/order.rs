//! The order of a declaration, and whether it is lawful whatever the shares are within their intervals.
//!
//! It is ordered by the middle of the intervals. That order is provable wherever any is: of two that can be told apart,
//! the heavier has the higher middle.

use super::entry::{Entry, Part};
use crate::quantity::Exact;
use std::cmp::Ordering;

/// What a market says of exactly 1 %.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ExactlyOne {
    /// In neither class: it stands after all above and before all below. Article 19(1)(g) of Regulation (EC) No 1223/2009
    /// frees what is less than 1 %, and binds what is more.
    Bound,
    /// In any order. 21 CFR 701.3(f)(2) frees what is not more than 1 %.
    Free,
}

impl ExactlyOne {
    /// Whether something of which there is at most so much may be one whose place is fixed.
    #[must_use]
    pub fn binds(self, most: &Exact) -> bool {
        match self {
            ExactlyOne::Bound => *most >= Exact::ONE,
            ExactlyOne::Free => *most > Exact::ONE,
        }
    }
}

/// Entries in the order of print, with the pairs whose order is not proven, by their numbers: the first and the second.
#[derive(Clone, Debug)]
pub struct Ordered {
    /// The entries.
    pub entries: Vec<Entry>,
    /// The pairs.
    pub unproven: Vec<(usize, usize)>,
}

/// Brings entries into order: those that may be bound, those that are surely free, allergens, colourants; each by the
/// middle of its interval, and ties by the alphabet. What is neither allergen nor colourant is told anew whether it may
/// be bound.
#[must_use]
pub fn in_order(mut entries: Vec<Entry>, one: ExactlyOne) -> Ordered {
    for entry in &mut entries {
        if matches!(entry.part, Part::Ordered | Part::Free) {
            entry.part = if one.binds(&entry.share.high) { Part::Ordered } else { Part::Free };
        }
    }
    entries.sort_by(|one, other| {
        let heavier = || other.share.middle().cmp(&one.share.middle());
        one.part.cmp(&other.part).then_with(heavier).then_with(|| by_alphabet(&one.name, &other.name))
    });
    let bound: Vec<(usize, &Entry)> = entries.iter().enumerate().filter(|(_, of)| of.part == Part::Ordered).collect();
    let mut unproven = Vec::new();
    for (at, (first, heavier)) in bound.iter().enumerate() {
        let behind = bound.iter().skip(at + 1).filter(|(_, then)| then.share.high > heavier.share.low);
        unproven.extend(behind.map(|(then, _)| (*first, *then)));
    }
    Ordered { entries, unproven }
}

/// Names in the order of the alphabet, whatever their capitals.
#[must_use]
pub(super) fn by_alphabet(one: &str, other: &str) -> Ordering {
    one.to_lowercase().cmp(&other.to_lowercase()).then_with(|| one.cmp(other))
}
