//! What a formula asks of itself, worked out against its lines and its composition.

use super::amounts::{Figures, no_figure};
use super::definition::Definition;
use super::name_set::NameSet;
use super::{Bounds, Figure, Resolver};
use crate::diagnostic::{Code, Diagnostic, FileId, Place};
use crate::model::{Bound, Composition, Counting, DeclId, Demand, Ensured, Formula, Line, LineAmount};
use crate::quantity::{Dimension, Exact, Interval, Range};
use crate::syntax::tree::{EnsureWhat, Expression, Item, Name, RuleBody, RuleBodyKind, WrittenRange};

impl<'s> Resolver<'s> {
    /// What a formula asks of itself, of the lines and the composition that a batch of it came to.
    #[must_use]
    pub fn ensured_as(&self, formula: &Formula, made: &Formula) -> Vec<Ensured> {
        // Most formulas ask nothing of themselves; the faults of one that does have been told.
        let definition = self.definition_alone(formula.id).filter(|_| !formula.ensures.is_empty());
        let Some(definition) = definition else { return Vec::new() };
        let mut unheard = Vec::new();
        let mut figures = Figures::new(self, &definition);
        figures.work_out(&mut formula.lines.clone(), &mut unheard);
        // A line that never went in is there with nothing, and not with what was asked of it.
        let mut whole = made.clone();
        let is_in = |name: &str| made.lines.iter().any(|line| line.name == name);
        let missing = formula.lines.iter().filter(|line| !is_in(&line.name) && line.amount != LineAmount::AtBench);
        whole.lines.extend(missing.map(|line| Line { percent: Some(Exact::ZERO), ..line.clone() }));
        self.ensures(&definition, &mut figures, &whole, &mut unheard)
    }

    /// Works the `ensure` statements of a formula out.
    pub(super) fn ensures(
        &self,
        definition: &Definition<'s>,
        figures: &mut Figures<'_, 's>,
        formula: &Formula,
        faults: &mut Vec<Diagnostic>,
    ) -> Vec<Ensured> {
        let mut made = Vec::new();
        for (file, ensure, written_at) in &definition.ensures {
            let demand = match &ensure.what {
                EnsureWhat::Sum(sum, range) => {
                    self.sum(*file, sum, range, *written_at, (definition, figures, formula), faults)
                }
                EnsureWhat::Body(body) => self.body(*file, body, formula, faults),
            };
            made.push(Ensured {
                place: Place { file: *file, span: ensure.span },
                demand: demand.unwrap_or(Demand::Nothing),
            });
        }
        made
    }

    /// A sum over the lines' as-supplied percentages, the `q.s.` line too.
    fn sum(
        &self,
        file: FileId,
        sum: &Expression,
        range: &WrittenRange,
        written_at: usize,
        (definition, figures, formula): (&Definition<'s>, &mut Figures<'_, 's>, &Formula),
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Demand> {
        let evaluator = self.evaluator(file);
        let figures = std::cell::RefCell::new(figures);
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| {
            let current = definition.current(&name.text, written_at);
            let mut lines = formula.lines.iter().filter(|line| line.name == current).peekable();
            if lines.peek().is_none() {
                return figures.borrow_mut().figure(file, name, written_at, faults);
            }
            if lines.peek().is_some_and(|line| line.amount == LineAmount::AtBench) {
                faults.push(no_figure(file, name, "is weighed at the bench: its figure is not known before"));
                return None;
            }
            let percents: Option<Vec<&Exact>> = lines.map(|line| line.percent.as_ref()).collect();
            Some(Figure::new(percents?.into_iter().sum(), Dimension::Percent))
        };
        let value = evaluator.evaluate(sum, &mut names, faults);
        let dimension = value.as_ref().map_or(Dimension::Percent, |value| value.dimension);
        let asked = evaluator.range(range, "This `ensure`", &[dimension], &mut names, faults)?;
        let written = crate::syntax::expression_text(sum, self.sources.text(file));
        let value = value.map(|value| Interval::point(value.value)).filter(|_| formula.total_known);
        let mark = if dimension == Dimension::Percent { " %" } else { "" };
        Some(Demand::Within { written, value, bound: self.bound(file, range, asked, mark) })
    }

    pub(super) fn bound(&self, file: FileId, range: &WrittenRange, asked: Range<Exact>, mark: &'static str) -> Bound {
        Bound { range: asked, written: range.span.of(self.sources.text(file)).to_string(), mark }
    }

    /// The body of a rule, asked of one formula.
    fn body(&self, file: FileId, body: &RuleBody, formula: &Formula, faults: &mut Vec<Diagnostic>) -> Option<Demand> {
        let evaluator = self.evaluator(file);
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(file, name, faults);
        let composition = formula.composition.as_ref().filter(|_| formula.total_known);
        match &body.kind {
            RuleBodyKind::Limit { subject, limit, counted_as } => {
                let high = evaluator.want(limit, "`limit`", &[Dimension::Percent], &mut names, faults);
                let high = evaluator.within(&Bounds::share(), limit.span(), high, faults)?;
                let subjects = self.subjects(file, subject, faults)?;
                let counting = self.counting(file, counted_as.as_ref(), faults)?;
                let value = composition.and_then(|composition| self.total(composition, &subjects, &counting));
                let written = format!("{} %", high);
                let range = Range::new(None, Some(high));
                let bound = Bound { range, written: format!("at most {written}"), mark: " %" };
                Some(Demand::Within { written: subject.text.to_string(), value, bound })
            }
            RuleBodyKind::Require(subject, range) => {
                let ends = evaluator.range(range, "`require`", &[Dimension::Percent], &mut names, faults);
                let asked = evaluator.ends_within(&Bounds::share(), range, ends, faults)?;
                let subjects = self.subjects(file, subject, faults)?;
                let value = composition.and_then(|composition| self.total(composition, &subjects, &Counting::Own));
                Some(Demand::Within {
                    written: subject.text.to_string(),
                    value,
                    bound: self.bound(file, range, asked, " %"),
                })
            }
            RuleBodyKind::Forbid(subject) => {
                let subjects = self.subjects(file, subject, faults)?;
                let value = composition.and_then(|composition| self.total(composition, &subjects, &Counting::Own));
                let range = Range::new(None, Some(Exact::ZERO));
                let bound = Bound { range, written: "none at all".to_string(), mark: " %" };
                Some(Demand::Within { written: subject.text.to_string(), value, bound })
            }
            RuleBodyKind::RequirePh(range) => {
                let ends = evaluator.range(range, "`require pH`", &[Dimension::Plain], &mut names, faults);
                let asked = evaluator.ends_within(&Bounds::ph(), range, ends, faults)?;
                Some(Demand::Ph(self.bound(file, range, asked, "")))
            }
            RuleBodyKind::Declare(subject, above) => {
                let figure = evaluator.want(above, "`above`", &[Dimension::Percent], &mut names, faults);
                evaluator.within(&Bounds::share(), above.span(), figure, faults)?;
                self.subjects(file, subject, faults)?;
                Some(Demand::Nothing)
            }
            RuleBodyKind::Print(_) => Some(Demand::Nothing),
        }
    }

    /// The substances that a substance's or a group's name speaks of.
    pub(super) fn subjects(&self, file: FileId, name: &Name, faults: &mut Vec<Diagnostic>) -> Option<Vec<DeclId>> {
        if let Some(id) = self.scopes.find(file, NameSet::Group, &name.text) {
            self.mark_used(id);
            let Some(Item::Group(group)) = self.scopes.item(id) else { return None };
            let members =
                group.members.iter().map(|member| self.scopes.find(id.file, NameSet::Substance, &member.text));
            return members.collect();
        }
        match self.scopes.find(file, NameSet::Substance, &name.text) {
            Some(id) => Some(vec![id]),
            None => {
                let fault = self.unknown(file, NameSet::Substance, name)?;
                let message = format!("There is no substance and no group called `{}` here.", name.text);
                faults.push(Diagnostic { message, code: Code::NameUnknown, ..fault });
                None
            }
        }
    }

    /// The total of substances in a composition; none where a molar mass that it needs is missing.
    fn total(&self, composition: &Composition, subjects: &[DeclId], counting: &Counting) -> Option<Interval> {
        let count = self.count(composition.counted(), subjects, counting);
        count.unweighed.is_empty().then_some(count.total)
    }
}
