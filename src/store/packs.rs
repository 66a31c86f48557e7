//! Which packs to buy: the least money, then the least left over, then the fewest packs. Exact, for any need.
//!
//! Any number of each pack may be bought, and what is bought covers the need: an unbounded knapsack turned over. Be `best`
//! the pack with the lowest price for its content, the largest of equals. Every other pack costs an *excess* over what its
//! content costs in that one. A purchase is then some other packs, with a content R, and as many of the best as are still
//! needed; its money is its excess and, for all that is bought, the best price.
//!
//! - Only R past whole packs of the best matters for how much is bought in all, which is the least amount not below the
//!   need that has the same rest. So a purchase beats all others with that rest by the least excess, then the fewest packs.
//! - Only with the best packs, no more than one of them is left over. So no purchase is worth a look whose excess is that
//!   of one best pack or more: what bounds the search does not grow with the need.
//!
//! Purchases are looked at by their excess, the least first (Dijkstra's search over the rests), so the search ends as soon
//! as no excess that is left can win.

use crate::quantity::Exact;
use rustc_hash::FxHashMap;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// A pack as it is sold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pack {
    /// What is in it; above nought.
    pub holds: Exact,
    /// What it costs; not below nought.
    pub price: Exact,
}

/// What to buy.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Purchase {
    /// How many of each pack, in the order in which the packs were given.
    pub counts: Vec<Exact>,
    /// What all of them cost.
    pub cost: Exact,
    /// What is bought over the need.
    pub over: Exact,
    /// Whether nothing can be cheaper; false where there are more ways than are looked at, and this is the best of those.
    pub proven: bool,
}

/// So many purchases are met with. With packs of round weights a handful is enough; only many packs of nearly one price a
/// gram, whose weights share no measure, need more.
const MAX_MET: usize = 200_000;

/// The purchase that covers a need for the least money, then with the least left over, then in the fewest packs. None where
/// there is no pack.
#[must_use]
pub fn cheapest(need: &Exact, packs: &[Pack]) -> Option<Purchase> {
    if !need.is_positive() {
        return Some(Purchase::nothing(packs.len()));
    }
    let search = Search::over(need, packs)?;
    Some(search.run())
}

impl Purchase {
    fn nothing(packs: usize) -> Purchase {
        Purchase { counts: vec![Exact::ZERO; packs], cost: Exact::ZERO, over: Exact::ZERO, proven: true }
    }
}

/// A pack other than the best.
struct Other {
    /// Its place among the packs as given.
    at: usize,
    /// What is in it.
    holds: Exact,
    /// What it costs over what its content costs in the best pack.
    excess: Exact,
    /// How many packs more it is than its content is in best packs: below nought where it is larger.
    more: Exact,
}

/// Some packs other than the best, ordered by what they cost over it, then by how many packs they are more.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Chosen {
    excess: Exact,
    more: Exact,
    holds: Exact,
    /// How many of each of the others.
    counts: Vec<u32>,
}

/// A purchase by what it is judged by: what it costs, what is bought in all, how many packs that is.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Worth {
    cost: Exact,
    bought: Exact,
    packs: Exact,
}

struct Search<'p> {
    need: &'p Exact,
    packs: &'p [Pack],
    best: usize,
    /// What is in the best pack, and what it costs by its content.
    holds: Exact,
    rate: Exact,
    others: Vec<Other>,
}

impl<'p> Search<'p> {
    fn over(need: &'p Exact, packs: &'p [Pack]) -> Option<Search<'p>> {
        let useful: Vec<usize> = (0..packs.len()).filter(|at| is_useful(packs, *at)).collect();
        let rate_of = |at: &usize| packs.get(*at).and_then(|pack| pack.price.over(&pack.holds));
        let size_of = |at: &usize| packs.get(*at).map(|pack| pack.holds.clone());
        let best = *useful.iter().min_by_key(|at| (rate_of(at), Reverse(size_of(at))))?;
        let (rate, holds) = (rate_of(&best)?, size_of(&best)?);
        let other = |at: usize| {
            let pack = packs.get(at)?;
            Some(Other {
                at,
                holds: pack.holds.clone(),
                excess: &pack.price - &(&pack.holds * &rate),
                more: &Exact::ONE - &pack.holds.over(&holds)?,
            })
        };
        let others = useful.iter().filter(|at| **at != best).filter_map(|at| other(*at)).collect();
        Some(Search { need, packs, best, holds, rate, others })
    }

    fn run(&self) -> Purchase {
        let nothing =
            Chosen { excess: Exact::ZERO, more: Exact::ZERO, holds: Exact::ZERO, counts: vec![0; self.others.len()] };
        let mut best: Option<(Worth, Chosen)> = None;
        // The least content with which each rest was met, by less excess or fewer packs than all that follow.
        let mut met: FxHashMap<Exact, Exact> = FxHashMap::default();
        let mut waiting = BinaryHeap::from([Reverse(nothing)]);
        let mut met_with = 1;
        let mut proven = true;
        while let Some(Reverse(chosen)) = waiting.pop() {
            if best.as_ref().is_some_and(|(worth, _)| self.at_least(&chosen) >= *worth) {
                break;
            }
            if met_with > MAX_MET {
                proven = false;
                break;
            }
            let rest = &chosen.holds - &chosen.holds.down_to_step(&self.holds);
            match met.get(&rest) {
                Some(holds) if *holds <= chosen.holds => continue,
                _ => met.insert(rest, chosen.holds.clone()),
            };
            let worth = self.worth(&chosen);
            if best.as_ref().is_none_or(|(known, _)| worth < *known) {
                best = Some((worth, chosen.clone()));
            }
            // What covers the need by itself only grows dearer with more.
            if chosen.holds < *self.need {
                let more = self.others.iter().enumerate().map(|(at, other)| chosen.with(at, other));
                let wins = |more: &Chosen| best.as_ref().is_none_or(|(known, _)| self.at_least(more) < *known);
                let before = waiting.len();
                waiting.extend(more.filter(wins).map(Reverse));
                met_with += waiting.len() - before;
            }
        }
        best.map_or_else(
            || Purchase::nothing(self.packs.len()),
            |(worth, chosen)| self.purchase(&worth, &chosen, proven),
        )
    }

    /// How many best packs go with what was chosen.
    fn best_with(&self, chosen: &Chosen) -> Exact {
        let short = (self.need - &chosen.holds).max(Exact::ZERO);
        short.up_to_step(&self.holds).over(&self.holds).unwrap_or(Exact::ZERO)
    }

    fn worth(&self, chosen: &Chosen) -> Worth {
        let bought = &chosen.holds + &(&self.best_with(chosen) * &self.holds);
        self.worth_of(chosen, bought)
    }

    /// The best that anything from here on can be: nothing bought beyond the need.
    fn at_least(&self, chosen: &Chosen) -> Worth {
        self.worth_of(chosen, self.need.clone())
    }

    fn worth_of(&self, chosen: &Chosen, bought: Exact) -> Worth {
        let packs = &chosen.more + &bought.over(&self.holds).unwrap_or(Exact::ZERO);
        Worth { cost: &chosen.excess + &(&bought * &self.rate), bought, packs }
    }

    fn purchase(&self, worth: &Worth, chosen: &Chosen, proven: bool) -> Purchase {
        let mut counts = vec![Exact::ZERO; self.packs.len()];
        let others =
            self.others.iter().zip(&chosen.counts).map(|(other, count)| (other.at, Exact::whole((*count).into())));
        for (at, count) in others.chain([(self.best, self.best_with(chosen))]) {
            if let Some(place) = counts.get_mut(at) {
                *place = count;
            }
        }
        Purchase { counts, cost: worth.cost.clone(), over: &worth.bought - self.need, proven }
    }
}

impl Chosen {
    fn with(&self, at: usize, other: &Other) -> Chosen {
        let mut counts = self.counts.clone();
        if let Some(count) = counts.get_mut(at) {
            *count = count.saturating_add(1);
        }
        Chosen {
            excess: &self.excess + &other.excess,
            more: &self.more + &other.more,
            holds: &self.holds + &other.holds,
            counts,
        }
    }
}

/// Whether a pack can be in the best purchase at all: it holds something, and none holds as much for less.
fn is_useful(packs: &[Pack], at: usize) -> bool {
    let Some(pack) = packs.get(at).filter(|pack| pack.holds.is_positive() && !pack.price.is_negative()) else {
        return false;
    };
    !packs.iter().enumerate().any(|(number, other)| {
        let is_cheaper = other.holds >= pack.holds && other.price < pack.price;
        let is_same = other.holds == pack.holds && other.price == pack.price && number < at;
        (is_cheaper || is_same) && other.holds.is_positive() && !other.price.is_negative()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn packs(all: &[(i64, i64)]) -> Vec<Pack> {
        all.iter().map(|(holds, price)| Pack { holds: Exact::whole(*holds), price: Exact::whole(*price) }).collect()
    }

    fn counts(need: i64, all: &[(i64, i64)]) -> Vec<i64> {
        let found = cheapest(&Exact::whole(need), &packs(all)).unwrap();
        assert!(found.proven);
        found.counts.iter().map(|count| count.to_u32().unwrap().into()).collect()
    }

    /// Every purchase with no pack too many, one after the other: what any way of finding the best is held against.
    fn by_brute_force(need: &Exact, packs: &[Pack]) -> (Exact, Exact, i64) {
        fn each(need: &Exact, packs: &[Pack], so_far: (Exact, Exact, i64), best: &mut Option<(Exact, Exact, i64)>) {
            let (cost, holds, count) = so_far;
            if holds >= *need {
                let worth = (cost, &holds - need, count);
                if best.as_ref().is_none_or(|known| worth < *known) {
                    *best = Some(worth);
                }
                return;
            }
            for (at, pack) in packs.iter().enumerate() {
                let with = (&cost + &pack.price, &holds + &pack.holds, count + 1);
                each(need, packs.get(at..).unwrap(), with, best);
            }
        }
        let mut best = None;
        each(need, packs, (Exact::ZERO, Exact::ZERO, 0), &mut best);
        best.unwrap()
    }

    fn worth(found: &Purchase, packs: &[Pack]) -> (Exact, Exact, Exact) {
        let cost: Exact = found.counts.iter().zip(packs).map(|(count, pack)| count * &pack.price).sum();
        let holds: Exact = found.counts.iter().zip(packs).map(|(count, pack)| count * &pack.holds).sum();
        assert_eq!(cost, found.cost);
        (cost, holds, found.counts.iter().sum())
    }

    #[test]
    fn packs_are_mixed_where_that_is_cheaper() {
        assert_eq!(counts(1200, &[(250, 480), (1000, 1500), (5000, 8000)]), [1, 1, 0]);
        assert_eq!(counts(150, &[(100, 320), (500, 900), (1000, 1500)]), [2, 0, 0]);
        assert_eq!(counts(400, &[(100, 320), (500, 900), (1000, 1500)]), [0, 1, 0]);
    }

    #[test]
    fn of_one_price_the_least_is_left_over_and_then_the_fewest_are_bought() {
        assert_eq!(counts(5, &[(5, 10), (10, 10)]), [1, 0]);
        assert_eq!(counts(10, &[(5, 10), (10, 20)]), [0, 1]);
        assert_eq!(counts(15, &[(5, 10), (10, 20)]), [1, 1]);
        // What is given away is taken, and of it the least.
        assert_eq!(counts(3, &[(2, 0), (3, 0), (10, 0)]), [0, 1, 0]);
    }

    #[test]
    fn nothing_needed_is_nothing_bought_and_without_packs_nothing_is_found() {
        assert_eq!(cheapest(&Exact::ZERO, &[]).unwrap().cost, Exact::ZERO);
        assert_eq!(cheapest(&Exact::ONE, &[]), None);
        assert_eq!(cheapest(&Exact::ONE, &packs(&[(0, 1)])), None);
    }

    /// A need of many tons ends as soon as one of a few kilograms, and is as exact.
    #[test]
    fn a_huge_need_is_no_longer_search() {
        let need = Exact::parse("123456789012345678901234567.89").unwrap();
        let packs = packs(&[(100, 320), (499, 1201), (1000, 2400), (1003, 2408)]);
        let found = cheapest(&need, &packs).unwrap();
        assert!(found.proven);
        let (cost, holds, _) = worth(&found, &packs);
        assert!(holds >= need && &holds - &need == found.over && cost == found.cost);
    }

    /// Packs of one price a gram that share no measure are more than can be looked at: it ends, and says so.
    #[test]
    fn what_cannot_be_looked_at_in_full_is_said() {
        let sizes = ["1000003.1", "999983.7", "999979.3", "999961.9", "999959.1", "999953.3", "999931.7", "999907.9"];
        let of = |size: &&str| Exact::parse(size).unwrap();
        let packs: Vec<Pack> = sizes.iter().map(|size| Pack { holds: of(size), price: of(size) }).collect();
        let need = Exact::parse("987654321.123").unwrap();
        let found = cheapest(&need, &packs).unwrap();
        let (_, holds, _) = worth(&found, &packs);
        assert!(!found.proven && holds >= need);
    }

    proptest! {
        /// The money, what is left over and the number of packs are those of the best of all purchases.
        #[test]
        fn it_is_the_least_money_of_all(
            need in 1i64..120,
            all in proptest::collection::vec((5i64..60, 0i64..60), 1..5),
            parts in 1i64..4,
        ) {
            let need = Exact::ratio(need, parts);
            let packs = packs(&all);
            let (cost, over, count) = by_brute_force(&need, &packs);
            let found = cheapest(&need, &packs).unwrap();
            prop_assert!(found.proven);
            let (_, holds, bought) = worth(&found, &packs);
            prop_assert_eq!((found.cost, &holds - &need, bought), (cost, over.clone(), Exact::whole(count)));
            prop_assert_eq!(found.over, over);
        }

        /// So are they with prices near to one another, in which many packs tie.
        #[test]
        fn it_is_the_least_of_near_prices(
            need in 1i64..200,
            all in proptest::collection::vec((8i64..40, -2i64..3), 1..5),
        ) {
            let packs = packs(&all.iter().map(|(holds, more)| (*holds, holds * 3 + more)).collect::<Vec<_>>());
            let need = Exact::whole(need);
            let (cost, over, count) = by_brute_force(&need, &packs);
            let found = cheapest(&need, &packs).unwrap();
            let (_, _, bought) = worth(&found, &packs);
            prop_assert_eq!((found.cost, found.over, bought), (cost, over, Exact::whole(count)));
        }
    }
}
