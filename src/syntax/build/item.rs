//! Declarations at file level, and the fields of substances and materials.

use super::Builder;
use crate::diagnostic::{Code, Span};
use crate::syntax::Rule;
use crate::syntax::tree::{
    Avoid, Component, Container, Dissolves, Expression, Fact, Group, Item, Let, Maker, Material, MaterialField, Name,
    Number, PriceBreak, Quantity, Rate, Strength, Substance, SubstanceField, Text, Use, UseTarget,
};
use crate::syntax::vocabulary::{Charge, Mark, MaterialPhase, Microbe, Role};
use crate::syntax::words::Context;
use pest::iterators::Pair;
use smol_str::SmolStr;

impl Builder<'_> {
    pub(super) fn item(&mut self, pair: Pair<'_, Rule>) -> Option<Item> {
        Some(match pair.as_rule() {
            Rule::formula => Item::Formula(self.formula(pair)),
            Rule::material => Item::Material(self.material(pair)),
            Rule::substance => Item::Substance(self.substance(pair)),
            Rule::use_item => Item::Use(self.use_item(pair)),
            Rule::let_item => Item::Let(self.let_item(pair)),
            Rule::variant => Item::Variant(self.variant(pair)),
            Rule::group => Item::Group(self.group(pair)),
            Rule::rule_item => Item::Rule(self.rule(pair)),
            Rule::batch => Item::Batch(self.batch(pair)),
            Rule::maker => Item::Maker(self.maker(pair)),
            Rule::container => Item::Container(self.container(pair)),
            Rule::rate => self.rate(pair),
            Rule::broken => Item::Broken(self.broken(&pair, Context::File)),
            _ => return None,
        })
    }

    fn use_item(&mut self, pair: Pair<'_, Rule>) -> Use {
        let span = self.span(&pair);
        let target = match pair.into_inner().next() {
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

    pub(super) fn let_item(&mut self, pair: Pair<'_, Rule>) -> Let {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = self.next_name(&mut inner, span);
        let value = match inner.next() {
            Some(value) => self.expression(value),
            None => Expression::Name(name.clone()),
        };
        Let { name, value, span }
    }

    /// The next pair as a name; an empty one where there is none.
    pub(super) fn next_name(&mut self, inner: &mut pest::iterators::Pairs<'_, Rule>, span: Span) -> Name {
        inner.next().map_or(Name { text: SmolStr::default(), span }, |pair| self.name(&pair))
    }

    /// The next pair as a number; one without a value where there is none.
    pub(super) fn next_number(&mut self, inner: &mut pest::iterators::Pairs<'_, Rule>, span: Span) -> Number {
        inner.next().map_or(Number { value: None, span }, |pair| self.number(&pair))
    }

    fn group(&mut self, pair: Pair<'_, Rule>) -> Group {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = self.next_name(&mut inner, span);
        let members = inner.filter(|pair| pair.as_rule() == Rule::names).flat_map(Pair::into_inner);
        let members = members.filter(|pair| pair.as_rule() == Rule::name).map(|pair| self.name(&pair)).collect();
        Group { name, members, span }
    }

    fn maker(&mut self, pair: Pair<'_, Rule>) -> Maker {
        let span = self.span(&pair);
        let mut fields = Vec::new();
        for inner in pair.into_inner() {
            match inner.as_rule() {
                Rule::maker_field => {
                    let mut parts = inner.into_inner();
                    if let (Some(word), Some(text)) = (parts.next(), parts.next()) {
                        fields.push((self.name(&word), self.string(&text)));
                    }
                }
                Rule::broken => {
                    self.broken(&inner, Context::Maker);
                }
                _ => {}
            }
        }
        Maker { fields, span }
    }

    fn container(&mut self, pair: Pair<'_, Rule>) -> Container {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = self.next_name(&mut inner, span);
        let mut container = Container { name, holds: None, price: None, span };
        for statement in inner {
            match statement.as_rule() {
                Rule::holds => container.holds = Some(self.only_quantity(statement)),
                Rule::container_price => container.price = Some(self.only_quantity(statement)),
                Rule::broken => {
                    self.broken(&statement, Context::Container);
                }
                _ => {}
            }
        }
        container
    }

    fn rate(&mut self, pair: Pair<'_, Rule>) -> Item {
        let span = self.span(&pair);
        let mut quantities: Vec<Quantity> = Vec::new();
        let mut on = SmolStr::default();
        for inner in pair.into_inner() {
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
    pub(super) fn date(&mut self, pair: &Pair<'_, Rule>) -> SmolStr {
        let text = pair.as_str();
        if !is_calendar_date(text) {
            let span = self.span(pair);
            self.faults.push(
                self.fault(Code::Syntax, span, format!("`{text}` is no day of the calendar."))
                    .help("Dates are year, month, day: `2026-11-25`."),
            );
        } else if !("1900".."2200").contains(&text.get(..4).unwrap_or_default()) {
            let span = self.span(pair);
            let message = format!("`{text}` is not in the years from 1900 to 2199.");
            self.faults.push(self.fault(Code::Syntax, span, message).help("Check the year: `2026-11-25`."));
        }
        SmolStr::new(text)
    }

    /// A time that the clock has.
    pub(super) fn time(&mut self, pair: &Pair<'_, Rule>) -> SmolStr {
        let text = pair.as_str();
        let shown = text.split_once(':').and_then(|(hour, minute)| Some((hour.parse().ok()?, minute.parse().ok()?)));
        if !shown.is_some_and(|(hour, minute): (u32, u32)| hour < 24 && minute < 60) {
            let span = self.span(pair);
            self.faults.push(
                self.fault(Code::Syntax, span, format!("`{text}` is no time of the day."))
                    .help("Times run from `00:00` to `23:59`."),
            );
        }
        SmolStr::new(text)
    }

    fn substance(&mut self, pair: Pair<'_, Rule>) -> Substance {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = self.next_name(&mut inner, span);
        let mut facts: Vec<Fact<SubstanceField>> = Vec::new();
        for pair in inner {
            let span = self.span(&pair);
            match pair.as_rule() {
                Rule::comment => {}
                Rule::broken => {
                    self.broken(&pair, Context::Substance);
                }
                Rule::fact_source => {
                    let source = self.only_string(pair);
                    if let Some(fact) = facts.last_mut() {
                        fact.span = fact.span.to(source.span);
                        fact.source = Some(source);
                    }
                }
                _ => {
                    if let Some(field) = self.substance_field(pair) {
                        facts.push(Fact { field, source: None, span });
                    }
                }
            }
        }
        Substance { name, facts, span }
    }

    pub(super) fn substance_field(&mut self, pair: Pair<'_, Rule>) -> Option<SubstanceField> {
        let span = self.span(&pair);
        Some(match pair.as_rule() {
            Rule::inci => SubstanceField::Inci(self.only_string(pair)),
            Rule::us_name => SubstanceField::UsName(self.only_string(pair)),
            Rule::colour_index => SubstanceField::ColourIndex(self.only_string(pair)),
            Rule::cas => SubstanceField::Cas(self.only_string(pair)),
            Rule::molar_mass => SubstanceField::MolarMass(self.only_quantity(pair)),
            Rule::acid => SubstanceField::Acid(self.pka_list(pair)),
            Rule::base => SubstanceField::Base(self.pka_list(pair)),
            Rule::ampholyte => {
                let mut inner = pair.into_inner();
                let list = inner.next().map(|list| self.pka_figures(list)).unwrap_or_default();
                let charge = inner.next().map_or(Number { value: None, span }, |charge| self.signed_number(&charge));
                SubstanceField::Ampholyte(list, charge)
            }
            Rule::strong => match pair.into_inner().next().map(|inner| inner.as_str() == "acid") {
                Some(true) => SubstanceField::StrongAcid,
                _ => SubstanceField::StrongBase,
            },
            Rule::ion => {
                let charge =
                    pair.into_inner().next().map_or(Number { value: None, span }, |charge| self.signed_number(&charge));
                SubstanceField::Ion(charge)
            }
            Rule::neutral => SubstanceField::Neutral,
            Rule::salt => {
                let mut inner = pair.into_inner();
                let of = self.next_name(&mut inner, span);
                let count = self.next_number(&mut inner, span);
                let with = self.next_name(&mut inner, span);
                SubstanceField::Salt { of, count, with }
            }
            Rule::hydrolyses => SubstanceField::HydrolysesTo(self.only_name(pair)),
            Rule::physical_water => SubstanceField::Water(self.only_expression(pair)),
            Rule::dissolves => SubstanceField::Dissolves(self.dissolves(pair)),
            Rule::preserves => SubstanceField::Preserves(self.only_expression(pair)),
            Rule::spoils => SubstanceField::SpoilsWithMetals,
            Rule::mark => SubstanceField::Mark(Mark::from_word(pair.as_str())?),
            Rule::charge => {
                let word = pair.into_inner().next()?;
                SubstanceField::Charge(self.listed(&word, Charge::WHAT, Charge::WORDS, Charge::from_word)?.0)
            }
            Rule::block_source => SubstanceField::Source(self.only_string(pair)),
            _ => return None,
        })
    }

    fn pka_list(&mut self, pair: Pair<'_, Rule>) -> Vec<Number> {
        pair.into_inner().next().map(|list| self.pka_figures(list)).unwrap_or_default()
    }

    fn pka_figures(&mut self, list: Pair<'_, Rule>) -> Vec<Number> {
        let numbers = list.into_inner().filter(|pair| pair.as_rule() == Rule::number);
        numbers.map(|pair| self.listed_number(&pair)).collect()
    }

    fn dissolves(&mut self, pair: Pair<'_, Rule>) -> Dissolves {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let solvent = self.next_name(&mut inner, span);
        let limit = match inner.next() {
            Some(range) => self.range(range),
            None => crate::syntax::tree::Range { low: None, high: None, span },
        };
        Dissolves { solvent, limit }
    }

    fn material(&mut self, pair: Pair<'_, Rule>) -> Material {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let name = match inner.next() {
            Some(name) => self.material_name(&name),
            None => Name { text: SmolStr::default(), span },
        };
        let mut material = Material { name, like: None, facts: Vec::new(), broken: Vec::new(), span };
        for pair in inner {
            let span = self.span(&pair);
            match pair.as_rule() {
                Rule::comment => {}
                Rule::like => material.like = Some(self.only_name(pair)),
                Rule::broken => {
                    let span = self.broken(&pair, Context::Material);
                    material.broken.push(span);
                }
                Rule::fact_source => {
                    let source = self.only_string(pair);
                    if let Some(fact) = material.facts.last_mut() {
                        fact.span = fact.span.to(source.span);
                        fact.source = Some(source);
                    }
                }
                _ => {
                    if let Some(field) = self.material_field(pair) {
                        material.facts.push(Fact { field, source: None, span });
                    }
                }
            }
        }
        material
    }

    pub(super) fn material_field(&mut self, pair: Pair<'_, Rule>) -> Option<MaterialField> {
        Some(match pair.as_rule() {
            Rule::material_name => MaterialField::Name(self.only_string(pair)),
            Rule::contains => MaterialField::Contains(self.components(pair)),
            Rule::role => MaterialField::Role(self.listed_words(pair, Role::WHAT, Role::WORDS, Role::from_word)),
            Rule::material_phase => {
                let word = pair.into_inner().next()?;
                let phase = self.listed(&word, MaterialPhase::WHAT, MaterialPhase::WORDS, MaterialPhase::from_word)?;
                MaterialField::Phase(phase.0)
            }
            Rule::usage => {
                let mut inner = pair.into_inner();
                let range = inner.next().map(|range| self.range(range))?;
                MaterialField::Use(range, inner.next().map(|mark| self.span(&mark)))
            }
            Rule::works_in => MaterialField::WorksIn(pair.into_inner().next().map(|range| self.range(range))?),
            Rule::stays_below => MaterialField::StaysBelow(self.only_expression(pair)),
            Rule::needs => MaterialField::Needs(self.only_expression(pair)),
            Rule::dissolves => MaterialField::Dissolves(self.dissolves(pair)),
            Rule::hydrates => MaterialField::Hydrates(self.only_expression(pair)),
            Rule::hlb => MaterialField::Hlb(self.only_expression(pair)),
            Rule::required_hlb => MaterialField::RequiredHlb(self.only_expression(pair)),
            Rule::keeps => MaterialField::Keeps(self.only_expression(pair)),
            Rule::protects => {
                MaterialField::Protects(self.listed_words(pair, Microbe::WHAT, Microbe::WORDS, Microbe::from_word))
            }
            Rule::avoid => MaterialField::Avoid(self.avoid(pair)),
            Rule::as_supplied => {
                let mut inner = pair.into_inner();
                let ph = inner.next().map(|ph| self.number(&ph))?;
                MaterialField::AsSupplied(ph, inner.next().map(|at| self.expression(at)))
            }
            Rule::supplier => MaterialField::Supplier(self.only_string(pair)),
            Rule::caution => MaterialField::Caution(self.only_string(pair)),
            Rule::density => MaterialField::Density(self.only_expression(pair)),
            Rule::price => MaterialField::Price(self.price(pair)),
            Rule::note => MaterialField::Note(self.only_string(pair)),
            Rule::block_source => MaterialField::Source(self.only_string(pair)),
            _ => return None,
        })
    }

    /// Words out of a closed list, the unknown ones told of and left out.
    fn listed_words<T>(
        &mut self,
        pair: Pair<'_, Rule>,
        what: &str,
        words: &[&str],
        value: impl Fn(&str) -> Option<T>,
    ) -> Vec<T> {
        self.listed_with_spans(pair, what, words, value).into_iter().map(|(value, _)| value).collect()
    }

    /// As `listed_words`, with where each stands.
    pub(super) fn listed_with_spans<T>(
        &mut self,
        pair: Pair<'_, Rule>,
        what: &str,
        words: &[&str],
        value: impl Fn(&str) -> Option<T>,
    ) -> Vec<(T, Span)> {
        let list = pair.into_inner().flat_map(Pair::into_inner).filter(|pair| pair.as_rule() == Rule::word);
        list.filter_map(|word| self.listed(&word, what, words, &value)).collect()
    }

    pub(super) fn components(&mut self, pair: Pair<'_, Rule>) -> Vec<Component> {
        let components = pair.into_inner().filter(|pair| pair.as_rule() == Rule::component);
        components.map(|component| self.component(component)).collect()
    }

    fn component(&mut self, pair: Pair<'_, Rule>) -> Component {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
        let substance = self.next_name(&mut inner, span);
        let mut component = Component { substance, strength: Strength::Undisclosed, active: None, span };
        for part in inner {
            let part_span = self.span(&part);
            match part.as_rule() {
                Rule::active_mark => component.active = Some(part_span),
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

    fn avoid(&mut self, pair: Pair<'_, Rule>) -> Avoid {
        let span = self.span(&pair);
        let mut inner = pair.into_inner();
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

    fn price(&mut self, pair: Pair<'_, Rule>) -> Vec<PriceBreak> {
        let mut breaks = Vec::new();
        for pair in pair.into_inner().filter(|pair| pair.as_rule() == Rule::price_break) {
            let mut inner = pair.into_inner();
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
