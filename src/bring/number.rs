//! A figure as people write it: decimal points and commas, thousands apart.

use crate::quantity::Exact;

/// The most digits of a figure: as many as the language takes.
const MOST_DIGITS: usize = 28;

/// Which decimal marks the figures of a table show beyond doubt.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct DecimalMarks {
    /// Some figure has a decimal comma: `2,5`.
    pub comma: bool,
    /// Some figure has a decimal point: `2.5`.
    pub point: bool,
}

/// A figure as it is read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Number {
    /// What it comes to.
    pub value: Exact,
    /// What else it may be.
    pub doubt: Option<String>,
}

/// The longest beginning of a text that is written as a figure: digits with marks between; its length in bytes.
/// Blanks count as thousands apart where `blanks` says so.
pub fn figure_at_start(text: &str, blanks: bool) -> usize {
    let mut end = 0;
    for (at, letter) in text.char_indices() {
        let after = text.get(at + letter.len_utf8()..).unwrap_or("");
        match letter {
            '0'..='9' => end = at + 1,
            '.' | ',' if after.starts_with(|c: char| c.is_ascii_digit()) => {}
            '\'' | '\u{2019}' | '\u{a0}' | '\u{202f}' | '\u{2009}' if end > 0 && is_group(after) => {}
            ' ' if blanks && end > 0 && is_group(after) => {}
            _ => break,
        }
    }
    end
}

/// A fraction at the beginning of a text, alone or behind a whole number: `1/2`, `1 1/2`, `½`, `1½`. What it comes to,
/// and what follows it.
pub fn fraction_at_start(text: &str) -> Option<(Number, &str)> {
    let (whole, after) = text.split_at_checked(digits_at_start(text))?;
    let gap = after.trim_start_matches([' ', '\u{a0}', '\u{202f}', '\u{2009}']);
    if let Some((part, rest)) = sign_of_a_fraction(gap) {
        return Some((with_whole(whole, &part, None)?, rest));
    }
    if !whole.is_empty()
        && gap.len() < after.len()
        && let Some((part, doubt, rest)) = with_a_stroke(gap)
    {
        return Some((with_whole(whole, &part, doubt)?, rest));
    }
    let (part, doubt, rest) = with_a_stroke(text)?;
    Some((with_whole("", &part, doubt)?, rest))
}

/// Whether a text begins with a figure: a digit, a decimal mark, a sign of a fraction.
pub fn begins_a_figure(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',') || sign_of_a_fraction(text).is_some()
}

fn digits_at_start(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// A whole number and a part of one. A high number before a fraction may be the end of a name, as in `Polysorbate 80`.
fn with_whole(whole: &str, part: &Exact, doubt: Option<String>) -> Option<Number> {
    const MOST_WHOLE: i64 = 16;
    if whole.is_empty() {
        return Some(Number { value: part.clone(), doubt });
    }
    let number = plain(whole).filter(|_| whole.len() <= MOST_DIGITS)?.value;
    let high = (&number - &Exact::whole(MOST_WHOLE)).is_positive();
    let value = &number + part;
    let doubt = high.then(|| format!("{whole} and the fraction behind it are read as one figure")).or(doubt);
    Some(Number { value, doubt })
}

/// A fraction that is one sign: `½`.
fn sign_of_a_fraction(text: &str) -> Option<(Exact, &str)> {
    let mut letters = text.chars();
    let (over, under) = match letters.next()? {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    };
    Some((Exact::ratio(over, under), letters.as_str()))
}

/// A fraction with a stroke, `1/2`, its doubt and what follows. Halves, quarters, eighths and sixteenths are nothing
/// else; `2/3` could be a range too, and `10/20` is one.
fn with_a_stroke(text: &str) -> Option<(Exact, Option<String>, &str)> {
    let (over, after) = text.split_at_checked(digits_at_start(text))?;
    let after = after.strip_prefix(['/', '\u{2044}'])?;
    let (under, rest) = after.split_at_checked(digits_at_start(after))?;
    let mut follows = rest.chars();
    let goes_on = match follows.next() {
        Some('/') => true,
        Some('.' | ',') => follows.next().is_some_and(|c| c.is_ascii_digit()),
        _ => false,
    };
    let (numerator, denominator) = (over.parse::<i64>().ok()?, under.parse::<i64>().ok()?);
    let is_fraction = (1..=15).contains(&numerator) && numerator < denominator && denominator <= 16 && !goes_on;
    let plainly = matches!(denominator, 2 | 4 | 8 | 16) && numerator % 2 == 1;
    let doubt = format!("`{over}/{under}` is read as a fraction; it may be from {over} to {under}");
    is_fraction.then(|| (Exact::ratio(numerator, denominator), (!plainly).then_some(doubt), rest))
}

/// Whether exactly three digits follow.
fn is_group(after: &str) -> bool {
    let digits = after.bytes().take_while(u8::is_ascii_digit).count();
    digits == 3
}

impl DecimalMarks {
    /// Takes note of what one figure shows.
    pub fn see(&mut self, figure: &str) {
        let figure = joined(figure);
        let mark = match (figure.matches(',').count(), figure.matches('.').count()) {
            (1, 0) => ',',
            (0, 1) => '.',
            (0, _) | (_, 0) => return,
            _ => match figure.rfind([',', '.']).and_then(|at| figure.get(at..)) {
                Some(tail) if tail.starts_with(',') => ',',
                _ => '.',
            },
        };
        let both = figure.contains(',') && figure.contains('.');
        let Some((before, after)) = figure.rsplit_once(mark) else { return };
        if both || !may_be_thousands(before, after) {
            *(if mark == ',' { &mut self.comma } else { &mut self.point }) = true;
        }
    }

    /// Reads a figure; none where it is none.
    pub fn read(self, figure: &str) -> Option<Number> {
        let figure = joined(figure);
        if figure.bytes().filter(u8::is_ascii_digit).count() > MOST_DIGITS {
            return None;
        }
        let (commas, points) = (figure.matches(',').count(), figure.matches('.').count());
        match (commas, points) {
            (0, 0) => plain(&figure),
            (0, 1) => self.one_mark(&figure, '.', self.point, self.comma),
            (1, 0) => self.one_mark(&figure, ',', self.comma, self.point),
            (0, _) | (_, 0) => {
                let mark = if commas > 0 { ',' } else { '.' };
                grouped(&figure, mark).and_then(|whole| plain(&whole))
            }
            _ => {
                let decimal = if figure.rfind(',') > figure.rfind('.') { ',' } else { '.' };
                let thousands = if decimal == ',' { '.' } else { ',' };
                let (whole, part) = figure.rsplit_once(decimal)?;
                let whole = grouped(whole, thousands)?;
                plain(&format!("{whole}.{part}"))
            }
        }
    }

    fn one_mark(self, figure: &str, mark: char, as_decimal: bool, other_decimal: bool) -> Option<Number> {
        let (before, after) = figure.split_once(mark)?;
        let decimal = format!("{}.{after}", if before.is_empty() { "0" } else { before });
        let whole = format!("{before}{after}");
        if !may_be_thousands(before, after) || as_decimal && !other_decimal {
            return plain(&decimal);
        }
        if other_decimal && !as_decimal {
            return plain(&whole);
        }
        // A lone point is mostly a decimal one, a lone comma before three digits mostly sets thousands apart.
        let (taken, other) = if mark == '.' { (&decimal, &whole) } else { (&whole, &decimal) };
        let doubt = format!("`{figure}` is read as {taken}; it may be {other}");
        plain(taken).map(|number| Number { doubt: Some(doubt), ..number })
    }
}

fn may_be_thousands(before: &str, after: &str) -> bool {
    after.len() == 3 && (1..=3).contains(&before.len()) && !before.starts_with('0')
}

/// The digits of a figure whose thousands are set apart by a mark; none where they are not.
fn grouped(figure: &str, mark: char) -> Option<String> {
    let mut groups = figure.split(mark);
    let first = groups.next()?;
    let fits = (1..=3).contains(&first.len()) && groups.all(|group| group.len() == 3);
    fits.then(|| figure.replace(mark, ""))
}

/// The figure without blanks and apostrophes.
fn joined(figure: &str) -> String {
    figure.chars().filter(|c| c.is_ascii_digit() || matches!(c, '.' | ',')).collect()
}

fn plain(decimal: &str) -> Option<Number> {
    Exact::parse(decimal).map(|value| Number { value, doubt: None })
}
