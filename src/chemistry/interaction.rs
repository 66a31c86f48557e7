//! Specific ion interaction: what anions do to sodium, for the better of the two activity models.
//!
//! Coefficients ε(Na⁺, anion) in kg/mol at 25 °C of the OECD Nuclear Energy Agency's thermochemical database (volumes
//! on organic ligands, 2005, and on auxiliary data, 2003); the figures are from memory. Where there is none,
//! ε = 0.05 times the charge, as the method of Hummel (2009) has it. Potassium and the cations of amines are counted
//! as sodium, for want of figures.

/// ε(H⁺, Cl⁻): stands for the hydrogen ion and any anion.
pub const HYDROGEN: f64 = 0.12;
/// ε(Na⁺, OH⁻).
pub const HYDROXIDE: f64 = 0.04;
/// ε(Na⁺, Cl⁻): stands for every bare anion of one charge.
pub const CHLORIDE: f64 = 0.03;

/// By CAS number of the acid: its anions of one, two and three charges.
const KNOWN: [(&str, [f64; 3]); 5] = [
    ("64-19-7", [0.08, -0.10, -0.15]),
    ("77-92-9", [-0.05, -0.04, -0.076]),
    ("144-62-7", [-0.07, -0.08, -0.15]),
    ("463-79-6", [0.0, -0.08, -0.15]),
    ("7664-38-2", [-0.08, -0.15, -0.25]),
];

/// The published coefficients of an acid's anions.
#[must_use]
pub fn of_acid(cas: &str) -> Option<&'static [f64; 3]> {
    KNOWN.iter().find(|(known, _)| *known == cas).map(|(_, coefficients)| coefficients)
}

/// What stands in where nothing is published.
#[must_use]
pub fn usual(charge: f64) -> f64 {
    -0.05 * charge.abs()
}
