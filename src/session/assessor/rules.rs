//! The rules that were looked at for an assessor, and what came of each: a limit that is broken is one thing, a statement
//! that the label prints another.

use super::contents::contents;
use super::{ReadRule, RuleFound};
use crate::check::allow::Allowed;
use crate::diagnostic::{Code, Diagnostic};
use crate::label::{Jar, MarketLabel, Part, says};
use crate::model::{Ask, DeclId, Rule, Subject};
use crate::resolve::Resolver;
use crate::session::labels::{Labels, says_itself};
use crate::syntax::tree::Item;

/// What the rules are looked at with.
pub(super) struct Reading<'r, 's> {
    pub names: &'r Resolver<'s>,
    pub jar: &'r Jar,
    /// The day they are read on.
    pub day: &'r str,
    /// What bears on the product and is not allowed.
    pub told: &'r [Diagnostic],
    /// What is allowed.
    pub allowed: &'r [Allowed],
    pub labels: Option<&'r Labels>,
}

impl Reading<'_, '_> {
    /// The rules that speak of anything in the product, adjuster and corrections among that; and what is told of it that
    /// a label does not state.
    pub fn of_rules(&self) -> (Vec<ReadRule>, Vec<Diagnostic>) {
        let parts: Vec<DeclId> = self
            .jar
            .mixtures()
            .flatten()
            .flat_map(|portion| contents(&portion.material))
            .map(|(_, part)| part.substance)
            .collect();
        let rules = self.names.rules_about(&self.jar.formula, parts.iter().copied(), self.day);
        let mut unstated: Vec<Diagnostic> = self.told.iter().filter(|fault| !says_itself(fault)).cloned().collect();
        let mut read = Vec::new();
        for rule in &rules {
            let is_stated = self.is_stated(rule, &parts);
            if !is_stated {
                let own = self.told.iter().filter(|fault| says_itself(fault) && self.points_at(fault, rule.id));
                unstated.extend(own.cloned());
            }
            read.push(ReadRule {
                name: rule.name.clone(),
                markets: rule.markets.clone(),
                level: rule.level.word(),
                from: rule.from.clone(),
                until: rule.until.clone(),
                source: rule.source.clone(),
                outcome: self.outcome(rule, is_stated),
            });
        }
        read.sort_by(|one, other| one.name.cmp(&other.name));
        // In the order in which they were told.
        let left = self.told.iter().filter(|fault| unstated.contains(fault)).cloned().collect();
        (read, left)
    }

    /// The gravest of what came of a rule.
    fn outcome(&self, rule: &Rule, is_stated: bool) -> RuleFound {
        let of_fault = |fault: &Diagnostic| match (fault.code, is_stated) {
            (Code::RuleUnproven, _) => RuleFound::NotShown,
            (Code::RuleNeedsStatement, false) => RuleFound::StatementMissing,
            (Code::RuleNeedsStatement, true) => RuleFound::StatementPrinted,
            (Code::DeclareAllergen, false) => RuleFound::AllergenNotNamed,
            (Code::DeclareAllergen, true) => RuleFound::AllergenNamed,
            _ => RuleFound::NotKept,
        };
        let told = self.told.iter().filter(|fault| self.points_at(fault, rule.id)).map(of_fault);
        let allowed = self.allowed.iter().filter(|allowed| self.points_at(&allowed.diagnostic, rule.id));
        let found = told.chain(allowed.map(|_| RuleFound::Allowed)).chain(self.on_labels(rule));
        found.min().unwrap_or(RuleFound::NothingFound)
    }

    /// What labels state for the sake of a rule: of a batch nothing else tells of it.
    fn on_labels(&self, rule: &Rule) -> Option<RuleFound> {
        let labels = || self.labels.into_iter().flat_map(|labels| &labels.labels);
        let bound = || labels().filter(|label| rule.markets.is_empty() || rule.markets.contains(&label.market));
        let is_named = |subject: &Subject| {
            let allergens =
                || bound().flat_map(|label| &label.declaration.entries).filter(|entry| entry.part == Part::Allergen);
            let keys = subject.members.iter().filter_map(|id| Some(self.names.substance(*id)?.name.clone()));
            keys.into_iter().any(|key| allergens().any(|entry| entry.substances.contains(&key)))
        };
        rule.clauses.iter().find_map(|clause| match &clause.ask {
            Ask::Print(_) => bound()
                .flat_map(|label| &label.statements)
                .any(|said| said.rule.as_deref() == Some(rule.name.as_str()))
                .then_some(RuleFound::StatementPrinted),
            Ask::Declare(subject, _) => is_named(subject).then_some(RuleFound::AllergenNamed),
            Ask::Limit(..) | Ask::Ph(_) | Ask::Within(..) | Ask::Forbid(_) => None,
        })
    }

    fn points_at(&self, fault: &Diagnostic, rule: DeclId) -> bool {
        let span = self.names.scopes.item(rule).map(Item::span);
        let mut places = std::iter::once(&fault.primary).chain(&fault.secondary).map(|label| label.place);
        span.is_some_and(|span| places.any(|place| place.file == rule.file && span.holds(place.span)))
    }

    /// Whether the label of each market that a rule binds states all that the rule has stated or named.
    fn is_stated(&self, rule: &Rule, parts: &[DeclId]) -> bool {
        let sold = self.jar.formula.markets.iter().map(|(market, _)| *market);
        let bound =
            |market: &crate::syntax::vocabulary::Market| rule.markets.is_empty() || rule.markets.contains(market);
        let mut markets = sold.filter(bound).peekable();
        markets.peek().is_some()
            && markets.all(|market| {
                let mut labels = self.labels.into_iter().flat_map(|labels| &labels.labels);
                labels.any(|label| {
                    label.market == market
                        && rule.clauses.iter().all(|clause| self.stands_on(label, &clause.ask, parts))
                })
            })
    }

    fn stands_on(&self, label: &MarketLabel, ask: &Ask, parts: &[DeclId]) -> bool {
        match ask {
            Ask::Print(words) => label.statements.iter().any(|said| says(&said.text, words)),
            Ask::Declare(subject, _) => self.names_one_of(label, subject, parts),
            Ask::Limit(..) | Ask::Ph(_) | Ask::Within(..) | Ask::Forbid(_) => true,
        }
    }

    /// Whether the ingredients of a label name what is in the product of a subject.
    fn names_one_of(&self, label: &MarketLabel, subject: &Subject, parts: &[DeclId]) -> bool {
        let is_it = |id: &&DeclId| subject.members.iter().any(|member| self.names.is_same(**id, *member));
        let keys: Vec<_> = parts.iter().filter(is_it).filter_map(|id| self.names.substance(*id)).collect();
        let entries = &label.declaration.entries;
        entries.iter().any(|entry| keys.iter().any(|substance| entry.substances.contains(&substance.name)))
    }
}
