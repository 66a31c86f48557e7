//! How wide and how high the letters of a label are, in thousandths of the size of the type.

use unicode_width::UnicodeWidthChar as _;

/// The height of a small o: what the law of the United States measures letters by (21 CFR 701.13(h), from memory), and what
/// the floor for other markets is measured by here. That of Helvetica is 523 and that of Arial 519 (from memory): the lesser
/// counts.
pub const SMALL_O: i64 = 518;

/// The height of a figure. That of Helvetica is 703 and that of Arial 716 (from memory): the lesser counts.
pub const FIGURE: i64 = 700;

/// How wide bold letters are at the most, in thousandths of the plain ones: a small i is 278 to 222 (the font metrics of
/// Helvetica-Bold, from memory).
const BOLD: i64 = 1_253;

/// The widths of the letters from the blank to the tilde, in the font metrics that Adobe published for Helvetica; Arial and
/// Liberation Sans share them (from memory).
const WIDTHS: [i64; 95] = [
    278, 278, 355, 556, 556, 889, 667, 222, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833,
    722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 222, 556, 556, 500, 556,
    556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334,
    260, 334, 584,
];

/// How wide a text is. A letter that is not in the table counts as a wide one of its kind.
#[must_use]
pub fn width(text: &str, bold: bool) -> i64 {
    let all: i64 = text.chars().map(of_letter).sum();
    if bold { all * BOLD / 1_000 } else { all }
}

fn of_letter(letter: char) -> i64 {
    let at = u32::from(letter).checked_sub(32).and_then(|at| usize::try_from(at).ok());
    let known = at.and_then(|at| WIDTHS.get(at)).copied();
    known.unwrap_or_else(|| match letter.width() {
        None | Some(0) => 0,
        Some(1) if letter.is_lowercase() => 611,
        Some(1) => 833,
        Some(_) => 1_000,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_those_of_the_published_metrics() {
        assert_eq!(width(" ", false), 278);
        assert_eq!(width("A", false), 667);
        assert_eq!(width("m", false), 833);
        assert_eq!(width("~", false), 584);
        assert_eq!(width("Aqua", false), 667 + 556 + 556 + 556);
        assert!(width("é", false) >= width("e", false) && width("水", false) == 1_000);
        assert!(width("Aqua", true) > width("Aqua", false));
    }
}
