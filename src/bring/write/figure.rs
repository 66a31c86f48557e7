//! Figures as the language writes them.

use crate::quantity::Exact;

/// More decimals, or digits in all, are no figure that a maker reads.
const MOST_DECIMALS: u32 = 18;
const MOST_DIGITS: usize = 28;

/// A percentage as the language writes it; none where it has too many digits.
pub(super) fn percent(value: &Exact) -> Option<String> {
    decimal(value).map(|value| format!("{value} %")).or_else(|| fraction(value))
}

/// A percentage that no decimal says, as one whole number over another.
fn fraction(value: &Exact) -> Option<String> {
    let text = value.to_fraction();
    let (over, under) = text.split_once('/')?;
    let fits = [over, under].iter().all(|part| part.len() <= MOST_DIGITS / 2);
    fits.then(|| format!("({over} / {under} * 1 %)"))
}

fn decimal(value: &Exact) -> Option<String> {
    let decimals = value.decimals().filter(|decimals| *decimals <= MOST_DECIMALS)?;
    let text = value.to_fixed(decimals);
    let whole = text.split('.').next().unwrap_or("").len();
    (whole <= 15 && text.bytes().filter(u8::is_ascii_digit).count() <= MOST_DIGITS).then_some(text)
}

/// A weight in grams as the language writes it; none where it has too many digits.
pub(super) fn grams(value: &Exact) -> Option<String> {
    decimal(value).map(|value| format!("{value} g"))
}

/// A weight as an exact share of a whole: a plain percentage where one says it, else the two weights.
pub(super) fn share(value: &Exact, whole: &Exact) -> Option<String> {
    let exact = (value * &Exact::HUNDRED).over(whole)?;
    match exact.decimals() {
        Some(places) if places <= 6 => percent(&exact),
        _ => match (decimal(value), decimal(whole)) {
            (Some(value), Some(whole)) => Some(format!("({value} / {whole} * 100 %)")),
            _ => fraction(&exact),
        },
    }
}
