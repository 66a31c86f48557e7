//! Figures, ranges and times in words that say the same only where they are the same.

use crate::model::{Bound, Duration, MakesSize, PhRange, Scale};
use crate::quantity::{Exact, Interval, Range};

/// Past so many decimals a figure is written as a fraction.
const DECIMALS: u32 = 12;

/// A figure, exactly.
#[must_use]
pub fn figure(of: &Exact) -> String {
    if of.decimals().is_some_and(|decimals| decimals <= DECIMALS) { of.to_significant(28) } else { of.to_fraction() }
}

/// A pH, with one decimal at the least.
#[must_use]
pub fn ph(of: &Exact) -> String {
    if of.decimals() == Some(0) { of.to_fixed(1) } else { figure(of) }
}

/// `3 to 5`, `at least 3`, `at most 5`, each edge written by `each`.
pub fn range(of: &Range<Exact>, each: impl Fn(&Exact) -> String) -> String {
    of.text(each).unwrap_or_else(|| "anything".to_string())
}

/// A range of pH.
#[must_use]
pub fn window(of: &PhRange) -> String {
    range(&of.range, ph)
}

/// A range that a rule or an `ensure` asks for, with its unit.
#[must_use]
pub fn bound(bound: &Bound) -> String {
    let each = |of: &Exact| format!("{}{}", figure(of), bound.mark);
    range(&bound.range, each)
}

/// A strength, or a share: `5`, `3 to 5`.
#[must_use]
pub fn interval(of: &Interval) -> String {
    range(&Range::from(of), Exact::to_fraction)
}

/// A stretch of time.
#[must_use]
pub fn duration(of: &Duration) -> String {
    match of {
        Duration::Months(months) => format!("{} months", figure(months)),
        Duration::Seconds(seconds) => time(seconds),
    }
}

/// Seconds as the largest unit that takes them whole.
#[must_use]
pub fn time(seconds: &Exact) -> String {
    for (unit, size) in [("d", 86_400), ("h", 3_600), ("min", 60)] {
        let whole = seconds.over(&Exact::whole(size)).filter(|count| count.decimals() == Some(0));
        if let Some(count) = whole.filter(Exact::is_positive) {
            return format!("{count} {unit}");
        }
    }
    format!("{} s", figure(seconds))
}

/// `12 x 30 mL plus 4 %`.
#[must_use]
pub fn makes(of: &MakesSize) -> String {
    let count = of.count.as_ref().map(|count| format!("{} x ", figure(count))).unwrap_or_default();
    let each = match (&of.grams, &of.millilitres) {
        (Some(grams), _) => format!("{} g", figure(grams)),
        (None, Some(millilitres)) => format!("{} mL", figure(millilitres)),
        (None, None) => String::new(),
    };
    let plus = of.plus.as_ref().map(|plus| format!(" plus {} %", figure(plus))).unwrap_or_default();
    format!("{count}{each}{plus}")
}

/// `0.01 g up to 600 g`.
#[must_use]
pub fn scale(of: &Scale) -> String {
    match &of.max {
        Some(max) => format!("{} g up to {} g", figure(&of.step), figure(max)),
        None => format!("{} g", figure(&of.step)),
    }
}
