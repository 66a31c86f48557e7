//! Groups, rules, batches, containers and rates: names looked up and figures measured, for a later capability to act on.

use super::scope::NameSet;
use super::{Figure, Resolver};
use crate::diagnostic::Diagnostic;
use crate::model::DeclId;
use crate::quantity::Dimension;
use crate::syntax::tree::{
    BatchEntry, Condition, Expression, Item, Name, Quantity, Range, Rule, RuleBody, RuleBodyKind, RuleStatement,
};

impl Resolver<'_> {
    /// Looks at a declaration that is neither substance nor material nor formula, for the sake of its faults.
    pub fn check_declaration(&self, id: DeclId, faults: &mut Vec<Diagnostic>) {
        match self.scopes.item(id) {
            Some(Item::Group(group)) => {
                for member in &group.members {
                    self.look_up(id.file, NameSet::Substance, member, faults);
                }
            }
            Some(Item::Rule(rule)) => self.check_rule(id, rule, faults),
            Some(Item::Batch(batch)) => {
                for statement in &batch.entries {
                    self.batch_entry(id, &statement.entry, faults);
                }
            }
            Some(Item::Container(container)) => {
                if let Some(holds) = &container.holds {
                    self.measure(id, holds, "`holds`", &[Dimension::Volume, Dimension::Mass], faults);
                }
                if let Some(price) = &container.price {
                    self.measure(id, price, "`price`", &[Dimension::Money], faults);
                }
            }
            Some(Item::Rate(rate)) => {
                self.measure(id, &rate.of, "`rate`", &[Dimension::Money], faults);
                self.measure(id, &rate.worth, "`rate`", &[Dimension::Money], faults);
            }
            _ => {}
        }
    }

    fn check_rule(&self, id: DeclId, rule: &Rule, faults: &mut Vec<Diagnostic>) {
        for statement in &rule.statements {
            match statement {
                RuleStatement::Body(body) => self.rule_body(id, body, faults),
                RuleStatement::When(Condition::Ph(range)) => {
                    self.measure_range(id, range, "`when pH`", &[Dimension::Plain], faults)
                }
                RuleStatement::When(Condition::Above(subject, figure) | Condition::Below(subject, figure)) => {
                    self.subjects(id.file, subject, faults);
                    self.measure_expression(id, figure, "`when`", &[Dimension::Percent], faults);
                }
                RuleStatement::When(Condition::Within(subject, range)) => {
                    self.subjects(id.file, subject, faults);
                    self.measure_range(id, range, "`when`", &[Dimension::Percent], faults);
                }
                _ => {}
            }
        }
    }

    fn rule_body(&self, id: DeclId, body: &RuleBody, faults: &mut Vec<Diagnostic>) {
        match &body.kind {
            RuleBodyKind::Limit { subject, limit, counted_as } => {
                self.subjects(id.file, subject, faults);
                self.measure_expression(id, limit, "`limit`", &[Dimension::Percent], faults);
                if let Some(name) = counted_as.as_ref().filter(|name| name.text != "acid") {
                    self.look_up(id.file, NameSet::Substance, name, faults);
                }
            }
            RuleBodyKind::RequirePh(range) => {
                self.measure_range(id, range, "`require pH`", &[Dimension::Plain], faults)
            }
            RuleBodyKind::Require(subject, range) => {
                self.subjects(id.file, subject, faults);
                self.measure_range(id, range, "`require`", &[Dimension::Percent], faults);
            }
            RuleBodyKind::Forbid(subject) => {
                self.subjects(id.file, subject, faults);
            }
            RuleBodyKind::Declare(subject, above) => {
                self.subjects(id.file, subject, faults);
                self.measure_expression(id, above, "`above`", &[Dimension::Percent], faults);
            }
            RuleBodyKind::Print(_) => {}
        }
    }

    fn batch_entry(&self, id: DeclId, entry: &BatchEntry, faults: &mut Vec<Diagnostic>) {
        let weight = &[Dimension::Mass][..];
        let degrees = &[Dimension::Temperature][..];
        let mut measure =
            |quantity: &Quantity, what: &str, wanted: &[Dimension]| self.measure(id, quantity, what, wanted, faults);
        match entry {
            BatchEntry::Size(weighed) => measure(weighed, "`size`", weight),
            BatchEntry::Yield(weighed) => measure(weighed, "`yield`", weight),
            BatchEntry::Weighed(material, weighed) => {
                measure(weighed, "`weighed`", weight);
                self.batch_material(id, material, faults);
            }
            BatchEntry::Added(material, weighed, _) => {
                measure(weighed, "`added`", weight);
                self.batch_material(id, material, faults);
            }
            BatchEntry::Removed(weighed, _) => measure(weighed, "`removed`", weight),
            BatchEntry::ToppedUp { material, weight: weighed, whole, .. } => {
                for weighed in [weighed].into_iter().chain(whole) {
                    measure(weighed, "`topped-up`", weight);
                }
                self.batch_material(id, material, faults);
            }
            BatchEntry::Lot { material, assay, .. } => {
                if let Some(assay) = assay {
                    measure(assay, "`assay`", &[Dimension::Percent]);
                }
                self.batch_material(id, material, faults);
            }
            BatchEntry::Waited(time) => measure(time, "`waited`", &[Dimension::Time]),
            BatchEntry::Heated(at) => measure(at, "`heated`", degrees),
            BatchEntry::Cooled(at) => measure(at, "`cooled`", degrees),
            BatchEntry::Reading { at: Some(at), .. } => measure(at, "`at`", degrees),
            BatchEntry::Filled(_, each, _) => measure(each, "`filled`", &[Dimension::Volume, Dimension::Mass]),
            BatchEntry::Plan(plan) => {
                let parts = plan.premixes.iter().flat_map(|premix| &premix.parts);
                for percent in plan.lines.iter().chain(parts).filter_map(|line| line.percent.as_ref()) {
                    measure(percent, "A plan", &[Dimension::Percent]);
                }
                self.check_plan(id, faults);
            }
            _ => {}
        }
    }

    /// A material that a record names counts as used. A record may outlive its formula and its materials, so a name
    /// that is gone is no fault of the record by itself.
    fn batch_material(&self, id: DeclId, name: &Name, _faults: &mut Vec<Diagnostic>) {
        if let Some(found) = self.scopes.find(id.file, NameSet::Thing, &name.text) {
            self.mark_used(found);
        }
    }

    fn measure(&self, id: DeclId, quantity: &Quantity, what: &str, wanted: &[Dimension], faults: &mut Vec<Diagnostic>) {
        let evaluator = self.evaluator(id.file);
        let found: Option<Figure> = evaluator.quantity(quantity);
        if let Some(figure) = found.filter(|figure| !wanted.contains(&figure.dimension)) {
            faults.push(evaluator.mismatch(quantity.span, what, wanted, figure.dimension));
        }
    }

    fn measure_expression(
        &self,
        id: DeclId,
        figure: &Expression,
        what: &str,
        wanted: &[Dimension],
        faults: &mut Vec<Diagnostic>,
    ) {
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        self.evaluator(id.file).want(figure, what, wanted, &mut names, faults);
    }

    fn measure_range(&self, id: DeclId, range: &Range, what: &str, wanted: &[Dimension], faults: &mut Vec<Diagnostic>) {
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        self.evaluator(id.file).range(range, what, wanted, &mut names, faults);
    }
}
