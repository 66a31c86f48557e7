//! Lines written twice, and lines left out.

use super::amounts::scaled;
use super::edit::{Slip, put_at, whole_lines};
use super::view::{Row, View, quantity};
use stillroom::check::totals;
use stillroom::model::{Basis, LineAmount};
use stillroom::quantity::Exact;
use stillroom::syntax::tree::AmountKind;

/// A line copied twice.
pub fn doubled(view: &View<'_>) -> Vec<Slip> {
    let copied = |row: Row<'_>| {
        let lines = whole_lines(view.text, row.written.span);
        vec![put_at(lines.end..lines.end, &view.text[lines])]
    };
    view.own_rows().into_iter().map(copied).collect()
}

/// A line left out of a formula that fills up, where a step, an expression or an `ensure` still speaks of it.
pub fn left_out_but_named(view: &View<'_>) -> Vec<Slip> {
    left_out(view, |row| fills(view) && speaks_of(view, row))
}

/// A line left out of a formula that fills up, where nothing else speaks of it.
pub fn left_out_unseen(view: &View<'_>) -> Vec<Slip> {
    left_out(view, |row| fills(view) && !speaks_of(view, row))
}

/// A line left out of a formula in percent that does not fill up.
pub fn left_out_of_a_hundred(view: &View<'_>) -> Vec<Slip> {
    left_out(view, |_| !fills(view) && view.formula.basis == Basis::Percent)
}

/// A line left out of a formula in grams or parts, which set proportions only.
pub fn left_out_of_proportions(view: &View<'_>) -> Vec<Slip> {
    left_out(view, |row| !fills(view) && view.formula.basis != Basis::Percent && !speaks_of(view, row))
}

fn fills(view: &View<'_>) -> bool {
    view.room().is_some()
}

fn speaks_of(view: &View<'_>, row: &Row<'_>) -> bool {
    view.is_in_steps(&row.line.name) || view.is_named_elsewhere(&row.line.name)
}

fn left_out(view: &View<'_>, which: impl Fn(&Row<'_>) -> bool) -> Vec<Slip> {
    let weighed = |row: &Row<'_>| row.percent().is_some() && view.formula.lines.len() > 1;
    let rows = view.own_rows().into_iter().filter(|row| weighed(row) && which(row));
    rows.map(|row| vec![view.without(row.written.span)]).collect()
}

/// The only preservative of a formula left out, in the steps too.
pub fn only_preservative_left_out(view: &View<'_>) -> Vec<Slip> {
    preservatives(view, |rows| rows == 1 && !view.is_preserved_by_premix())
}

/// One of several preservatives left out, in the steps too.
pub fn one_preservative_left_out(view: &View<'_>) -> Vec<Slip> {
    preservatives(view, |rows| rows > 1 || view.is_preserved_by_premix())
}

fn preservatives(view: &View<'_>, when: impl Fn(usize) -> bool) -> Vec<Slip> {
    let rows = view.preservatives();
    if !view.is_wet_product() || !when(rows.len()) {
        return Vec::new();
    }
    let gone = |row: Row<'_>| {
        let mut slip = view.unmarked(&row.line.name);
        slip.push(view.without(row.written.span));
        slip
    };
    rows.into_iter().map(gone).collect()
}

/// A preservative at a tenth of what is meant, where that is under its usage.
pub fn preservative_at_a_tenth(view: &View<'_>) -> Vec<Slip> {
    dosed(view, &Exact::ratio(1, 10), |total, usage| usage.0.is_some_and(|low| total < *low))
}

/// A preservative at ten times what is meant, where that is over its usage.
pub fn preservative_times_ten(view: &View<'_>) -> Vec<Slip> {
    dosed(view, &Exact::whole(10), |total, usage| usage.1.is_some_and(|high| total > *high))
}

fn dosed(view: &View<'_>, factor: &Exact, out: impl Fn(Exact, (Option<&Exact>, Option<&Exact>)) -> bool) -> Vec<Slip> {
    if !view.is_wet_product() {
        return Vec::new();
    }
    let totals = totals(view.formula);
    let slip = |row: Row<'_>| {
        let total = totals.iter().find(|total| total.lines.iter().any(|(line, _)| line.place == row.line.place))?;
        let usage = &total.usage;
        let ends = (usage.range.low.as_ref(), usage.range.high.as_ref());
        let now = row.percent().filter(|_| !usage.active && matches!(row.line.amount, LineAmount::Percent(_)))?;
        let then = &(total.percent.as_ref()? - now) + &(now * factor);
        let AmountKind::AsSupplied(amount) = &row.written.amount.kind else { return None };
        if !out(then, ends) {
            return None;
        }
        scaled(quantity(amount)?, factor)
    };
    view.preservatives().into_iter().filter_map(slip).collect()
}
