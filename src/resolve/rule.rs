//! Rules made from their declarations, and those that bind a formula.

use super::Resolver;
use super::name_set::{NameSet, shelf_decl};
use crate::diagnostic::{Diagnostic, FileId, Level, Place};
use crate::model::{Ask, Bound, Clause, Counting, DeclId, Formula, Rule, Subject, When};
use crate::quantity::Dimension;
use crate::shelf;
use crate::syntax::tree::{Condition, Item, Name, RuleBody, RuleBodyKind, RuleStatement, WrittenRange};
use crate::syntax::vocabulary::Market;
use indexmap::IndexSet;
use std::collections::BTreeSet;
use std::sync::Arc;

impl Resolver<'_> {
    /// The rule of a declaration; made the first time it is asked for. None where something of it did not parse or
    /// is at fault: half a rule would say something that nobody wrote.
    #[must_use]
    pub fn rule(&self, id: DeclId) -> Option<Arc<Rule>> {
        if let Some(known) = self.made.rules.get(id) {
            return known;
        }
        let made = self.make_rule(id).map(Arc::new);
        self.made.rules.put(id, made.clone());
        made
    }

    /// The rules that bind a formula on a day: those of its file and what that uses, and those of its markets that
    /// speak of something in it. A stock is not for skin, so no market is asked about it.
    #[must_use]
    pub fn rules_of(&self, formula: &Formula, day: &str) -> Vec<Arc<Rule>> {
        let parts = formula.composition.iter().flat_map(|composition| composition.counted().map(|(part, _)| part));
        self.rules_about(formula, parts, day)
    }

    /// The rules that bind a formula on a day and, of those of its markets, that speak of one of some substances.
    #[must_use]
    pub fn rules_about(&self, formula: &Formula, parts: impl Iterator<Item = DeclId>, day: &str) -> Vec<Arc<Rule>> {
        let mut found: Vec<Arc<Rule>> = self.home_rules(formula).collect();
        found.extend(self.shelf_rules(formula, parts));
        found.retain(|rule| rule.in_force(day) && rule.is_for(&formula.products));
        let sold: Vec<Market> = formula.markets.iter().map(|(market, _)| *market).collect();
        found.into_iter().map(|rule| rule.sold_in(&sold)).collect()
    }

    /// The parts of a formula that the market a market grew out of binds on a day, and that neither its own rules on the
    /// shelf nor those of the house speak of.
    #[must_use]
    pub fn left_open(&self, formula: &Formula, market: Market, day: &str) -> Vec<DeclId> {
        let (Some(root), Some(composition)) = (shelf::grown_out_of(market), &formula.composition) else {
            return Vec::new();
        };
        let house: Vec<Arc<Rule>> = self.home_rules(formula).filter(|rule| rule.markets.contains(&market)).collect();
        let is_open = |part: &DeclId| {
            let numbers: BTreeSet<usize> =
                self.keys(*part).iter().flat_map(|key| shelf::rules_by_key(key)).copied().collect();
            let known = numbers.into_iter().filter_map(|at| shelf::RULES.get(at));
            let (own, others): (Vec<_>, Vec<_>) = known.partition(|rule| rule.markets.contains(&market));
            let speaking = |rules: Vec<&shelf::ShelfRule>| {
                let rules = rules.into_iter().filter_map(|rule| self.rule(shelf_decl(rule.entry)));
                rules.filter(|rule| self.speaks_of(rule, *part)).collect::<Vec<_>>()
            };
            let binds =
                |rule: &Arc<Rule>| rule.level == Level::Error && rule.in_force(day) && rule.is_for(&formula.products);
            let others = others.into_iter().filter(|rule| rule.markets.contains(&root)).collect();
            speaking(others).iter().any(binds)
                && speaking(own).is_empty()
                && !house.iter().any(|rule| self.speaks_of(rule, *part))
        };
        // What a whole brings by nature is bound as well, and may be a part beside it.
        let all: IndexSet<DeclId> = composition.counted().map(|(part, _)| part).collect();
        all.into_iter().filter(is_open).collect()
    }

    /// Whether a rule asks anything of a part of a mixture, more than that the label names it.
    fn speaks_of(&self, rule: &Rule, part: DeclId) -> bool {
        rule.subjects().flat_map(|subject| &subject.members).any(|member| self.count_as_one(part, *member))
    }

    /// The rules of a formula's file and of what that uses, whatever the day.
    pub fn home_rules<'r>(&'r self, formula: &'r Formula) -> impl Iterator<Item = Arc<Rule>> + 'r {
        let reached = self.scopes.reached(formula.id.file).filter(|_| !self.declared_rules.is_empty());
        let items = reached.filter_map(|file| self.declared_rules.get(&file)).flatten().copied();
        items.filter_map(|id| self.rule(id)).filter(|rule| {
            let named = |market: &Market| formula.markets.iter().any(|(sold, _)| sold == market);
            rule.markets.is_empty() || !formula.is_stock() && rule.markets.iter().any(named)
        })
    }

    /// The rules of the shelf that hold wherever it is sold, and those that a formula's markets bring, as far as they
    /// speak of some substances. No other is parsed.
    fn shelf_rules(&self, formula: &Formula, parts: impl Iterator<Item = DeclId>) -> Vec<Arc<Rule>> {
        if formula.composition.is_none() || formula.is_stock() {
            return Vec::new();
        }
        let sold = |market: &Market| formula.markets.iter().any(|(known, _)| known == market);
        let keys: Vec<String> = parts.flat_map(|part| self.keys(part)).collect();
        let wanted: BTreeSet<usize> =
            keys.iter().flat_map(|key| shelf::rules_by_key(key)).chain(shelf::RULES_FOR_ALL).copied().collect();
        let rules = wanted.into_iter().filter_map(|at| shelf::RULES.get(at));
        let rules = rules.filter(|rule| rule.markets.is_empty() || rule.markets.iter().any(sold));
        rules.filter_map(|rule| self.rule(shelf_decl(rule.entry))).collect()
    }

    fn make_rule(&self, id: DeclId) -> Option<Rule> {
        let Some(Item::Rule(declared)) = self.scopes.item(id) else { return None };
        let mut made = Rule {
            id,
            name: declared.name.text.clone(),
            place: Self::place(id.file, &declared.name),
            markets: Vec::new(),
            products: Vec::new(),
            from: None,
            until: None,
            whens: Vec::new(),
            clauses: Vec::new(),
            level: Level::Error,
            because: None,
            source: None,
            own_sources: Vec::new(),
        };
        for statement in &declared.statements {
            match statement {
                RuleStatement::Broken(_) => return None,
                // Words that are none have been told of; without them the rule would reach further than it should.
                RuleStatement::Market(markets, _) if markets.is_empty() => return None,
                RuleStatement::Product(words) if words.is_empty() => return None,
                RuleStatement::Body(body) => made
                    .clauses
                    .push(Clause { ask: self.ask(id.file, body)?, place: Place { file: id.file, span: body.span } }),
                RuleStatement::When(condition) => made.whens.push(self.when(id.file, condition)?),
                RuleStatement::Market(markets, source) => {
                    let own =
                        source.iter().flat_map(|source| markets.iter().map(|(market, _)| (*market, &source.value)));
                    made.own_sources.extend(own.map(|(market, source)| (market, source.clone())));
                    made.markets.extend(markets.iter().map(|(market, _)| *market));
                }
                RuleStatement::Product(words) => made.products.push(words.iter().map(|(word, _)| *word).collect()),
                RuleStatement::From(day, _) => made.from = Some(day.clone()),
                RuleStatement::Until(day, _) => made.until = Some(day.clone()),
                RuleStatement::Level(level) => made.level = *level,
                RuleStatement::Because(text) => made.because = Some(text.value.clone()),
                RuleStatement::Source(text) => made.source = Some(text.value.clone()),
            }
        }
        Some(made)
    }

    fn when(&self, file: FileId, condition: &Condition) -> Option<When> {
        Some(match condition {
            Condition::Ph(range) => When::Ph(self.rule_bound(file, range, Dimension::Plain)?),
            Condition::Above(subject, figure) => {
                When::Above(self.subject(file, subject)?, self.rule_figure(file, figure)?)
            }
            Condition::Below(subject, figure) => {
                When::Below(self.subject(file, subject)?, self.rule_figure(file, figure)?)
            }
            Condition::Within(subject, range) => {
                When::Within(self.subject(file, subject)?, self.rule_bound(file, range, Dimension::Percent)?)
            }
        })
    }

    fn ask(&self, file: FileId, body: &RuleBody) -> Option<Ask> {
        Some(match &body.kind {
            RuleBodyKind::Limit { subject, limit, counted_as } => Ask::Limit(
                self.subject(file, subject)?,
                self.rule_figure(file, limit)?,
                self.counting(file, counted_as.as_ref(), &mut Vec::new())?,
            ),
            RuleBodyKind::RequirePh(range) => Ask::Ph(self.rule_bound(file, range, Dimension::Plain)?),
            RuleBodyKind::Require(subject, range) => {
                Ask::Within(self.subject(file, subject)?, self.rule_bound(file, range, Dimension::Percent)?)
            }
            RuleBodyKind::Forbid(subject) => Ask::Forbid(self.subject(file, subject)?),
            RuleBodyKind::Declare(subject, above) => {
                Ask::Declare(self.subject(file, subject)?, self.rule_figure(file, above)?)
            }
            RuleBodyKind::Print(text) => Ask::Print(text.value.clone()),
        })
    }

    /// How a limit counts, by what stands after `as`.
    pub(super) fn counting(
        &self,
        file: FileId,
        counted_as: Option<&Name>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Counting> {
        Some(match counted_as {
            None => Counting::Own,
            Some(name) if name.text == "acid" => Counting::AsAcid,
            Some(name) => Counting::As(self.look_up(file, NameSet::Substance, name, faults)?, name.text.clone()),
        })
    }

    // What is wrong in a rule is told of where its file is looked at, so the faults found here are let go.

    fn subject(&self, file: FileId, name: &Name) -> Option<Subject> {
        let members = self.subjects(file, name, &mut Vec::new())?;
        Some(Subject { name: name.text.clone(), members })
    }

    fn rule_figure(&self, file: FileId, figure: &crate::syntax::tree::Expression) -> Option<crate::quantity::Exact> {
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(file, name, faults);
        self.evaluator(file).want(figure, "A rule", &[Dimension::Percent], &mut names, &mut Vec::new())
    }

    fn rule_bound(&self, file: FileId, range: &WrittenRange, dimension: Dimension) -> Option<Bound> {
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(file, name, faults);
        let asked = self.evaluator(file).range(range, "A rule", &[dimension], &mut names, &mut Vec::new())?;
        let mark = if dimension == Dimension::Percent { " %" } else { "" };
        Some(self.bound(file, range, asked, mark))
    }
}
