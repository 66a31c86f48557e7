//! What is paid beside materials and containers: work and fees.

use super::exchange::Exchange;
use crate::diagnostic::Place;
use crate::model::{Fee, FeeAmount, Labour, Selling};
use crate::quantity::{Currency, Exact, Money};
use crate::resolve::Resolver;
use crate::syntax::one_blank;
use smol_str::SmolStr;

/// Something that is paid for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Paid {
    /// What for: `labour`, or the reason of a fee.
    pub what: SmolStr,
    /// As it is written.
    pub said: SmolStr,
    /// Where it stands.
    pub place: Place,
    /// In the money it is stated in.
    pub money: Money,
    /// In the currency that is asked for; none where no rate says it.
    pub cost: Option<Exact>,
}

/// What a formula says is paid.
#[derive(Clone, Debug, Default)]
pub(super) struct AllPaid {
    /// The work on a batch.
    pub labour: Vec<Paid>,
    /// What is paid for each batch.
    pub fees: Vec<Paid>,
    /// What is paid for each container.
    pub each: Vec<Paid>,
    /// What is paid of the price, in percent.
    pub of_price: Exact,
}

impl AllPaid {
    pub fn of(resolver: &Resolver<'_>, exchange: &Exchange, selling: &Selling) -> AllPaid {
        let mut all = AllPaid::default();
        let paid = |what: &str, place: Place, money: Money| Paid {
            what: SmolStr::new(what),
            said: one_blank(resolver.sources.at(place)),
            place,
            cost: exchange.bring(&money),
            money,
        };
        all.labour.extend(selling.labour.iter().filter_map(|work| Some(paid("labour", work.place, work.cost()?))));
        for Fee { what, because, place } in &selling.fees {
            let why = because.as_deref().unwrap_or("fee");
            match what {
                FeeAmount::Batch(money) => all.fees.push(paid(why, *place, money.clone())),
                FeeAmount::Each(money) => all.each.push(paid(why, *place, money.clone())),
                FeeAmount::OfPrice(share) => all.of_price = &all.of_price + share,
            }
        }
        all
    }
}

/// The currencies that a formula's own lines are in, in the order they count.
pub(super) fn currencies(selling: &Selling) -> Vec<Currency> {
    use crate::model::Pricing;
    let price = selling.price.as_ref().and_then(|price| match &price.value {
        Pricing::Price(money) => Some(money.currency),
        Pricing::Margin(_) => None,
    });
    let labour = selling.labour.iter().filter_map(Labour::cost).map(|money| money.currency);
    let fees = selling.fees.iter().filter_map(|fee| match &fee.what {
        FeeAmount::Batch(money) | FeeAmount::Each(money) => Some(money.currency),
        FeeAmount::OfPrice(_) => None,
    });
    price.into_iter().chain(labour).chain(fees).collect()
}

/// What is known of several sums, together.
pub(super) fn together(all: &[Paid]) -> Exact {
    all.iter().filter_map(|paid| paid.cost.as_ref()).sum()
}
