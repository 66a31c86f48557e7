//! What a heading or a cell says of a phase: its letter, its title, how warm it is.

use super::lines::is_sentence;
use super::number::{DecimalMarks, figure_at_start};
use super::words::bare;
use crate::quantity::Exact;

/// A phase as the table names it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PhaseHead {
    /// Its letter or number, in capitals.
    pub letter: Option<String>,
    /// What else it is called.
    pub title: Option<String>,
    /// How warm, in degrees Celsius, as it is written.
    pub warm: Option<Exact>,
    /// Whether it says that it is cooled to that, or heated; none where it says neither.
    pub cools: Option<bool>,
    /// Why it may be meant otherwise: no sign of degrees stands behind the figure, or it is the end of a range.
    pub warm_doubt: Option<String>,
}

impl PhaseHead {
    /// Whether it names a phase, and is no mark or warmth alone.
    pub fn names_one(&self) -> bool {
        self.letter.is_some() || self.title.is_some()
    }
}

const WORDS: &[&str] = &["phase", "fase", "teil", "part"];
const ENDINGS: &[&str] = &["phase", "fase"];

/// A row of its own that opens a phase; none where it is none.
pub fn heading(text: &str) -> Option<PhaseHead> {
    let words = text.split_whitespace().count();
    let lower = bare(text);
    let first = lower.split(|c: char| !c.is_alphanumeric()).next().unwrap_or("");
    let opens = WORDS.contains(&first) && words <= 8;
    let speaks = lower.split(|c: char| !c.is_alphanumeric()).any(|word| ENDINGS.iter().any(|end| word.ends_with(end)));
    let bare_letter = letter_of(first).is_some() && first.len() == lower.trim_end_matches([')', '.']).len();
    (opens || speaks && words <= 6 || bare_letter).then(|| cell(text))
}

/// A row of its own that opens a phase, though a figure ends it: a number of the phase, or a temperature. None where the
/// figure may be an amount.
pub fn heading_with_figure(text: &str) -> Option<PhaseHead> {
    let first = bare(text);
    let first = first.split(|c: char| !c.is_alphanumeric()).next().unwrap_or("");
    let head = match WORDS.contains(&first) {
        true => heading(text)?,
        false => warm_heading(text).or_else(|| heading(text).filter(|head| head.warm.is_some()))?,
    };
    let title = head.title.as_deref().unwrap_or("");
    (!title.contains(|c: char| c.is_ascii_digit())).then_some(head)
}

/// A row of its own that opens a phase by its temperature alone; none where it has none.
pub fn warm_heading(text: &str) -> Option<PhaseHead> {
    const MOST_WORDS: usize = 7;
    let head = cell(text);
    let fits = text.split_whitespace().count() <= MOST_WORDS && !is_sentence(text) && !text.contains('%');
    (head.warm.is_some() && fits).then_some(head)
}

/// What a cell of the column of phases says.
pub fn cell(text: &str) -> PhaseHead {
    let (text, warmth) = without_warmth(text);
    let around = |c: char| {
        c.is_whitespace()
            || matches!(c, '*' | '_' | '#' | ':' | '-' | '–' | '—' | ',' | '.' | '(' | ')' | '|' | '[' | ']')
    };
    let text = text.trim_matches(around);
    let (first, rest) = text.split_once(|c: char| !c.is_alphanumeric()).unwrap_or((text, ""));
    let is_word = WORDS.contains(&first.to_lowercase().as_str());
    let (candidate, after) = match is_word {
        true => rest.trim_start().split_once(|c: char| !c.is_alphanumeric()).unwrap_or((rest.trim_start(), "")),
        false => (first, rest),
    };
    let last = text.rsplit(|c: char| !c.is_alphanumeric()).next().unwrap_or("");
    let (letter, title) = match letter_of(candidate) {
        Some(letter) => (Some(letter), after.trim_matches(around)),
        // `Wasserphase A`
        None if last != text && last.len() < 3 && letter_of(last).is_some() => {
            (letter_of(last), text.strip_suffix(last).unwrap_or(text).trim_matches(around))
        }
        None => (None, text),
    };
    let title = Some(title).filter(|title| !title.is_empty()).map(str::to_string);
    match warmth {
        Some(Warmth { celsius, cools, doubt }) => {
            PhaseHead { letter, title, warm: Some(celsius), cools, warm_doubt: doubt }
        }
        None => PhaseHead { letter, title, ..PhaseHead::default() },
    }
}

/// A letter with or without a digit, a number, or a Roman number, as the name of a phase.
fn letter_of(word: &str) -> Option<String> {
    let capitals = word.to_uppercase();
    let mut letters = capitals.chars();
    let (first, rest) = (letters.next()?, letters.as_str());
    let digits = |text: &str| text.len() <= 2 && text.bytes().all(|byte| byte.is_ascii_digit());
    if first.is_ascii_uppercase() && digits(rest) {
        return Some(capitals);
    }
    if word.bytes().all(|byte| byte.is_ascii_digit()) && word.len() <= 2 {
        return Some(format!("P{word}"));
    }
    let roman = word.len() <= 4 && word.chars().all(|c| matches!(c, 'I' | 'V' | 'X'));
    roman.then_some(capitals)
}

/// A temperature that a heading names.
struct Warmth {
    celsius: Exact,
    cools: Option<bool>,
    doubt: Option<String>,
}

/// What says that a phase is cooled.
const COOLS: &[&str] = &[
    "cool",
    "cools",
    "cooled",
    "cooling",
    "cooldown",
    "abkühlen",
    "abgekühlt",
    "kühlen",
    "abkühlung",
    "refroidir",
    "refroidissement",
    "enfriar",
    "raffreddare",
    "afkoelen",
];
/// What says that a temperature is not to be passed: of what is added when it has cooled.
const BELOW: &[&str] =
    &["below", "under", "unter", "unterhalb", "sous", "bajo", "sotto", "onder", "<", "≤", "less", "than"];
/// What says that a phase is heated.
const HEATS: &[&str] = &[
    "heat",
    "heated",
    "heating",
    "warm",
    "hot",
    "melt",
    "erhitzen",
    "erwärmen",
    "schmelzen",
    "chauffer",
    "calentar",
    "scaldare",
    "verwarmen",
    "heiß",
];
/// What stands between those and the figure.
const AT: &[&str] = &["at", "to", "bei", "auf", "à", "ca.", "ca", "about", "~", "@", "(", "of", "op", "tot"];
/// Up to here nothing is heated that the words call "below".
const COOLED: i64 = 45;

/// Whether words say that something is cooled, or heated, to a temperature.
fn cools(text: &str, celsius: &Exact) -> Option<bool> {
    let lower = text.to_lowercase();
    let mut words = lower.split(|c: char| c.is_whitespace() || matches!(c, '(' | ')' | ',' | ':' | '-' | '–' | '/'));
    let has = |list: &[&str]| words.clone().any(|word| list.contains(&word));
    if has(COOLS) {
        return Some(true);
    }
    if has(HEATS) {
        return Some(false);
    }
    let below = words.any(|word| BELOW.contains(&word) || word.starts_with(['<', '≤']));
    (below && !(celsius - &Exact::whole(COOLED)).is_positive()).then_some(true)
}

/// A text without the words at its end that lead to a temperature, and whether there were any.
fn without_leading_words(text: &str) -> (&str, bool) {
    let mut before = text.trim_end();
    let mut led = false;
    loop {
        let start = before.rfind(|c: char| c.is_whitespace() || c == '(').map_or(0, |at| at + 1);
        let word = before.get(start..).unwrap_or("").to_lowercase();
        let sign = ["<", "≤", "~", "@", "("].iter().find_map(|sign| before.strip_suffix(sign));
        before = match (sign, [COOLS, BELOW, HEATS, AT].iter().any(|list| list.contains(&word.as_str()))) {
            (Some(rest), _) => rest.trim_end(),
            (None, true) => before.get(..start).unwrap_or("").trim_end(),
            (None, false) => return (before, led),
        };
        led = true;
    }
}

/// What stands between the ends of a range of temperatures.
const BETWEEN: &[&str] = &["-", "–", "—", "to", "bis", "à"];

/// A text without the lower end of a range that leads to a temperature, as `70 -` before `75 °C`, and that end.
fn without_lower_end(text: &str) -> (&str, Option<&str>) {
    let found = BETWEEN.iter().find_map(|between| {
        let before = text.trim_end().strip_suffix(between)?.trim_end();
        let bare = before.trim_end_matches(|c: char| c.is_ascii_digit());
        let low = before.get(bare.len()..).filter(|low| (2..=3).contains(&low.len()))?;
        (!bare.ends_with(char::is_alphanumeric)).then_some((bare, low))
    });
    found.map_or((text, None), |(bare, low)| (bare, Some(low)))
}

/// A text without the higher end of a range behind a temperature, as `- 75 °C`, and that end.
fn without_higher_end(text: &str) -> (&str, Option<&str>) {
    let found = BETWEEN.iter().find_map(|between| {
        let after = text.trim_start().strip_prefix(between)?.trim_start();
        let (high, unit) =
            after.split_at_checked(figure_at_start(after, false)).filter(|(high, _)| !high.is_empty())?;
        Some((degrees(unit)?.1, high))
    });
    found.map_or((text, None), |(rest, high)| (rest, Some(high)))
}

/// A temperature without a sign of degrees, behind words that lead to one: `cool below 40`.
fn bare_warmth(text: &str) -> Option<(String, Warmth)> {
    let end = text.trim_end_matches(|c: char| c.is_whitespace() || matches!(c, ')' | ':' | '.' | '*' | '_'));
    let start = end
        .rfind(|c: char| !c.is_ascii_digit())
        .map_or(0, |at| at + end.get(at..).and_then(|rest| rest.chars().next()).map_or(1, char::len_utf8));
    let (before, figure) = end.split_at_checked(start)?;
    let celsius = Exact::parse(figure).filter(|_| (2..=3).contains(&figure.len()))?;
    let fits = !(&celsius - &Exact::whole(20)).is_negative() && !(&Exact::whole(110) - &celsius).is_negative();
    let (rest, led) = without_leading_words(before);
    let cools = cools(before, &celsius);
    let doubt = Some(format!("its {figure} are read as {figure} °C"));
    (fits && led && cools.is_some()).then(|| (rest.to_string(), Warmth { celsius, cools, doubt }))
}

/// The text without a temperature, and that in degrees Celsius.
fn without_warmth(text: &str) -> (String, Option<Warmth>) {
    for (at, _) in text.char_indices().filter(|(_, letter)| letter.is_ascii_digit()) {
        if text
            .get(..at)
            .is_some_and(|before| before.ends_with(|c: char| c.is_alphanumeric() || matches!(c, '.' | ',')))
        {
            continue;
        }
        let Some(after) = text.get(at..) else { continue };
        let end = figure_at_start(after, false);
        let (Some(figure), Some(unit)) = (after.get(..end), after.get(end..)) else { continue };
        let Some((celsius, rest)) = degrees(unit) else { continue };
        let Some(number) = (DecimalMarks { comma: true, point: true }).read(figure) else { continue };
        let value = match celsius {
            true => number.value,
            false => &(&number.value - &Exact::whole(32)) * &Exact::ratio(5, 9),
        };
        let before = text.get(..at).unwrap_or("").trim_end();
        let cools = cools(before, &value);
        let (before, low) = without_lower_end(before);
        let (rest, high) = without_higher_end(rest);
        let (before, _) = without_leading_words(before);
        let end = low
            .or(high)
            .map(|other| format!("`{other}` and `{figure}` are the ends of a range; `{figure}` is written"));
        let rest = rest.trim_start_matches(')');
        return (format!("{before} {rest}"), Some(Warmth { celsius: value, cools, doubt: end }));
    }
    match bare_warmth(text) {
        Some((text, warmth)) => (text, Some(warmth)),
        None => (text.to_string(), None),
    }
}

/// Whether a text begins with a sign of degrees, of Celsius or of Fahrenheit, and what follows.
fn degrees(text: &str) -> Option<(bool, &str)> {
    let text = text.trim_start();
    let of = |signs: &[&str]| {
        let found = signs.iter().find_map(|sign| text.strip_prefix(sign));
        found.filter(|rest| !rest.starts_with(char::is_alphanumeric))
    };
    of(&["°C", "° C", "ºC", "º C", "℃", "C", "°c", "deg C"])
        .map(|rest| (true, rest))
        .or_else(|| of(&["°F", "° F", "ºF", "F"]).map(|rest| (false, rest)))
        .or_else(|| of(&["°", "º"]).map(|rest| (true, rest)))
}
