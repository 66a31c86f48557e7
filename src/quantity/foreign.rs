//! Units that people write and the language does not have: what they are in those that it has.

use super::Exact;

/// What a word that is no unit of the language comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ForeignUnit {
    /// The same size under another spelling: the unit of the language, and the figure stays.
    Same(&'static str),
    /// Another size: one of it is so many of a unit of the language.
    Sized {
        /// The unit of the language.
        unit: &'static str,
        /// How many of it are one.
        each: Exact,
    },
    /// People mean different things by it: what has to be said.
    Doubtful(&'static str),
}

/// Spellings of one size, small letters; capitals are taken for small ones.
const SAME: &[(&str, &str)] = &[
    ("percent", "%"),
    ("pct", "%"),
    ("ppmw", "ppm"),
    ("gram", "g"),
    ("grams", "g"),
    ("gramme", "g"),
    ("grammes", "g"),
    ("gm", "g"),
    ("gms", "g"),
    ("milligram", "mg"),
    ("milligrams", "mg"),
    ("mgs", "mg"),
    ("kilogram", "kg"),
    ("kilograms", "kg"),
    ("kilo", "kg"),
    ("kilos", "kg"),
    ("kgs", "kg"),
    ("lbs", "lb"),
    ("ccm", "mL"),
    ("mls", "mL"),
    ("millilitre", "mL"),
    ("millilitres", "mL"),
    ("milliliter", "mL"),
    ("milliliters", "mL"),
    ("litre", "L"),
    ("litres", "L"),
    ("liter", "L"),
    ("liters", "L"),
    ("sec", "s"),
    ("secs", "s"),
    ("second", "s"),
    ("seconds", "s"),
    ("mins", "min"),
    ("minute", "min"),
    ("minutes", "min"),
    ("hr", "h"),
    ("hrs", "h"),
    ("hour", "h"),
    ("hours", "h"),
    ("day", "d"),
    ("days", "d"),
    ("celsius", "°C"),
    ("degc", "°C"),
    ("°c", "°C"),
    ("ºc", "°C"),
    ("˚c", "°C"),
    ("℃", "°C"),
    ("fahrenheit", "°F"),
    ("degf", "°F"),
    ("°f", "°F"),
    ("ºf", "°F"),
    ("˚f", "°F"),
    ("℉", "°F"),
];

/// Spellings of another size, small letters: the unit of the language, and how many of it are one. A grain is the
/// 7000th part of the pound of the international yard and pound agreement of 1959.
const SIZED: &[(&str, &str, (i64, i64))] = &[
    ("‰", "%", (1, 10)),
    ("permille", "%", (1, 10)),
    ("promille", "%", (1, 10)),
    ("‱", "%", (1, 100)),
    ("ppb", "ppm", (1, 1000)),
    ("ppq", "ppm", (1, 1_000_000_000)),
    ("microgram", "mg", (1, 1000)),
    ("micrograms", "mg", (1, 1000)),
    ("grain", "mg", (6_479_891, 100_000)),
    ("grains", "mg", (6_479_891, 100_000)),
    ("tonne", "kg", (1000, 1)),
    ("tonnes", "kg", (1000, 1)),
    ("centilitre", "mL", (10, 1)),
    ("centilitres", "mL", (10, 1)),
    ("decilitre", "mL", (100, 1)),
    ("decilitres", "mL", (100, 1)),
    ("microlitre", "mL", (1, 1000)),
    ("microlitres", "mL", (1, 1000)),
    ("week", "d", (7, 1)),
    ("weeks", "d", (7, 1)),
    ("wk", "d", (7, 1)),
    ("wks", "d", (7, 1)),
    ("year", "months", (12, 1)),
    ("years", "months", (12, 1)),
    ("yr", "months", (12, 1)),
    ("yrs", "months", (12, 1)),
];

const GALLON: &str = "Gallons, quarts and pints differ between the United States and Britain: write `mL` or `L`.";
const OUNCE: &str =
    "An ounce by weight is `oz`; a fluid ounce is `fl-oz` in the United States and `imp-fl-oz` in Britain.";
const POUND: &str = "A pound by weight is `lb`; money has its code, `GBP`.";
const MEGA: &str = "Milligrams are `mg`; with a capital M they would be tonnes.";
const MEGALITRE: &str = "Millilitres are `mL`; with a capital M they would be thousands of cubic metres.";

/// Words that are read in more than one way, as they are written.
const DOUBTFUL: &[(&str, &str)] = &[
    ("gr", "`gr` is a gram to some and a grain, 64.79891 mg, to others: write `g` or `mg`."),
    ("grs", "`grs` is grams to some and grains, 64.79891 mg each, to others: write `g` or `mg`."),
    (
        "ppt",
        "`ppt` is parts per thousand to some, 0.1 %, and parts per trillion to others, 0.000001 ppm: write `%` or `ppm`.",
    ),
    ("t", "`t` is a tonne to some and a teaspoon to others: write `kg` or `g`."),
    ("Mg", MEGA),
    ("MG", MEGA),
    ("ML", MEGALITRE),
    ("Ml", MEGALITRE),
    ("ounce", OUNCE),
    ("ounces", OUNCE),
    ("floz", OUNCE),
    ("pound", POUND),
    ("pounds", POUND),
    ("gal", GALLON),
    ("gallon", GALLON),
    ("gallons", GALLON),
    ("qt", GALLON),
    ("quart", GALLON),
    ("quarts", GALLON),
    ("pt", GALLON),
    ("pint", GALLON),
    ("pints", GALLON),
];

/// Prefixes of the International System of Units, and two habits of the trade: `mc` for micro, `dk` for ten.
const PREFIXES: &[(&str, (i64, i64))] = &[
    ("da", (10, 1)),
    ("dk", (10, 1)),
    ("mc", (1, 1_000_000)),
    ("M", (1_000_000, 1)),
    ("k", (1000, 1)),
    ("h", (100, 1)),
    ("d", (1, 10)),
    ("c", (1, 100)),
    ("m", (1, 1000)),
    ("u", (1, 1_000_000)),
    ("n", (1, 1_000_000_000)),
    ("p", (1, 1_000_000_000_000)),
    ("", (1, 1)),
];

/// Volumes without a prefix of their own, in millilitres.
const CUBES: &[(&str, (i64, i64))] =
    &[("cc", (1, 1)), ("cm3", (1, 1)), ("dm3", (1000, 1)), ("mm3", (1, 1000)), ("m3", (1_000_000, 1))];

#[derive(Clone, Copy, PartialEq, Eq)]
enum MeasureKind {
    Weight,
    Volume,
    Amount,
}

/// What a word comes to that is no unit of the language; none where that is not known.
#[must_use]
pub fn reading(word: &str) -> Option<ForeignUnit> {
    // The sign for micro has two code points, and a keyboard often neither.
    let word: String = word.chars().map(plain).collect();
    if let Some((_, said)) = DOUBTFUL.iter().find(|(known, _)| *known == word) {
        return Some(ForeignUnit::Doubtful(said));
    }
    if let Some(found) = of_the_system(&word) {
        return Some(found);
    }
    let lower = word.to_lowercase();
    if let Some((_, unit)) = SAME.iter().find(|(known, _)| *known == lower) {
        return Some(ForeignUnit::Same(unit));
    }
    if let Some((_, unit, (num, den))) = SIZED.iter().find(|(known, _, _)| *known == lower) {
        return Some(ForeignUnit::Sized { unit, each: Exact::ratio(*num, *den) });
    }
    // A single letter by another case is another unit to somebody: a capital G, S or H.
    let same = super::Unit::words().find(|known| known.to_lowercase() == lower)?;
    (same.chars().count() > 1).then_some(ForeignUnit::Same(same))
}

/// One spelling for signs that look the same.
fn plain(sign: char) -> char {
    match sign {
        'µ' | 'μ' => 'u',
        'ℓ' => 'L',
        '³' => '3',
        sign => sign,
    }
}

/// Whether a word is put together as units of the International System are, so that a near word is another size.
#[must_use]
pub fn is_put_together(word: &str) -> bool {
    let word: String = word.chars().map(plain).collect();
    word.contains('/') || simple(&word).is_some() || word.to_lowercase().starts_with("pp")
}

/// Grams, litres and moles with any prefix, and one of them in another.
fn of_the_system(word: &str) -> Option<ForeignUnit> {
    let Some((over, under)) = word.split_once('/') else {
        let (kind, size) = simple(word)?;
        return match kind {
            MeasureKind::Weight if size < Exact::ONE => Some(sized("mg", &size, (1, 1000))),
            MeasureKind::Weight if size < Exact::whole(1000) => Some(sized("g", &size, (1, 1))),
            MeasureKind::Weight => Some(sized("kg", &size, (1000, 1))),
            MeasureKind::Volume if size < Exact::whole(1000) => Some(sized("mL", &size, (1, 1))),
            MeasureKind::Volume => Some(sized("L", &size, (1000, 1))),
            MeasureKind::Amount => None,
        };
    };
    let ((over, top), (under, bottom)) = (simple(over)?, simple(under)?);
    let size = top.over(&bottom)?;
    Some(match (over, under) {
        // A milligram in a kilogram is one part in a million.
        (MeasureKind::Weight, MeasureKind::Weight) if size < Exact::ratio(1, 10_000) => {
            sized("ppm", &size, (1, 1_000_000))
        }
        (MeasureKind::Weight, MeasureKind::Weight) => sized("%", &size, (1, 100)),
        (MeasureKind::Weight, MeasureKind::Volume) if size < Exact::ONE => sized("g/L", &size, (1, 1000)),
        (MeasureKind::Weight, MeasureKind::Volume) => sized("g/mL", &size, (1, 1)),
        (MeasureKind::Weight, MeasureKind::Amount) => sized("g/mol", &size, (1, 1)),
        (MeasureKind::Amount, MeasureKind::Volume) => sized("mol/L", &size, (1, 1000)),
        (MeasureKind::Amount, MeasureKind::Weight) => sized("mol/kg", &size, (1, 1000)),
        _ => return None,
    })
}

/// A size in base units, in a unit that is so many of them.
fn sized(unit: &'static str, size: &Exact, (num, den): (i64, i64)) -> ForeignUnit {
    let each = size * &Exact::ratio(den, num);
    if each == Exact::ONE { ForeignUnit::Same(unit) } else { ForeignUnit::Sized { unit, each } }
}

/// A gram, a litre or a mole with its prefix: what it measures, and its size in grams, millilitres or moles.
fn simple(word: &str) -> Option<(MeasureKind, Exact)> {
    if let Some((_, (num, den))) = CUBES.iter().find(|(known, _)| *known == word) {
        return Some((MeasureKind::Volume, Exact::ratio(*num, *den)));
    }
    let bases = [
        ("mol", MeasureKind::Amount, (1, 1)),
        ("g", MeasureKind::Weight, (1, 1)),
        ("L", MeasureKind::Volume, (1000, 1)),
        ("l", MeasureKind::Volume, (1000, 1)),
    ];
    for (base, kind, (num, den)) in bases {
        let Some(prefix) = word.strip_suffix(base) else { continue };
        if let Some((_, (up, down))) = PREFIXES.iter().find(|(known, _)| *known == prefix) {
            return Some((kind, &Exact::ratio(num, den) * &Exact::ratio(*up, *down)));
        }
    }
    None
}
