//! Formulas, variants, phases and lines.

use super::Builder;
use crate::diagnostic::{Code, Span};
use crate::syntax::Rule;
use crate::syntax::tree::{
    Allow, Amount, AmountKind, Ensure, EnsureWhat, Expression, Formula, FormulaStatement, Header, HeaderField, Line,
    Name, Phase, PhaseStatement, Quantity, Range, Steps, Tail, Variant, VariantStatement,
};
use crate::syntax::vocabulary::{Market, Product};
use crate::syntax::words::Context;
use pest::iterators::{Pair, Pairs};
use smol_str::SmolStr;

impl Builder<'_> {
    pub(super) fn formula(&mut self, pair: Pair<'_, Rule>) -> Formula {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = match inner.next() {
            Some(name) => self.material_name(&name),
            None => Name { text: SmolStr::default(), span },
        };
        let statements = inner.filter_map(|pair| self.formula_statement(pair)).collect();
        Formula { name, statements, span }
    }

    fn formula_statement(&mut self, pair: Pair<'_, Rule>) -> Option<FormulaStatement> {
        Some(match pair.as_rule() {
            Rule::comment => return None,
            Rule::phase => FormulaStatement::Phase(self.phase(pair, Context::Phase)),
            Rule::steps => FormulaStatement::Steps(self.steps(pair)),
            Rule::ensure => FormulaStatement::Ensure(self.ensure(pair)?),
            Rule::allow => FormulaStatement::Allow(self.allow(pair)),
            Rule::let_item => FormulaStatement::Let(self.let_item(pair)),
            Rule::broken => {
                let block = pair.as_str().contains('{');
                FormulaStatement::Broken(self.broken(&pair, Context::Formula), block)
            }
            _ => FormulaStatement::Header(self.header(pair)?),
        })
    }

    pub(super) fn header(&mut self, pair: Pair<'_, Rule>) -> Option<Header> {
        let span = self.span(&pair);
        let field = match pair.as_rule() {
            Rule::title => HeaderField::Title(self.only_string(pair)),
            Rule::version => HeaderField::Version(self.only_string(pair)),
            Rule::product_kind => HeaderField::Product(self.products(pair)),
            Rule::market => HeaderField::Market(self.markets(pair)),
            Rule::makes => HeaderField::Makes(self.makes(pair.into_inner(), span)),
            Rule::density => HeaderField::Density(self.only_expression(pair)),
            Rule::scale => HeaderField::Scale(self.scale(pair.into_inner(), span)),
            Rule::meter => HeaderField::Meter(self.only_expression(pair)),
            Rule::window => HeaderField::Window(self.range(pair)),
            Rule::formula_date => HeaderField::Date(pair.into_inner().next().map(|date| self.date(&date))?),
            Rule::water_activity => HeaderField::WaterActivity(self.only_expression(pair)),
            Rule::lasts => {
                let mut inner = pair.into_inner();
                let time = inner.next().map(|time| self.expression(time))?;
                HeaderField::Lasts(time, inner.next().map(|because| self.only_string(because)))
            }
            Rule::opened => HeaderField::Opened(self.only_expression(pair)),
            Rule::function => HeaderField::Function(self.only_string(pair)),
            Rule::directions => HeaderField::Directions(self.only_string(pair)),
            Rule::warning => HeaderField::Warning(self.only_string(pair)),
            Rule::declare_as_formed => HeaderField::DeclareAsFormed,
            _ => return None,
        };
        Some(Header { field, span })
    }

    pub(super) fn products(&mut self, pair: Pair<'_, Rule>) -> Vec<(Product, Span)> {
        self.listed_with_spans(pair, Product::WHAT, Product::WORDS, Product::from_word)
    }

    pub(super) fn markets(&mut self, pair: Pair<'_, Rule>) -> Vec<(Market, Span)> {
        self.listed_with_spans(pair, Market::WHAT, Market::WORDS, Market::from_word)
    }

    fn phase(&mut self, pair: Pair<'_, Rule>, context: Context) -> Phase {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = self.next_name(&mut inner, span);
        let mut phase = Phase { name, title: None, statements: Vec::new(), span };
        for statement in inner {
            match statement.as_rule() {
                Rule::string => phase.title = Some(self.string(&statement)),
                Rule::comment => {}
                _ => phase.statements.extend(self.phase_statement(statement, context)),
            }
        }
        phase
    }

    fn phase_statement(&mut self, pair: Pair<'_, Rule>, context: Context) -> Option<PhaseStatement> {
        Some(match pair.as_rule() {
            Rule::line => PhaseStatement::Line(self.line(pair)),
            Rule::add => PhaseStatement::Line(pair.into_inner().next().map(|line| self.line(line))?),
            Rule::heat => PhaseStatement::Heat(self.only_expression(pair)),
            Rule::cool => PhaseStatement::Cool(self.only_expression(pair)),
            Rule::allow => PhaseStatement::Allow(self.allow(pair)),
            Rule::broken => {
                let span = self.broken(&pair, context);
                PhaseStatement::Broken(span, self.first_word(&pair))
            }
            _ => return None,
        })
    }

    /// The name that a broken line seems to begin with.
    fn first_word(&self, pair: &Pair<'_, Rule>) -> Option<Name> {
        let text = pair.as_str();
        let word = text.split_whitespace().next()?;
        let span = self.span(pair);
        let word_span = Span { start: span.start, end: span.start + u32::try_from(word.len()).unwrap_or(0) };
        Some(Name { text: SmolStr::new(word.to_lowercase()), span: word_span })
    }

    pub(super) fn line(&mut self, pair: Pair<'_, Rule>) -> Line {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let material = self.next_name(&mut inner, span);
        let (amount, tail) = self.amount_and_tail(inner);
        let amount = amount.unwrap_or(Amount { kind: AmountKind::QuantumSatis, span });
        Line { material, amount, tail, span }
    }

    pub(super) fn amount_and_tail(&mut self, pairs: Pairs<'_, Rule>) -> (Option<Amount>, Tail) {
        let mut amount = None;
        let mut tail = Tail::default();
        for pair in pairs {
            let span = self.span(&pair);
            let twice = match pair.as_rule() {
                Rule::amount => {
                    amount = Some(self.amount(pair));
                    None
                }
                Rule::hold_back => {
                    let expression = self.only_expression(pair);
                    tail.hold_back.replace((expression, span)).map(|(_, first)| ("hold back", first))
                }
                Rule::from => tail.from.replace(self.only_name(pair)).map(|first| ("from", first.span)),
                Rule::because => tail.because.replace(self.only_string(pair)).map(|first| ("because", first.span)),
                Rule::allow => tail.allow.replace(self.allow(pair)).map(|first| ("allow", first.span)),
                _ => None,
            };
            if let Some((word, first)) = twice {
                let first = self.place_of(first);
                self.faults.push(
                    self.fault(Code::HeaderTwice, span, format!("`{word}` stands twice on this line."))
                        .and(first, "it stands here first")
                        .help("Keep one of them."),
                );
            }
        }
        (amount, tail)
    }

    fn amount(&mut self, pair: Pair<'_, Rule>) -> Amount {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let Some(first) = inner.next() else { return Amount { kind: AmountKind::QuantumSatis, span } };
        let kind = match first.as_rule() {
            Rule::qs => AmountKind::QuantumSatis,
            Rule::qs_to_ph => AmountKind::QuantumSatisToPh,
            _ => {
                let figure = self.expression(first);
                match inner.next() {
                    Some(mark) if mark.as_rule() == Rule::active_mark => AmountKind::Active(figure),
                    Some(of) => AmountKind::Of(figure, self.only_name(of)),
                    None => AmountKind::AsSupplied(figure),
                }
            }
        };
        Amount { kind, span }
    }

    fn steps(&mut self, pair: Pair<'_, Rule>) -> Steps {
        let span = self.span(&pair);
        let mut steps = Vec::new();
        for pair in pair.into_inner() {
            match pair.as_rule() {
                Rule::step => steps.push(self.only_string(pair)),
                Rule::broken => {
                    self.broken(&pair, Context::Steps);
                }
                _ => {}
            }
        }
        Steps { steps, span }
    }

    fn ensure(&mut self, pair: Pair<'_, Rule>) -> Option<Ensure> {
        let span = self.span(&pair);
        let inner = pair.into_inner().next()?;
        let what = match inner.as_rule() {
            Rule::body => EnsureWhat::Body(self.body(inner)?),
            _ => {
                let mut parts = inner.into_inner();
                let sum = parts.next().map(|sum| self.expression(sum))?;
                EnsureWhat::Sum(sum, parts.next().map(|range| self.range(range))?)
            }
        };
        Some(Ensure { what, span })
    }

    pub(super) fn allow(&mut self, pair: Pair<'_, Rule>) -> Allow {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let code = self.next_name(&mut inner, span);
        Allow { code, because: inner.next().map(|because| self.only_string(because)), span }
    }

    pub(super) fn variant(&mut self, pair: Pair<'_, Rule>) -> Variant {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = match inner.next() {
            Some(name) => self.material_name(&name),
            None => Name { text: SmolStr::default(), span },
        };
        let base = self.next_name(&mut inner, span);
        let statements = inner.filter_map(|pair| self.variant_statement(pair)).collect();
        Variant { name, base, statements, span }
    }

    fn variant_statement(&mut self, pair: Pair<'_, Rule>) -> Option<VariantStatement> {
        let span = self.span(&pair);
        Some(match pair.as_rule() {
            Rule::comment => return None,
            Rule::set => VariantStatement::Set(self.line(pair)),
            Rule::swap => {
                let mut inner = pair.into_inner();
                let old = self.next_name(&mut inner, span);
                let new = self.next_name(&mut inner, span);
                let (amount, tail) = self.amount_and_tail(inner);
                VariantStatement::Swap { old, new, amount, tail, span }
            }
            Rule::remove => VariantStatement::Remove(self.only_name(pair)),
            Rule::variant_phase => VariantStatement::Phase(self.phase(pair, Context::VariantPhase)),
            Rule::steps => VariantStatement::Steps(self.steps(pair)),
            Rule::ensure => VariantStatement::Ensure(self.ensure(pair)?),
            Rule::allow => VariantStatement::Allow(self.allow(pair)),
            Rule::let_item => VariantStatement::Let(self.let_item(pair)),
            Rule::broken => VariantStatement::Broken(self.broken(&pair, Context::Variant)),
            _ => VariantStatement::Header(self.header(pair)?),
        })
    }

    /// A range that is missing its figures, for what cannot be built.
    pub(super) fn no_range(span: Span) -> Range {
        Range { low: None, high: None, span }
    }

    /// An expression that is missing its figure.
    pub(super) fn no_figure(span: Span) -> Expression {
        Expression::Quantity(Quantity { value: None, unit: crate::quantity::Unit::None, span, number: span })
    }
}
