//! Rules, and the bodies they share with `ensure`.

use super::{Builder, kept};
use crate::diagnostic::{Code, Level};
use crate::syntax::Rule as Grammar;
use crate::syntax::context::Context;
use crate::syntax::cut::Placed;
use crate::syntax::statement::Node;
use crate::syntax::tree::{Condition, Rule, RuleBody, RuleBodyKind, RuleStatement};

impl Builder {
    pub(super) fn rule(&mut self, opening: Node<'_>, placed: &Placed<'_>) -> Rule {
        let name = self.only_name(opening);
        let statements = kept(placed.statements().filter_map(|placed| self.rule_statement(&placed)));
        Rule { name, statements, span: placed.span() }
    }

    pub(super) fn rule_statement(&mut self, placed: &Placed<'_>) -> Option<RuleStatement> {
        let nodes = self.read(placed, Context::Rule);
        let Some(mut nodes) = nodes else { return Some(RuleStatement::Broken(placed.span())) };
        let node = nodes.next()?;
        let span = node.span();
        Some(match node.as_rule() {
            Grammar::body => RuleStatement::Body(self.body(node)?),
            Grammar::when => RuleStatement::When(self.condition(node)?),
            Grammar::market => {
                RuleStatement::Market(self.markets(node), nodes.next().map(|source| self.only_string(source)))
            }
            Grammar::product_kind => RuleStatement::Product(self.products(node)),
            Grammar::from_date => RuleStatement::From(node.into_inner().next().map(|date| self.date(&date))?, span),
            Grammar::until_date => RuleStatement::Until(node.into_inner().next().map(|date| self.date(&date))?, span),
            Grammar::level => RuleStatement::Level(self.level(&node.into_inner().next()?)?),
            Grammar::because => RuleStatement::Because(self.only_string(node)),
            Grammar::block_source => RuleStatement::Source(self.only_string(node)),
            _ => return None,
        })
    }

    fn level(&mut self, word: &Node<'_>) -> Option<Level> {
        let level = Level::from_word(word.as_str());
        if level.is_none() {
            let span = word.span();
            let fault = self.fault(Code::Syntax, span, format!("`{}` is no level.", word.as_str()));
            self.faults.push(fault.help("It may be `error`, `warning` or `note`."));
        }
        level
    }

    pub(super) fn body(&mut self, node: Node<'_>) -> Option<RuleBody> {
        let span = node.span();
        let inner = node.into_inner().next()?;
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

    fn condition(&mut self, node: Node<'_>) -> Option<Condition> {
        let mut inner = node.into_inner();
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
