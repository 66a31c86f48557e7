//! Strengths passed over: a solution weighed as if it were pure, and an active rounded away.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic, Place, Sureness};
use crate::model::{Component, DeclId, Demand, Formula, Line, LineAmount, LineMaterial};
use crate::quantity::{Exact, Range};
use crate::resolve::Resolver;
use std::collections::BTreeMap;

/// How far the active of the rounded weights may be off its target, as a share of itself.
const OFF: (i64, i64) = (2, 100);

/// A material weaker than 100 % given as supplied, at the very figure that something else has for its active.
pub fn ignored(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let targets = targets(context.formula);
    for line in &context.formula.lines {
        let (Some(LineMaterial::Material(material)), LineAmount::Percent(figure), None) =
            (&line.material, &line.amount, &line.target)
        else {
            continue;
        };
        let Some(active) = context.resolver.active_of(material) else { continue };
        let known = !active.undisclosed && active.strength.high < Exact::HUNDRED && active.strength.low.is_positive();
        if !known || line.faulty {
            continue;
        }
        let meant =
            Meant { resolver: context.resolver, formula: context.formula, line, active, figure, targets: &targets };
        if let Some((what, place)) = meant.elsewhere() {
            faults.push(fault(line, active, figure, what, place));
        }
    }
}

fn fault(line: &Line, active: &Component, figure: &Exact, what: &str, place: Place) -> Diagnostic {
    let strength = active.strength.percent_text();
    let makes = active.strength.times(&figure.hundredth()).percent_text();
    let message = format!(
        "{figure} % of `{}`, which is {strength} strong, is {makes} active; {what} says {figure} %.",
        line.name
    );
    let supplied = (figure * &Exact::HUNDRED).over(&active.strength.middle()).unwrap_or(Exact::ZERO);
    let written = format!("{} active", line.written);
    Diagnostic::new(Code::StrengthIgnored, line.mark, message)
        .and(place, format!("{figure} % here"))
        .help(format!("For {figure} % of active write `{written}`: {} % as supplied.", supplied.to_significant(6)))
        .fix(line.mark, line.with_amount(&written), Sureness::NeedsALook)
}

/// A line whose figure may have been meant for its active.
struct Meant<'m, 's> {
    resolver: &'m Resolver<'s>,
    formula: &'m Formula,
    line: &'m Line,
    active: &'m Component,
    figure: &'m Exact,
    targets: &'m Targets<'m>,
}

/// The lines that ask for so much of a substance, by that.
type Targets<'f> = BTreeMap<(DeclId, Exact), Vec<&'f Line>>;

fn targets(formula: &Formula) -> Targets<'_> {
    let mut found = Targets::new();
    for line in &formula.lines {
        if let Some((target, percent)) = line.target.as_ref().zip(line.percent.as_ref()) {
            let figure = &percent.hundredth() * &target.strength.middle();
            found.entry((target.substance, figure)).or_default().push(line);
        }
    }
    found
}

impl Meant<'_, '_> {
    /// What has the same figure for the active, and where.
    fn elsewhere(&self) -> Option<(&'static str, Place)> {
        if self.formula.title.as_deref().is_some_and(|title| self.is_in_title(title)) {
            return Some(("the title", self.formula.place));
        }
        if let Some(ensured) = self.formula.ensures.iter().find(|ensured| self.is_ensured(&ensured.demand)) {
            return Some(("an `ensure`", ensured.place));
        }
        let same = self.targets.get(&(self.active.substance, self.figure.clone()))?;
        let other = same.iter().find(|other| other.place != self.line.place)?;
        Some(("another line", other.mark))
    }

    /// Whether a title has the figure in percent, and a word of the active's name beside it.
    fn is_in_title(&self, title: &str) -> bool {
        let title = title.to_lowercase();
        let mut figures = title.match_indices('%').filter_map(|(at, _)| {
            let before = title.get(..at)?.trim_end();
            Exact::parse(before.rsplit(|c: char| !c.is_ascii_digit() && c != '.').next()?)
        });
        figures.any(|figure| figure == *self.figure) && self.words().iter().any(|word| title.contains(word))
    }

    /// The words that the active goes by.
    fn words(&self) -> Vec<String> {
        let substance = self.resolver.substance(self.active.substance);
        let inci = substance.as_ref().and_then(|substance| substance.inci.clone()).unwrap_or_default();
        let name = substance.map(|substance| substance.name.clone()).unwrap_or_default();
        let all = format!("{inci} {name}").to_lowercase();
        let words = all.split(|c: char| !c.is_alphanumeric());
        words.filter(|word| word.len() >= 4 && word.parse::<u32>().is_err()).map(str::to_string).collect()
    }

    /// Whether an `ensure` has the figure for the substance. One that the figure breaks is told of as broken.
    fn is_ensured(&self, demand: &Demand) -> bool {
        let Demand::Within { written, value: Some(value), bound } = demand else { return false };
        let name = self.resolver.substance_name(self.active.substance);
        let named = written.split(|c: char| !c.is_ascii_alphanumeric() && c != '-').any(|word| word == name);
        let holds = Range::from(value).lies_within(&bound.range);
        let at_figure = [&bound.range.low, &bound.range.high].into_iter().flatten().any(|end| end == self.figure);
        // A name that is a line's too speaks of it as supplied.
        let as_supplied = || self.formula.lines.iter().any(|line| line.name == name);
        named && holds && at_figure && !as_supplied()
    }
}

/// A target that the rounded weight misses by more than 2 % of itself. Where the line is too light for the scale, that
/// is told of instead.
pub fn off_target(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    // Where the lines do not add up, no weight of them is right, and that is told of.
    let Some(plan) = context.plan.filter(|_| !super::total::is_wrong(context)) else { return };
    for (line, weight) in context.formula.lines.iter().zip(&plan.lines) {
        let (Some(target), Some(exact), Some(printed)) = (&line.target, &weight.exact, &weight.printed) else {
            continue;
        };
        if super::scale::is_too_light(weight) {
            continue;
        }
        let strength = target.strength.middle();
        let share = |grams: &Exact, of: &Exact| (grams * &strength).over(of);
        let (Some(asked), Some(made)) = (share(exact, &plan.batch), share(printed, &plan.total)) else { continue };
        if (&asked - &made).abs() <= &asked * &Exact::ratio(OFF.0, OFF.1) {
            continue;
        }
        let message = format!(
            "{printed} g of `{}` brings {} % of active, and {asked} % is asked.",
            line.name,
            made.to_significant(3)
        );
        faults.push(Diagnostic::new(Code::ActiveOffTarget, line.mark, message).help(format!(
            "It takes {} g: use a finer scale than {} g for this line, or make a larger batch.",
            exact.to_significant(4),
            weight.step
        )));
    }
}
