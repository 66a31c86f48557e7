//! Batch records.

use super::{Builder, kept};
use crate::diagnostic::{Code, Span};
use crate::syntax::context::Context;
use crate::syntax::cut::Placed;
use crate::syntax::statement::{Node, Nodes};
use crate::syntax::tree::{
    Amount, AmountKind, Batch, BatchEntry, BatchStatement, Expression, Fact, FrozenPlan, FrozenPlanLine, Item,
    Material, MaterialField, Name, Number, PlanPhase, PlanPremix, Quantity, Struck, Substance, Tail, Text,
};
use crate::syntax::{Rule, one_blank};
use rustc_hash::FxHashMap;
use smol_str::SmolStr;

/// A plan of which some statements are read.
#[derive(Default)]
pub(super) struct PlanInTheMaking {
    plan: FrozenPlan,
    /// The number of each material among what is declared: several lines may speak of one.
    materials: FxHashMap<SmolStr, usize>,
}

impl Builder {
    pub(super) fn batch(&mut self, opening: Node<'_>, placed: &Placed<'_>) -> Batch {
        let name = self.only_name(opening);
        let entries = kept(placed.statements().map(|placed| self.batch_statement(&placed)));
        Batch { name, entries, span: placed.span() }
    }

    pub(super) fn batch_statement(&mut self, placed: &Placed<'_>) -> BatchStatement {
        let mut nodes = self.read(placed, Context::Batch);
        let entry_span = nodes.as_ref().and_then(Nodes::peek).map_or(placed.span(), |node| node.span());
        let entry = nodes.as_mut().and_then(Iterator::next).and_then(|node| match node.as_rule() {
            Rule::plan_opening => Some(BatchEntry::Plan(self.frozen_plan(placed))),
            _ => self.batch_entry(node),
        });
        let entry = entry.unwrap_or_else(|| self.broken_entry(placed));
        let mut statement = BatchStatement { entry, on: None, at: None, by: None, entry_span, span: placed.span() };
        for stamp in nodes.into_iter().flatten() {
            self.stamp(stamp, &mut statement);
        }
        statement
    }

    /// A plan of which nothing can be read is one all the same, and no second is to be put beside it.
    fn broken_entry(&mut self, placed: &Placed<'_>) -> BatchEntry {
        match placed.head().strip_prefix("plan").is_some_and(|rest| rest.starts_with([' ', '\t', '{'])) {
            true => BatchEntry::Plan(FrozenPlan { is_faulty: true, span: placed.span(), ..FrozenPlan::default() }),
            false => BatchEntry::Broken,
        }
    }

    fn stamp(&mut self, node: Node<'_>, statement: &mut BatchStatement) {
        match node.as_rule() {
            Rule::on_date => statement.on = node.into_inner().next().map(|date| self.date(&date)),
            Rule::at_time => statement.at = node.into_inner().next().map(|time| self.time(&time)),
            _ => statement.by = Some(self.only_string(node)),
        }
    }

    fn batch_entry(&mut self, node: Node<'_>) -> Option<BatchEntry> {
        let span = node.span();
        Some(match node.as_rule() {
            Rule::reading => self.reading(node, span),
            Rule::lot => self.lot(node, span),
            Rule::batch_code => BatchEntry::Code(self.only_string(node)),
            Rule::size => BatchEntry::Size(self.only_quantity(node)),
            Rule::waited => BatchEntry::Waited(self.only_quantity(node)),
            Rule::heated => BatchEntry::Heated(self.only_quantity(node)),
            Rule::cooled => BatchEntry::Cooled(self.only_quantity(node)),
            Rule::yielded => BatchEntry::Yield(self.only_quantity(node)),
            Rule::rejected => BatchEntry::Rejected(node.into_inner().next().map(|because| self.only_string(because))?),
            Rule::observed => BatchEntry::Observed(self.only_string(node)),
            Rule::complaint => BatchEntry::Complaint(self.only_string(node)),
            Rule::note => BatchEntry::Note(self.only_string(node)),
            Rule::released => BatchEntry::Released,
            Rule::started => BatchEntry::Started(node.into_inner().next().map(|date| self.date(&date))?),
            rule => self.compound_entry(rule, node.into_inner(), span)?,
        })
    }

    fn compound_entry(&mut self, rule: Rule, mut inner: Nodes<'_>, span: Span) -> Option<BatchEntry> {
        Some(match rule {
            Rule::batch_formula => {
                let name = self.next_name(&mut inner, span);
                BatchEntry::Formula(name, self.next_string(&mut inner))
            }
            Rule::calibrated => {
                let known = self.next_number(&mut inner, span);
                BatchEntry::Calibrated(known, self.next_number(&mut inner, span))
            }
            Rule::weighed => {
                let material = self.next_name(&mut inner, span);
                BatchEntry::Weighed(material, self.next_quantity(&mut inner)?)
            }
            Rule::added => {
                let material = self.next_name(&mut inner, span);
                let weight = self.next_quantity(&mut inner)?;
                BatchEntry::Added(material, weight, inner.next().map(|because| self.only_string(because)))
            }
            Rule::removed => {
                let weight = self.next_quantity(&mut inner)?;
                BatchEntry::Removed(weight, inner.next().map(|because| self.only_string(because))?)
            }
            Rule::topped_up => {
                let material = self.next_name(&mut inner, span);
                let weight = inner.next()?;
                let (weight, to) = match weight.as_rule() {
                    Rule::to_weight => (self.only_quantity(weight), true),
                    _ => (self.quantity(weight), false),
                };
                let whole = inner.next().map(|whole| self.only_quantity(whole));
                BatchEntry::ToppedUp { material, weight, to, whole }
            }
            Rule::filled => {
                let count = self.next_number(&mut inner, span);
                let each = self.next_quantity(&mut inner)?;
                BatchEntry::Filled(count, each, self.next_string(&mut inner))
            }
            Rule::retained => BatchEntry::Retained(self.next_number(&mut inner, span)),
            Rule::sold => {
                let count = self.next_number(&mut inner, span);
                BatchEntry::Sold(count, self.next_string(&mut inner))
            }
            // What was struck out may be wrong in every way, and is not looked into.
            Rule::struck => {
                let statement = one_blank(inner.next()?.as_str());
                let because = inner.next().map(|because| self.only_string(because))?;
                BatchEntry::Struck(Box::new(Struck { statement, because }))
            }
            _ => return None,
        })
    }

    fn next_string(&mut self, inner: &mut Nodes<'_>) -> Option<Text> {
        inner.next().map(|node| self.string(&node))
    }

    fn next_quantity(&mut self, inner: &mut Nodes<'_>) -> Option<Quantity> {
        inner.next().map(|node| self.quantity(node))
    }

    fn lot(&mut self, node: Node<'_>, span: Span) -> BatchEntry {
        let mut inner = node.into_inner();
        let material = self.next_name(&mut inner, span);
        let code = self.next_string(&mut inner).unwrap_or(Text { value: SmolStr::default(), span });
        let (mut assay, mut opened, mut expires) = (None, None, None);
        for part in inner {
            match part.as_rule() {
                Rule::assay => assay = Some(self.only_quantity(part)),
                Rule::lot_opened => opened = part.into_inner().next().map(|date| self.date(&date)),
                Rule::lot_expires => expires = part.into_inner().next().map(|date| self.date(&date)),
                _ => {}
            }
        }
        BatchEntry::Lot { material, code, assay, opened, expires }
    }

    fn reading(&mut self, node: Node<'_>, span: Span) -> BatchEntry {
        let mut inner = node.into_inner();
        let low = self.next_number(&mut inner, span);
        let (mut high, mut by_strip, mut at, mut diluted) = (None, false, None, None);
        for part in inner {
            match part.as_rule() {
                Rule::number => high = Some(self.number(&part)),
                Rule::by_strip => by_strip = true,
                Rule::at_temperature => at = Some(self.only_quantity(part)),
                Rule::diluted => diluted = self.dilution(part, span),
                _ => {}
            }
        }
        BatchEntry::Reading { low, high, by_strip, at, diluted }
    }

    fn dilution(&mut self, node: Node<'_>, span: Span) -> Option<(Number, Number)> {
        let mut inner = node.into_inner();
        Some((self.next_number(&mut inner, span), self.next_number(&mut inner, span)))
    }

    fn frozen_plan(&mut self, placed: &Placed<'_>) -> FrozenPlan {
        let mut made = PlanInTheMaking::default();
        for placed in placed.statements() {
            self.plan_statement(&placed, &mut made);
        }
        FrozenPlan { span: placed.span(), ..made.plan }
    }

    pub(super) fn plan_statement(&mut self, placed: &Placed<'_>, made: &mut PlanInTheMaking) {
        let plan = &mut made.plan;
        let Some(node) = self.only(placed, Context::Plan) else {
            plan.is_faulty = true;
            return;
        };
        match node.as_rule() {
            Rule::plan_digest => plan.digest = Some(self.only_string(node)),
            Rule::plan_compiler => plan.compiler = Some(self.only_string(node)),
            Rule::plan_shelf => plan.shelf = Some(self.only_string(node)),
            Rule::plan_phase => {
                let first = plan.lines.len();
                plan.phases.push(PlanPhase { name: self.only_name(node), first, heat: None, cool: None });
            }
            Rule::plan_heat | Rule::plan_cool => self.plan_temperature(node, plan),
            Rule::plan_step => plan.steps.push(self.only_string(node)),
            Rule::plan_premix => plan.premixes.push(self.plan_premix(node)),
            Rule::plan_contains | Rule::plan_brings | Rule::plan_material => {
                self.plan_material(node, &mut plan.declared, &mut made.materials);
            }
            Rule::plan_substance => plan.declared.push(Item::Substance(self.plan_substance(node))),
            Rule::plan_line => plan.lines.push(self.plan_line(node)),
            _ => plan.header.extend(self.header(node)),
        }
    }

    /// What a phase opens with belongs to the phase above it.
    fn plan_temperature(&mut self, node: Node<'_>, plan: &mut FrozenPlan) {
        let (rule, span) = (node.as_rule(), node.span());
        let at = Some(self.only_quantity(node));
        match (plan.phases.last_mut(), rule) {
            (Some(phase), Rule::plan_heat) => phase.heat = at,
            (Some(phase), _) => phase.cool = at,
            (None, _) => {
                plan.is_faulty = true;
                let message = "A temperature in a plan belongs to a phase, and none is opened above it.";
                let fault = self.fault(Code::Syntax, span, message);
                self.faults.push(fault.help("Write `phase A`, or the phase's own name, on the line above it."));
            }
        }
    }

    fn plan_line(&mut self, node: Node<'_>) -> FrozenPlanLine {
        let span = node.span();
        let mut inner = node.into_inner();
        let material: Name = self.next_name(&mut inner, span);
        let weighed = inner.peek().is_some_and(|next| next.as_rule() == Rule::quantity);
        let percent = if weighed { self.next_quantity(&mut inner) } else { None };
        let (amount, tail) = self.amount_and_tail(inner);
        let amount = amount.unwrap_or(Amount { kind: AmountKind::QuantumSatis, span });
        FrozenPlanLine { material, percent, amount, tail }
    }

    fn plan_premix(&mut self, node: Node<'_>) -> PlanPremix {
        let span = node.span();
        let mut inner = node.into_inner();
        let name = self.next_name(&mut inner, span);
        let (mut title, mut parts) = (None, Vec::new());
        for part in inner {
            match part.as_rule() {
                Rule::premix_part => parts.push(self.premix_part(part)),
                _ => title = Some(self.string(&part)),
            }
        }
        PlanPremix { name, title, parts }
    }

    fn premix_part(&mut self, node: Node<'_>) -> FrozenPlanLine {
        let span = node.span();
        let mut inner = node.into_inner();
        let material = self.next_name(&mut inner, span);
        let weighed = inner.peek().is_some_and(|next| next.as_rule() == Rule::quantity);
        let percent = if weighed { self.next_quantity(&mut inner) } else { None };
        let (amount, _) = self.amount_and_tail(inner);
        let amount = amount.or_else(|| {
            percent.clone().map(|percent| Amount { kind: AmountKind::AsSupplied(Expression::Quantity(percent)), span })
        });
        let amount = amount.unwrap_or(Amount { kind: AmountKind::QuantumSatis, span });
        FrozenPlanLine { material, percent, amount, tail: Tail::default() }
    }

    /// A line on a material: one more fact of it, where another line spoke of it before.
    fn plan_material(&mut self, node: Node<'_>, declared: &mut Vec<Item>, materials: &mut FxHashMap<SmolStr, usize>) {
        let span = node.span();
        let rule = node.as_rule();
        let name = self.next_name(&mut node.into_inner(), span);
        let mut facts: Vec<Fact<MaterialField>> = Vec::new();
        if rule == Rule::plan_contains {
            facts.push(Fact { field: MaterialField::Contains(self.components(node)), source: None, span });
        } else if rule == Rule::plan_brings {
            facts.push(Fact { field: MaterialField::Brings(self.brought(node)), source: None, span });
        } else {
            for field in node.into_inner().skip(1) {
                let span = field.span();
                facts.extend(self.material_field(field).map(|field| Fact { field, source: None, span }));
            }
        }
        let known = materials.get(&name.text).and_then(|at| declared.get_mut(*at));
        if let Some(Item::Material(material)) = known {
            material.facts.extend(facts);
            return;
        }
        materials.insert(name.text.clone(), declared.len());
        declared.push(Item::Material(Material { name, like: None, facts, broken: Vec::new(), span }));
    }

    fn plan_substance(&mut self, node: Node<'_>) -> Substance {
        let span = node.span();
        let mut inner = node.into_inner();
        let name = self.next_name(&mut inner, span);
        let mut facts = Vec::new();
        for field in inner {
            let span = field.span();
            facts.extend(self.substance_field(field).map(|field| Fact { field, source: None, span }));
        }
        Substance { name, facts, span }
    }
}
