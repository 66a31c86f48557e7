//! Rules of markets and of the house, asked of a formula.

use super::Look;
use super::rule_text::{Told, forbidden, outside, over_limit, ph_outside, ph_unknown, statement, to_declare};
use crate::diagnostic::{Code, Diagnostic, Level, Place};
use crate::model::{Ask, Bound, Clause, Composition, Counting, Formula, Line, PhRange, Rule, Subject, Thing, When};
use crate::quantity::{Exact, Interval};
use crate::resolve::{Count, Resolver};
use crate::shelf;
use smol_str::SmolStr;
use std::sync::Arc;

/// Markets without rules on the shelf. Another's are never put in their stead.
pub fn market_unknown(look: &Look<'_, '_>, faults: &mut Vec<Diagnostic>) {
    if look.formula.is_stock() {
        return;
    }
    for (market, place) in look.formula.markets.iter().filter(|(market, _)| !shelf::has_rules(*market)) {
        let message = format!("The shelf has no rules of `{}`, so nothing is checked for it.", market.word());
        faults.push(Diagnostic::new(Code::MarketUnknown, *place, message).help(
            "The rules of another market are not applied in its stead. Take it out, or write its rules with a source.",
        ));
    }
}

/// Every rule that binds a formula, on the day it is read. While the total is unknown, nothing is said.
pub fn rules(look: &Look<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = look.formula;
    let Some(composition) = formula.composition.as_ref().filter(|_| formula.total_known) else { return };
    let (day, _) = look.order.day(formula);
    let asked = Asked { formula, resolver: look.resolver, composition };
    let mut told: Vec<Told> = Vec::new();
    for rule in look.resolver.rules_of(formula, &day) {
        let applies = asked.applies(&rule);
        if applies != Holds::No {
            told.extend(rule.clauses.iter().filter_map(|clause| asked.judge(&rule, clause, applies)));
        }
    }
    faults.extend(strictest(told));
}

/// Of several limits of one source on one thing, only the strictest is told of; a statement is told of once.
fn strictest(told: Vec<Told>) -> impl Iterator<Item = Diagnostic> {
    let mut kept: Vec<Told> = Vec::new();
    for one in told {
        match kept.iter_mut().find(|known| known.is_the_same_as(&one)) {
            Some(known) if one.limit < known.limit => *known = one,
            Some(_) => {}
            None => kept.push(one),
        }
    }
    kept.into_iter().map(|told| told.fault)
}

/// Whether something holds, over strengths that may not be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Holds {
    /// Surely not.
    No,
    /// It cannot be shown.
    Unproven,
    /// Surely.
    Yes,
}

/// A formula that is asked about rules.
pub(super) struct Asked<'a, 's> {
    pub formula: &'a Formula,
    pub resolver: &'a Resolver<'s>,
    pub composition: &'a Composition,
}

impl Asked<'_, '_> {
    pub fn count(&self, subject: &Subject, counting: &Counting) -> Count {
        let parts = self.composition.parts.iter().map(|(part, share)| (*part, share));
        self.resolver.count(parts, &subject.members, counting)
    }

    /// The lines that give something of a subject, with what they give in percent of the batch, the most first.
    pub fn lines(&self, subject: &Subject, counting: &Counting) -> Vec<(&Line, Interval)> {
        let mut giving: Vec<(&Line, Interval)> = Vec::new();
        for line in &self.formula.lines {
            let Some(percent) = &line.percent else { continue };
            let total = match &line.thing {
                Some(Thing::Material(material)) => {
                    let parts = material.contains.iter().map(|part| (part.substance, &part.strength));
                    self.resolver.count(parts, &subject.members, counting).total
                }
                Some(Thing::Premix(premix)) => {
                    let parts = premix.composition.iter().flat_map(|inner| &inner.parts);
                    let parts = parts.map(|(part, share)| (*part, share));
                    self.resolver.count(parts, &subject.members, counting).total
                }
                None => continue,
            };
            if total.high.is_positive() {
                giving.push((line, total.times(&percent.hundredth())));
            }
        }
        // A stable sort: of equal ones the first stays first.
        giving.sort_by_key(|(_, share)| std::cmp::Reverse(share.middle()));
        giving
    }

    /// Whether all that a rule waits for holds.
    fn applies(&self, rule: &Rule) -> Holds {
        rule.whens.iter().map(|when| self.holds(when)).min().unwrap_or(Holds::Yes)
    }

    pub fn holds(&self, when: &When) -> Holds {
        let total = |subject: &Subject| self.count(subject, &Counting::Own).total;
        match when {
            When::Ph(bound) => self.window().map_or(Holds::Unproven, |window| window_within(window, bound)),
            When::Above(subject, figure) => above(&total(subject), figure),
            When::Below(subject, figure) => {
                let total = total(subject);
                if total.high < *figure {
                    Holds::Yes
                } else if total.low < *figure {
                    Holds::Unproven
                } else {
                    Holds::No
                }
            }
            When::Within(subject, bound) => within(&total(subject), bound),
        }
    }

    /// The pH window, unless it is at fault itself.
    pub fn window(&self) -> Option<&PhRange> {
        self.formula.window.as_ref().filter(|window| match (&window.low, &window.high) {
            (Some(low), Some(high)) => low <= high,
            _ => true,
        })
    }

    fn judge(&self, rule: &Arc<Rule>, clause: &Clause, applies: Holds) -> Option<Told> {
        let mut told = self.breach(rule, clause)?;
        // Where it cannot be shown that the rule applies, it cannot be shown that it is broken.
        if applies == Holds::Unproven && matches!(told.fault.code, Code::RuleBroken | Code::RuleForbids) {
            told.fault.code = Code::RuleUnproven;
            told.fault.level = unproven_level(rule);
            told.fault.help = Some(self.unsettled(rule));
        }
        Some(told)
    }

    fn breach(&self, rule: &Arc<Rule>, clause: &Clause) -> Option<Told> {
        match &clause.ask {
            Ask::Limit(subject, limit, counting) => {
                let count = self.count(subject, counting);
                (count.total.high > *limit)
                    .then(|| over_limit(self, rule, clause.place, subject, limit, counting, &count))?
            }
            Ask::Forbid(subject) => {
                let count = self.count(subject, &Counting::Own);
                count.total.high.is_positive().then(|| forbidden(self, rule, clause.place, subject, &count.total))?
            }
            Ask::Within(subject, bound) => {
                let count = self.count(subject, &Counting::Own);
                let kept = within(&count.total, bound);
                (kept != Holds::Yes).then(|| outside(self, rule, clause.place, subject, bound, &count.total, kept))
            }
            Ask::Declare(subject, above) => {
                let total = self.count(subject, &Counting::Own).total;
                (total.high > *above).then(|| to_declare(self, rule, clause.place, subject, above, &total))?
            }
            Ask::Ph(bound) => match &self.formula.window {
                None if !self.formula.lacks("pH") => None,
                None => Some(ph_unknown(self, rule, clause.place, bound)),
                Some(_) => {
                    let window = self.window()?;
                    (!window_lies_within(window, bound)).then(|| ph_outside(rule, clause.place, bound, window))
                }
            },
            Ask::Print(text) => Some(statement(self, rule, text)),
        }
    }

    /// The place that makes a rule apply: the line that gives most of what it waits for, or the pH.
    pub fn what_calls(&self, rule: &Rule) -> Place {
        let of = |when: &When| match when {
            When::Ph(_) => self.window().map(|window| window.place),
            When::Above(subject, _) | When::Within(subject, _) | When::Below(subject, _) => {
                self.lines(subject, &Counting::Own).first().map(|(line, _)| line.mark)
            }
        };
        rule.whens.iter().find_map(of).unwrap_or(self.formula.place)
    }

    /// What would settle whether a rule applies.
    fn unsettled(&self, rule: &Rule) -> String {
        let open = rule.whens.iter().find(|when| self.holds(when) == Holds::Unproven);
        match open {
            Some(When::Ph(_)) if self.window().is_none() => {
                format!("Whether `{}` applies hangs on the pH: give the formula a `pH` line.", rule.name)
            }
            Some(When::Ph(_)) => format!("`{}` applies to part of the pH window only: narrow the window.", rule.name),
            Some(When::Above(subject, _) | When::Below(subject, _) | When::Within(subject, _)) => {
                format!(
                    "Whether `{}` applies hangs on how much `{}` there is: {}.",
                    rule.name,
                    subject.name,
                    self.missing(subject)
                )
            }
            None => String::new(),
        }
    }

    /// Which strength is missing for a figure of a subject, and what would give it.
    pub fn missing(&self, subject: &Subject) -> String {
        let counted = self.lines(subject, &Counting::Own);
        let open = counted.iter().find(|(_, share)| !share.is_point());
        match open {
            Some((line, share)) => {
                let of = line.percent.as_ref().and_then(|percent| {
                    let hundred = |end: &Exact| (end * &Exact::HUNDRED).over(percent);
                    Some(Interval::new(hundred(&share.low)?, hundred(&share.high)?))
                });
                let known = of.map(|of| of.percent_text()).unwrap_or_default();
                let nothing = known.is_empty() || known == "0 % to 100 %";
                if nothing {
                    format!("its strength in `{}` is not disclosed; ask for it", line.name)
                } else {
                    format!("its strength in `{}` is known only as {known}; ask for the lot's own", line.name)
                }
            }
            None => "a molar mass is missing; give it with `molar-mass` in the substance".to_string(),
        }
    }
}

/// How grave it is that a rule cannot be shown to be kept: never graver than a warning.
pub(super) fn unproven_level(rule: &Rule) -> Level {
    rule.level.max(Level::Warning)
}

fn above(total: &Interval, figure: &Exact) -> Holds {
    if total.low > *figure {
        Holds::Yes
    } else if total.high > *figure {
        Holds::Unproven
    } else {
        Holds::No
    }
}

fn within(total: &Interval, bound: &Bound) -> Holds {
    let under = |end: &Exact| bound.low.as_ref().is_some_and(|low| end < low);
    let over = |end: &Exact| bound.high.as_ref().is_some_and(|high| end > high);
    if under(&total.high) || over(&total.low) {
        Holds::No
    } else if under(&total.low) || over(&total.high) {
        Holds::Unproven
    } else {
        Holds::Yes
    }
}

/// Whether all of a window lies within a bound; an open end reaches past any edge.
fn window_lies_within(window: &PhRange, bound: &Bound) -> bool {
    let low = bound.low.as_ref().is_none_or(|asked| window.low.as_ref().is_some_and(|low| low >= asked));
    low && bound.high.as_ref().is_none_or(|asked| window.high.as_ref().is_some_and(|high| high <= asked))
}

fn window_within(window: &PhRange, bound: &Bound) -> Holds {
    let below = matches!((&window.high, &bound.low), (Some(high), Some(asked)) if high < asked);
    let above = matches!((&window.low, &bound.high), (Some(low), Some(asked)) if low > asked);
    if below || above {
        Holds::No
    } else if window_lies_within(window, bound) {
        Holds::Yes
    } else {
        Holds::Unproven
    }
}

/// What is said of a rule's place.
pub(super) fn at_rule(fault: Diagnostic, rule: &Rule, place: Place, text: &str) -> Diagnostic {
    fault.and(place, text).source(rule.source.as_ref().map(SmolStr::to_string))
}
