//! Figures without a unit beside lines that have one: whether they are read as the others, and why not.

use super::amount::{Stated, Unit};
use super::beside::figure;
use super::read::TableLine;
use crate::quantity::Exact;

/// What becomes of the lines whose figure has no unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unwritten {
    /// They are read as the others.
    Read,
    /// They are read so where it is known what they are: a figure behind other words may be that of a batch or a page.
    WhereKnown,
    /// They are not read, for this reason.
    Left(String),
}

/// Says it; `settled` where the unit was asked for, or both stand side by side on the lines.
pub fn unwritten(lines: &[&TableLine], rest: Option<usize>, unit: &Unit, settled: bool) -> Unwritten {
    let any = |wanted: &Unit| lines.iter().any(|line| figure(line, wanted).is_some());
    if !settled && any(&Unit::Percent) && any(&Unit::Grams) {
        let why = "it has no unit, and of the other lines some are in percent and some in grams";
        return Unwritten::Left(why.into());
    }
    if *unit != Unit::Percent {
        return Unwritten::WhereKnown;
    }
    let others = || lines.iter().enumerate().filter(|(at, _)| Some(*at) != rest).map(|(_, line)| *line);
    let percent = |line: &TableLine| figure(line, unit).or_else(|| figure(line, &Unit::Unwritten)).cloned();
    let known = sum(others().filter(|line| !is_odd(line)).filter_map(percent));
    if fits(&sum(others().filter_map(percent)), rest.is_some()) {
        Unwritten::Read
    } else if settled || fits(&known, rest.is_some()) {
        Unwritten::WhereKnown
    } else {
        let all = known.to_significant(6);
        Unwritten::Left(format!("it has no unit, and were it percent, the lines would come to {all} %"))
    }
}

/// Why a line is not read whose name nothing knows and whose figure has no unit.
pub const ODD: &str =
    "its figure has no unit where most others have one, and its name is not known: it may be no material";

/// Whether a line was doubtful as it was read, and its figure has no unit.
pub fn is_odd(line: &TableLine) -> bool {
    line.is_doubtful && line.amounts.iter().all(|amount| matches!(amount.stated, Stated::Figure(_, Unit::Unwritten)))
}

/// Whether figures are a formula's percent: about 100 together, or no more than that beside a rest.
fn fits(sum: &Exact, has_rest: bool) -> bool {
    let over = |bound: i64| (sum - &Exact::whole(bound)).is_positive();
    if has_rest { !over(100) } else { !over(105) && !(sum - &Exact::whole(95)).is_negative() }
}

fn sum(values: impl Iterator<Item = Exact>) -> Exact {
    values.fold(Exact::ZERO, |sum, value| &sum + &value)
}
