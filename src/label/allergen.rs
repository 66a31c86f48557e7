//! Fragrance allergens: which of them a market has named on the label on a day, counted from all sources.

use super::entry::{Entry, Part};
use super::jar::{Jar, Portion};
use super::name::{printed_name, scent_of, tidy};
use super::strength::strengths;
use crate::model::{Ask, Composition, Counting, DeclId, Formula, Rule, Subject, When};
use crate::quantity::{Exact, Interval, Range};
use crate::resolve::Resolver;
use crate::syntax::vocabulary::{Market, Product};
use std::collections::BTreeSet;

/// What the rules on allergens come to.
#[derive(Default)]
pub(super) struct Allergens {
    /// Those that are named out of a scent or a whole.
    pub entries: Vec<Entry>,
    /// The printed names under which an allergen stands that is an entry anyway.
    pub in_entries: Vec<String>,
    /// Those that are at their threshold and no more.
    pub at_threshold: Vec<String>,
    /// Those that stand under a name of their own in place of the group's.
    pub under_own_name: Vec<String>,
    /// Whether any rule has one named.
    pub is_ruled: bool,
}

/// A name to declare above a threshold.
struct Asked<'r> {
    name: String,
    subject: &'r Subject,
    above: &'r Exact,
}

/// Where a substance is met.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Source<'n> {
    /// Anywhere.
    Any,
    /// As an entry of this name.
    Entry(&'n str),
    /// Within a scent or a whole.
    Within,
}

/// Which allergens are named beside some entries, and which of them are entries already.
pub(super) fn allergens(names: &Resolver<'_>, jar: &Jar, entries: &[Entry], market: Market, day: &str) -> Allergens {
    let substances: BTreeSet<DeclId> = jar.mixtures().flatten().flat_map(all_in).collect();
    let rules = names.rules_about(&sold_there(&jar.formula, market), substances.into_iter(), day);
    let mut found = Allergens::default();
    let mut known: BTreeSet<String> = BTreeSet::new();
    let may_apply = |rule: &Rule| rule.whens.iter().all(|when| may_hold(names, jar, market, when));
    for rule in rules.iter().filter(|rule| may_apply(rule)) {
        for asked in asked_of(names, rule) {
            found.is_ruled = true;
            if known.insert(asked.name.to_lowercase()) {
                found.look_at(names, jar, entries, market, &asked);
            }
        }
    }
    found
}

impl Allergens {
    fn look_at(&mut self, names: &Resolver<'_>, jar: &Jar, entries: &[Entry], market: Market, asked: &Asked<'_>) {
        let count = |source: Source<'_>| jar.spread(|mixture| counted(names, mixture, market, asked.subject, source));
        let lowered = asked.name.to_lowercase();
        let is_same = |entry: &&Entry| entry.name.to_lowercase() == lowered;
        // What serves otherwise is declared whatever its share, and once.
        let is_itself = |_: &&Entry| count(Source::Entry(&asked.name)).high.is_positive();
        if let Some(entry) = entries.iter().find(is_same).filter(is_itself) {
            self.in_entries.push(entry.name.clone());
            return;
        }
        let total = count(Source::Any);
        let is_within = count(Source::Within).high.is_positive();
        if total.high > *asked.above {
            if is_within {
                let sure = total.low > *asked.above;
                let substances = named_in(names, jar, asked.subject);
                self.entries.push(Entry {
                    name: asked.name.clone(),
                    substances,
                    part: Part::Allergen,
                    share: total,
                    sure,
                });
            } else {
                self.under_own_name.push(asked.name.clone());
            }
        } else if total.high == *asked.above && is_within {
            self.at_threshold.push(asked.name.clone());
        }
    }
}

/// What a rule has named, each under the name it has for it.
fn asked_of<'r>(names: &Resolver<'_>, rule: &'r Rule) -> Vec<Asked<'r>> {
    let declared = rule.clauses.iter().filter_map(|clause| match &clause.ask {
        Ask::Declare(subject, above) => Some((subject, above)),
        _ => None,
    });
    let said = rule.because.as_deref().and_then(|because| because.strip_prefix("on the label as "));
    let said = said.map(|said| tidy(said.split(';').next().unwrap_or(said)));
    declared
        .map(|(subject, above)| {
            let own = || {
                let substance = subject.members.first().and_then(|member| names.substance(*member));
                let only = substance.filter(|_| subject.members.len() == 1);
                only.and_then(|only| only.inci.as_deref().map(tidy)).unwrap_or_else(|| subject.name.to_string())
            };
            Asked { name: said.clone().unwrap_or_else(own), subject, above }
        })
        .collect()
}

/// How much of a subject a mixture has, in percent of the whole, by where it is met.
fn counted(
    names: &Resolver<'_>,
    mixture: &[Portion],
    market: Market,
    subject: &Subject,
    source: Source<'_>,
) -> Interval {
    let mut total = Interval::zero();
    for portion in mixture {
        let is_scent = scent_of(names, &portion.material).is_some();
        let parts: Vec<(DeclId, Interval)> = strengths(&portion.material)
            .filter(|(part, _)| match source {
                Source::Any => true,
                Source::Within => is_scent,
                Source::Entry(_) if is_scent => false,
                Source::Entry(name) => names.substance(part.substance).is_some_and(|substance| {
                    let printed = printed_name(&substance, &portion.material.roles, market).text;
                    printed.to_lowercase() == name.to_lowercase()
                }),
            })
            .map(|(part, strength)| (part.substance, strength))
            .collect();
        // What a whole brings and an impurity are no entries.
        let beside = portion.material.brings.iter().chain(&portion.material.traces);
        let beside = beside.filter(|_| !matches!(source, Source::Entry(_)));
        let beside = beside.map(|part| (part.substance, &part.strength));
        let parts = parts.iter().map(|(id, strength)| (*id, strength)).chain(beside);
        let count = names.count(parts, &subject.members, &Counting::Own).total;
        total = &total + &count.times(&portion.share.hundredth());
    }
    total
}

/// The substances of a subject that are in the jar, by their names.
fn named_in(names: &Resolver<'_>, jar: &Jar, subject: &Subject) -> Vec<smol_str::SmolStr> {
    let all: BTreeSet<DeclId> = jar.mixtures().flatten().flat_map(all_in).collect();
    let is_it = |id: &DeclId| subject.members.iter().any(|member| names.is_same(*id, *member));
    let found = all.into_iter().filter(is_it).filter_map(|id| Some(names.substance(id)?.name.clone()));
    found.collect::<BTreeSet<_>>().into_iter().collect()
}

fn all_in(portion: &Portion) -> impl Iterator<Item = DeclId> + '_ {
    let material = &portion.material;
    material.contains.iter().chain(&material.brings).chain(&material.traces).map(|part| part.substance)
}

/// A formula as it is sold in one market. One that does not say whether it stays on counts as one that does: there the
/// thresholds are lower.
fn sold_there(formula: &Formula, market: Market) -> Formula {
    let mut sold = formula.clone();
    sold.markets = vec![(market, formula.place)];
    sold.composition.get_or_insert_with(Composition::default);
    if !sold.products.iter().any(|product| matches!(product, Product::LeaveOn | Product::RinseOff)) {
        sold.products.push(Product::LeaveOn);
    }
    sold
}

/// Whether what a rule waits for may hold. What hangs on the pH may.
fn may_hold(names: &Resolver<'_>, jar: &Jar, market: Market, when: &When) -> bool {
    let total = |subject| jar.spread(|mixture| counted(names, mixture, market, subject, Source::Any));
    match when {
        When::Ph(_) => true,
        When::Above(subject, figure) => total(subject).high > *figure,
        When::Below(subject, figure) => total(subject).low < *figure,
        When::Within(subject, bound) => Range::from(&total(subject)).meets(&bound.range),
    }
}
