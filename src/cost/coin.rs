//! How a sum is printed: to the coin of its currency.

use crate::quantity::{Currency, Exact};

/// The smallest coin of a currency.
#[must_use]
pub fn coin_of(currency: Currency) -> Exact {
    let tenth = Exact::ratio(1, 10);
    (0..currency.decimals()).fold(Exact::ONE, |coin, _| &coin * &tenth)
}

/// A sum to the coin, half to even.
#[must_use]
pub fn to_coin(sum: &Exact, currency: Currency) -> String {
    sum.to_fixed(currency.decimals())
}

#[cfg(test)]
mod tests {
    use super::{coin_of, to_coin};
    use crate::quantity::{Currency, Exact};

    #[test]
    fn sums_are_printed_to_the_coin_half_to_even() {
        let text = |code: &[u8; 3], num, den| to_coin(&Exact::ratio(num, den), Currency::new(*code));
        assert_eq!(text(b"EUR", 1, 8), "0.12");
        assert_eq!(text(b"EUR", 27, 200), "0.14");
        assert_eq!(text(b"EUR", 3, 1), "3.00");
        assert_eq!(text(b"JPY", 5, 2), "2");
        assert_eq!(text(b"KWD", 1, 16), "0.062");
        assert_eq!(coin_of(Currency::new(*b"JPY")), Exact::ONE);
        assert_eq!(coin_of(Currency::new(*b"EUR")), Exact::ratio(1, 100));
    }
}
