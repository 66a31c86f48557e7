//! The shelf's table of ethanol in water, for strengths by volume.

use crate::quantity::Exact;

/// Percent by weight, and density at 20 °C in units of 0.0001 g/mL. Source: International Critical Tables and
/// the CRC Handbook, from memory; up to 60 % cross-checked within 0.0003 g/mL against a correlation.
const DENSITY: &[(i64, i64)] = &[
    (0, 9982),
    (5, 9893),
    (10, 9819),
    (15, 9751),
    (20, 9686),
    (25, 9617),
    (30, 9538),
    (40, 9352),
    (50, 9138),
    (60, 8911),
    (70, 8677),
    (80, 8434),
    (90, 8180),
    (95, 8042),
    (96, 8014),
    (100, 7893),
];

/// The density of pure ethanol, in the table's unit.
const PURE: i64 = 7893;

/// Ethanol in percent by weight from percent by volume at 20 °C, straight between the rows of the table; none
/// over 100 %.
///
/// The volume of ethanol in 100 mL of mixture is its weight there over the density of pure ethanol:
/// percent by volume = percent by weight × density of the mixture ÷ density of ethanol.
#[must_use]
pub fn ethanol_by_weight(by_volume: &Exact) -> Option<Exact> {
    let volume = |(weight, density): (i64, i64)| Exact::ratio(weight * density, PURE);
    for pair in DENSITY.windows(2) {
        let &[below, above] = pair else { continue };
        let (from, to) = (volume(below), volume(above));
        if *by_volume >= from && *by_volume <= to {
            let share = (by_volume - &from).over(&(&to - &from))?;
            return Some(&Exact::whole(below.0) + &(&share * &Exact::whole(above.0 - below.0)));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_of_the_table_come_back() {
        // 70 % by weight: 70 × 0.8677 / 0.7893 = 76.95 % by volume.
        let by_volume = Exact::ratio(70 * 8677, 7893);
        assert_eq!(ethanol_by_weight(&by_volume), Some(Exact::whole(70)));
        assert_eq!(ethanol_by_weight(&Exact::HUNDRED), Some(Exact::HUNDRED));
        assert_eq!(ethanol_by_weight(&Exact::whole(101)), None);
    }
}
