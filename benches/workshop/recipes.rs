//! The formulas that the simulated workshops make: what the plan takes for true of them, and what is.

use super::physics::Truly;

/// An acid or base: as the shelf has it, and by other tables.
#[derive(Clone, Copy, Debug)]
pub struct Active {
    /// Its pKa as the plan has them.
    pub pka: &'static [f64],
    /// In truth. The pKa are of other tables than the shelf's (CRC Handbook, Merck Index; heats by Goldberg, Kishore and
    /// Lennen 2002; all from memory).
    pub truly: Truly,
    /// Grams per mol.
    pub molar: f64,
    /// The CAS number, where the program's better model knows it.
    pub cas: &'static str,
}

const fn acid(pka: &'static [f64], other: &'static [f64], heat: &'static [f64], molar: f64) -> Active {
    Active { pka, truly: Truly { pka: other, heat, top_charge: 0.0 }, molar, cas: "" }
}

const GLYCOLIC: Active = acid(&[3.83], &[3.86], &[0.7], 76.05);
const LACTIC: Active = acid(&[3.86], &[3.83], &[-0.4], 90.08);
const MANDELIC: Active = acid(&[3.41], &[3.37], &[0.1], 152.15);
const ASCORBIC: Active = acid(&[4.10, 11.79], &[4.17, 11.57], &[5.0, 20.0], 176.12);
/// Citric acid, also what a basic formula is brought down with.
#[allow(clippy::approx_constant, reason = "a pKa, and nothing round")]
pub const CITRIC: Active =
    Active { cas: "77-92-9", ..acid(&[3.128, 4.761, 6.396], &[3.14, 4.77, 6.39], &[4.07, 2.23, -3.38], 192.12) };
const ARGININE: Active = Active {
    pka: &[1.82, 8.99, 13.8],
    truly: Truly { pka: &[2.03, 9.00, 12.1], heat: &[4.0, 45.0, 50.0], top_charge: 2.0 },
    molar: 174.2,
    cas: "",
};

/// One line: the active, its percent, and the sodium it brings for each mol.
pub type Line = (Active, (f64, f64), f64);

/// A formula.
#[derive(Clone, Copy, Debug)]
pub struct Recipe {
    /// The name that is printed.
    pub name: &'static str,
    /// What takes part in its pH. The first line is what an assay is of.
    pub lines: &'static [Line],
    /// Where the middle of the window lies.
    pub middle: (f64, f64),
    /// Whether it is brought up with sodium hydroxide 10 %, or down with citric acid 20 %.
    pub up: bool,
}

/// All of them.
pub const RECIPES: [Recipe; 6] = [
    Recipe { name: "glycolic gel", lines: &[(GLYCOLIC, (4.0, 10.0), 0.0)], middle: (3.6, 4.2), up: true },
    Recipe {
        name: "lactic serum",
        lines: &[(LACTIC, (2.0, 8.0), 0.0), (LACTIC, (0.5, 2.0), 1.0)],
        middle: (3.6, 4.4),
        up: true,
    },
    Recipe { name: "mandelic toner", lines: &[(MANDELIC, (2.0, 6.0), 0.0)], middle: (3.5, 4.0), up: true },
    Recipe { name: "citrate cream", lines: &[(CITRIC, (0.8, 2.0), 0.0)], middle: (4.6, 5.4), up: true },
    Recipe { name: "ascorbic serum", lines: &[(ASCORBIC, (5.0, 15.0), 0.0)], middle: (3.2, 3.7), up: true },
    Recipe {
        name: "lotion with arginine",
        lines: &[(ARGININE, (0.5, 1.5), 0.0), (LACTIC, (1.0, 3.0), 1.0)],
        middle: (4.8, 5.6),
        up: false,
    },
];
