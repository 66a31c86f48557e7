//! Money: a figure and its currency, which never mixes with another.

use super::Exact;
use std::fmt;

/// A currency by its ISO 4217 code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Currency([u8; 3]);

/// Currencies whose coins are the whole unit. Source: ISO 4217, table A.1, from memory.
const WHOLE: &str = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF";
/// Currencies with thousandths. Source: ISO 4217, table A.1, from memory.
const THOUSANDTHS: &str = "BHD IQD JOD KWD LYD OMR TND";

impl Currency {
    /// The code that ISO 4217 has for no currency at all.
    pub const NONE: Currency = Currency(*b"XXX");

    /// The currency of three letters that are known for a code, as a unit of money has them.
    #[must_use]
    pub fn new(code: [u8; 3]) -> Currency {
        Currency(code)
    }

    /// Its code: `EUR`.
    #[must_use]
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or("")
    }

    /// How many decimals its smallest coin has.
    #[must_use]
    pub fn decimals(self) -> u32 {
        let is_of = |list: &str| list.split(' ').any(|code| code == self.code());
        match () {
            () if is_of(WHOLE) => 0,
            () if is_of(THOUSANDTHS) => 3,
            () => 2,
        }
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// So much of a currency.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Money {
    /// How much, exactly.
    pub amount: Exact,
    /// Of what.
    pub currency: Currency,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_coin_has_the_decimals_of_its_currency() {
        for (code, decimals) in [(*b"EUR", 2), (*b"JPY", 0), (*b"KWD", 3), (*b"XOF", 0), (*b"MGA", 2)] {
            assert_eq!(Currency::new(code).decimals(), decimals, "{}", Currency::new(code));
        }
    }
}
