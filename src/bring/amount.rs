//! The amount that a cell states: a figure with its unit, the rest, or what nobody could weigh.

use super::number::{DecimalMarks, begins_a_figure, figure_at_start, fraction_at_start};
use super::words::{after_rest, after_up_to, bare};
use crate::quantity::Exact;
use crate::syntax::LOOSE_MEASURES;

/// The unit of a figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unit {
    /// None is written.
    Unwritten,
    /// Percent by weight.
    Percent,
    /// Grams; other weights are turned into them exactly.
    Grams,
    /// Parts by weight.
    Parts,
    /// Millilitres, which a density makes grams of; other volumes are turned into them exactly.
    Millilitres,
    /// What is no weight: spoons, drops.
    NoWeight(String),
}

/// What a cell states.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Stated {
    /// Nothing.
    Nothing,
    /// A figure.
    Figure(Exact, Unit),
    /// What is left up to a total, where one is named.
    Rest(Option<(Exact, Unit)>),
    /// As much as the pH takes.
    ToPh,
    /// Something else.
    Unread,
}

/// An amount, with what was not sure about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Amount {
    /// What is stated.
    pub stated: Stated,
    /// Why it may be otherwise.
    pub doubts: Vec<String>,
    /// What stands behind the figure and its unit, and is no part of them.
    pub left_over: String,
    /// The unit that the heading of its column tells.
    pub heading: Option<Unit>,
}

impl Amount {
    /// An amount that is not read, and why.
    pub fn unread(why: &str) -> Amount {
        Amount { doubts: vec![why.to_string()], ..Amount::of(Stated::Unread) }
    }

    fn of(stated: Stated) -> Amount {
        Amount { stated, doubts: Vec::new(), left_over: String::new(), heading: None }
    }

    /// Whether the text is an amount and nothing else.
    pub fn is_whole(&self) -> bool {
        self.left_over.is_empty() && !matches!(self.stated, Stated::Nothing | Stated::Unread)
    }
}

const ABOUT: &[&str] = &[
    "ca.",
    "ca",
    "circa",
    "approx.",
    "approx",
    "about",
    "around",
    "~",
    "≈",
    "etwa",
    "ungefähr",
    "env.",
    "environ",
    "c.",
    "+/-",
    "±",
];
const AT_MOST: &[&str] = &["<=", "<", "≤", "max.", "max", "up to", "at most", "bis", "until"];
const AT_LEAST: &[&str] = &[">=", ">", "≥", "min.", "min", "at least", "from", "ab"];
const BETWEEN: &[&str] = &["--", "-", "–", "—", "to", "bis", "..", "…", "à", "a", "/"];

/// Reads a cell. Blanks may set thousands apart where `blanks` says so.
pub fn amount(cell: &str, marks: DecimalMarks, blanks: bool) -> Amount {
    let text = bare(cell);
    let text = without_leaders(text.trim());
    if text.is_empty() {
        return Amount::of(Stated::Nothing);
    }
    if let Some(rest) = rest(text, marks) {
        return rest;
    }
    if let Some(reading) = unit_first(text, marks) {
        return reading;
    }
    let (prefix, body) = before_figure(text);
    let Some((value, mut doubts, after)) = figure(body, marks, blanks) else { return Amount::of(Stated::Unread) };
    let joined_on = after.starts_with(char::is_alphabetic);
    let after = after.trim_start();
    doubts.extend(prefix);
    let (other, after) = other_end(after, marks);
    // The unit of a range stands at its end, or at both of its figures.
    let (unit, after) = unit(after);
    let (second, after) = if other.is_none() { other_end(after, marks) } else { (None, after) };
    let after = if second.is_some() { self::unit(after).1 } else { after };
    if let Some(high) = other.or(second) {
        doubts.push(format!("the table has a range, up to {high}; the lower end is taken"));
    }
    if joined_on && matches!(unit, UnitRead::Times(Unit::Unwritten, _)) && after.starts_with(char::is_alphabetic) {
        return Amount::of(Stated::Unread);
    }
    let stated = match unit {
        UnitRead::Times(unit, factor) => Stated::Figure(&value * &factor, unit),
        UnitRead::Ounces => {
            doubts.push("ounces are read as those of weight, 28.349523125 g each".into());
            Stated::Figure(&value * &Exact::ratio(28_349_523_125, 1_000_000_000), Unit::Grams)
        }
    };
    Amount { doubts, left_over: after.trim().to_string(), ..Amount::of(stated) }
}

/// A cell without the dots or strokes that lead to its figure: they are no part of it.
fn without_leaders(text: &str) -> &str {
    const LEADERS: [char; 4] = ['.', '…', '·', '_'];
    let rest = text.trim_start_matches(LEADERS);
    let led = text.chars().take_while(|letter| LEADERS.contains(letter)).count();
    if led > 1 || text.starts_with('…') { rest.trim_start() } else { text }
}

/// A percent sign before the figure: `% 2,5`.
fn unit_first(text: &str, marks: DecimalMarks) -> Option<Amount> {
    let after = text.strip_prefix('%')?;
    let (value, doubts, rest) = figure(after.trim_start(), marks, false)?;
    let left_over = rest.trim().to_string();
    Some(Amount { doubts, left_over, ..Amount::of(Stated::Figure(value, Unit::Percent)) })
}

/// The words for the rest, and what they are to come to.
fn rest(text: &str, marks: DecimalMarks) -> Option<Amount> {
    if matches!(text, "to ph" | "ph") || text.starts_with("to ph ") || text.starts_with("ph ") {
        return Some(Amount { left_over: String::new(), ..Amount::of(Stated::ToPh) });
    }
    if let Some(after) = after_rest(text) {
        let after = after.trim();
        if after.contains("ph") {
            return Some(Amount::of(Stated::ToPh));
        }
        let after = after_up_to(after).unwrap_or(after);
        let total = total(after, marks);
        let left_over = if after.is_empty() || total.is_some() { String::new() } else { after.to_string() };
        return Some(Amount { left_over, ..Amount::of(Stated::Rest(total)) });
    }
    // `to 100`, `ad 250 g`: a total, where `up to 2` is a bound.
    let (value, unit) = total(after_up_to(text)?, marks)?;
    let is_total = unit == Unit::Grams || value == Exact::HUNDRED;
    is_total.then(|| Amount::of(Stated::Rest(Some((value, unit)))))
}

/// A figure with its unit and nothing else.
fn total(text: &str, marks: DecimalMarks) -> Option<(Exact, Unit)> {
    let (value, _, after) = figure(text.trim_start_matches(['(', '[']), marks, true)?;
    let (unit, after) = unit(after.trim_start());
    match unit {
        UnitRead::Times(unit, factor) if after.trim_matches([')', ']', ' ', '.']).is_empty() => {
            Some((&value * &factor, unit))
        }
        _ => None,
    }
}

/// What stands before a figure, and what that means for it.
fn before_figure(text: &str) -> (Option<String>, &str) {
    let found = |words: &[&str]| {
        let after = words.iter().filter_map(|word| Some((word.len(), text.strip_prefix(word)?)));
        after
            .filter(|(_, rest)| begins_a_figure(rest.trim_start()))
            .max_by_key(|(length, _)| *length)
            .map(|(_, rest)| rest.trim_start())
    };
    if let Some(rest) = found(ABOUT) {
        return (Some("the table has the figure as a rough one".into()), rest);
    }
    if let Some(rest) = found(AT_MOST) {
        return (Some("the table has a most; the figure is taken as it stands".into()), rest);
    }
    if let Some(rest) = found(AT_LEAST) {
        return (Some("the table has a least; the figure is taken as it stands".into()), rest);
    }
    if let Some(rest) = found(&["+"]) {
        return (Some("a plus stands before the figure; it is taken as it stands".into()), rest);
    }
    match text.strip_prefix(['–', '—', ':', '=']).or_else(|| text.strip_prefix("- ")) {
        Some(rest) => (None, rest.trim_start()),
        None => (None, text),
    }
}

/// The figure at the beginning of a text, its doubt, and what follows.
fn figure(text: &str, marks: DecimalMarks, blanks: bool) -> Option<(Exact, Vec<String>, &str)> {
    if let Some((number, after)) = fraction_at_start(text) {
        return Some((number.value, number.doubt.into_iter().collect(), after));
    }
    let (written, after) = text.split_at_checked(figure_at_start(text, blanks))?;
    let number = marks.read(written)?;
    Some((number.value, number.doubt.into_iter().collect(), after))
}

/// The other end of a range, as it is written, and what follows.
fn other_end(text: &str, marks: DecimalMarks) -> (Option<String>, &str) {
    let ends = BETWEEN.iter().filter_map(|between| text.strip_prefix(between));
    for after in ends {
        let after = after.trim_start();
        let end = figure_at_start(after, false);
        if let Some((written, after)) = after.split_at_checked(end)
            && marks.read(written).is_some()
        {
            return (Some(written.to_string()), after.trim_start());
        }
    }
    (None, text)
}

/// A unit as it is read.
enum UnitRead {
    /// One of ours, so many times.
    Times(Unit, Exact),
    /// Ounces, of weight or of volume.
    Ounces,
}

/// The unit at the beginning of a text, and what follows.
fn unit(text: &str) -> (UnitRead, &str) {
    let one = |unit: Unit, after| (UnitRead::Times(unit, Exact::ONE), after);
    for percent in
        ["% w/w", "% (w/w)", "%w/w", "% wt", "wt%", "wt.%", "wt %", "%", "percent", "per cent", "prozent", "pct"]
    {
        if let Some(after) = text.strip_prefix(percent) {
            return one(Unit::Percent, after);
        }
    }
    let length = text.find(|c: char| !c.is_alphabetic() && c != '.' && c != '-').unwrap_or(text.len());
    let (word, after) = text.split_at_checked(length).unwrap_or((text, ""));
    let times = |unit: Unit, factor: Exact| (UnitRead::Times(unit, factor), after);
    match word.trim_end_matches('.') {
        "g" | "gr" | "gm" | "gms" | "gram" | "grams" | "gramm" | "gramme" | "grammes" | "gramos" | "grammi" => {
            one(Unit::Grams, after)
        }
        "mg" => times(Unit::Grams, Exact::ratio(1, 1000)),
        "kg" | "kilo" | "kilos" => times(Unit::Grams, Exact::whole(1000)),
        "lb" | "lbs" => times(Unit::Grams, Exact::ratio(45_359_237, 100_000)),
        "oz" | "ounce" | "ounces" => (UnitRead::Ounces, after),
        "ml" | "cc" | "millilitre" | "millilitres" | "milliliter" | "milliliters" => one(Unit::Millilitres, after),
        "cl" => times(Unit::Millilitres, Exact::whole(10)),
        "dl" => times(Unit::Millilitres, Exact::whole(100)),
        "l" | "litre" | "litres" | "liter" | "liters" => times(Unit::Millilitres, Exact::whole(1000)),
        "ppm" => times(Unit::Percent, Exact::ratio(1, 10_000)),
        "part" | "parts" | "pt" | "pts" | "teil" | "teile" | "partes" | "parti" => one(Unit::Parts, after),
        no_weight if is_no_weight(no_weight) => one(Unit::NoWeight(no_weight.to_string()), after),
        _ => one(Unit::Unwritten, text),
    }
}

/// Whether a word measures, and weighs nothing.
fn is_no_weight(word: &str) -> bool {
    const MORE: &[&str] = &[
        "fl-oz",
        "floz",
        "tr",
        "tropfen",
        "trpf",
        "gouttes",
        "goutte",
        "gotas",
        "gocce",
        "druppels",
        "el",
        "tl",
        "msp",
        "messerspitze",
        "tsp",
        "tbsp",
        "tbs",
        "cas",
        "cac",
        "pinch",
        "prise",
        "dash",
        "pcs",
        "stück",
        "capsule",
        "capsules",
    ];
    MORE.contains(&word) || LOOSE_MEASURES.contains(&word)
}
