//! Rules of markets and of the house, asked of a formula.

use super::context::CheckContext;
use super::rule_text::{
    RuleFinding, forbidden, outside, over_limit, ph_outside, ph_unknown, statement, to_declare, unproven_level,
};
use crate::diagnostic::{Code, Diagnostic};
use crate::label::is_said;
use crate::model::{Ask, Clause, Counting, HeaderLine, Rule, When};
use crate::quantity::Range;
use crate::resolve::{AskedRule, RuleOutcome, within};
use std::sync::Arc;

/// Every rule that binds a formula, on the day it is read. While the total is unknown, nothing is said.
pub fn rules(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    let Some(composition) = formula.composition.as_ref().filter(|_| formula.total_known) else { return };
    let (day, _) = context.order.day(formula);
    let asked = AskedRule { formula, resolver: context.resolver, composition };
    let mut told: Vec<RuleFinding> = Vec::new();
    for rule in context.resolver.rules_of(formula, &day) {
        let applies = asked.applies(&rule);
        if applies != RuleOutcome::No {
            told.extend(rule.clauses.iter().filter_map(|clause| asked.finding(&rule, clause, applies)));
        }
    }
    faults.extend(strictest(told));
}

/// Of several limits of one source on one thing, only the strictest is told of; a statement is told of once.
fn strictest(told: Vec<RuleFinding>) -> impl Iterator<Item = Diagnostic> {
    let mut kept: Vec<RuleFinding> = Vec::new();
    for one in told {
        match kept.iter_mut().find(|known| known.is_the_same_as(&one)) {
            Some(known) if one.limit < known.limit => *known = one,
            Some(_) => {}
            None => kept.push(one),
        }
    }
    kept.into_iter().map(|told| told.fault)
}

impl AskedRule<'_, '_> {
    fn finding(&self, rule: &Arc<Rule>, clause: &Clause, applies: RuleOutcome) -> Option<RuleFinding> {
        let mut told = self.breach(rule, clause)?;
        // Where it cannot be shown that the rule applies, it cannot be shown that it is broken.
        if applies == RuleOutcome::Unproven && matches!(told.fault.code, Code::RuleBroken | Code::RuleForbids) {
            told.fault.code = Code::RuleUnproven;
            told.fault.level = unproven_level(rule);
            told.fault.help = Some(self.unsettled(rule));
        }
        Some(told)
    }

    fn breach(&self, rule: &Arc<Rule>, clause: &Clause) -> Option<RuleFinding> {
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
                let kept = within(&Range::from(&count.total), &bound.range);
                (kept != RuleOutcome::Yes)
                    .then(|| outside(self, rule, clause.place, subject, bound, &count.total, kept))
            }
            Ask::Declare(subject, above) => {
                let total = self.count(subject, &Counting::Own).total;
                (total.high > *above).then(|| to_declare(self, rule, clause.place, subject, above, &total))?
            }
            Ask::Ph(bound) => match &self.formula.window {
                None if !self.formula.lacks(HeaderLine::Ph) => None,
                None => Some(ph_unknown(self, rule, clause.place, bound)),
                Some(_) => {
                    let window = self.window()?;
                    (!window.lies_within(&bound.range)).then(|| ph_outside(rule, clause.place, bound, window))
                }
            },
            Ask::Print(text) => (!is_said(self.formula, text)).then(|| statement(self, rule, clause.place, text)),
        }
    }

    /// What would settle whether a rule applies.
    fn unsettled(&self, rule: &Rule) -> String {
        let open = rule.whens.iter().find(|when| self.holds(when) == RuleOutcome::Unproven);
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
}
