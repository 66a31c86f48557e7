//! Amounts at a limit, and just past it: of a material's own usage, and of a rule.

use super::edit::{Slip, put};
use super::view::{Row, View, figure};
use stillroom::check::{Total, totals};
use stillroom::model::{Ask, Basis, Counting, LineAmount, LineMaterial, Subject, Usage};
use stillroom::quantity::{Exact, Interval};
use stillroom::sheet::BatchOrder;

/// How far past a limit is just past it, as a share of it.
fn a_little(limit: &Exact) -> Exact {
    limit * &Exact::ratio(1, 1000)
}

/// The most of a usage, and a little more.
pub fn usage_over(view: &View<'_>) -> Vec<Slip> {
    usages(view, |usage| usage.range.high.as_ref().map(|high| high + &a_little(high)))
}

/// The least of a usage, and a little less.
pub fn usage_under(view: &View<'_>) -> Vec<Slip> {
    usages(view, |usage| usage.range.low.as_ref().map(|low| low - &a_little(low)))
}

/// The most of a usage.
pub fn usage_at_the_most(view: &View<'_>) -> Vec<Slip> {
    usages(view, |usage| usage.range.high.clone())
}

/// The least of a usage.
pub fn usage_at_the_least(view: &View<'_>) -> Vec<Slip> {
    usages(view, |usage| usage.range.low.clone().filter(Exact::is_positive))
}

/// Every line that is all there is of a material with a usage, brought to a figure of it.
fn usages(view: &View<'_>, to: impl Fn(&Usage) -> Option<Exact>) -> Vec<Slip> {
    if view.formula.is_stock() {
        return Vec::new();
    }
    let totals = totals(view.formula);
    let of_row = |row: Row<'_>| {
        let alone = |total: &&Total<'_>| matches!(total.lines.as_slice(), [(line, _)] if line.place == row.line.place);
        let material = row.material()?;
        let total = totals.iter().find(alone).filter(|total| total.material.id == material.id)?;
        let usage = &total.usage;
        let wanted = to(usage)?;
        let strength = if usage.active { view.resolver.active_strength_of(material)? } else { Exact::HUNDRED };
        let supplied = (&wanted * &Exact::HUNDRED).over(&strength)?;
        let target = if usage.active { " active" } else { "" };
        Some((row, supplied))
            .filter(|(row, supplied)| fits(view, &[(*row, supplied.clone())]))
            .map(|(row, _)| vec![put(row.amount(), format!("{}{target}", figure(&wanted)))])
    };
    percent_rows(view).into_iter().filter_map(of_row).collect()
}

/// The lines whose percentage can be set by itself: of a formula in percent, not what fills up, not what another line
/// rests on, and nothing of theirs allowed.
fn percent_rows<'v>(view: &View<'v>) -> Vec<Row<'v>> {
    let fixed = |row: &Row<'_>| matches!(row.line.amount, LineAmount::Percent(_));
    let rested_on = |row: &Row<'_>| {
        let mut uses = view.formula.lines.iter().flat_map(|line| &line.uses);
        uses.any(|used| used.name == row.line.name)
    };
    let alone = |row: &Row<'_>| fixed(row) && !rested_on(row) && row.written.tail.allow.is_none();
    let in_percent = view.formula.basis == Basis::Percent;
    view.own_rows().into_iter().filter(|row| in_percent && alone(row)).collect()
}

/// Whether the line that fills up has room for new amounts.
fn fits(view: &View<'_>, new: &[(Row<'_>, Exact)]) -> bool {
    let more: Exact = new.iter().filter_map(|(row, then)| row.percent().map(|now| then - now)).sum();
    view.room().is_some_and(|room| *room > more)
}

/// A limit that binds a formula, and the lines that give what it limits, each with how much one percent of it gives.
struct Binding<'v> {
    subject: Subject,
    limit: Exact,
    counting: Counting,
    giving: Vec<(Row<'v>, Exact)>,
    /// Whether all that is limited comes from those lines.
    whole: bool,
}

fn bindings<'v>(view: &View<'v>) -> Vec<Binding<'v>> {
    if view.formula.composition.is_none() {
        return Vec::new();
    }
    let (day, _) = BatchOrder::default().day(view.formula);
    let mut all = Vec::new();
    for rule in view.resolver.rules_of(view.formula, &day).iter().filter(|rule| rule.whens.is_empty()) {
        for clause in &rule.clauses {
            let Ask::Limit(subject, limit, counting) = &clause.ask else { continue };
            let rows = percent_rows(view);
            let given = |row: &Row<'v>| Some((*row, share(view, row, subject, counting)?));
            let giving: Vec<(Row<'v>, Exact)> = rows.iter().filter_map(given).collect();
            let whole = view.formula.lines.iter().filter(|line| gives(view, line, subject, counting)).count();
            let (subject, limit, counting) = (subject.clone(), limit.clone(), counting.clone());
            all.push(Binding { subject, limit, counting, whole: whole == giving.len(), giving });
        }
    }
    all.retain(|binding| binding.whole && !binding.giving.is_empty());
    all
}

fn gives(view: &View<'_>, line: &stillroom::model::Line, subject: &Subject, counting: &Counting) -> bool {
    let Some(material) = &line.material else { return false };
    count(view, material, subject, counting).high.is_positive()
}

fn count(view: &View<'_>, material: &LineMaterial, subject: &Subject, counting: &Counting) -> Interval {
    match material {
        LineMaterial::Material(material) => {
            let parts = material.contains.iter().map(|part| (part.substance, &part.strength));
            view.resolver.count(parts, &subject.members, counting).total
        }
        LineMaterial::Premix(premix) => {
            let parts = premix.composition.iter().flat_map(|inner| &inner.parts).map(|(part, share)| (*part, share));
            view.resolver.count(parts, &subject.members, counting).total
        }
    }
}

/// What one percent of a line gives of a subject, where that is one figure.
fn share(view: &View<'_>, row: &Row<'_>, subject: &Subject, counting: &Counting) -> Option<Exact> {
    let total = count(view, row.line.material.as_ref()?, subject, counting);
    Some(total.high.hundredth()).filter(|share| total.is_point() && share.is_positive())
}

/// A rule's limit passed by a little.
pub fn rule_just_passed(view: &View<'_>) -> Vec<Slip> {
    strictest(view, |most| most + &a_little(most))
}

/// A rule's limit met exactly.
pub fn rule_at_the_limit(view: &View<'_>) -> Vec<Slip> {
    strictest(view, Clone::clone)
}

/// Every line that is limited, brought to a figure of the most that its strictest limit leaves it.
fn strictest(view: &View<'_>, to: impl Fn(&Exact) -> Exact) -> Vec<Slip> {
    let bindings = bindings(view);
    let of_row = |row: Row<'_>| {
        let most = bindings.iter().filter_map(|binding| binding.leaves(&row)).min()?;
        let then = to(&most);
        fits(view, &[(row, then.clone())]).then(|| vec![put(row.amount(), figure(&then))])
    };
    percent_rows(view).into_iter().filter_map(of_row).collect()
}

impl Binding<'_> {
    /// What there is of what is limited, with some lines at new percentages.
    fn total(&self, new: &[(Row<'_>, Exact)]) -> Exact {
        let of = |(row, share): &(Row<'_>, Exact)| {
            let changed = new.iter().find(|(other, _)| other.line.place == row.line.place).map(|(_, then)| then);
            changed.or(row.percent()).map_or(Exact::ZERO, |percent| percent * share)
        };
        self.giving.iter().map(of).sum()
    }

    /// The most of a line that keeps the limit beside the others; none where the line gives nothing of it.
    fn leaves(&self, row: &Row<'_>) -> Option<Exact> {
        let (_, share) = self.giving.iter().find(|(one, _)| one.line.place == row.line.place)?;
        let others = self.total(&[(*row, Exact::ZERO)]);
        (&self.limit - &others).over(share).filter(Exact::is_positive)
    }
}

/// Two lines that give what one rule limits, each under the limit and both together over it.
pub fn two_together_over(view: &View<'_>) -> Vec<Slip> {
    two_together(view, &Exact::ratio(6, 10), |_| true)
}

/// Two lines that together meet a limit exactly, and keep every other.
pub fn two_together_at(view: &View<'_>) -> Vec<Slip> {
    let all = bindings(view);
    two_together(view, &Exact::ratio(1, 2), |new| all.iter().all(|binding| binding.total(new) <= binding.limit))
}

fn two_together(view: &View<'_>, part: &Exact, which: impl Fn(&[(Row<'_>, Exact)]) -> bool) -> Vec<Slip> {
    let of_pair = |binding: &Binding<'_>| {
        let [(one, a), (two, b)] = binding.giving.as_slice() else { return None };
        let each = &binding.limit * part;
        let new = [(*one, each.over(a)?), (*two, each.over(b)?)];
        let sound = fits(view, &new) && which(&new);
        sound.then(|| new.iter().map(|(row, then)| put(row.amount(), figure(then))).collect())
    };
    bindings(view).iter().filter_map(of_pair).collect()
}

/// The strength of what a rule limits taken out of a material of the file, where there may then be too much.
pub fn strength_undisclosed(view: &View<'_>) -> Vec<Slip> {
    let of_binding = |binding: &Binding<'_>| {
        let [(row, _)] = binding.giving.as_slice() else { return None };
        let part = row.material()?.contains.iter().find(|part| {
            let whole = Interval::point(Exact::HUNDRED);
            let most = view.resolver.count(
                std::iter::once((part.substance, &whole)),
                &binding.subject.members,
                &binding.counting,
            );
            row.percent().is_some_and(|percent| &percent.hundredth() * &most.total.high > binding.limit)
        })?;
        let written = view.at(part.place.span);
        let here = part.place.file == view.formula.id.file && written.contains('%');
        let name = written.split_whitespace().next()?;
        let mark = if part.active { " active" } else { "" };
        here.then(|| vec![put(part.place.span, format!("{name}{mark}"))])
    };
    bindings(view).iter().filter_map(of_binding).collect()
}
