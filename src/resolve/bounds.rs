//! What figures can be. Outside these a figure is a slip of the pen, and whatever rests on it would be wrong.

use super::figure::{Evaluator, capital};
use crate::diagnostic::{Code, Diagnostic, Place, Span};
use crate::quantity::{Exact, Interval, Range};
use crate::syntax::tree::WrittenRange;

/// The least and the most that a figure can be, both in the base unit of its dimension.
pub struct Bounds {
    /// What it is, with its article: "a pH".
    what: &'static str,
    low: Exact,
    high: Exact,
    /// The base unit as it is written after a figure.
    unit: &'static str,
    /// Why nothing is outside.
    because: &'static str,
}

impl Bounds {
    fn new(what: &'static str, (low, high): (i64, i64), unit: &'static str, because: &'static str) -> Bounds {
        Bounds { what, low: Exact::whole(low), high: Exact::whole(high), unit, because }
    }

    /// A pH of something with water in it.
    #[must_use]
    pub fn ph() -> Bounds {
        Bounds::new("a pH", (0, 14), "", "What has water in it lies between pH 0 and 14.")
    }

    /// A pKa. Source: superacids near −20, methane near 50; common textbook figures, from memory.
    #[must_use]
    pub fn pka() -> Bounds {
        Bounds::new("a pKa", (-20, 60), "", "The strongest acids lie near -20, and the weakest near 50.")
    }

    /// The acid groups of a polymer. Source: the lightest acid of one group, formic, has 46.03 g/mol (standard atomic
    /// weights), so 22 mol/kg.
    #[must_use]
    pub fn capacity() -> Bounds {
        Bounds::new("a capacity", (0, 25), " mmol/g", "Not even formic acid has more acid groups in a gram, 22 mmol.")
    }

    /// The logarithm of a stability constant. Source: EDTA holds iron(III) by 10^27.7 (Parkhurst & Appelo, PHREEQC
    /// version 3, database minteq.v4.dat); the upper end is common sense, no source.
    #[must_use]
    pub fn log_k() -> Bounds {
        Bounds::new("a stability constant", (-5, 60), "", "EDTA holds iron by a log K of 28, and few things hold more.")
    }

    /// The negative logarithm of a solubility product. Source: iron(III) hydroxide has 39, mercury sulfide 53 (CRC
    /// Handbook of Chemistry and Physics, from memory).
    #[must_use]
    pub fn pksp() -> Bounds {
        Bounds::new("a pKsp", (-5, 60), "", "Iron hydroxide, hardly dissolved at all, has a pKsp of 39.")
    }

    /// How far a solvent moves a pKa. Source: acetic acid in pure ethanol 10.3, so 5.6 up (from memory).
    #[must_use]
    pub fn pka_moved() -> Bounds {
        Bounds::new("a move of a pKa", (-10, 10), "", "Even pure alcohol moves the pKa of acetic acid by under 6.")
    }

    /// A molar mass. Source: the standard atomic weight of hydrogen is 1.008 (IUPAC); the upper end is common sense, no
    /// source.
    #[must_use]
    pub fn molar_mass() -> Bounds {
        let because = "Nothing is lighter than hydrogen, 1.008 g/mol; the longest polymers have some million.";
        Bounds::new("a molar mass", (1, 1_000_000_000), " g/mol", because)
    }

    /// A density. Source: osmium 22.59 g/mL, air 0.0012 g/mL (CRC Handbook of Chemistry and Physics, from memory).
    #[must_use]
    pub fn density() -> Bounds {
        let low = Exact::ratio(1, 200);
        let because = "Water has 1 g/mL, oils about 0.9 g/mL, and the heaviest metal 22.6 g/mL.";
        Bounds { low, ..Bounds::new("a density", (0, 25), " g/mL", because) }
    }

    /// A temperature at the bench. Common sense, no source: liquid nitrogen at the one end, oils on fire at the other.
    #[must_use]
    pub fn temperature() -> Bounds {
        let because = "Liquid nitrogen is at -196 °C, and above 300 °C oils burn.";
        Bounds::new("a temperature", (-200, 300), " °C", because)
    }

    /// An HLB. Source: 0 to 20 for non-ionic emulsifiers (Griffin, J. Soc. Cosmet. Chem. 1 (1949) 311), 40 for sodium
    /// lauryl sulfate (Davies, Proc. 2nd Int. Congr. Surface Activity (1957) 426); both from memory.
    #[must_use]
    pub fn hlb() -> Bounds {
        let because = "The scale runs from 0 to 20, and to 40 for soaps and sulfates.";
        Bounds::new("an HLB", (0, 40), "", because)
    }

    /// A share of a whole.
    #[must_use]
    pub fn share() -> Bounds {
        Bounds::new("a share", (0, 100), " %", "A whole has a hundred hundredths.")
    }

    /// How much dissolves, of the weight of the solvent. Source: antimony trichloride, near 10 g in 1 g of water, from
    /// memory; nothing that goes on skin comes near it.
    #[must_use]
    pub fn solubility() -> Bounds {
        let because = "Not even the most soluble salts dissolve in a tenth of their weight of water.";
        Bounds::new("a solubility", (0, 1000), " %", because)
    }

    /// Filled over and above the size. Common sense, no source.
    #[must_use]
    pub fn overfill() -> Bounds {
        Bounds::new("an overfill", (0, 100), " %", "For more than twice the size write the size itself.")
    }

    /// A tax on a price. Common sense, no source: no country takes as much as the price itself.
    #[must_use]
    pub fn tax() -> Bounds {
        Bounds::new("a tax", (0, 100), " %", "No country takes as much as the price itself.")
    }

    /// Money that is paid or asked. Common sense, no source.
    #[must_use]
    pub fn money() -> Bounds {
        let because = "Nothing here is paid less than nothing, or a thousand million.";
        Bounds::new("a sum", (0, 1_000_000_000), "", because)
    }

    /// The work on one batch, in seconds. Common sense, no source.
    #[must_use]
    pub fn work() -> Bounds {
        Bounds::new("work", (0, 366 * 86_400), " s", "Nobody works on one batch for over a year.")
    }

    /// The error of a pH meter. Common sense, no source: indicator paper reads to 1.
    #[must_use]
    pub fn meter() -> Bounds {
        Bounds::new("an error of the meter", (0, 2), "", "Meters read to 0.1 or better, and indicator paper to 1.")
    }

    /// A water activity.
    #[must_use]
    pub fn water_activity() -> Bounds {
        Bounds::new("a water activity", (0, 1), "", "Pure water has 1.")
    }

    /// A charge of an ion. Common sense, no source: no ion of the trade has more than a few.
    #[must_use]
    pub fn charge() -> Bounds {
        Bounds::new("a charge", (-8, 8), "", "Ions carry one charge, or a few.")
    }

    /// A shelf life in months. Common sense, no source.
    #[must_use]
    pub fn months() -> Bounds {
        Bounds::new("a shelf life", (0, 600), " months", "Nothing keeps for over 50 years that goes on skin.")
    }

    /// A shelf life in seconds.
    #[must_use]
    pub fn shelf_life() -> Bounds {
        let because = "Nothing keeps for over 50 years that goes on skin.";
        Bounds::new("a shelf life", (0, 18_263 * 86_400), " s", because)
    }

    /// The time that a thing is left to itself within one batch, in seconds. Common sense, no source.
    #[must_use]
    pub fn wait() -> Bounds {
        let because = "No batch is left to itself for over a year.";
        Bounds::new("a wait", (0, 366 * 86_400), " s", because)
    }

    /// Whether a figure can be.
    fn holds(&self, value: &Exact) -> bool {
        *value >= self.low && *value <= self.high
    }

    /// The fault of a figure that cannot be, where it is one.
    #[must_use]
    pub fn fault(&self, place: Place, value: &Exact) -> Option<Diagnostic> {
        if self.holds(value) {
            return None;
        }
        let (low, high, unit) = (self.said(&self.low), self.said(&self.high), self.unit_said());
        let message = format!("{} of {}{unit} is outside {low} to {high}{unit}.", capital(self.what), self.said(value));
        let help = format!("{} Check the figure and its unit.", self.because);
        Some(Diagnostic::new(Code::FigureImpossible, place, message).help(help))
    }

    /// Seconds are told in days.
    fn said(&self, value: &Exact) -> String {
        match self.unit {
            " s" => value.over(&Exact::whole(86_400)).unwrap_or(Exact::ZERO).to_significant(6).to_string(),
            _ => value.to_string(),
        }
    }

    fn unit_said(&self) -> &'static str {
        if self.unit == " s" { " d" } else { self.unit }
    }
}

impl Evaluator<'_> {
    /// A figure that can be; one that cannot is told of.
    pub fn within(
        &self,
        bounds: &Bounds,
        span: Span,
        value: Option<Exact>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Exact> {
        let value = value?;
        match bounds.fault(Place { file: self.file, span }, &value) {
            Some(fault) => {
                faults.push(fault);
                None
            }
            None => Some(value),
        }
    }

    /// The ends of a range that can be; one that cannot is told of.
    pub fn ends_within(
        &self,
        bounds: &Bounds,
        range: &WrittenRange,
        ends: Option<Range<Exact>>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Range<Exact>> {
        let ends = ends?;
        let before = faults.len();
        for (end, written) in [(&ends.low, &range.low), (&ends.high, &range.high)] {
            let span = written.as_ref().map_or(range.span, |written| written.span());
            self.within(bounds, span, end.clone(), faults);
        }
        (faults.len() == before).then_some(ends)
    }
}

/// The fault of a strength that no material has.
#[must_use]
pub fn strength_fault(place: Place, strength: &Interval) -> Option<Diagnostic> {
    let what = Bounds::share();
    if strength.low.is_negative() {
        return what.fault(place, &strength.low);
    }
    // Where every figure is over 100 %, what they add to is told of.
    (strength.high > Exact::HUNDRED && strength.low <= Exact::HUNDRED).then(|| {
        let message =
            format!("The strength may be as high as {} %, more than there is.", strength.high.to_significant(6));
        Diagnostic::new(Code::StrengthOver100, place, message).help("Check the figures against the supplier's papers.")
    })
}

/// The fault of a figure that is nought and may not be.
pub(super) fn zero(place: Place, what: &str) -> Diagnostic {
    Diagnostic::new(Code::AmountZero, place, format!("{what} of nought means nothing."))
        .help("Write the figure, or leave the field out.")
}
