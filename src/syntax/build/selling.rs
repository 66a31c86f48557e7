//! What is sold: the header lines of cost and price, what is to be made, and the store room.

use super::{Builder, kept};
use crate::diagnostic::{Code, Span};
use crate::syntax::Rule;
use crate::syntax::context::Context;
use crate::syntax::cut::Placed;
use crate::syntax::statement::Node;
use crate::syntax::tree::{
    Container, ContainerField, FeeOf, HeaderField, Labour, Maker, MakerField, Name, Number, Planned, Quantity, Stock,
    StockEntry,
};
use crate::syntax::vocabulary::{Market, StockWord};

impl Builder {
    /// A header line of what is sold.
    pub(super) fn selling(&mut self, rule: Rule, node: Node<'_>) -> Option<HeaderField> {
        Some(match rule {
            Rule::may_contain => HeaderField::MayContain(self.name_list(node)),
            Rule::packed_in => HeaderField::PackedIn(self.name_list(node)),
            Rule::loss => HeaderField::Loss(self.only_expression(node)),
            Rule::margin => HeaderField::Margin(self.only_expression(node)),
            Rule::sells_at => HeaderField::SellsAt(self.only_expression(node)),
            Rule::vat => HeaderField::Vat(self.only_expression(node)),
            Rule::labour => {
                let mut inner = node.into_inner();
                let time = self.expression(inner.next()?);
                let pay = self.expression(inner.next()?);
                let per = inner.next()?;
                HeaderField::Labour(Box::new(Labour { time, pay, per: (self.lone_unit(&per), per.span()) }))
            }
            Rule::fee => {
                let mut inner = node.into_inner();
                let figure = self.expression(inner.next()?);
                let (mut of, mut because) = (FeeOf::Batch, None);
                for part in inner {
                    match part.as_rule() {
                        Rule::each_mark => of = FeeOf::Each,
                        Rule::of_price => of = FeeOf::Price,
                        _ => because = Some(self.only_string(part)),
                    }
                }
                HeaderField::Fee(Box::new((figure, of, because)))
            }
            _ => return None,
        })
    }

    /// Names with commas between.
    pub(super) fn name_list(&mut self, node: Node<'_>) -> Vec<Name> {
        let names = node.into_inner().filter(|node| node.as_rule() == Rule::names).flat_map(Node::into_inner);
        names.filter(|node| node.as_rule() == Rule::name).map(|node| self.name(&node)).collect()
    }

    pub(super) fn maker(&mut self, placed: &Placed<'_>) -> Maker {
        let fields = kept(placed.statements().filter_map(|placed| self.maker_field(&placed)));
        Maker { fields, span: placed.span() }
    }

    pub(super) fn maker_field(&mut self, placed: &Placed<'_>) -> Option<MakerField> {
        let node = self.only(placed, Context::Maker)?;
        let (rule, span) = (node.as_rule(), node.span());
        let mut parts = node.into_inner();
        if rule == Rule::responsible {
            let market = parts.next()?;
            let market = self.listed(&market, Market::WHAT, Market::WORDS, Market::from_word)?.0;
            let text = self.string(&parts.next()?);
            let word = Name { text: "responsible".into(), span: Span { start: span.start, end: span.start + 11 } };
            return Some(MakerField { word, market: Some(market), text, span });
        }
        Some(MakerField { word: self.name(&parts.next()?), market: None, text: self.string(&parts.next()?), span })
    }

    pub(super) fn container(&mut self, opening: Node<'_>, placed: &Placed<'_>) -> Container {
        let name = self.only_name(opening);
        let fields = kept(placed.statements().filter_map(|placed| self.container_field(&placed)));
        Container { name, fields, span: placed.span() }
    }

    pub(super) fn container_field(&mut self, placed: &Placed<'_>) -> Option<ContainerField> {
        let node = self.only(placed, Context::Container)?;
        let span = node.span();
        Some(match node.as_rule() {
            Rule::holds => ContainerField::Holds(self.only_quantity(node), span),
            Rule::container_overfill => ContainerField::Overfill(self.only_expression(node), span),
            _ => {
                let packs = node.into_inner().filter(|node| node.as_rule() == Rule::container_pack);
                ContainerField::Price(packs.filter_map(|pack| self.container_pack(pack)).collect())
            }
        })
    }

    fn container_pack(&mut self, node: Node<'_>) -> Option<(Quantity, Option<Number>)> {
        let mut inner = node.into_inner();
        let price = self.quantity(inner.next()?);
        Some((price, inner.next().map(|count| self.listed_number(&count))))
    }

    pub(super) fn planned(&mut self, node: Node<'_>) -> Planned {
        let span = node.span();
        let mut inner = node.into_inner();
        let name = self.next_name(&mut inner, span);
        let makes = Span { start: inner.peek().map_or(span.start, |first| first.span().start), end: span.end };
        Planned { name, makes: self.makes(inner, makes), span }
    }

    pub(super) fn stock(&mut self, placed: &Placed<'_>) -> Stock {
        let entries = kept(placed.statements().filter_map(|placed| self.stock_entry(&placed)));
        Stock { entries, span: placed.span() }
    }

    pub(super) fn stock_entry(&mut self, placed: &Placed<'_>) -> Option<StockEntry> {
        let node = self.only(placed, Context::Stock)?;
        let span = node.span();
        let what = match node.as_rule() {
            Rule::counted => StockWord::Counted,
            Rule::bought => StockWord::Bought,
            _ => StockWord::Spent,
        };
        let mut inner = node.into_inner();
        let name = self.next_name(&mut inner, span);
        let amount = self.quantity(inner.next()?);
        let (on, lot, paid, from, expires, because) = (None, None, None, None, None, None);
        let mut entry = StockEntry { what, name, amount, on, lot, paid, from, expires, because, span };
        let mut met: Vec<(Rule, Span)> = Vec::new();
        for part in inner {
            let (rule, span) = (part.as_rule(), part.span());
            if let Some((_, first)) = met.iter().find(|(known, _)| *known == rule) {
                self.said_twice(part, *first);
                continue;
            }
            met.push((rule, span));
            self.stock_part(part, &mut entry);
        }
        Some(entry)
    }

    fn stock_part(&mut self, part: Node<'_>, entry: &mut StockEntry) {
        let span = part.span();
        match part.as_rule() {
            Rule::on_date => entry.on = part.into_inner().next().map(|date| self.date(&date)),
            Rule::lot_expires => entry.expires = part.into_inner().next().map(|date| (self.date(&date), span)),
            Rule::stock_lot => entry.lot = Some(self.only_string(part)),
            Rule::paid => entry.paid = Some(self.only_quantity(part)),
            Rule::bought_from => entry.from = Some(self.only_string(part)),
            _ => entry.because = Some(self.only_string(part)),
        }
    }

    fn said_twice(&mut self, part: Node<'_>, first: Span) {
        let word = part.as_str().split([' ', '\t']).next().unwrap_or_default();
        let (span, first) = (part.span(), self.place_of(first));
        let fault = self.fault(Code::HeaderTwice, span, format!("`{word}` stands twice on this line."));
        self.faults.push(fault.and(first, "it stands here first").help("Keep one of them."));
    }
}
