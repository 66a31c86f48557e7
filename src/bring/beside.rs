//! Grams beside percent: how much the whole is by them, and which lines do not agree.

use super::amount::{Stated, Unit};
use super::read::TableLine;
use crate::quantity::Exact;

/// What a line says twice.
pub struct Twice {
    /// In percent, where it says so.
    pub percent: Option<Exact>,
    /// In grams, where it says so.
    pub grams: Option<Exact>,
}

/// The weight of the whole by the grams that stand beside percent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Whole {
    /// In grams.
    pub grams: Exact,
    /// Whether the lines or a row of totals say so themselves, and every line agrees.
    pub is_sure: bool,
}

/// The figure of a line in a unit.
pub fn figure<'s>(line: &'s TableLine, wanted: &Unit) -> Option<&'s Exact> {
    line.amounts.iter().find_map(|amount| match &amount.stated {
        Stated::Figure(value, unit) if unit == wanted => Some(value),
        _ => None,
    })
}

/// Whether the percent of a table count, though grams stand beside them: where they are said of half the lines at
/// least. A rest in the column of percent is said in percent.
pub fn percent_counts(lines: &[&TableLine]) -> bool {
    let in_percent = |line: &TableLine| figure(line, &Unit::Percent).is_some();
    let rest = |line: &TableLine| {
        let mut of_percent = line.amounts.iter().filter(|amount| amount.heading == Some(Unit::Percent));
        of_percent.any(|amount| matches!(amount.stated, Stated::Rest(_)))
    };
    let both = lines.iter().any(|line| in_percent(line) && figure(line, &Unit::Grams).is_some());
    let percent = lines.iter().filter(|line| in_percent(line) || rest(line)).count();
    let grams = lines.iter().filter(|line| figure(line, &Unit::Grams).is_some()).count();
    both && percent * 2 >= grams
}

/// How much the whole is: the sum of the grams, the total that stands there, or what a line comes to, whichever most
/// lines agree with. None where no more than half of them do.
pub fn whole(lines: &[Twice], total: Option<&Exact>) -> Option<Whole> {
    const LINES_ASKED: usize = 40;
    let both: Vec<(&Exact, &Exact)> =
        lines.iter().filter_map(|line| line.percent.as_ref().zip(line.grams.as_ref())).collect();
    let sum = lines.iter().try_fold(Exact::ZERO, |sum, line| Some(&sum + line.grams.as_ref()?));
    let stated = sum.into_iter().chain(total.cloned());
    let of_lines =
        both.iter().take(LINES_ASKED).filter_map(|(percent, grams)| (*grams * &Exact::HUNDRED).over(percent));
    let stated_count = stated.clone().count();
    let mut best: Option<(usize, usize, Exact)> = None;
    for (at, candidate) in stated.chain(of_lines).enumerate().filter(|(_, candidate)| candidate.is_positive()) {
        let agree = both.iter().filter(|(percent, grams)| agrees(percent, grams, &candidate)).count();
        if best.as_ref().is_none_or(|(most, _, _)| agree > *most) {
            best = Some((agree, at, candidate));
        }
    }
    let (agree, at, grams) = best?;
    (agree * 2 > both.len()).then_some(Whole { grams, is_sure: at < stated_count && agree == both.len() })
}

/// Whether grams of a whole are as many percent, but for their rounding.
pub fn agrees(percent: &Exact, grams: &Exact, whole: &Exact) -> bool {
    let apart = share(grams, whole).map(|share| (&share - percent).abs());
    apart.is_some_and(|apart| (&apart - &Exact::ratio(6, 100)).is_negative())
}

/// Grams as percent of a whole.
pub fn share(grams: &Exact, whole: &Exact) -> Option<Exact> {
    (grams * &Exact::HUNDRED).over(whole)
}
