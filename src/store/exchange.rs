//! One money in another, by a rate that is stated: the latest that is not of a day to come, either way, and never two in a
//! row.

use crate::model::Rate;
use crate::quantity::{Currency, Exact, Money};

/// A sum in another currency; none where no rate says what it is worth.
pub(super) fn bring(rates: &[Rate], into: Currency, day: &str, money: &Money) -> Option<Exact> {
    if money.currency == into {
        return Some(money.amount.clone());
    }
    let leads = |rate: &&Rate| {
        let sides = (rate.of.currency, rate.worth.currency);
        rate.on.as_str() <= day && (sides == (money.currency, into) || sides == (into, money.currency))
    };
    let rate = rates.iter().filter(leads).max_by(|one, other| one.on.cmp(&other.on))?;
    let (from, to) =
        if rate.of.currency == into { (&rate.worth.amount, &rate.of.amount) } else { (&rate.of.amount, &rate.worth.amount) };
    (&money.amount * to).over(from)
}
