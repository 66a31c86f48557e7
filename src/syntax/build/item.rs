//! Declarations at file level, and the fields of substances and materials.

use super::{Builder, kept};
use crate::diagnostic::{Code, Span};
use crate::syntax::Rule;
use crate::syntax::context::Context;
use crate::syntax::cut::Placed;
use crate::syntax::statement::{Node, Nodes};
use crate::syntax::tree::{
    Avoid, Component, Dissolves, Expression, Fact, Group, Item, Let, Material, MaterialField, Name, Number, PriceBreak,
    Quantity, Rate, Strength, Substance, SubstanceField, Text, Use, UseTarget, WrittenGroups, WrittenMove, WrittenPh,
    WrittenUse,
};
use crate::syntax::vocabulary::{Borne, Charge, Doing, Mark, MaterialPhase, Microbe, Product, Role};
use smol_str::SmolStr;

impl Builder {
    /// A declaration at file level; none where the grammar has a statement that is none.
    pub fn item(&mut self, placed: &Placed<'_>) -> Option<Item> {
        let Some(node) = self.only(placed, Context::File) else { return Some(Item::Broken(placed.span())) };
        Some(match node.as_rule() {
            Rule::formula_opening => Item::Formula(self.formula(node, placed)),
            Rule::material_opening => Item::Material(self.material(node, placed)),
            Rule::substance_opening => Item::Substance(self.substance(node, placed)),
            Rule::use_item => Item::Use(self.use_item(node)),
            Rule::let_item => Item::Let(self.let_item(node)),
            Rule::variant_opening => Item::Variant(self.variant(node, placed)),
            Rule::group => Item::Group(self.group(node)),
            Rule::rule_opening => Item::Rule(self.rule(node, placed)),
            Rule::batch_opening => Item::Batch(self.batch(node, placed)),
            Rule::maker_opening => Item::Maker(self.maker(placed)),
            Rule::container_opening => Item::Container(self.container(node, placed)),
            Rule::rate => self.rate(node),
            Rule::planned => Item::Planned(self.planned(node)),
            Rule::stock_opening => Item::Stock(self.stock(placed)),
            _ => return None,
        })
    }

    fn use_item(&mut self, node: Node<'_>) -> Use {
        let span = node.span();
        let target = match node.into_inner().next() {
            Some(inner) if inner.as_rule() == Rule::shelf_path => {
                let name = self.name(&inner);
                let text = SmolStr::new(name.text.strip_prefix("shelf/").unwrap_or(&name.text));
                UseTarget::Shelf(Name { text, span: name.span })
            }
            Some(inner) => UseTarget::Path(self.string(&inner)),
            None => UseTarget::Path(Text { value: SmolStr::default(), span }),
        };
        Use { target, span }
    }

    pub(super) fn let_item(&mut self, node: Node<'_>) -> Let {
        let span = node.span();
        let mut inner = node.into_inner();
        let name = self.next_name(&mut inner, span);
        let value = match inner.next() {
            Some(value) => self.expression(value),
            None => Expression::Name(name.clone()),
        };
        Let { name, value, span }
    }

    /// The next node as a name; an empty one where there is none.
    pub(super) fn next_name(&mut self, inner: &mut Nodes<'_>, span: Span) -> Name {
        inner.next().map_or(Name { text: SmolStr::default(), span }, |node| self.name(&node))
    }

    /// The next node as a number; one without a value where there is none.
    pub(super) fn next_number(&mut self, inner: &mut Nodes<'_>, span: Span) -> Number {
        inner.next().map_or(Number { value: None, span }, |node| self.number(&node))
    }

    fn group(&mut self, node: Node<'_>) -> Group {
        let span = node.span();
        let mut inner = node.into_inner();
        let name = self.next_name(&mut inner, span);
        let members = inner.filter(|node| node.as_rule() == Rule::names).flat_map(Node::into_inner);
        let members = members.filter(|node| node.as_rule() == Rule::name).map(|node| self.name(&node)).collect();
        Group { name, members, span }
    }

    fn rate(&mut self, node: Node<'_>) -> Item {
        let span = node.span();
        let mut quantities: Vec<Quantity> = Vec::new();
        let mut on = SmolStr::default();
        for inner in node.into_inner() {
            match inner.as_rule() {
                Rule::quantity => quantities.push(self.quantity(inner)),
                Rule::date => on = self.date(&inner),
                _ => {}
            }
        }
        let mut quantities = quantities.into_iter();
        match (quantities.next(), quantities.next()) {
            (Some(of), Some(worth)) => Item::Rate(Rate { of, worth, on, span }),
            _ => Item::Broken(span),
        }
    }

    /// A date that the calendar has.
    pub(super) fn date(&mut self, node: &Node<'_>) -> SmolStr {
        let text = node.as_str();
        if !is_calendar_date(text) {
            let span = node.span();
            self.faults.push(
                self.fault(Code::Syntax, span, format!("`{text}` is no day of the calendar."))
                    .help("Dates are year, month, day: `2026-11-25`."),
            );
        } else if !("1900".."2200").contains(&text.get(..4).unwrap_or_default()) {
            let span = node.span();
            let message = format!("`{text}` is not in the years from 1900 to 2199.");
            self.faults.push(self.fault(Code::Syntax, span, message).help("Check the year: `2026-11-25`."));
        }
        SmolStr::new(text)
    }

    /// A time that the clock has.
    pub(super) fn time(&mut self, node: &Node<'_>) -> SmolStr {
        let text = node.as_str();
        let shown = text.split_once(':').and_then(|(hour, minute)| Some((hour.parse().ok()?, minute.parse().ok()?)));
        if !shown.is_some_and(|(hour, minute): (u32, u32)| hour < 24 && minute < 60) {
            let span = node.span();
            self.faults.push(
                self.fault(Code::Syntax, span, format!("`{text}` is no time of the day."))
                    .help("Times run from `00:00` to `23:59`."),
            );
        }
        SmolStr::new(text)
    }

    fn substance(&mut self, opening: Node<'_>, placed: &Placed<'_>) -> Substance {
        let name = self.only_name(opening);
        let facts = kept(placed.statements().filter_map(|placed| self.substance_fact(&placed)));
        Substance { name, facts, span: placed.span() }
    }

    pub(super) fn substance_fact(&mut self, placed: &Placed<'_>) -> Option<Fact<SubstanceField>> {
        let mut nodes = self.read(placed, Context::Substance)?;
        let node = nodes.next()?;
        let span = node.span();
        let field = self.substance_field(node)?;
        Some(self.fact(field, span, nodes.next()))
    }

    /// A field with the source of that one fact, where it has its own.
    fn fact<T>(&self, field: T, span: Span, source: Option<Node<'_>>) -> Fact<T> {
        let source = source.map(|source| self.only_string(source));
        let span = source.as_ref().map_or(span, |source| span.to(source.span));
        Fact { field, source, span }
    }

    pub(super) fn substance_field(&mut self, node: Node<'_>) -> Option<SubstanceField> {
        let span = node.span();
        Some(match node.as_rule() {
            Rule::inci => SubstanceField::Inci(self.only_string(node)),
            Rule::us_name => SubstanceField::UsName(self.only_string(node)),
            Rule::colour_index => SubstanceField::ColourIndex(self.only_string(node)),
            Rule::cas => SubstanceField::Cas(self.only_string(node)),
            Rule::molar_mass => SubstanceField::MolarMass(self.only_quantity(node)),
            Rule::acid => self.acid(node)?,
            Rule::base => SubstanceField::Base(self.pka_list(node)),
            Rule::ampholyte => {
                let mut inner = node.into_inner();
                let list = inner.next().map(|list| self.pka_figures(list)).unwrap_or_default();
                let charge = inner.next().map_or(Number { value: None, span }, |charge| self.signed_number(&charge));
                SubstanceField::Ampholyte(list, charge)
            }
            Rule::strong => match node.into_inner().next().map(|inner| inner.as_str() == "acid") {
                Some(true) => SubstanceField::StrongAcid,
                _ => SubstanceField::StrongBase,
            },
            Rule::ion => {
                let charge =
                    node.into_inner().next().map_or(Number { value: None, span }, |charge| self.signed_number(&charge));
                SubstanceField::Ion(charge)
            }
            Rule::neutral => SubstanceField::Neutral,
            Rule::salt => {
                let mut inner = node.into_inner();
                let of = self.next_name(&mut inner, span);
                let count = self.next_number(&mut inner, span);
                let with = self.next_name(&mut inner, span);
                SubstanceField::Salt { of, count, with }
            }
            Rule::base_of => {
                let is_oxide = node.as_str().starts_with("oxide");
                SubstanceField::BaseOf(self.only_name(node), is_oxide)
            }
            Rule::binds => {
                let mut inner = node.into_inner();
                let metal = self.next_name(&mut inner, span);
                SubstanceField::Binds(metal, inner.map(|number| self.listed_number(&number)).collect())
            }
            Rule::precipitates => {
                let mut inner = node.into_inner();
                let with = inner.next().filter(|with| with.as_rule() == Rule::name).map(|with| self.name(&with));
                let (low, high) = self.number_range(inner.next()?)?;
                SubstanceField::Precipitates(with, low, high)
            }
            Rule::moves => {
                let mut inner = node.into_inner();
                let acids = self.number_range(inner.next()?)?;
                let bases = self.number_range(inner.next()?)?;
                SubstanceField::Moves(WrittenMove { acids, bases, share: self.expression(inner.next()?) })
            }
            Rule::hydrolyses => SubstanceField::HydrolysesTo(self.only_name(node)),
            Rule::physical_water => SubstanceField::Water(self.only_expression(node)),
            Rule::dissolves => SubstanceField::Dissolves(self.dissolves(node)),
            Rule::preserves => SubstanceField::Preserves(self.only_expression(node)),
            Rule::spoils => SubstanceField::SpoilsWithMetals,
            Rule::feeds => SubstanceField::FeedsMicrobes,
            Rule::phototoxic => SubstanceField::Phototoxic(self.only_expression(node)),
            Rule::mark => SubstanceField::Mark(Mark::from_word(node.as_str())?),
            Rule::charge => {
                let word = node.into_inner().next()?;
                SubstanceField::Charge(self.listed(&word, Charge::WHAT, Charge::WORDS, Charge::from_word)?.0)
            }
            Rule::block_source => SubstanceField::Source(self.only_string(node)),
            _ => return None,
        })
    }

    /// An acid by its pKa, or a polymer by its groups.
    fn acid(&mut self, node: Node<'_>) -> Option<SubstanceField> {
        let span = node.span();
        let inner = node.into_inner().next()?;
        if inner.as_rule() == Rule::pka_list {
            return Some(SubstanceField::Acid(self.pka_figures(inner)));
        }
        let mut parts = inner.into_inner();
        let capacity = parts.next().and_then(|capacity| self.capacity(capacity))?;
        let mut spread = parts.next()?.into_inner();
        let first = spread.next().map(|number| self.listed_number(&number))?;
        let last = spread.next().map_or_else(|| first.clone(), |number| self.listed_number(&number));
        let with = parts.next().map(|with| {
            let mut inner = with.into_inner();
            (self.next_number(&mut inner, span), self.next_name(&mut inner, span))
        });
        Some(SubstanceField::AcidGroups(WrittenGroups { capacity, first, last, with, span }))
    }

    /// `N` or `N to N`.
    fn number_range(&mut self, node: Node<'_>) -> Option<(Number, Number)> {
        let mut ends = node.into_inner();
        let low = ends.next().map(|number| self.listed_number(&number))?;
        let high = ends.next().map_or_else(|| low.clone(), |number| self.listed_number(&number));
        Some((low, high))
    }

    /// The ends of a capacity, or the one figure twice.
    fn capacity(&mut self, node: Node<'_>) -> Option<(Expression, Expression)> {
        if node.as_rule() == Rule::strength_range {
            let mut ends = node.into_inner();
            return Some((self.expression(ends.next()?), self.expression(ends.next()?)));
        }
        let figure = self.expression(node);
        Some((figure.clone(), figure))
    }

    fn as_supplied(&mut self, node: Node<'_>) -> Option<WrittenPh> {
        let (mut figures, mut at, mut capacity) = (Vec::new(), None, None);
        for node in node.into_inner() {
            match node.as_rule() {
                Rule::number => figures.push(self.number(&node)),
                Rule::supplied_capacity => {
                    capacity = node.into_inner().next().and_then(|node| self.capacity(node));
                }
                _ => at = Some(self.expression(node)),
            }
        }
        let mut figures = figures.into_iter();
        let low = figures.next()?;
        let high = figures.next().unwrap_or_else(|| low.clone());
        Some(WrittenPh { low, high, at, capacity })
    }

    fn pka_list(&mut self, node: Node<'_>) -> Vec<Number> {
        node.into_inner().next().map(|list| self.pka_figures(list)).unwrap_or_default()
    }

    fn pka_figures(&mut self, list: Node<'_>) -> Vec<Number> {
        let numbers = list.into_inner().filter(|node| node.as_rule() == Rule::number);
        numbers.map(|node| self.listed_number(&node)).collect()
    }

    fn dissolves(&mut self, node: Node<'_>) -> Dissolves {
        let span = node.span();
        let mut inner = node.into_inner();
        let solvent = self.next_name(&mut inner, span);
        let limit = match inner.next() {
            Some(range) => self.range(range),
            None => crate::syntax::tree::WrittenRange { low: None, high: None, span },
        };
        Dissolves { solvent, limit }
    }

    fn material(&mut self, opening: Node<'_>, placed: &Placed<'_>) -> Material {
        let name = self.declared_name(opening);
        let like = opening.into_inner().nth(1).map(|like| self.only_name(like));
        let mut material = Material { name, like, facts: Vec::new(), broken: Vec::new(), span: placed.span() };
        for placed in placed.statements() {
            match self.material_fact(&placed) {
                Ok(fact) => material.facts.extend(fact),
                Err(span) => material.broken.push(span),
            }
        }
        material
    }

    /// A fact of a material, if it could be made; or where the statement stands that does not parse.
    pub(super) fn material_fact(&mut self, placed: &Placed<'_>) -> Result<Option<Fact<MaterialField>>, Span> {
        let mut nodes = self.read(placed, Context::Material).ok_or(placed.span())?;
        let Some(node) = nodes.next() else { return Ok(None) };
        let span = node.span();
        let field = self.material_field(node);
        Ok(field.map(|field| self.fact(field, span, nodes.next())))
    }

    pub(super) fn material_field(&mut self, node: Node<'_>) -> Option<MaterialField> {
        Some(match node.as_rule() {
            Rule::material_name => MaterialField::Name(self.only_string(node)),
            Rule::contains => MaterialField::Contains(self.components(node)),
            Rule::role => MaterialField::Role(self.listed_words(node, Role::WHAT, Role::WORDS, Role::from_word)),
            Rule::material_phase => {
                let word = node.into_inner().next()?;
                let phase = self.listed(&word, MaterialPhase::WHAT, MaterialPhase::WORDS, MaterialPhase::from_word)?;
                MaterialField::Phase(phase.0)
            }
            Rule::usage => MaterialField::Use(self.usage(node)?),
            Rule::works_in => MaterialField::WorksIn(node.into_inner().next().map(|range| self.range(range))?),
            Rule::stays_below => MaterialField::StaysBelow(self.only_expression(node)),
            Rule::needs => MaterialField::Needs(self.only_expression(node)),
            Rule::dissolves => MaterialField::Dissolves(self.dissolves(node)),
            Rule::hydrates => MaterialField::Hydrates(self.only_expression(node)),
            Rule::hlb => MaterialField::Hlb(self.only_expression(node)),
            Rule::required_hlb => MaterialField::RequiredHlb(self.only_expression(node)),
            Rule::keeps => MaterialField::Keeps(self.only_expression(node)),
            Rule::protects => {
                MaterialField::Protects(self.listed_words(node, Microbe::WHAT, Microbe::WORDS, Microbe::from_word))
            }
            Rule::avoid => MaterialField::Avoid(self.avoid(node)),
            Rule::as_supplied => MaterialField::AsSupplied(self.as_supplied(node)?),
            Rule::supplier => MaterialField::Supplier(self.only_string(node)),
            Rule::caution => MaterialField::Caution(self.only_string(node)),
            Rule::density => MaterialField::Density(self.only_expression(node)),
            Rule::price => MaterialField::Price(self.price(node)),
            Rule::note => MaterialField::Note(self.only_string(node)),
            Rule::brings => MaterialField::Brings(self.brought(node)),
            Rule::also => {
                let names = node.into_inner().filter(|node| node.as_rule() == Rule::string);
                MaterialField::Also(names.map(|name| self.string(&name)).collect())
            }
            Rule::does => MaterialField::Does(self.listed_words(node, Doing::WHAT, Doing::WORDS, Doing::from_word)),
            Rule::melts => MaterialField::Melts(node.into_inner().next().map(|range| self.range(range))?),
            Rule::bears => {
                let mut inner = node.into_inner();
                let borne = self.listed(&inner.next()?, Borne::WHAT, Borne::WORDS, Borne::from_word)?.0;
                MaterialField::Bears(borne, inner.next().map(|range| self.range(range))?)
            }
            Rule::rancid => MaterialField::TurnsRancid,
            Rule::block_source => MaterialField::Source(self.only_string(node)),
            _ => return None,
        })
    }

    fn usage(&mut self, node: Node<'_>) -> Option<WrittenUse> {
        let mut inner = node.into_inner();
        let range = inner.next().map(|range| self.range(range))?;
        let mut written = WrittenUse { range, active: None, products: Vec::new() };
        for part in inner {
            match part.as_rule() {
                Rule::active_mark => written.active = Some(part.span()),
                _ => written.products = self.listed_words(part, Product::WHAT, Product::WORDS, Product::from_word),
            }
        }
        Some(written)
    }

    /// Words out of a closed list, the unknown ones told of and left out.
    fn listed_words<T>(
        &mut self,
        node: Node<'_>,
        what: &str,
        words: &[&str],
        value: impl Fn(&str) -> Option<T>,
    ) -> Vec<T> {
        self.listed_with_spans(node, what, words, value).into_iter().map(|(value, _)| value).collect()
    }

    /// As `listed_words`, with where each stands.
    pub(super) fn listed_with_spans<T>(
        &mut self,
        node: Node<'_>,
        what: &str,
        words: &[&str],
        value: impl Fn(&str) -> Option<T>,
    ) -> Vec<(T, Span)> {
        let is_word = |node: &Node<'_>| matches!(node.as_rule(), Rule::word | Rule::any_word);
        let list = node.into_inner().flat_map(Node::into_inner).filter(is_word);
        list.filter_map(|word| self.listed(&word, what, words, &value)).collect()
    }

    pub(super) fn components(&mut self, node: Node<'_>) -> Vec<Component> {
        if let Some(ordered) = node.into_inner().find(|node| node.as_rule() == Rule::in_order) {
            return self.ordered_components(ordered);
        }
        let components = node.into_inner().filter(|node| node.as_rule() == Rule::component);
        components.map(|component| self.component(component)).collect()
    }

    /// `in order A, B, C`.
    fn ordered_components(&mut self, node: Node<'_>) -> Vec<Component> {
        let names = self.name_list(node);
        let all = u32::try_from(names.len()).unwrap_or(u32::MAX);
        let one = |(substance, place): (Name, u32)| {
            let span = substance.span;
            Component { substance, strength: Strength::InOrder(place, all), active: None, trace: None, span }
        };
        names.into_iter().zip(1..).map(one).collect()
    }

    /// What a whole brings by nature.
    pub(super) fn brought(&mut self, node: Node<'_>) -> Vec<Component> {
        let brought = node.into_inner().filter(|node| node.as_rule() == Rule::brought);
        brought.map(|brought| self.component(brought)).collect()
    }

    fn component(&mut self, node: Node<'_>) -> Component {
        let span = node.span();
        let mut inner = node.into_inner();
        let substance = self.next_name(&mut inner, span);
        let mut component = Component { substance, strength: Strength::Undisclosed, active: None, trace: None, span };
        for part in inner {
            let part_span = part.span();
            match part.as_rule() {
                Rule::active_mark => component.active = Some(part_span),
                Rule::trace_mark => component.trace = Some(part_span),
                Rule::remainder => component.strength = Strength::Remainder(part_span),
                Rule::strength_range => {
                    let mut ends = part.into_inner();
                    if let (Some(low), Some(high)) = (ends.next(), ends.next()) {
                        component.strength = Strength::Range(self.expression(low), self.expression(high));
                    }
                }
                _ => component.strength = Strength::Figure(self.expression(part)),
            }
        }
        component
    }

    fn avoid(&mut self, node: Node<'_>) -> Avoid {
        let span = node.span();
        let mut inner = node.into_inner();
        let with = self.next_name(&mut inner, span);
        let mut avoid = Avoid { with, above: None, outside: None, because: Text { value: SmolStr::default(), span } };
        for part in inner {
            match part.as_rule() {
                Rule::above => avoid.above = Some(self.only_expression(part)),
                Rule::outside => avoid.outside = part.into_inner().next().map(|range| self.range(range)),
                Rule::because => avoid.because = self.only_string(part),
                _ => {}
            }
        }
        avoid
    }

    fn price(&mut self, node: Node<'_>) -> Vec<PriceBreak> {
        let mut breaks = Vec::new();
        for node in node.into_inner().filter(|node| node.as_rule() == Rule::price_break) {
            let mut inner = node.into_inner();
            if let (Some(price), Some(per)) = (inner.next(), inner.next()) {
                breaks.push(PriceBreak { price: self.quantity(price), per: self.quantity(per) });
            }
        }
        breaks
    }
}

/// Whether the calendar has a day written `YYYY-MM-DD`.
pub fn is_calendar_date(text: &str) -> bool {
    let mut parts = text.split('-').map(|part| part.parse::<u32>().unwrap_or(0));
    let (Some(year), Some(month), Some(day)) = (parts.next(), parts.next(), parts.next()) else { return false };
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        1..=12 => 31,
        _ => 0,
    };
    (1..=days).contains(&day)
}
