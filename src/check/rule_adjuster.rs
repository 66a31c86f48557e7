//! What is in a formula as pH adjuster alone, and is no reason for a statement on the label.

use super::context::CheckContext;
use super::rule_text::at_rule;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::{Ask, DeclId, Line, LineMaterial, Rule, Subject, When};
use crate::resolve::{AskedRule, RuleOutcome};

/// A line weighed to the pH that brings what a rule asks a statement for, where nothing else in the formula calls for
/// the statement. Rules count the lines without the adjuster; this says that it was seen and set aside.
pub fn not_counted(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    let Some(composition) = formula.composition.as_ref().filter(|_| formula.total_known) else { return };
    let asked = AskedRule { formula, resolver: context.resolver, composition };
    let (day, _) = context.order.day(formula);
    for adjuster in formula.adjusters() {
        let brought = parts_of(adjuster);
        for rule in context.resolver.rules_about(formula, brought.iter().copied(), &day) {
            let named = waited_for(&asked, &rule).and_then(|subject| asked.first_of(subject, &brought));
            faults.extend(named.map(|part| note(&asked, &rule, adjuster, part)));
        }
    }
}

/// The substances a line brings.
fn parts_of(line: &Line) -> Vec<DeclId> {
    match &line.material {
        Some(LineMaterial::Material(material)) => material.contains.iter().map(|part| part.substance).collect(),
        Some(LineMaterial::Premix(premix)) => {
            premix.composition.iter().flat_map(|inner| inner.parts.keys().copied()).collect()
        }
        None => Vec::new(),
    }
}

/// What a rule with a statement waits for, where that is all that keeps the rule from applying.
fn waited_for<'r>(asked: &AskedRule<'_, '_>, rule: &'r Rule) -> Option<&'r Subject> {
    let states = rule.clauses.iter().any(|clause| matches!(clause.ask, Ask::Print(_)));
    let mut failing = rule.whens.iter().filter(|when| asked.holds(when) == RuleOutcome::No);
    match (failing.next(), failing.next()) {
        (Some(When::Above(subject, _)), None) if states => Some(subject),
        _ => None,
    }
}

impl AskedRule<'_, '_> {
    /// The first of some substances that belongs to a subject and that no line with a figure brings.
    fn first_of(&self, subject: &Subject, parts: &[DeclId]) -> Option<DeclId> {
        let belongs = |part: DeclId| subject.members.iter().any(|member| self.resolver.is_same(part, *member));
        let counted = |part: DeclId| self.composition.parts.keys().any(|other| self.resolver.is_same(part, *other));
        parts.iter().copied().find(|part| belongs(*part) && !counted(*part))
    }
}

fn note(asked: &AskedRule<'_, '_>, rule: &Rule, adjuster: &Line, part: DeclId) -> Diagnostic {
    let message = format!(
        "`{}` stands here as pH adjuster only, so the statement of `{}` is not asked for on its account.",
        asked.resolver.substance_name(part),
        rule.name
    );
    let fault = Diagnostic::new(Code::AdjusterNotCounted, adjuster.place, message)
        .help("Rules count the lines without the adjuster. If it is there to work on the skin, give it an amount.");
    at_rule(fault, rule, rule.place, "not asked for here")
}
