//! Rules, and the bodies they share with `ensure`.

use super::Builder;
use crate::diagnostic::{Code, Level};
use crate::syntax::Rule as Grammar;
use crate::syntax::tree::{Condition, Name, Rule, RuleBody, RuleBodyKind, RuleStatement};
use crate::syntax::words::Context;
use pest::iterators::Pair;
use smol_str::SmolStr;

impl Builder<'_> {
    pub(super) fn rule(&mut self, pair: Pair<'_, Grammar>) -> Rule {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = inner.next().map_or(Name { text: SmolStr::default(), span }, |pair| self.name(&pair));
        let statements = inner.filter_map(|pair| self.rule_statement(pair)).collect();
        Rule { name, statements, span }
    }

    fn rule_statement(&mut self, pair: Pair<'_, Grammar>) -> Option<RuleStatement> {
        let span = self.span(&pair);
        Some(match pair.as_rule() {
            Grammar::body => RuleStatement::Body(self.body(pair)?),
            Grammar::when => RuleStatement::When(self.condition(pair)?),
            Grammar::market => RuleStatement::Market(self.markets(pair)),
            Grammar::product_kind => RuleStatement::Product(self.products(pair)),
            Grammar::from_date => RuleStatement::From(pair.into_inner().next().map(|date| self.date(&date))?, span),
            Grammar::until_date => RuleStatement::Until(pair.into_inner().next().map(|date| self.date(&date))?, span),
            Grammar::level => RuleStatement::Level(self.level(&pair.into_inner().next()?)?),
            Grammar::because => RuleStatement::Because(self.only_string(pair)),
            Grammar::block_source => RuleStatement::Source(self.only_string(pair)),
            Grammar::broken => RuleStatement::Broken(self.broken(&pair, Context::Rule)),
            _ => return None,
        })
    }

    fn level(&mut self, word: &Pair<'_, Grammar>) -> Option<Level> {
        let level = Level::from_word(word.as_str());
        if level.is_none() {
            let span = self.span(word);
            let fault = self.fault(Code::Syntax, span, format!("`{}` is no level.", word.as_str()));
            self.faults.push(fault.help("It may be `error`, `warning` or `note`."));
        }
        level
    }

    pub(super) fn body(&mut self, pair: Pair<'_, Grammar>) -> Option<RuleBody> {
        let span = self.span(&pair);
        let inner = pair.into_inner().next()?;
        let rule = inner.as_rule();
        let mut parts = inner.into_inner();
        let first = parts.next()?;
        let kind = match rule {
            Grammar::limit => {
                let subject = self.name(&first);
                let limit = parts.next().map_or(Builder::no_figure(span), |figure| self.expression(figure));
                let counted_as = parts.next().map(|counted_as| self.only_name(counted_as));
                RuleBodyKind::Limit { subject, limit, counted_as }
            }
            Grammar::require if first.as_rule() == Grammar::ph_range => RuleBodyKind::RequirePh(self.range(first)),
            Grammar::require => {
                let range = parts.next().map_or(Builder::no_range(span), |range| self.range(range));
                RuleBodyKind::Require(self.name(&first), range)
            }
            Grammar::forbid => RuleBodyKind::Forbid(self.name(&first)),
            Grammar::declare => {
                let above = parts.next().map_or(Builder::no_figure(span), |figure| self.expression(figure));
                RuleBodyKind::Declare(self.name(&first), above)
            }
            _ => RuleBodyKind::Print(self.string(&first)),
        };
        Some(RuleBody { kind, span })
    }

    fn condition(&mut self, pair: Pair<'_, Grammar>) -> Option<Condition> {
        let mut inner = pair.into_inner();
        let first = inner.next()?;
        if first.as_rule() == Grammar::ph_range {
            return Some(Condition::Ph(self.range(first)));
        }
        let subject = self.name(&first);
        let second = inner.next()?;
        Some(match second.as_rule() {
            Grammar::above => Condition::Above(subject, self.only_expression(second)),
            Grammar::below => Condition::Below(subject, self.only_expression(second)),
            _ => Condition::Within(subject, self.range(second)),
        })
    }
}
