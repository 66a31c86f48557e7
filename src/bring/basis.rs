//! Percent or grams: what the figures of a table are, what they come to, and which line takes the rest.

use super::Wishes;
use super::amount::{Stated, Unit};
use super::beside::{self, Twice};
use super::read::TableLine;
use super::unwritten::{ODD, Unwritten, is_odd, unwritten};
use crate::quantity::Exact;

/// What the figures are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// Percent, as they stand.
    Percent,
    /// Shares of one, as a spreadsheet keeps percent: a hundred times as much is meant.
    Shares,
    /// Grams or parts: their share in the sum counts.
    Weights,
}

/// What a line of the formula gets.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Given {
    /// Its figure, of the basis.
    Figure(Exact),
    /// What is left.
    Rest,
    /// What the pH takes.
    ToPh,
    /// Nothing that could be weighed: why.
    Nothing(String),
}

/// A line as it is read, with what was not sure of its amount.
#[derive(Clone, Debug)]
pub struct Reckoned {
    /// What it gets.
    pub given: Given,
    /// What was not sure.
    pub doubts: Vec<String>,
}

/// What a table comes to.
#[derive(Clone, Debug)]
pub struct Sum {
    /// What its figures are.
    pub basis: Basis,
    /// Its lines, in their order.
    pub lines: Vec<Reckoned>,
    /// What the figures come to, without the rest.
    pub figures: Exact,
    /// What all of it comes to; none where nobody could say.
    pub whole: Option<Exact>,
    /// Whether a line takes the rest.
    pub has_rest: bool,
    /// Whether its weights are parts, of which none is a gram.
    pub in_parts: bool,
    /// What grams beside percent say of the whole.
    pub beside: Option<beside::Whole>,
    /// What was not sure of the table as a whole.
    pub doubts: Vec<String>,
    /// What there is to tell of it.
    pub told: Vec<String>,
}

/// What is known of a line beside its row.
pub struct LineMeaning {
    /// Whether it is plain water.
    pub is_water: bool,
    /// Whether as much is taken of it as it takes, so that it never is the rest: a scent, an acid for the pH.
    pub is_dosed: bool,
    /// Whether it is known what it is, or what is in it.
    pub is_known: bool,
    /// Its density in g/mL, where the shelf has one.
    pub density: Option<Exact>,
}

/// Reckons a table; `total` is what a row of it says that it all comes to.
pub fn reckoned(lines: &[(&TableLine, LineMeaning)], total: Option<(Exact, Unit)>, wishes: &Wishes) -> Sum {
    let stated: Vec<Vec<&Stated>> =
        lines.iter().map(|(line, _)| line.amounts.iter().map(|amount| &amount.stated).collect()).collect();
    let (rest, mut doubts) = rest_line(lines, &stated, wishes);
    let mut told = Vec::new();
    let rows: Vec<&TableLine> = lines.iter().map(|(line, _)| *line).collect();
    let side_by_side = beside::percent_counts(&rows);
    let (basis, unit) = basis(&stated, rest, side_by_side, wishes, &mut doubts, &mut told);
    let bare = unwritten(&rows, rest, &unit, side_by_side || wishes.figures.is_some());
    let rest = rest.filter(|at| unit != Unit::Grams || !rows.get(*at).is_some_and(|line| is_weighed_rest(line)));
    let mut reckoned: Vec<Reckoned> = Vec::new();
    for (at, (line, meaning)) in lines.iter().enumerate() {
        reckoned.push(one(line, meaning, rest == Some(at), basis, (&unit, &bare)));
    }
    let beside = side_by_side.then(|| held_together(&mut reckoned, &rows, basis, total.as_ref())).flatten();
    if side_by_side && beside.is_none() {
        doubts.push("Grams stand beside the percent, and most lines do not agree on how much the whole is.".into());
    }
    if let Some(whole) = beside.as_ref().filter(|whole| whole.is_sure) {
        told.push(format!("The grams beside the percent come to {} g, and agree.", whole.grams.to_significant(6)));
    }
    let figures = reckoned.iter().fold(Exact::ZERO, |sum, line| match &line.given {
        Given::Figure(value) => &sum + value,
        _ => sum,
    });
    let whole = match basis {
        Basis::Percent => Some(Exact::HUNDRED),
        Basis::Shares => Some(Exact::ONE),
        Basis::Weights if rest.is_none() => Some(figures.clone()),
        Basis::Weights => rest.and_then(|at| named_total(rows.get(at)?)).or_else(|| weight(total.as_ref())),
    };
    if basis == Basis::Weights && rest.is_some() && whole.is_none() {
        doubts.push(
            "The table is in grams and one line takes the rest, but nothing says how much it all is: no line can be turned \
             into percent. Write the total into the table, as `q.s. to 200 g`."
                .into(),
        );
    }
    Sum {
        basis,
        lines: reckoned,
        figures,
        whole: whole.filter(Exact::is_positive),
        has_rest: rest.is_some(),
        in_parts: unit == Unit::Parts,
        beside,
        doubts,
        told,
    }
}

/// Whether a line takes the rest in the column of percent, and has its grams too: where grams count, those do.
fn is_weighed_rest(line: &TableLine) -> bool {
    let in_percent = |amount: &&super::amount::Amount| amount.heading == Some(Unit::Percent);
    let rest = line.amounts.iter().filter(in_percent).any(|amount| matches!(amount.stated, Stated::Rest(_)));
    rest && beside::figure(line, &Unit::Grams).is_some()
}

fn weight(total: Option<&(Exact, Unit)>) -> Option<Exact> {
    total.filter(|(_, unit)| matches!(unit, Unit::Grams | Unit::Unwritten)).map(|(value, _)| value.clone())
}

/// The total that a rest names: `to 250 g`. In a column of percent it names none.
fn named_total(line: &TableLine) -> Option<Exact> {
    let of_weights = line.amounts.iter().filter(|amount| amount.heading != Some(Unit::Percent));
    of_weights.map(|amount| &amount.stated).find_map(|stated| match stated {
        Stated::Rest(Some((value, Unit::Grams | Unit::Unwritten))) => Some(value.clone()),
        _ => None,
    })
}

/// Which line takes the rest: the one that says so; of several the water; where the maker asks for it, the water.
fn rest_line(
    lines: &[(&TableLine, LineMeaning)],
    stated: &[Vec<&Stated>],
    wishes: &Wishes,
) -> (Option<usize>, Vec<String>) {
    let says = |stated: &[&Stated]| stated.iter().any(|stated| matches!(stated, Stated::Rest(_)));
    let to_a_total = |stated: &[&Stated]| stated.iter().any(|stated| matches!(stated, Stated::Rest(Some(_))));
    let candidates: Vec<usize> = lines
        .iter()
        .zip(stated)
        .enumerate()
        .filter(|(_, ((_, meaning), stated))| says(stated) && (!meaning.is_dosed || to_a_total(stated)))
        .map(|(at, _)| at)
        .collect();
    let is_water = |at: &usize| lines.get(*at).is_some_and(|(_, meaning)| meaning.is_water);
    match candidates.as_slice() {
        [only] => (Some(*only), Vec::new()),
        [] if wishes.rest => {
            let waters: Vec<usize> = (0..lines.len()).filter(is_water).collect();
            match waters.as_slice() {
                [only] => (Some(*only), Vec::new()),
                [] => (None, vec!["The rest was asked for, and no line is plain water: no line takes it.".into()]),
                _ => (None, vec!["The rest was asked for, and several lines are plain water: none takes it.".into()]),
            }
        }
        [] => (None, Vec::new()),
        [first, ..] => {
            let taken = candidates.iter().copied().find(is_water).unwrap_or(*first);
            (Some(taken), vec!["Several lines take the rest, where only one can.".into()])
        }
    }
}

/// What the figures are, and the unit that was taken.
fn basis(
    stated: &[Vec<&Stated>],
    rest: Option<usize>,
    side_by_side: bool,
    wishes: &Wishes,
    doubts: &mut Vec<String>,
    told: &mut Vec<String>,
) -> (Basis, Unit) {
    let has_rest = rest.is_some();
    let has = |line: &[&Stated], wanted: &Unit| {
        figure(line, wanted).is_some() || *wanted == Unit::Grams && figure(line, &Unit::Millilitres).is_some()
    };
    let count = |wanted: &Unit| stated.iter().filter(|line| has(line, wanted)).count();
    let sum = |wanted: &Unit| {
        stated.iter().filter_map(|line| figure(line, wanted)).fold(Exact::ZERO, |sum, value| &sum + value)
    };
    let between = |value: &Exact, low: i64, high: i64| {
        !(value - &Exact::ratio(low, 100)).is_negative() && !(&Exact::ratio(high, 100) - value).is_negative()
    };
    let units = [Unit::Percent, Unit::Grams, Unit::Unwritten, Unit::Parts];
    let mut best = (0, Unit::Percent);
    for unit in units {
        let lines = count(&unit);
        if lines > best.0 {
            best = (lines, unit);
        }
    }
    let weighed = stated.iter().filter(|line| figure(line, &Unit::Grams).is_some()).count();
    let percent = count(&Unit::Percent);
    let is_bare =
        |line: &[&Stated]| has(line, &Unit::Unwritten) && !has(line, &Unit::Percent) && !has(line, &Unit::Grams);
    let bare = stated.iter().any(|line| is_bare(line));
    let unit = match wishes.figures {
        Some(super::Figures::Percent) if percent > 0 || bare && weighed > 0 => Unit::Percent,
        Some(super::Figures::Grams) if count(&Unit::Grams) > 0 || bare && percent > 0 => Unit::Grams,
        None if side_by_side => Unit::Percent,
        // A unit that is written somewhere says more than any number of lines that have none.
        _ if best.1 == Unit::Unwritten && percent + weighed > 0 => {
            if percent >= weighed {
                Unit::Percent
            } else {
                Unit::Grams
            }
        }
        _ => best.1,
    };
    let total = sum(&unit);
    let lost = |doubts: &mut Vec<String>| {
        doubts.push("The figures come to about 1: they are read as shares, 0.05 as 5 %.".into());
        Basis::Shares
    };
    match unit {
        Unit::Percent if !has_rest && !bare && between(&total, 95, 105) => (lost(doubts), unit),
        Unit::Percent => (Basis::Percent, unit),
        Unit::Grams | Unit::Parts | Unit::Millilitres | Unit::NoWeight(_) => (Basis::Weights, unit),
        Unit::Unwritten => match wishes.figures {
            Some(super::Figures::Percent) => (Basis::Percent, unit),
            Some(super::Figures::Grams) => (Basis::Weights, unit),
            None if !has_rest && between(&total, 95, 105) => (lost(doubts), unit),
            None if has_rest && !(&total - &Exact::HUNDRED).is_positive() || between(&total, 9_500, 10_500) => {
                told.push("No unit stands in the table; the figures are read as percent.".into());
                if !has_rest && total != Exact::HUNDRED {
                    doubts.push(
                        "No unit stands in the table, and the figures do not come to 100: are they percent?".into(),
                    );
                }
                (Basis::Percent, unit)
            }
            None => {
                doubts.push(
                    "No unit stands in the table, and the figures come nowhere near 100: they are read as grams."
                        .into(),
                );
                let written = [Unit::Grams, Unit::Parts].into_iter().find(|written| count(written) > 0);
                (Basis::Weights, written.unwrap_or(unit))
            }
        },
    }
}

/// The figure of a line in a unit.
fn figure<'s>(stated: &[&'s Stated], wanted: &Unit) -> Option<&'s Exact> {
    stated.iter().find_map(|stated| match stated {
        Stated::Figure(value, unit) if unit == wanted => Some(value),
        _ => None,
    })
}

fn one(
    line: &TableLine,
    meaning: &LineMeaning,
    takes_rest: bool,
    basis: Basis,
    (unit, bare): (&Unit, &Unwritten),
) -> Reckoned {
    let mut doubts: Vec<String> = Vec::new();
    if takes_rest {
        return Reckoned { given: Given::Rest, doubts };
    }
    let stated: Vec<&Stated> = line.amounts.iter().map(|amount| &amount.stated).collect();
    if stated.iter().any(|stated| matches!(stated, Stated::ToPh)) {
        return Reckoned { given: Given::ToPh, doubts };
    }
    if stated.iter().any(|stated| matches!(stated, Stated::Rest(_))) && figure(&stated, unit).is_none() {
        let why = match meaning.is_dosed {
            true => "the table takes as much as is needed, and says no figure",
            false => "another line takes the rest already",
        };
        return Reckoned { given: Given::Nothing(why.into()), doubts };
    }
    let in_unit = |amount: &&super::amount::Amount| matches!(&amount.stated, Stated::Figure(_, of) if of == unit);
    let without = |amount: &&super::amount::Amount| matches!(&amount.stated, Stated::Figure(_, Unit::Unwritten));
    let taken = line.amounts.iter().find(in_unit).or_else(|| line.amounts.iter().find(without));
    let Some(amount) = taken else {
        if *unit == Unit::Grams
            && let Some((value, doubt)) = by_density(line, meaning)
        {
            return Reckoned { given: Given::Figure(value), doubts: vec![doubt] };
        }
        let unread = line.amounts.iter().find(|amount| amount.stated == Stated::Unread);
        let why = unread.and_then(|amount| amount.doubts.first().cloned());
        let why = why.unwrap_or_else(|| why_nothing(&stated, basis, unit));
        return Reckoned { given: Given::Nothing(why), doubts };
    };
    let Stated::Figure(value, of) = &amount.stated else {
        return Reckoned { given: Given::Nothing(why_nothing(&stated, basis, unit)), doubts };
    };
    if of == &Unit::Unwritten {
        let why = match bare {
            Unwritten::Left(why) if of != unit => Some(why.as_str()),
            Unwritten::WhereKnown if is_odd(line) => Some(ODD),
            _ => None,
        };
        if let Some(why) = why {
            return Reckoned { given: Given::Nothing(why.into()), doubts };
        }
    }
    doubts.extend(amount.doubts.iter().cloned());
    if !amount.left_over.is_empty() {
        doubts.push(format!("`{}` stands behind the figure, and is not acted on", amount.left_over));
    }
    if of != unit {
        let read = match unit {
            Unit::Parts => "parts",
            _ if basis == Basis::Weights => "grams",
            _ => "percent",
        };
        doubts.push(format!("the figure has no unit, and is read as {read} like the others"));
    }
    let given = match value.is_positive() {
        true => Given::Figure(value.clone()),
        false => Given::Nothing("its amount is nought".into()),
    };
    Reckoned { given, doubts }
}

/// The grams of a line that is measured by volume, and what is to be said of them; none where no density is known.
fn by_density(line: &TableLine, meaning: &LineMeaning) -> Option<(Exact, String)> {
    let volume = beside::figure(line, &Unit::Millilitres).filter(|volume| volume.is_positive())?;
    let density = meaning.density.as_ref()?;
    let grams = volume * density;
    let doubt = format!(
        "its {} ml are read as {} g by the shelf's density of {} g/mL: weigh it",
        volume.to_significant(6),
        grams.to_significant(6),
        density.to_significant(6)
    );
    Some((grams, doubt))
}

/// Holds the grams of each line against its percent, and gives a line that has grams alone its percent by them.
fn held_together(
    reckoned: &mut [Reckoned],
    lines: &[&TableLine],
    basis: Basis,
    total: Option<&(Exact, Unit)>,
) -> Option<beside::Whole> {
    let hundredfold = if basis == Basis::Shares { Exact::HUNDRED } else { Exact::ONE };
    let stated = lines.iter().map(|line| beside::figure(line, &Unit::Percent).map(|value| value * &hundredfold));
    let stated: Vec<Option<Exact>> = stated.collect();
    let all = stated.iter().flatten().fold(Exact::ZERO, |sum, value| &sum + value);
    let is_rest = |line: &Reckoned| line.given == Given::Rest;
    let missing = |at: usize| stated.iter().enumerate().any(|(other, value)| other != at && value.is_none());
    let twice = reckoned.iter().zip(lines).zip(&stated).enumerate().map(|(at, ((line, row), percent))| Twice {
        // The rest is what the others leave, where all of them are known.
        percent: if is_rest(line) { (!missing(at)).then(|| &Exact::HUNDRED - &all) } else { percent.clone() },
        grams: beside::figure(row, &Unit::Grams).cloned(),
    });
    let twice: Vec<Twice> = twice.collect();
    let total = total.filter(|(_, unit)| *unit == Unit::Grams).map(|(value, _)| value);
    let whole = beside::whole(&twice, total)?;
    let shown = |value: &Exact| value.to_significant(4);
    for (line, twice) in reckoned.iter_mut().zip(&twice) {
        let Some(grams) = &twice.grams else { continue };
        let Some(share) = beside::share(grams, &whole.grams) else { continue };
        let says = format!("its {} g would be {} % of {} g", shown(grams), shown(&share), shown(&whole.grams));
        match &twice.percent {
            Some(percent) if !beside::agrees(percent, grams, &whole.grams) => line.doubts.push(says),
            None if basis == Basis::Percent && matches!(line.given, Given::Nothing(_)) && grams.is_positive() => {
                line.doubts.push(format!("it has no percent; {says}, and that is taken"));
                line.given = Given::Figure(share);
            }
            _ => {}
        }
    }
    Some(whole)
}

fn why_nothing(stated: &[&Stated], basis: Basis, among: &Unit) -> String {
    let other = stated.iter().find_map(|stated| match stated {
        Stated::Figure(_, unit) => Some(unit),
        _ => None,
    });
    match other {
        Some(Unit::Millilitres) if basis == Basis::Weights => {
            "it is a volume, and the shelf has no density for it: weigh it".into()
        }
        Some(Unit::Millilitres) => "`ml` is no weight: weigh it".into(),
        Some(Unit::NoWeight(word)) => format!("`{word}` is no weight: weigh it"),
        Some(of) => {
            let own = match of {
                Unit::Percent => "in percent",
                Unit::Parts => "in parts",
                _ => "a weight",
            };
            let others = match (basis, among) {
                (Basis::Weights, Unit::Parts) => "parts",
                (Basis::Weights, _) => "grams",
                _ => "percent",
            };
            format!("it is {own} among lines in {others}")
        }
        None if stated.iter().any(|stated| matches!(stated, Stated::Unread)) => "its amount is no figure".into(),
        None => "it has no amount".into(),
    }
}
