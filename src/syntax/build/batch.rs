//! Batch records.

use super::Builder;
use crate::diagnostic::Span;
use crate::syntax::Rule;
use crate::syntax::tree::{
    Amount, AmountKind, Batch, BatchEntry, BatchStatement, Expression, Fact, FrozenPlan, Item, Material, MaterialField,
    Name, Number, PlanLine, PlanPremix, Quantity, Substance, Tail, Text,
};
use crate::syntax::words::Context;
use pest::iterators::{Pair, Pairs};
use rustc_hash::FxHashMap;
use smol_str::SmolStr;

impl Builder<'_> {
    pub(super) fn batch(&mut self, pair: Pair<'_, Rule>) -> Batch {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = self.next_name(&mut inner, span);
        let mut entries: Vec<BatchStatement> = Vec::new();
        for pair in inner {
            let span = self.span(&pair);
            match pair.as_rule() {
                Rule::comment => {}
                Rule::on_date | Rule::at_time | Rule::by_whom => self.stamp(pair, entries.last_mut()),
                _ => {
                    let entry = self.batch_entry(pair).unwrap_or(BatchEntry::Broken);
                    entries.push(BatchStatement { entry, on: None, at: None, by: None, span });
                }
            }
        }
        Batch { name, entries, span }
    }

    fn stamp(&mut self, pair: Pair<'_, Rule>, statement: Option<&mut BatchStatement>) {
        let Some(statement) = statement else { return };
        statement.span = statement.span.to(self.span(&pair));
        match pair.as_rule() {
            Rule::on_date => statement.on = pair.into_inner().next().map(|date| self.date(&date)),
            Rule::at_time => statement.at = pair.into_inner().next().map(|time| self.time(&time)),
            _ => statement.by = Some(self.only_string(pair)),
        }
    }

    fn batch_entry(&mut self, pair: Pair<'_, Rule>) -> Option<BatchEntry> {
        let span = self.span(&pair);
        Some(match pair.as_rule() {
            Rule::broken => {
                self.broken(&pair, Context::Batch);
                // A plan of which nothing can be read is one all the same, and no second is to be put beside it.
                match pair.as_str().trim_start_matches("plan").starts_with([' ', '\t', '{']) {
                    true if pair.as_str().starts_with("plan") => {
                        BatchEntry::Plan(FrozenPlan { is_faulty: true, span, ..FrozenPlan::default() })
                    }
                    _ => BatchEntry::Broken,
                }
            }
            Rule::plan => self.frozen_plan(pair),
            Rule::reading => self.reading(pair, span),
            Rule::lot => self.lot(pair, span),
            Rule::size => BatchEntry::Size(self.only_quantity(pair)),
            Rule::waited => BatchEntry::Waited(self.only_quantity(pair)),
            Rule::heated => BatchEntry::Heated(self.only_quantity(pair)),
            Rule::cooled => BatchEntry::Cooled(self.only_quantity(pair)),
            Rule::yielded => BatchEntry::Yield(self.only_quantity(pair)),
            Rule::rejected => BatchEntry::Rejected(pair.into_inner().next().map(|because| self.only_string(because))?),
            Rule::observed => BatchEntry::Observed(self.only_string(pair)),
            Rule::complaint => BatchEntry::Complaint(self.only_string(pair)),
            Rule::note => BatchEntry::Note(self.only_string(pair)),
            Rule::released => BatchEntry::Released,
            Rule::started => BatchEntry::Started(pair.into_inner().next().map(|date| self.date(&date))?),
            rule => self.compound_entry(rule, pair.into_inner(), span)?,
        })
    }

    fn compound_entry(&mut self, rule: Rule, mut inner: Pairs<'_, Rule>, span: Span) -> Option<BatchEntry> {
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
            _ => return None,
        })
    }

    fn next_string(&mut self, inner: &mut Pairs<'_, Rule>) -> Option<Text> {
        inner.next().map(|pair| self.string(&pair))
    }

    fn next_quantity(&mut self, inner: &mut Pairs<'_, Rule>) -> Option<Quantity> {
        inner.next().map(|pair| self.quantity(pair))
    }

    fn lot(&mut self, pair: Pair<'_, Rule>, span: Span) -> BatchEntry {
        let mut inner = pair.into_inner();
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

    fn reading(&mut self, pair: Pair<'_, Rule>, span: Span) -> BatchEntry {
        let mut inner = pair.into_inner();
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

    fn dilution(&mut self, pair: Pair<'_, Rule>, span: Span) -> Option<(Number, Number)> {
        let mut inner = pair.into_inner();
        Some((self.next_number(&mut inner, span), self.next_number(&mut inner, span)))
    }

    fn frozen_plan(&mut self, pair: Pair<'_, Rule>) -> BatchEntry {
        let mut plan = FrozenPlan { span: self.span(&pair), ..FrozenPlan::default() };
        // The number of each material among what is declared: several lines may speak of one.
        let mut materials: FxHashMap<SmolStr, usize> = FxHashMap::default();
        for pair in pair.into_inner() {
            match pair.as_rule() {
                Rule::plan_digest => plan.digest = Some(self.only_string(pair)),
                Rule::plan_compiler => plan.compiler = Some(self.only_string(pair)),
                Rule::plan_shelf => plan.shelf = Some(self.only_string(pair)),
                Rule::plan_phase => plan.phases.push((self.only_name(pair), plan.lines.len())),
                Rule::plan_premix => plan.premixes.push(self.plan_premix(pair)),
                Rule::plan_contains | Rule::plan_material => {
                    self.plan_material(pair, &mut plan.declared, &mut materials);
                }
                Rule::plan_substance => plan.declared.push(Item::Substance(self.plan_substance(pair))),
                Rule::plan_line => plan.lines.push(self.plan_line(pair)),
                Rule::broken => {
                    self.broken(&pair, Context::Plan);
                    plan.is_faulty = true;
                }
                _ => plan.header.extend(self.header(pair)),
            }
        }
        BatchEntry::Plan(plan)
    }

    fn plan_line(&mut self, pair: Pair<'_, Rule>) -> PlanLine {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let material: Name = self.next_name(&mut inner, span);
        let weighed = inner.peek().is_some_and(|next| next.as_rule() == Rule::quantity);
        let percent = if weighed { self.next_quantity(&mut inner) } else { None };
        let (amount, tail) = self.amount_and_tail(inner);
        let amount = amount.unwrap_or(Amount { kind: AmountKind::QuantumSatis, span });
        PlanLine { material, percent, amount, tail }
    }

    fn plan_premix(&mut self, pair: Pair<'_, Rule>) -> PlanPremix {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = self.next_name(&mut inner, span);
        let parts = inner.filter(|part| part.as_rule() == Rule::premix_part);
        PlanPremix { name, parts: parts.map(|part| self.premix_part(part)).collect() }
    }

    fn premix_part(&mut self, pair: Pair<'_, Rule>) -> PlanLine {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let material = self.next_name(&mut inner, span);
        let weighed = inner.peek().is_some_and(|next| next.as_rule() == Rule::quantity);
        let percent = if weighed { self.next_quantity(&mut inner) } else { None };
        let (amount, _) = self.amount_and_tail(inner);
        let amount = amount.or_else(|| {
            percent.clone().map(|percent| Amount { kind: AmountKind::AsSupplied(Expression::Quantity(percent)), span })
        });
        let amount = amount.unwrap_or(Amount { kind: AmountKind::QuantumSatis, span });
        PlanLine { material, percent, amount, tail: Tail::default() }
    }

    /// A line on a material: one more fact of it, where another line spoke of it before.
    fn plan_material(
        &mut self,
        pair: Pair<'_, Rule>,
        declared: &mut Vec<Item>,
        materials: &mut FxHashMap<SmolStr, usize>,
    ) {
        let span = self.span(&pair);
        let rule = pair.as_rule();
        let name = self.next_name(&mut pair.clone().into_inner(), span);
        let mut facts: Vec<Fact<MaterialField>> = Vec::new();
        if rule == Rule::plan_contains {
            facts.push(Fact { field: MaterialField::Contains(self.components(pair)), source: None, span });
        } else {
            for field in pair.into_inner().skip(1) {
                let span = self.span(&field);
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

    fn plan_substance(&mut self, pair: Pair<'_, Rule>) -> Substance {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = self.next_name(&mut inner, span);
        let mut facts = Vec::new();
        for field in inner {
            let span = self.span(&field);
            facts.extend(self.substance_field(field).map(|field| Fact { field, source: None, span }));
        }
        Substance { name, facts, span }
    }
}
