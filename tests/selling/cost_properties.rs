//! Costs of any formula: parts add to the whole exactly, and a dearer pack never makes a batch cheaper.

use crate::common::checked;
use proptest::prelude::*;
use std::fmt::Write as _;
use stillroom::cost::{Cost, of};
use stillroom::quantity::Exact;
use stillroom::sheet::BatchOrder;

/// A formula of some materials, one of them in a premix too, with prices in cents.
#[derive(Clone, Debug)]
struct Any {
    /// For each material: its price in cents, grams in the small pack, by how much the large pack is larger, and whether
    /// it has a price.
    prices: Vec<(i64, i64, i64, bool)>,
    /// Its tenths of a percent.
    shares: Vec<i64>,
    count: i64,
    overfill: i64,
    loss: i64,
    labour: i64,
    fee: i64,
    each: i64,
    jar: i64,
    adjuster: Option<i64>,
}

fn formulas() -> impl Strategy<Value = Any> {
    let prices = prop::collection::vec((0i64..5000, 1i64..900, 1i64..4000, prop::bool::weighted(0.8)), 3..6);
    let shares = prop::collection::vec(1i64..150, 6);
    let figures = (1i64..40, 0i64..6, 0i64..20, 0i64..400, 0i64..5000, 0i64..90, 0i64..300);
    (prices, shares, figures, prop::option::of(0i64..4000)).prop_map(|(prices, shares, figures, adjuster)| {
        let (count, overfill, loss, labour, fee, each, jar) = figures;
        Any { prices, shares, count, overfill, loss, labour, fee, each, jar, adjuster }
    })
}

fn money(cents: i64) -> String {
    format!("{}.{:02} EUR", cents / 100, cents % 100)
}

impl Any {
    fn text(&self) -> String {
        let mut text = String::from("substance s { inci \"S\" }\n");
        for (number, (price, small, more, priced)) in self.prices.iter().enumerate() {
            let _ = writeln!(text, "material m-{number} {{\n  role emollient");
            if *priced {
                let large = money(price * 3 / 2);
                let _ =
                    writeln!(text, "  price {} per {small} g\n  price {large} per {} g", money(*price), small + more);
            }
            text += "}\n";
        }
        if let Some(price) = self.adjuster {
            let _ = writeln!(text, "material lye {{ role emollient\n price {} per 250 g }}", money(price));
        }
        let _ = writeln!(
            text,
            "container jar {{ holds 50 g\n overfill {} %\n price {} per 12 }}",
            self.overfill,
            money(self.jar)
        );
        text += "formula mix { product stock\n makes 100 g\n scale 0.01 g\n phase A { m-1 40 %\n m-2 60 % } }\n";
        let _ = writeln!(
            text,
            "formula f {{\n product leave-on body\n makes {} x 50 g plus 5 %\n scale 0.01 g",
            self.count
        );
        let _ = writeln!(
            text,
            " loss {} %\n labour {} min at 18 EUR per h\n fee {}",
            self.loss,
            self.labour,
            money(self.fee)
        );
        let _ = writeln!(text, " fee {} each\n phase A {{", money(self.each));
        let hold_back = if self.adjuster.is_some() { "  hold back 4 %" } else { "" };
        let _ = writeln!(text, "  m-0 q.s.{hold_back}");
        for (number, share) in self.shares.iter().enumerate().take(self.prices.len()).skip(1) {
            let _ = writeln!(text, "  m-{number} {}.{} %", share / 10, share % 10);
        }
        let _ = writeln!(text, "  mix 5 %");
        if self.adjuster.is_some() {
            text += "  lye q.s. to pH\n";
        }
        text + " }\n}\n"
    }

    fn cost(&self) -> Cost {
        checked(&self.text(), |_, report| {
            let formula = report.formulas.iter().find(|one| one.formula.name == "f").expect("the formula");
            of(&report.resolver, &formula.formula, &BatchOrder::default(), None)
                .unwrap_or_else(|| panic!("{}\n{:#?}", self.text(), report.diagnostics))
        })
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn parts_add_to_the_whole_exactly(any in formulas()) {
        let cost = any.cost();
        let lines: Exact = cost.materials.lines.iter().filter_map(|line| line.cost.as_ref()).sum();
        prop_assert_eq!(&lines, &cost.materials.sum.at);
        for line in cost.materials.lines.iter().filter(|line| !line.parts.is_empty()) {
            let parts: Exact = line.parts.iter().filter_map(|part| part.cost.as_ref()).sum();
            prop_assert_eq!(parts, line.cost.clone().unwrap_or(Exact::ZERO));
            let grams: Exact = line.parts.iter().map(|part| &part.grams).sum();
            prop_assert_eq!(Some(&grams), line.grams.as_ref());
        }
        let grams: Exact = cost.materials.lines.iter().filter_map(|line| line.grams.as_ref()).sum();
        prop_assert_eq!(&grams, &cost.grams);
        let whole = &(&cost.materials.sum.at + &cost.labour_sum) + &cost.fees_sum;
        prop_assert_eq!(&whole, &cost.whole.at);
        let per_gram = cost.per_100g.as_ref().unwrap().at.hundredth();
        prop_assert_eq!(&(&per_gram * &cost.grams), &cost.materials.sum.at);
        let piece = cost.piece.as_ref().unwrap();
        let loss = &cost.grams * &Exact::whole(any.loss).hundredth();
        let filled = &piece.filled.count * &piece.filled.each;
        prop_assert_eq!(&(&(&filled + &piece.filled.remains) + &loss), &cost.grams);
        prop_assert_eq!(&(&piece.filled.count + &piece.filled.short), piece.filled.asked.as_ref().unwrap());
        prop_assert!(!piece.filled.remains.is_negative());
        if let Some(each) = &piece.cost {
            let all = &each.at * &piece.filled.count;
            let own = &(&piece.packing_sum + &piece.fees_sum) * &piece.filled.count;
            prop_assert_eq!(&all, &(&whole + &own));
        } else {
            prop_assert!(piece.filled.count.is_zero());
        }
        prop_assert_eq!(cost.is_complete(), any.prices.iter().all(|(.., priced)| *priced));
        if let Some((low, high)) = &cost.whole.range {
            prop_assert!(low <= &cost.whole.at && &cost.whole.at <= high);
            prop_assert!(any.adjuster.is_some());
        }
    }

    #[test]
    fn a_dearer_pack_never_makes_a_batch_cheaper(any in formulas(), which in any::<prop::sample::Index>(), more in 1i64..500) {
        let before = any.cost();
        let mut dearer = any.clone();
        let at = which.index(dearer.prices.len());
        dearer.prices[at].0 += more;
        let after = dearer.cost();
        prop_assert!(after.whole.at >= before.whole.at);
        let ends = before.whole.range.as_ref().zip(after.whole.range.as_ref());
        prop_assert!(ends.is_none_or(|(before, after)| after.0 >= before.0 && after.1 >= before.1));
        let each = |cost: &Cost| cost.piece.as_ref().and_then(|piece| piece.cost.clone()).map(|each| each.at);
        prop_assert!(each(&after) >= each(&before));
    }
}
