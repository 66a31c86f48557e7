//! Formulas, variants, phases and lines.

use super::{Builder, kept};
use crate::diagnostic::{Code, Span, Sureness};
use crate::syntax::Rule;
use crate::syntax::context::Context;
use crate::syntax::cut::Placed;
use crate::syntax::statement::{Node, Nodes};
use crate::syntax::tree::{
    Allow, Amount, AmountKind, Ensure, EnsureWhat, Expression, Formula, FormulaStatement, Header, HeaderField, Line,
    Name, Phase, PhaseStatement, Quantity, Steps, Tail, Text, Titrated, Variant, VariantStatement, WrittenRange,
};
use crate::syntax::vocabulary::{Market, Product};
use smol_str::SmolStr;

impl Builder {
    pub(super) fn formula(&mut self, opening: Node<'_>, placed: &Placed<'_>) -> Formula {
        let name = self.declared_name(opening);
        self.note_meter(placed);
        let statements = kept(placed.statements().filter_map(|placed| self.formula_statement(&placed)));
        Formula { name, statements, span: placed.span() }
    }

    pub(super) fn formula_statement(&mut self, placed: &Placed<'_>) -> Option<FormulaStatement> {
        let Some(node) = self.only(placed, Context::Formula) else {
            let block = placed.head().contains('{');
            return Some(FormulaStatement::Broken(placed.span(), block));
        };
        Some(match node.as_rule() {
            Rule::phase_opening => FormulaStatement::Phase(self.phase(node, placed, Context::Phase)),
            Rule::steps_opening => FormulaStatement::Steps(self.steps(placed)),
            Rule::ensure => FormulaStatement::Ensure(Box::new(self.ensure(node)?)),
            Rule::allow => FormulaStatement::Allow(self.allow(node)),
            Rule::let_item => FormulaStatement::Let(self.let_item(node)),
            _ => FormulaStatement::Header(self.header(node)?),
        })
    }

    pub(super) fn header(&mut self, node: Node<'_>) -> Option<Header> {
        let span = node.span();
        let field = match node.as_rule() {
            Rule::title => HeaderField::Title(self.only_string(node)),
            Rule::version => HeaderField::Version(self.only_string(node)),
            Rule::product_kind => HeaderField::Product(self.products(node)),
            Rule::market => HeaderField::Market(self.markets(node)),
            Rule::makes => HeaderField::Makes(Box::new(self.makes(node.into_inner(), span))),
            Rule::density => HeaderField::Density(self.only_expression(node)),
            Rule::scale => HeaderField::Scale(Box::new(self.scale(node.into_inner(), span))),
            Rule::meter => HeaderField::Meter(self.only_expression(node)),
            Rule::window => HeaderField::Window(Box::new(self.range(node))),
            Rule::formula_date => HeaderField::Date(node.into_inner().next().map(|date| self.date(&date))?),
            Rule::water_activity => HeaderField::WaterActivity(self.only_expression(node)),
            Rule::lasts => {
                let mut inner = node.into_inner();
                let time = inner.next().map(|time| self.expression(time))?;
                HeaderField::Lasts(time, inner.next().map(|because| Box::new(self.only_string(because))))
            }
            Rule::opened => HeaderField::Opened(self.only_expression(node)),
            Rule::function => HeaderField::Function(self.only_string(node)),
            Rule::directions => HeaderField::Directions(self.only_string(node)),
            Rule::warning => HeaderField::Warning(self.only_string(node)),
            Rule::declare_as_formed => HeaderField::DeclareAsFormed,
            _ => return None,
        };
        Some(Header { field, span })
    }

    pub(super) fn products(&mut self, node: Node<'_>) -> Vec<(Product, Span)> {
        if let Some(read) = self.parted_products(node) {
            return read;
        }
        self.listed_with_spans(node, Product::WHAT, Product::WORDS, Product::from_word)
    }

    /// `leave on` and `rinse off` as two words: told of as one, and read all the same.
    fn parted_products(&mut self, node: Node<'_>) -> Option<Vec<(Product, Span)>> {
        let words: Vec<Node<'_>> =
            node.into_inner().flat_map(Node::into_inner).filter(|node| node.as_rule() == Rule::any_word).collect();
        let meant = |at: usize| {
            let word = |at: usize| words.get(at).map(|node| node.as_str().to_ascii_lowercase());
            match (word(at)?.as_str(), word(at + 1).unwrap_or_default().as_str()) {
                ("leave", "on") => Some((Product::LeaveOn, 2)),
                ("rinse" | "wash", "off") => Some((Product::RinseOff, 2)),
                ("leaveon", _) => Some((Product::LeaveOn, 1)),
                ("rinseoff" | "wash-off" | "washoff", _) => Some((Product::RinseOff, 1)),
                _ => None,
            }
        };
        (0..words.len()).find_map(meant)?;
        let (mut read, mut at) = (Vec::new(), 0);
        while let Some(node) = words.get(at) {
            let Some((product, count)) = meant(at) else {
                read.extend(self.listed(node, Product::WHAT, Product::WORDS, Product::from_word));
                at += 1;
                continue;
            };
            let end = words.get(at + count - 1).map_or(node.span().end, |last| last.span().end);
            let span = Span { start: node.span().start, end };
            let word = product.word();
            let fault = self.fault(Code::Syntax, span, format!("What the product is stands in one word, `{word}`."));
            let place = self.place_of(span);
            self.faults.push(fault.help(format!("Write `{word}`.")).fix(place, word, Sureness::Safe));
            read.push((product, span));
            at += count;
        }
        Some(read)
    }

    pub(super) fn markets(&mut self, node: Node<'_>) -> Vec<(Market, Span)> {
        self.listed_with_spans(node, Market::WHAT, Market::WORDS, Market::from_word)
    }

    fn phase(&mut self, opening: Node<'_>, placed: &Placed<'_>, context: Context) -> Phase {
        let mut inner = opening.into_inner();
        let name = self.next_name(&mut inner, opening.span());
        let title = inner.next().map(|title| self.string(&title));
        let statements = kept(placed.statements().filter_map(|placed| self.phase_statement(&placed, context)));
        Phase { name, title, statements, span: placed.span() }
    }

    pub(super) fn phase_statement(&mut self, placed: &Placed<'_>, context: Context) -> Option<PhaseStatement> {
        let Some(node) = self.only(placed, context) else {
            return Some(PhaseStatement::Broken(placed.span(), first_word(placed)));
        };
        Some(match node.as_rule() {
            Rule::line => PhaseStatement::Line(self.line(node)),
            Rule::add => PhaseStatement::Line(node.into_inner().next().map(|line| self.line(line))?),
            Rule::heat => PhaseStatement::Heat(self.only_expression(node)),
            Rule::cool => PhaseStatement::Cool(self.only_expression(node)),
            Rule::allow => PhaseStatement::Allow(self.allow(node)),
            _ => return None,
        })
    }

    pub(super) fn line(&mut self, node: Node<'_>) -> Line {
        let span = node.span();
        let mut inner = node.into_inner();
        let material = self.next_name(&mut inner, span);
        let (amount, tail) = self.amount_and_tail(inner);
        let amount = amount.unwrap_or(Amount { kind: AmountKind::QuantumSatis, span });
        Line { material, amount, tail, span }
    }

    pub(super) fn amount_and_tail(&mut self, nodes: Nodes<'_>) -> (Option<Amount>, Tail) {
        let mut amount = None;
        let mut tail = Tail::default();
        for node in nodes {
            let span = node.span();
            let twice = match node.as_rule() {
                Rule::amount => {
                    amount = Some(self.amount(node));
                    None
                }
                Rule::hold_back => {
                    let expression = self.only_expression(node);
                    tail.hold_back.replace(Box::new((expression, span))).map(|first| ("hold back", first.1))
                }
                Rule::from => tail.from.replace(Box::new(self.only_name(node))).map(|first| ("from", first.span)),
                Rule::titrated => {
                    let titrated = self.titrated(node);
                    titrated.and_then(|of| tail.titrated.replace(Box::new(of))).map(|first| ("titrated", first.span))
                }
                Rule::because => {
                    tail.because.replace(Box::new(self.only_string(node))).map(|first| ("because", first.span))
                }
                Rule::allow => tail.allow.replace(Box::new(self.allow(node))).map(|first| ("allow", first.span)),
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

    fn titrated(&mut self, node: Node<'_>) -> Option<Titrated> {
        let span = node.span();
        let mut inner = node.into_inner();
        let sample = self.quantity(inner.next()?);
        let points = inner.filter_map(|point| {
            let mut parts = point.into_inner();
            Some((self.quantity(parts.next()?), self.number(&parts.next()?)))
        });
        let points = points.collect();
        Some(Titrated { sample, points, span })
    }

    fn amount(&mut self, node: Node<'_>) -> Amount {
        let span = node.span();
        let mut inner = node.into_inner();
        let Some(first) = inner.next() else { return Amount { kind: AmountKind::QuantumSatis, span } };
        let kind = match first.as_rule() {
            Rule::qs => AmountKind::QuantumSatis,
            Rule::qs_to_ph => AmountKind::QuantumSatisToPh,
            _ => {
                let figure = match self.loose_volume(first) {
                    Some(volume) => Expression::Quantity(volume),
                    None => self.expression(first),
                };
                match inner.next() {
                    Some(mark) if mark.as_rule() == Rule::active_mark => AmountKind::Active(figure),
                    Some(of) => AmountKind::Of(figure, Box::new(self.only_name(of))),
                    None => AmountKind::AsSupplied(figure),
                }
            }
        };
        Amount { kind, span }
    }

    fn steps(&mut self, placed: &Placed<'_>) -> Steps {
        let steps = kept(placed.statements().filter_map(|placed| self.step(&placed)));
        Steps { steps, span: placed.span() }
    }

    pub(super) fn step(&mut self, placed: &Placed<'_>) -> Option<Text> {
        self.only(placed, Context::Steps).map(|step| self.only_string(step))
    }

    fn ensure(&mut self, node: Node<'_>) -> Option<Ensure> {
        let span = node.span();
        let inner = node.into_inner().next()?;
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

    pub(super) fn allow(&mut self, node: Node<'_>) -> Allow {
        let span = node.span();
        let mut inner = node.into_inner();
        let code = self.next_name(&mut inner, span);
        Allow { code, because: inner.next().map(|because| self.only_string(because)), span }
    }

    pub(super) fn variant(&mut self, opening: Node<'_>, placed: &Placed<'_>) -> Variant {
        let name = self.declared_name(opening);
        let base = opening
            .into_inner()
            .nth(1)
            .map_or(Name { span: opening.span(), ..Name::default() }, |base| self.name(&base));
        self.note_meter(placed);
        let statements = kept(placed.statements().filter_map(|placed| self.variant_statement(&placed)));
        Variant { name, base, statements, span: placed.span() }
    }

    pub(super) fn variant_statement(&mut self, placed: &Placed<'_>) -> Option<VariantStatement> {
        let Some(node) = self.only(placed, Context::Variant) else {
            return Some(VariantStatement::Broken(placed.span()));
        };
        let span = node.span();
        Some(match node.as_rule() {
            Rule::set => VariantStatement::Set(self.line(node)),
            Rule::swap => {
                let mut inner = node.into_inner();
                let old = self.next_name(&mut inner, span);
                let new = self.next_name(&mut inner, span);
                let (amount, tail) = self.amount_and_tail(inner);
                VariantStatement::Swap { old, new, amount, tail, span }
            }
            Rule::remove => VariantStatement::Remove(self.only_name(node)),
            Rule::phase_opening => VariantStatement::Phase(self.phase(node, placed, Context::VariantPhase)),
            Rule::steps_opening => VariantStatement::Steps(self.steps(placed)),
            Rule::ensure => VariantStatement::Ensure(Box::new(self.ensure(node)?)),
            Rule::allow => VariantStatement::Allow(self.allow(node)),
            Rule::let_item => VariantStatement::Let(self.let_item(node)),
            _ => VariantStatement::Header(self.header(node)?),
        })
    }

    /// A range that is missing its figures, for what cannot be built.
    pub(super) fn no_range(span: Span) -> WrittenRange {
        WrittenRange { low: None, high: None, span }
    }

    /// An expression that is missing its figure.
    pub(super) fn no_figure(span: Span) -> Expression {
        Expression::Quantity(Quantity { value: None, unit: crate::quantity::Unit::None, span, number: span })
    }
}

/// Words that open a statement of a variant, and so no line.
const OF_VARIANTS: [&str; 4] = ["add", "remove", "set", "swap"];

/// The name that a broken line seems to begin with.
fn first_word(placed: &Placed<'_>) -> Option<Name> {
    let word = placed.head().split_whitespace().next().filter(|word| !OF_VARIANTS.contains(word))?;
    let start = placed.span().start;
    let span = Span { start, end: start + u32::try_from(word.len()).unwrap_or(0) };
    Some(Name { text: SmolStr::new(word.to_lowercase()), span })
}
