//! Facts of practice about single substances that no field of the language holds.

use crate::quantity::Exact;

/// An acid that preserves by its free form, and the least of that form, in percent of the batch, that does it.
#[derive(Debug)]
pub struct FreeAcid {
    /// Its CAS number.
    pub cas: &'static str,
    /// Its INCI name.
    pub inci: &'static str,
    /// Its pKa in hundredths, for a substance that states none.
    pka: i64,
    /// The least free acid, in thousandths of a percent.
    least: i64,
    /// Who says so.
    pub source: &'static str,
}

/// Where no paper gives a figure: what the least usual rate leaves free at the top of the pH in which it is said to
/// work, a little rounded down. Rates and pH are those of the shelf's own preservatives.
const BY_RATE: &str = "from the least usual rate at the top of its working pH; common practice, no source";

const FREE_ACIDS: &[FreeAcid] = &[
    FreeAcid {
        cas: "65-85-0",
        inci: "Benzoic Acid",
        pka: 420,
        // 0.190 % is needed at pH 5.2, where 9.1 % of it is free.
        least: 17,
        source: "J. Soc. Cosmet. Chem. vol 18, 211-212: 0.190 % at pH 5.2, of which 9.1 % is free",
    },
    FreeAcid { cas: "110-44-1", inci: "Sorbic Acid", pka: 476, least: 11, source: BY_RATE },
    FreeAcid { cas: "520-45-6", inci: "Dehydroacetic Acid", pka: 530, least: 25, source: BY_RATE },
    FreeAcid { cas: "69-72-7", inci: "Salicylic Acid", pka: 297, least: 14, source: BY_RATE },
    FreeAcid { cas: "100-09-4", inci: "p-Anisic Acid", pka: 450, least: 9, source: BY_RATE },
    FreeAcid { cas: "123-76-2", inci: "Levulinic Acid", pka: 460, least: 50, source: BY_RATE },
];

impl FreeAcid {
    /// Its pKa.
    #[must_use]
    pub fn pka(&self) -> Exact {
        Exact::ratio(self.pka, 100)
    }

    /// The least free acid that preserves, in percent of the batch.
    #[must_use]
    pub fn least(&self) -> Exact {
        Exact::ratio(self.least, 1000)
    }
}

/// What is known of a substance as an acid preservative. `is` says whether a CAS number, or else an INCI name, is its.
#[must_use]
pub fn free_acid(is: impl Fn(&str, &str) -> bool) -> Option<&'static FreeAcid> {
    FREE_ACIDS.iter().find(|acid| is(acid.cas, acid.inci))
}

/// What metals spoil, by CAS number and INCI name. Source: the project's records of practice, which ask for a chelator
/// with ascorbic acid (its sodium salt with it) and kojic acid, and the notes of the shelf's own materials for the
/// others; common practice, no source.
const METALS_SPOIL: &[(&str, &str)] = &[
    ("50-81-7", "Ascorbic Acid"),
    ("134-03-2", "Sodium Ascorbate"),
    ("501-30-4", "Kojic Acid"),
    ("84650-60-2", "Camellia Sinensis Leaf Extract"),
    ("7377-03-9", "Caprylhydroxamic Acid"),
    ("520-45-6", "Dehydroacetic Acid"),
    ("4418-26-2", "Sodium Dehydroacetate"),
];

/// Whether practice asks for a chelator with a substance. `is` as in [`free_acid`].
#[must_use]
pub fn asks_for_chelator(is: impl Fn(&str, &str) -> bool) -> bool {
    METALS_SPOIL.iter().any(|(cas, inci)| is(cas, inci))
}
