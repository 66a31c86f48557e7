//! One money in another, by a rate that is stated: never two in a row, and never one of a day to come.

use crate::model::Rate;
use crate::quantity::{Currency, Exact, Money};
use smol_str::SmolStr;

/// The sum in the other currency of a rate; none where the sum is in neither, or the other is not asked for.
fn turned(rate: &Rate, money: &Money, into: Currency) -> Option<Exact> {
    let (from, to) = match (rate.of.currency, rate.worth.currency) {
        (from, to) if from == money.currency && to == into => (&rate.of.amount, &rate.worth.amount),
        (to, from) if from == money.currency && to == into => (&rate.worth.amount, &rate.of.amount),
        _ => return None,
    };
    (&money.amount * to).over(from)
}

/// A rate as a maker reads it: `1 EUR = 1.08 USD on 2026-11-02`.
#[must_use]
pub fn rate_words(rate: &Rate) -> String {
    let side = |money: &Money| format!("{} {}", money.amount, money.currency);
    format!("{} = {} on {}", side(&rate.of), side(&rate.worth), rate.on)
}

/// What sums are brought into, and by which rates.
#[derive(Clone, Debug)]
pub struct Exchange {
    /// The currency that is asked for.
    pub into: Currency,
    /// The day that rates are read on.
    pub day: SmolStr,
    rates: Vec<Rate>,
}

impl Exchange {
    /// Rates that are not of a day to come.
    #[must_use]
    pub fn new(into: Currency, day: &str, rates: Vec<Rate>) -> Exchange {
        let mut rates = rates;
        rates.retain(|rate| rate.on.as_str() <= day);
        Exchange { into, day: SmolStr::new(day), rates }
    }

    /// A sum in the currency that is asked for; none where no rate says what it is worth.
    #[must_use]
    pub fn bring(&self, money: &Money) -> Option<Exact> {
        if money.currency == self.into {
            return Some(money.amount.clone());
        }
        turned(self.rate(money.currency)?, money, self.into)
    }

    /// The rate by which sums of a currency are brought over: the latest, and of several of one day the last that stands.
    #[must_use]
    pub fn rate(&self, from: Currency) -> Option<&Rate> {
        let one = Money { amount: Exact::ONE, currency: from };
        self.rates.iter().filter(|rate| turned(rate, &one, self.into).is_some()).max_by(|a, b| a.on.cmp(&b.on))
    }
}

#[cfg(test)]
mod tests {
    use super::Exchange;
    use crate::diagnostic::{FileId, Place, Span};
    use crate::model::Rate;
    use crate::quantity::{Currency, Exact, Money};

    fn currency(code: &str) -> Currency {
        Currency::new(code.as_bytes().try_into().unwrap())
    }

    fn money(num: i64, den: i64, code: &str) -> Money {
        Money { amount: Exact::ratio(num, den), currency: currency(code) }
    }

    fn rate(of: Money, worth: Money, on: &str) -> Rate {
        let place = Place { file: FileId(0), span: Span { start: 0, end: 0 } };
        Rate { of, worth, on: on.into(), place }
    }

    fn brought(rates: &[Rate], into: &str, day: &str, sum: &Money) -> Option<Exact> {
        Exchange::new(currency(into), day, rates.to_vec()).bring(sum)
    }

    #[test]
    fn the_latest_rate_that_is_not_of_a_day_to_come_counts_either_way() {
        let rates = [
            rate(money(1, 1, "EUR"), money(27, 25, "USD"), "2026-11-02"),
            rate(money(1, 1, "USD"), money(9, 10, "EUR"), "2026-11-10"),
        ];
        let fifteen = money(15, 1, "USD");
        assert_eq!(brought(&rates, "EUR", "2026-11-01", &fifteen), None);
        assert_eq!(brought(&rates, "EUR", "2026-11-02", &fifteen), Some(Exact::ratio(125, 9)));
        assert_eq!(brought(&rates, "EUR", "2026-11-10", &fifteen), Some(Exact::ratio(27, 2)));
        assert_eq!(brought(&rates, "USD", "2026-11-10", &money(9, 1, "EUR")), Some(Exact::whole(10)));
        assert_eq!(brought(&[], "USD", "2026-11-10", &fifteen), Some(Exact::whole(15)));
    }

    #[test]
    fn never_two_in_a_row() {
        let rates = [
            rate(money(1, 1, "GBP"), money(6, 5, "EUR"), "2026-11-02"),
            rate(money(1, 1, "EUR"), money(27, 25, "USD"), "2026-11-02"),
        ];
        assert_eq!(brought(&rates, "USD", "2026-11-10", &money(1, 1, "GBP")), None);
        assert_eq!(brought(&rates, "EUR", "2026-11-10", &money(1, 1, "GBP")), Some(Exact::ratio(6, 5)));
    }
}
