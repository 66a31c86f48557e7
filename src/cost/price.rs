//! A price: what it has to be to leave a margin, or what one that is given leaves.

use crate::quantity::Exact;

/// What a price has to carry beside the container. All in percent.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shares {
    /// What is paid of the price, tax included.
    pub fee: Exact,
    /// The tax on top of the net price.
    pub vat: Exact,
}

/// A price, and what becomes of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Price {
    /// Whether there is one: not where margin and fees together leave nothing for the container.
    pub possible: bool,
    /// Without tax.
    pub net: Option<Exact>,
    /// With tax, as it comes out.
    pub paid: Option<Exact>,
    /// What is asked for: brought up to the coin where it was reckoned, as it stands where it was given.
    pub asked: Option<Exact>,
    /// What is left of what is asked for, once tax, fees and the container are paid.
    pub left: Option<Exact>,
    /// That in percent of the net price asked for.
    pub margin: Option<Exact>,
}

/// One and so many percent.
fn with(percent: &Exact) -> Exact {
    &Exact::ONE + &percent.hundredth()
}

impl Price {
    /// The price that leaves a margin, in percent of the net price; brought up to the coin, so that it leaves no less.
    #[must_use]
    pub fn for_margin(container: &Exact, margin: &Exact, shares: &Shares, coin: &Exact) -> Price {
        let fees = &shares.fee.hundredth() * &with(&shares.vat);
        let stays = &(&Exact::ONE - &margin.hundredth()) - &fees;
        if !stays.is_positive() {
            return Price::default();
        }
        let net = container.over(&stays);
        let paid = net.as_ref().map(|net| net * &with(&shares.vat));
        let asked = paid.as_ref().map(|paid| paid.up_to_step(coin));
        let given = asked.map(|asked| Price::given(container, &asked, shares)).unwrap_or_default();
        Price { net, paid, ..given }
    }

    /// What a price that is given, tax included, leaves.
    #[must_use]
    pub fn given(container: &Exact, paid: &Exact, shares: &Shares) -> Price {
        let net = paid.over(&with(&shares.vat));
        let fee = paid * &shares.fee.hundredth();
        let left = net.as_ref().map(|net| &(net - container) - &fee);
        let margin = left.as_ref().zip(net.as_ref()).and_then(|(left, net)| (left * &Exact::HUNDRED).over(net));
        Price { possible: net.is_some(), net, paid: Some(paid.clone()), asked: Some(paid.clone()), left, margin }
    }
}

#[cfg(test)]
mod tests {
    use super::{Price, Shares};
    use crate::quantity::Exact;
    use proptest::prelude::*;

    #[test]
    fn margin_and_fees_that_leave_nothing_make_no_price() {
        let cent = Exact::ratio(1, 100);
        let price = |margin, fee, vat| {
            let shares = Shares { fee: Exact::whole(fee), vat: Exact::whole(vat) };
            Price::for_margin(&Exact::whole(2), &Exact::whole(margin), &shares, &cent)
        };
        assert!(!price(100, 0, 0).possible && !price(90, 10, 0).possible);
        // 5 % of a price with 20 % tax on it is 6 % of the net price.
        assert!(!price(94, 5, 20).possible);
        let near = price(93, 5, 20);
        assert_eq!((near.net, near.asked), (Some(Exact::whole(200)), Some(Exact::whole(240))));
        assert_eq!(price(60, 0, 0).asked, Some(Exact::whole(5)));
    }

    proptest! {
        #[test]
        fn a_price_for_a_margin_gives_the_margin_back(
            cost in 1i64..1_000_000, below in 1i64..1000, margin in 0i64..95, fee in 0i64..4, vat in 0i64..26,
        ) {
            let container = Exact::ratio(cost, below);
            let shares = Shares { fee: Exact::whole(fee), vat: Exact::whole(vat) };
            let coin = Exact::ratio(1, 100);
            let price = Price::for_margin(&container, &Exact::whole(margin), &shares, &coin);
            if let Some(paid) = &price.paid {
                let given = Price::given(&container, paid, &shares);
                prop_assert_eq!(given.margin, Some(Exact::whole(margin)));
                prop_assert_eq!(&given.net, &price.net);
                // What is asked for leaves no less, and is no coin too much.
                let asked = price.asked.unwrap();
                prop_assert!(price.margin.unwrap() >= Exact::whole(margin));
                prop_assert!(asked >= *paid && &asked - &coin < *paid);
                prop_assert!((&asked * &Exact::HUNDRED).decimals() == Some(0));
            } else {
                prop_assert!(margin as f64 / 100.0 + fee as f64 / 100.0 * (1.0 + vat as f64 / 100.0) >= 1.0 - 1e-9);
            }
        }
    }
}
