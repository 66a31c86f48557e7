//! The order of a declaration over random boxes: none that is proven is falsified by any composition within the
//! intervals, and it is proven wherever any order is.

use proptest::prelude::*;
use stillroom::label::{Entry, ExactlyOne, Part, in_order};
use stillroom::quantity::{Exact, Interval};

/// Tenths of a percent: few enough that edges touch often.
fn tenths(of: i64) -> Exact {
    Exact::ratio(of, 10)
}

fn entry(number: usize, low: i64, high: i64, part: Part) -> Entry {
    Entry {
        name: format!("Entry {number}"),
        substances: Vec::new(),
        part,
        share: Interval::new(tenths(low), tenths(high)),
        sure: true,
    }
}

fn an_entry() -> impl Strategy<Value = (i64, i64, Part)> {
    let part = prop_oneof![8 => Just(Part::Ordered), 1 => Just(Part::Colourant), 1 => Just(Part::Allergen)];
    let width = prop_oneof![3 => Just(0_i64), 2 => 0..4_i64, 1 => 0..30_i64];
    (0..40_i64, width, part).prop_map(|(low, width, part)| (low, low + width, part))
}

fn a_line(most: usize) -> impl Strategy<Value = Vec<Entry>> {
    prop::collection::vec(an_entry(), 1..=most).prop_map(|boxes| {
        boxes.into_iter().enumerate().map(|(number, (low, high, part))| entry(number, low, high, part)).collect()
    })
}

fn one() -> impl Strategy<Value = ExactlyOne> {
    prop_oneof![Just(ExactlyOne::Bound), Just(ExactlyOne::Free)]
}

/// Whether the law allows a line of shares: whoever is bound in this composition is behind nobody that weighs less, be
/// that one bound or not. The law itself, with no interval in it.
fn is_lawful(shares: &[Exact], one: ExactlyOne) -> bool {
    (0..shares.len()).all(|then| {
        let is_bound = one.binds(&shares[then]);
        !is_bound || shares[..then].iter().all(|before| *before >= shares[then])
    })
}

/// The compositions at all ends of the intervals: what is unlawful anywhere in a box is so at one of its corners.
fn corners(line: &[Entry]) -> impl Iterator<Item = Vec<Exact>> + '_ {
    (0..1_u32 << line.len()).map(|corner| {
        let end = |(at, entry): (usize, &Entry)| match corner >> at & 1 {
            0 => entry.share.low.clone(),
            _ => entry.share.high.clone(),
        };
        line.iter().enumerate().map(end).collect()
    })
}

/// All orders of so many.
fn permutations(of: usize) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new()];
    for next in 0..of {
        all = all
            .into_iter()
            .flat_map(|line: Vec<usize>| {
                (0..=line.len()).map(move |at| {
                    let mut longer = line.clone();
                    longer.insert(at, next);
                    longer
                })
            })
            .collect();
    }
    all
}

fn by_weight(line: &[Entry]) -> Vec<Entry> {
    line.iter().filter(|entry| matches!(entry.part, Part::Ordered | Part::Free)).cloned().collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4000, failure_persistence: None, ..ProptestConfig::default() })]

    /// A composition anywhere in the box, and each corner of it.
    #[test]
    fn no_composition_falsifies_a_proven_order(
        line in a_line(8),
        one in one(),
        within in prop::collection::vec(0..=8_i64, 8),
    ) {
        let ordered = in_order(line, one);
        let weighed = by_weight(&ordered.entries);
        let inside: Vec<Exact> = weighed
            .iter()
            .zip(&within)
            .map(|(entry, at)| {
                &entry.share.low + &(&(&entry.share.high - &entry.share.low) * &Exact::ratio(*at, 8))
            })
            .collect();
        if ordered.unproven.is_empty() {
            prop_assert!(is_lawful(&inside, one));
            for corner in corners(&weighed) {
                prop_assert!(is_lawful(&corner, one), "{weighed:?}");
            }
        }
    }

    /// Each pair that is named can be falsified: none is named in vain.
    #[test]
    fn each_pair_that_is_named_can_stand_the_wrong_way_round(line in a_line(8), one in one()) {
        let ordered = in_order(line, one);
        for (first, then) in ordered.unproven {
            let (first, then) = (&ordered.entries[first], &ordered.entries[then]);
            let worst = [first.share.low.clone(), then.share.high.clone()];
            prop_assert!(!is_lawful(&worst, one), "{first:?} {then:?}");
        }
    }

    /// It is proven exactly where any order of the same entries is lawful at every corner.
    #[test]
    fn it_is_proven_wherever_any_order_is(line in a_line(5), one in one()) {
        let weighed = by_weight(&line);
        let any = permutations(weighed.len()).into_iter().any(|order| {
            let moved: Vec<Entry> = order.iter().map(|at| weighed[*at].clone()).collect();
            corners(&moved).all(|corner| is_lawful(&corner, one))
        });
        prop_assert_eq!(in_order(line, one).unproven.is_empty(), any);
    }

    /// The order they come in makes no difference, and nothing is lost on the way.
    #[test]
    fn the_order_they_come_in_makes_no_difference(line in a_line(8), one in one(), turn in 0..8_usize) {
        let mut turned = line.clone();
        turned.rotate_left(turn % line.len());
        turned.reverse();
        let (ordered, again) = (in_order(line.clone(), one), in_order(turned, one));
        prop_assert_eq!(&ordered.entries, &again.entries);
        prop_assert_eq!(ordered.unproven, again.unproven);
        prop_assert_eq!(ordered.entries.len(), line.len());
        let parts: Vec<Part> = ordered.entries.iter().map(|entry| entry.part).collect();
        prop_assert!(parts.is_sorted(), "{parts:?}");
    }
}
