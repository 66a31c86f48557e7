//! From a formula or a record to all that it costs.

use super::cautions::{cautions, cautions_of_record, is_open};
use super::coin::coin_of;
use super::exchange::Exchange;
use super::filling::Filled;
use super::materials::{Materials, Missing};
use super::packs::{NoPrice, container_price, packs_of};
use super::paid::{AllPaid, Paid, currencies, together};
use super::parts::{GoesIn, by_plan, by_record};
use super::price::{Price, Shares};
use super::sum::Sum;
use super::vessel::Vessel;
use super::whole::{Cost, Packed, Piece};
use crate::batch::{Ledger, Setting, came_out};
use crate::diagnostic::FileId;
use crate::model::{Batch, ContainerFill, Content, Formula, Happened, Pricing, Rate};
use crate::quantity::{Currency, Exact, Money};
use crate::resolve::Resolver;
use crate::sheet::{BatchOrder, plan};
use rustc_hash::FxHashSet;
use smol_str::SmolStr;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a batch is reckoned from.
pub(super) struct Reckoned<'f> {
    /// The formula that says what is paid and how it is sold.
    pub formula: &'f Formula,
    /// The file whose names count.
    pub file: FileId,
    pub day: SmolStr,
    pub goes_in: Vec<GoesIn>,
    /// What there is to fill, in grams.
    pub grams: Exact,
    /// The finest step of the scales.
    pub step: Exact,
    pub vessel: Option<(Vessel, Option<Filled>)>,
    /// Whether it is reckoned from a record.
    pub is_record: bool,
}

/// What a formula costs, as it is asked for, in a currency or in its own. None where it cannot be weighed.
#[must_use]
pub fn of(resolver: &Resolver<'_>, formula: &Formula, order: &BatchOrder, into: Option<Currency>) -> Option<Cost> {
    let plan = plan(formula, order)?;
    let vessel = Vessel::of(resolver, formula, order.makes(formula)).map(|vessel| {
        let each = vessel.grams(formula.density.as_ref());
        let loss = loss(formula);
        let filled = each.and_then(|each| Filled::by_plan(&plan.batch, &loss, &each, vessel.asked.as_ref()));
        (vessel, filled)
    });
    let from = Reckoned {
        formula,
        file: formula.id.file,
        day: order.day(formula).0,
        goes_in: by_plan(formula, &plan),
        grams: plan.batch.clone(),
        step: plan.finest.clone(),
        vessel,
        is_record: false,
    };
    Some(reckon(resolver, &from, into))
}

/// What a batch cost, by its record: what went in and its lots, what was spilled too. None where the formula it names
/// cannot be reached.
#[must_use]
pub fn of_batch(resolver: &Resolver<'_>, batch: &Batch, on: Option<&str>, into: Option<Currency>) -> Option<Cost> {
    let setting = Setting::of(resolver, batch)?;
    let ledger = Ledger::of(&setting.formula, &setting.plan, batch);
    // A frozen plan says nothing of selling: that is the formula's own, as it stands.
    let declared = resolver.formula_of_batch(batch).map(|declared| Arc::clone(&declared.formula));
    let formula = declared.as_ref().unwrap_or(&setting.formula);
    let order = BatchOrder { on: on.map(SmolStr::new), ..BatchOrder::default() };
    let day = match (on, &batch.started) {
        (None, Some(started)) => started.clone(),
        _ => order.day(formula).0,
    };
    let yielded = came_out(batch);
    let grams = yielded.clone().unwrap_or_else(|| ledger.weights.total());
    let density = setting.formula.density.as_ref().or(formula.density.as_ref());
    // Of what is still at the bench nobody knows how much there will be to fill.
    let known = vessel_of_record(resolver, batch, formula);
    let known = known.filter(|(_, count)| count.is_some() || yielded.is_some() || !is_open(&ledger));
    let vessel = known.map(|(vessel, count)| {
        let each = vessel.grams(density);
        let asked = vessel.asked.as_ref();
        // What came out has left behind what stays in the pot.
        let loss = if yielded.is_some() { Exact::ZERO } else { loss(formula) };
        let filled = each.and_then(|each| match count {
            Some(count) => Some(Filled::by_record(&grams, count, &each, asked)),
            None => Filled::by_plan(&grams, &loss, &each, asked),
        });
        (vessel, filled)
    });
    let goes_in = by_record(resolver, &setting, batch);
    let from = Reckoned {
        formula,
        file: batch.id.file,
        day,
        goes_in,
        grams,
        step: ledger.step.clone(),
        vessel,
        is_record: true,
    };
    let mut cost = reckon(resolver, &from, into);
    cost.batch = Some(batch.name.clone());
    cost.cautions.extend(cautions_of_record(batch, formula, &ledger));
    Some(cost)
}

pub(super) fn loss(formula: &Formula) -> Exact {
    formula.selling.loss.as_ref().map_or(Exact::ZERO, |loss| loss.value.clone())
}

/// What a record says was filled, and how many; none where it was not, and nothing says what it goes into.
fn vessel_of_record(resolver: &Resolver<'_>, batch: &Batch, formula: &Formula) -> Option<(Vessel, Option<Exact>)> {
    let own = || plan(formula, &BatchOrder::default()).map(|plan| plan.batch);
    let is_own_size = batch.size.is_none() || batch.size == own();
    let asked = formula.makes.as_ref().filter(|_| is_own_size).and_then(|makes| makes.count.clone());
    let mut content = None;
    let mut count = Exact::ZERO;
    for event in &batch.events {
        if let Happened::Filled { count: more, each: Some(each), .. } = &event.what {
            content.get_or_insert_with(|| match each {
                ContainerFill::Grams(grams) => Content::Grams(grams.clone()),
                ContainerFill::Millilitres(millilitres) => Content::Millilitres(millilitres.clone()),
            });
            count = &count + more;
        }
    }
    if let Some(content) = content {
        let mut vessel = Vessel::filled(resolver, formula, content, asked);
        // What a record says is in a container is all that is in it.
        vessel.overfill = Exact::ZERO;
        return Some((vessel, Some(count)));
    }
    let makes = formula.makes.as_ref().filter(|_| is_own_size);
    Some((Vessel::of(resolver, formula, makes)?, None))
}

fn reckon(resolver: &Resolver<'_>, from: &Reckoned<'_>, into: Option<Currency>) -> Cost {
    let selling = &from.formula.selling;
    let currency = into.or_else(|| own_currency(resolver, from));
    // Where nothing has a price there is nothing to bring over.
    let exchange = Exchange::new(currency.unwrap_or(Currency::NONE), &from.day, resolver.rates());
    let materials = Materials::of(resolver, &exchange, from.file, &from.goes_in);
    let paid = AllPaid::of(resolver, &exchange, selling);
    let (labour_sum, fees_sum) = (together(&paid.labour), together(&paid.fees));
    let whole = materials.sum.plus(&labour_sum).plus(&fees_sum);
    let (mut missing, mut other) = (materials.missing.clone(), materials.other.clone());
    for unpaid in paid.labour.iter().chain(&paid.fees).filter(|paid| paid.cost.is_none()) {
        leave_out(unpaid, &mut missing, &mut other);
    }
    let piece = from
        .vessel
        .as_ref()
        .and_then(|(vessel, filled)| Some(piece(&exchange, from.formula, &paid, vessel, filled.clone()?, &whole)));
    let per_100g = materials.sum.over(&from.grams).map(|sum| sum.map(|sum| sum * &Exact::HUNDRED));
    let mut cost = Cost {
        formula: from.formula.name.clone(),
        title: from.formula.title.clone(),
        version: from.formula.version.clone(),
        batch: None,
        day: from.day.clone(),
        currency,
        rates: Vec::new(),
        grams: from.grams.clone(),
        step: from.step.clone(),
        per_100g,
        materials,
        labour: paid.labour,
        fees: paid.fees,
        labour_sum,
        fees_sum,
        whole,
        missing,
        other,
        piece,
        cautions: Vec::new(),
    };
    cost.rates = used(&exchange, &cost, selling.price.as_ref().map(|price| &price.value));
    cost.cautions = cautions(from, &cost);
    cost
}

fn leave_out(paid: &Paid, missing: &mut Vec<Missing>, other: &mut BTreeMap<Currency, Exact>) {
    let have = other.entry(paid.money.currency).or_insert(Exact::ZERO);
    *have = &*have + &paid.money.amount;
    missing.push(Missing {
        name: paid.what.clone(),
        grams: None,
        printed: None,
        why: NoPrice::NoRate(paid.money.clone()),
    });
}

/// The currency of what a formula says of its selling; else the one that most of its materials are bought in, and of two
/// the one that stands first; else that of its containers.
fn own_currency(resolver: &Resolver<'_>, from: &Reckoned<'_>) -> Option<Currency> {
    if let Some(stated) = currencies(&from.formula.selling).first() {
        return Some(*stated);
    }
    let mut counts: Vec<(Currency, usize)> = Vec::new();
    let mut met = FxHashSet::default();
    for (material, _) in from.goes_in.iter().flat_map(|of| &of.made.parts) {
        if !met.insert(material.id) {
            continue;
        }
        let (packs, _) = packs_of(resolver, from.file, material);
        if let Some(pack) = packs.first() {
            match counts.iter_mut().find(|(known, _)| *known == pack.price.currency) {
                Some((_, count)) => *count += 1,
                None => counts.push((pack.price.currency, 1)),
            }
        }
    }
    let most = counts.iter().map(|(_, count)| *count).max();
    let bought = counts.iter().find(|(_, count)| Some(*count) == most).map(|(currency, _)| *currency);
    bought.or_else(|| {
        let packing = from.vessel.iter().flat_map(|(vessel, _)| &vessel.packing);
        packing
            .filter_map(|(_, container)| container.as_ref().ok()?.packs.first())
            .map(|pack| pack.price.currency)
            .next()
    })
}

fn piece(
    exchange: &Exchange,
    formula: &Formula,
    paid: &AllPaid,
    vessel: &Vessel,
    filled: Filled,
    whole: &Sum,
) -> Piece {
    let price = |container: &Result<_, NoPrice>| match container {
        Ok(container) => container_price(exchange, container, filled.asked.as_ref().unwrap_or(&filled.count)),
        Err(why) => Err(why.clone()),
    };
    let packing = vessel.packing.iter().map(|(name, container)| Packed { name: name.clone(), price: price(container) });
    let packing: Vec<Packed> = packing.collect();
    let packing_sum: Exact = packing.iter().filter_map(|packed| Some(&packed.price.as_ref().ok()?.each)).sum();
    let fees_sum = together(&paid.each);
    let cost = whole.over(&filled.count).map(|share| share.plus(&packing_sum).plus(&fees_sum));
    let selling = &formula.selling;
    let vat = selling.vat.as_ref().map_or(Exact::ZERO, |vat| vat.value.clone());
    let shares = Shares { fee: paid.of_price.clone(), vat };
    let pricing = selling.price.as_ref().map(|price| &price.value);
    let priced = |container: &Exact| match pricing? {
        Pricing::Margin(margin) => Some(Price::for_margin(container, margin, &shares, &coin_of(exchange.into))),
        Pricing::Price(money) => Some(Price::given(container, &exchange.bring(money)?, &shares)),
    };
    Piece {
        price: cost.as_ref().and_then(|cost| priced(&cost.at)),
        price_at_most: cost.as_ref().filter(|cost| cost.range.is_some()).and_then(|cost| priced(cost.most())),
        margin: match pricing {
            Some(Pricing::Margin(margin)) => Some(margin.clone()),
            _ => None,
        },
        content: vessel.content.clone(),
        fees: paid.each.clone(),
        filled,
        packing,
        packing_sum,
        fees_sum,
        cost,
        shares,
    }
}

/// The rates that something was brought over by.
fn used(exchange: &Exchange, cost: &Cost, pricing: Option<&Pricing>) -> Vec<Rate> {
    let lines = &cost.materials.lines;
    let whole = lines.iter().filter_map(|line| line.price.as_ref());
    let parts = lines.iter().flat_map(|line| &line.parts).filter_map(|part| part.price.as_ref());
    let packing = cost.piece.iter().flat_map(|piece| &piece.packing).filter_map(|packed| packed.price.as_ref().ok());
    let priced = whole.chain(parts).chain(packing).map(|price| price.price.currency);
    let of_piece = cost.piece.iter().flat_map(|piece| &piece.fees);
    let paid = cost.labour.iter().chain(&cost.fees).chain(of_piece).map(|paid| paid.money.currency);
    let price = pricing.and_then(|pricing| match pricing {
        Pricing::Price(Money { currency, .. }) => Some(*currency),
        Pricing::Margin(_) => None,
    });
    let mut all: Vec<Currency> = priced.chain(paid).chain(price).filter(|from| *from != exchange.into).collect();
    all.sort_unstable();
    all.dedup();
    all.into_iter().filter_map(|from| exchange.rate(from).cloned()).collect()
}
