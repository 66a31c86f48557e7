//! Groups, rules and batches: names looked up and figures measured, for the sake of their faults.

use super::bounds::zero;
use super::name_set::NameSet;
use super::{Bounds, Resolver};
use crate::diagnostic::{Code, Diagnostic, Place, Span};
use crate::model::DeclId;
use crate::quantity::{Dimension, Exact};
use crate::syntax::tree::{
    BatchEntry, Condition, Expression, Group, HeaderField, Item, Name, Number, Quantity, Rule, RuleBody, RuleBodyKind,
    RuleStatement, WrittenRange,
};
use smol_str::SmolStr;

const WEIGHT: &[Dimension] = &[Dimension::Mass];
const DEGREES: &[Dimension] = &[Dimension::Temperature];
const FILL: &[Dimension] = &[Dimension::Volume, Dimension::Mass];

impl Resolver<'_> {
    /// Looks at a declaration that is neither substance nor material nor formula, for the sake of its faults.
    pub fn check_declaration(&self, id: DeclId, faults: &mut Vec<Diagnostic>) {
        match self.scopes.item(id) {
            Some(Item::Group(group)) => self.check_group(id, group, faults),
            Some(Item::Rule(rule)) => self.check_rule(id, rule, faults),
            Some(Item::Batch(batch)) => {
                for statement in &batch.entries {
                    self.batch_entry(id, &statement.entry, faults);
                }
            }
            Some(Item::Container(container)) => self.check_container(id, container, faults),
            Some(Item::Rate(rate)) => self.check_rate(id, rate, faults),
            Some(Item::Maker(maker)) => self.check_maker(id, maker, faults),
            Some(Item::Planned(planned)) => self.check_planned(id, planned, faults),
            Some(Item::Stock(stock)) => self.check_stock(id, stock, faults),
            _ => {}
        }
    }

    /// A member that stands twice would be counted twice.
    fn check_group(&self, id: DeclId, group: &Group, faults: &mut Vec<Diagnostic>) {
        let mut met: Vec<(DeclId, Place)> = Vec::new();
        for member in &group.members {
            let Some(found) = self.look_up(id.file, NameSet::Substance, member, faults) else { continue };
            let place = Self::place(id.file, member);
            if let Some((_, first)) = met.iter().find(|(known, _)| *known == found) {
                let message = format!("`{}` stands twice in this group: it would be counted twice.", member.text);
                faults.push(
                    Diagnostic::new(Code::HeaderTwice, place, message)
                        .and(*first, "it stands here first")
                        .help("Take one of the two out."),
                );
            }
            met.push((found, place));
        }
    }

    fn check_rule(&self, id: DeclId, rule: &Rule, faults: &mut Vec<Diagnostic>) {
        let mut from: Option<(&SmolStr, Span)> = None;
        let mut until: Option<(&SmolStr, Span)> = None;
        for statement in &rule.statements {
            match statement {
                RuleStatement::Body(body) => self.rule_body(id, body, faults),
                RuleStatement::When(condition) => self.rule_condition(id, condition, faults),
                RuleStatement::From(day, span) => from = Some((day, *span)),
                RuleStatement::Until(day, span) => until = Some((day, *span)),
                _ => {}
            }
        }
        if let (Some((first, at)), Some((last, span))) = (from, until)
            && first > last
        {
            let message = format!("This rule begins on {first} and ended on {last}: it never holds.");
            faults.push(
                Diagnostic::new(Code::Syntax, Place { file: id.file, span }, message)
                    .and(Place { file: id.file, span: at }, "it begins here")
                    .help("Write the earlier day after `from`, and the later after `until`."),
            );
        }
    }

    fn rule_condition(&self, id: DeclId, condition: &Condition, faults: &mut Vec<Diagnostic>) {
        match condition {
            Condition::Ph(range) => self.ph_range(id, range, "`when pH`", faults),
            Condition::Above(subject, figure) | Condition::Below(subject, figure) => {
                self.subjects(id.file, subject, faults);
                self.share(id, figure, "`when`", faults);
            }
            Condition::Within(subject, range) => {
                self.subjects(id.file, subject, faults);
                self.share_range(id, range, "`when`", faults);
            }
        }
    }

    fn rule_body(&self, id: DeclId, body: &RuleBody, faults: &mut Vec<Diagnostic>) {
        match &body.kind {
            RuleBodyKind::Limit { subject, limit, counted_as } => {
                self.subjects(id.file, subject, faults);
                self.share(id, limit, "`limit`", faults);
                if let Some(name) = counted_as.as_ref().filter(|name| name.text != "acid") {
                    self.look_up(id.file, NameSet::Substance, name, faults);
                }
            }
            RuleBodyKind::RequirePh(range) => self.ph_range(id, range, "`require pH`", faults),
            RuleBodyKind::Require(subject, range) => {
                self.subjects(id.file, subject, faults);
                self.share_range(id, range, "`require`", faults);
            }
            RuleBodyKind::Forbid(subject) => {
                self.subjects(id.file, subject, faults);
            }
            RuleBodyKind::Declare(subject, above) => {
                self.subjects(id.file, subject, faults);
                self.share(id, above, "`above`", faults);
            }
            RuleBodyKind::Print(_) => {}
        }
    }

    fn batch_entry(&self, id: DeclId, entry: &BatchEntry, faults: &mut Vec<Diagnostic>) {
        if let Some(material) = entry.material() {
            self.batch_material(id, material, faults);
        }
        match entry {
            BatchEntry::Size(weighed) => {
                self.measure(id, weighed, "`size`", WEIGHT, faults);
                self.not_nought(id, weighed, "A batch", faults);
            }
            BatchEntry::Yield(weighed) => self.measure(id, weighed, "`yield`", WEIGHT, faults),
            BatchEntry::Weighed(_, weighed) => self.measure(id, weighed, "`weighed`", WEIGHT, faults),
            BatchEntry::Added(_, weighed, _) => self.measure(id, weighed, "`added`", WEIGHT, faults),
            BatchEntry::Removed(weighed, _) => self.measure(id, weighed, "`removed`", WEIGHT, faults),
            BatchEntry::ToppedUp { weight: weighed, whole, .. } => {
                for weighed in [weighed].into_iter().chain(whole) {
                    self.measure(id, weighed, "`topped-up`", WEIGHT, faults);
                }
            }
            BatchEntry::Lot { assay: Some(assay), .. } => {
                self.measure(id, assay, "`assay`", &[Dimension::Percent], faults);
                self.can_be(id, (&Bounds::share(), Dimension::Percent), assay, faults);
            }
            BatchEntry::Waited(time) => {
                self.measure(id, time, "`waited`", &[Dimension::Time], faults);
                self.can_be(id, (&Bounds::wait(), Dimension::Time), time, faults);
            }
            BatchEntry::Heated(at) => self.degrees(id, at, "`heated`", faults),
            BatchEntry::Cooled(at) => self.degrees(id, at, "`cooled`", faults),
            BatchEntry::Calibrated(buffer, reads) => self.ph_figures(id, [Some(buffer), Some(reads)], faults),
            BatchEntry::Reading { low, high, at, diluted, .. } => {
                self.ph_figures(id, [Some(low), high.as_ref()], faults);
                self.runs_down(id, low, high.as_ref(), faults);
                if let Some(at) = at {
                    self.degrees(id, at, "`at`", faults);
                }
                if let Some((part, whole)) = diluted {
                    self.dilution(id, part, whole, faults);
                }
            }
            BatchEntry::Filled(count, each, _) => {
                self.measure(id, each, "`filled`", FILL, faults);
                self.not_nought(id, each, "A container", faults);
                self.counted(id, count, "Containers are", faults);
            }
            BatchEntry::Retained(count) => self.counted(id, count, "What is retained is", faults),
            BatchEntry::Sold(count, _) => self.counted(id, count, "What is sold is", faults),
            BatchEntry::Plan(plan) => {
                let parts = plan.premixes.iter().flat_map(|premix| &premix.parts);
                for percent in plan.lines.iter().chain(parts).filter_map(|line| line.percent.as_ref()) {
                    self.measure(id, percent, "A plan", &[Dimension::Percent], faults);
                }
                for phase in &plan.phases {
                    for (at, what) in [(&phase.heat, "`heat to`"), (&phase.cool, "`cool to`")] {
                        if let Some(at) = at {
                            self.degrees(id, at, what, faults);
                        }
                    }
                }
                for header in &plan.header {
                    if let HeaderField::Density(density) = &header.field {
                        let _ = self.density_of_plan(id, density, faults);
                    }
                }
                self.check_plan(id, faults);
            }
            _ => {}
        }
    }

    /// A material that a record names counts as used. A record may outlive its formula and its materials, so a name
    /// that is gone is no fault of the record by itself.
    fn batch_material(&self, id: DeclId, name: &Name, _faults: &mut Vec<Diagnostic>) {
        if let Some(found) = self.scopes.find(id.file, NameSet::Weighable, &name.text) {
            self.mark_used(found);
        }
    }

    fn measure(&self, id: DeclId, quantity: &Quantity, what: &str, wanted: &[Dimension], faults: &mut Vec<Diagnostic>) {
        let evaluator = self.evaluator(id.file);
        let found = evaluator.quantity(quantity);
        if let Some(figure) = found.filter(|figure| !wanted.contains(&figure.dimension)) {
            faults.push(evaluator.mismatch(quantity.span, what, wanted, figure.dimension));
        }
    }

    fn degrees(&self, id: DeclId, at: &Quantity, what: &str, faults: &mut Vec<Diagnostic>) {
        self.measure(id, at, what, DEGREES, faults);
        self.can_be(id, (&Bounds::temperature(), Dimension::Temperature), at, faults);
    }

    /// A figure of a record that can be. One that measures something else has been told of.
    fn can_be(
        &self,
        id: DeclId,
        (bounds, wanted): (&Bounds, Dimension),
        quantity: &Quantity,
        faults: &mut Vec<Diagnostic>,
    ) {
        let evaluator = self.evaluator(id.file);
        let figure = evaluator.quantity(quantity).filter(|figure| figure.dimension == wanted);
        evaluator.within(bounds, quantity.span, figure.map(|figure| figure.value), faults);
    }

    fn ph_figures(&self, id: DeclId, figures: [Option<&Number>; 2], faults: &mut Vec<Diagnostic>) {
        for number in figures.into_iter().flatten() {
            self.evaluator(id.file).within(&Bounds::ph(), number.span, number.value.clone(), faults);
        }
    }

    /// A strip that was read from high to low.
    fn runs_down(&self, id: DeclId, low: &Number, high: Option<&Number>, faults: &mut Vec<Diagnostic>) {
        let Some(high) = high else { return };
        let (Some(from), Some(to)) = (&low.value, &high.value) else { return };
        if from > to {
            let place = Place { file: id.file, span: low.span.to(high.span) };
            let message = format!("The reading runs from {from} down to {to}.");
            faults.push(Diagnostic::new(Code::Syntax, place, message).help("Write the lower figure first."));
        }
    }

    pub(super) fn not_nought(&self, id: DeclId, quantity: &Quantity, what: &str, faults: &mut Vec<Diagnostic>) {
        if quantity.value.as_ref().is_some_and(Exact::is_zero) {
            faults.push(zero(Place { file: id.file, span: quantity.span }, what));
        }
    }

    /// What is counted is whole, and not nought.
    pub(super) fn counted(&self, id: DeclId, count: &Number, what: &str, faults: &mut Vec<Diagnostic>) {
        let Some(value) = &count.value else { return };
        let place = Place { file: id.file, span: count.span };
        if value.is_zero() {
            faults.push(zero(place, "A count"));
        } else if value.decimals() != Some(0) {
            let message = format!("{what} counted in whole numbers, and this is {value}.");
            faults.push(Diagnostic::new(Code::UnitMismatch, place, message).help("Write how many there were."));
        }
    }

    /// `diluted 1 in 10`: a part of a whole.
    fn dilution(&self, id: DeclId, part: &Number, whole: &Number, faults: &mut Vec<Diagnostic>) {
        let (Some(given), Some(all)) = (&part.value, &whole.value) else { return };
        if given.is_zero() || given > all {
            let place = Place { file: id.file, span: part.span.to(whole.span) };
            let message = format!("{given} in {all} is no dilution.");
            faults.push(
                Diagnostic::new(Code::FigureImpossible, place, message)
                    .help("The part of the sample stands first, and then the whole: `diluted 1 in 10`."),
            );
        }
    }

    fn share(&self, id: DeclId, figure: &Expression, what: &str, faults: &mut Vec<Diagnostic>) {
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        let evaluator = self.evaluator(id.file);
        let value = evaluator.want(figure, what, &[Dimension::Percent], &mut names, faults);
        evaluator.within(&Bounds::share(), figure.span(), value, faults);
    }

    fn share_range(&self, id: DeclId, range: &WrittenRange, what: &str, faults: &mut Vec<Diagnostic>) {
        self.range_of(id, range, (what, Dimension::Percent, &Bounds::share()), faults);
    }

    fn ph_range(&self, id: DeclId, range: &WrittenRange, what: &str, faults: &mut Vec<Diagnostic>) {
        self.range_of(id, range, (what, Dimension::Plain, &Bounds::ph()), faults);
    }

    fn range_of(
        &self,
        id: DeclId,
        range: &WrittenRange,
        (what, wanted, bounds): (&str, Dimension, &Bounds),
        faults: &mut Vec<Diagnostic>,
    ) {
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        let evaluator = self.evaluator(id.file);
        let ends = evaluator.range(range, what, &[wanted], &mut names, faults);
        evaluator.ends_within(bounds, range, ends, faults);
    }
}
