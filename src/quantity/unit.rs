//! Units, their dimensions, and their exact size in the base unit of the dimension.

use super::Exact;
use std::fmt;

/// What kind of thing a figure measures. Figures of different dimensions never mix silently.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// A bare number.
    Plain,
    /// A share by weight, in percent.
    Percent,
    /// A share by weight in volume, in percent: grams in 100 mL.
    PercentWeightInVolume,
    /// A share by volume, in percent.
    PercentByVolume,
    /// A weight, in grams.
    Mass,
    /// Parts of a whole, by weight.
    Parts,
    /// A volume, in millilitres.
    Volume,
    /// Weight per volume, in grams per millilitre.
    Density,
    /// Grams per mole.
    MolarMass,
    /// Moles per litre.
    Molarity,
    /// Moles per kilogram.
    Molality,
    /// Degrees Celsius.
    Temperature,
    /// A span of time, in seconds.
    Time,
    /// A span of calendar months; never mixed with seconds, since months differ.
    Months,
    /// Money; currencies never mix.
    Money,
}

impl Dimension {
    /// The dimension in trade words, with its article: "a weight".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Dimension::Plain => "a plain number",
            Dimension::Percent => "a percentage",
            Dimension::PercentWeightInVolume => "a percentage by weight in volume",
            Dimension::PercentByVolume => "a percentage by volume",
            Dimension::Mass => "a weight",
            Dimension::Parts => "parts",
            Dimension::Volume => "a volume",
            Dimension::Density => "a density",
            Dimension::MolarMass => "a molar mass",
            Dimension::Molarity => "moles per litre",
            Dimension::Molality => "moles per kilogram",
            Dimension::Temperature => "a temperature",
            Dimension::Time => "a time",
            Dimension::Months => "a time in months",
            Dimension::Money => "money",
        }
    }
}

impl Dimension {
    /// What else is to be known of figures of this dimension; empty where nothing is.
    #[must_use]
    pub fn remark(self) -> &'static str {
        match self {
            Dimension::PercentWeightInVolume => "1 % w/v = 1 g in 100 mL; for strengths only",
            Dimension::PercentByVolume | Dimension::Molarity => "for strengths only",
            Dimension::Molality => "the acid groups of a polymer; 1 mmol/g = 1 mol/kg",
            Dimension::Parts => "a proportion by weight",
            Dimension::Temperature => "a sheet prints °C",
            Dimension::Months => "by the calendar; never mixed with days: months differ",
            Dimension::Money => "an ISO 4217 code; currencies never mix",
            _ => "",
        }
    }
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// A unit of measure as the language writes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// No unit at all.
    None,
    /// `%`, by weight.
    Percent,
    /// `ppm`, parts per million by weight.
    Ppm,
    /// `% w/v`.
    PercentWeightInVolume,
    /// `% v/v`.
    PercentByVolume,
    /// `mg`.
    Milligram,
    /// `g`.
    Gram,
    /// `kg`.
    Kilogram,
    /// `oz`, avoirdupois.
    Ounce,
    /// `lb`, avoirdupois.
    Pound,
    /// `parts`.
    Parts,
    /// `mL`.
    Millilitre,
    /// `L`.
    Litre,
    /// `fl-oz`, of the United States.
    FluidOunce,
    /// `imp-fl-oz`.
    ImperialFluidOunce,
    /// `g/mL`.
    GramPerMillilitre,
    /// `g/L`.
    GramPerLitre,
    /// `g/mol`.
    GramPerMole,
    /// `mol/L`.
    MolePerLitre,
    /// `mol/kg`.
    MolePerKilogram,
    /// `mmol/g`.
    MillimolePerGram,
    /// `°C`.
    Celsius,
    /// `°F`.
    Fahrenheit,
    /// `s`.
    Second,
    /// `min`.
    Minute,
    /// `h`.
    Hour,
    /// `d`.
    Day,
    /// `months`.
    Months,
    /// An ISO 4217 currency code.
    Money([u8; 3]),
}

/// Every unit but money, with the word for it; the first word of a unit is the one the formatter writes.
const WORDS: &[(&str, Unit)] = &[
    ("%", Unit::Percent),
    ("ppm", Unit::Ppm),
    ("% w/v", Unit::PercentWeightInVolume),
    ("% v/v", Unit::PercentByVolume),
    ("mg", Unit::Milligram),
    ("g", Unit::Gram),
    ("kg", Unit::Kilogram),
    ("oz", Unit::Ounce),
    ("lb", Unit::Pound),
    ("parts", Unit::Parts),
    ("mL", Unit::Millilitre),
    ("L", Unit::Litre),
    ("fl-oz", Unit::FluidOunce),
    ("imp-fl-oz", Unit::ImperialFluidOunce),
    ("g/mL", Unit::GramPerMillilitre),
    ("g/L", Unit::GramPerLitre),
    ("g/mol", Unit::GramPerMole),
    ("mol/L", Unit::MolePerLitre),
    ("mol/kg", Unit::MolePerKilogram),
    ("mmol/g", Unit::MillimolePerGram),
    ("°C", Unit::Celsius),
    ("°F", Unit::Fahrenheit),
    ("C", Unit::Celsius),
    ("F", Unit::Fahrenheit),
    ("s", Unit::Second),
    ("min", Unit::Minute),
    ("h", Unit::Hour),
    ("d", Unit::Day),
    ("months", Unit::Months),
    ("month", Unit::Months),
    ("part", Unit::Parts),
];

/// The ISO 4217 codes of currencies in use; funds, metals and test codes left out. Source: ISO 4217, from memory.
const CURRENCIES: &str = "AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN \
BZD CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ GYD HKD \
HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA \
MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF \
SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VED \
VES VND VUV WST XAF XCD XCG XOF XPF YER ZAR ZMW ZWG";

impl Unit {
    /// The unit a word stands for.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Unit> {
        if let Some((_, unit)) = WORDS.iter().find(|(known, _)| *known == word) {
            return Some(*unit);
        }
        if let &[a, b, c] = word.as_bytes()
            && word.bytes().all(|b| b.is_ascii_uppercase())
            && CURRENCIES.split(' ').any(|code| code == word)
        {
            return Some(Unit::Money([a, b, c]));
        }
        None
    }

    /// The words of every unit, for suggestions.
    pub fn words() -> impl Iterator<Item = &'static str> {
        WORDS.iter().map(|(word, _)| *word)
    }

    /// The codes of every currency that is known, for suggestions.
    pub fn currencies() -> impl Iterator<Item = &'static str> {
        CURRENCIES.split(' ')
    }

    /// What the unit measures.
    #[must_use]
    pub fn dimension(self) -> Dimension {
        match self {
            Unit::None => Dimension::Plain,
            Unit::Percent | Unit::Ppm => Dimension::Percent,
            Unit::PercentWeightInVolume => Dimension::PercentWeightInVolume,
            Unit::PercentByVolume => Dimension::PercentByVolume,
            Unit::Milligram | Unit::Gram | Unit::Kilogram | Unit::Ounce | Unit::Pound => Dimension::Mass,
            Unit::Parts => Dimension::Parts,
            Unit::Millilitre | Unit::Litre | Unit::FluidOunce | Unit::ImperialFluidOunce => Dimension::Volume,
            Unit::GramPerMillilitre | Unit::GramPerLitre => Dimension::Density,
            Unit::GramPerMole => Dimension::MolarMass,
            Unit::MolePerLitre => Dimension::Molarity,
            Unit::MolePerKilogram | Unit::MillimolePerGram => Dimension::Molality,
            Unit::Celsius | Unit::Fahrenheit => Dimension::Temperature,
            Unit::Second | Unit::Minute | Unit::Hour | Unit::Day => Dimension::Time,
            Unit::Months => Dimension::Months,
            Unit::Money(_) => Dimension::Money,
        }
    }

    /// A figure in this unit, in the base unit of its dimension: percent, gram, millilitre, gram per
    /// millilitre, degree Celsius, second. Ounces and pounds by the international yard and pound agreement
    /// of 1959; the US fluid ounce as a 128th of 231 cubic inches (NIST Handbook 44, Appendix C); the
    /// imperial one as a 160th of 4.54609 L (UK Units of Measurement Regulations 1995).
    #[must_use]
    pub fn to_base(self, figure: &Exact) -> Exact {
        let (num, den): (i64, i64) = match self {
            Unit::Ppm => (1, 10_000),
            Unit::Milligram | Unit::GramPerLitre => (1, 1000),
            Unit::Kilogram | Unit::Litre => (1000, 1),
            Unit::Ounce => (45_359_237, 1_600_000),
            Unit::Pound => (45_359_237, 100_000),
            Unit::FluidOunce => (295_735_295_625, 10_000_000_000),
            Unit::ImperialFluidOunce => (284_130_625, 10_000_000),
            Unit::Minute => (60, 1),
            Unit::Hour => (3600, 1),
            Unit::Day => (86_400, 1),
            Unit::Fahrenheit => return &(figure - &Exact::whole(32)) * &Exact::ratio(5, 9),
            _ => return figure.clone(),
        };
        figure * &Exact::ratio(num, den)
    }
}

/// The word the formatter writes.
impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unit::None => Ok(()),
            Unit::Money(code) => f.write_str(std::str::from_utf8(code).unwrap_or("")),
            unit => f.write_str(WORDS.iter().find(|(_, known)| known == unit).map_or("", |(word, _)| word)),
        }
    }
}
