//! What a formula says of its selling, and what follows for the jar: its cost and price, its declaration, what stands on it.

use super::change::ChangeKind;
use super::meaning::{NamedText, SoldMeaning};
use super::words;
use crate::cost::{self, Sum, content_words, to_coin};
use crate::label::{Jar, LabelSubject, LifeKind, MarketLabel, Nominal, Seller};
use crate::model::{Container, Content, FeeAmount, Formula, Pricing};
use crate::quantity::{Currency, Exact, Money};
use crate::resolve::Resolver;
use crate::sheet::BatchOrder;
use crate::syntax::vocabulary::Market;
use std::sync::Arc;

/// The lines of cost and price in a header, and the containers that it is packed in.
#[must_use]
pub fn paid(resolver: &Resolver<'_>, formula: &Formula) -> Vec<NamedText> {
    let mut all = Vec::new();
    let mut say = |what: &str, says: Option<String>| all.extend(says.map(|says| named(what, None, says)));
    let selling = &formula.selling;
    let percent = |figure: &Exact| format!("{} %", words::figure(figure));
    let packed: Vec<&str> = selling.packed_in.iter().map(|packing| packing.name.as_str()).collect();
    say("packed in", (!packed.is_empty()).then(|| packed.join(", ")));
    say("loss", selling.loss.as_ref().map(|loss| percent(&loss.value)));
    for labour in &selling.labour {
        let (time, per) = (words::time(&labour.seconds), words::time(&labour.per));
        let per = per.strip_prefix("1 ").unwrap_or(&per);
        say("labour", Some(format!("{time} at {} per {per}", money(&labour.pay))));
    }
    for fee in &selling.fees {
        let says = match &fee.what {
            FeeAmount::Batch(paid) => money(paid),
            FeeAmount::Each(paid) => format!("{} each", money(paid)),
            FeeAmount::OfPrice(share) => format!("{} of price", percent(share)),
        };
        let because = fee.because.as_ref().map(|because| format!(" because \"{because}\"")).unwrap_or_default();
        say("fee", Some(format!("{says}{because}")));
    }
    match selling.price.as_ref().map(|price| &price.value) {
        Some(Pricing::Margin(share)) => say("margin", Some(percent(share))),
        Some(Pricing::Price(price)) => say("sells at", Some(money(price))),
        None => {}
    }
    say("vat", selling.vat.as_ref().map(|vat| percent(&vat.value)));
    all.extend(containers(resolver, formula).iter().flat_map(container));
    all
}

/// The containers of a formula: those that it names, else those that hold what it makes.
fn containers(resolver: &Resolver<'_>, formula: &Formula) -> Vec<Container> {
    let named = formula.selling.packed_in.iter().filter_map(|packing| resolver.container(packing.id));
    let named: Vec<Container> = named.collect();
    if !named.is_empty() || formula.is_stock() {
        return named;
    }
    let Some(makes) = formula.makes.as_ref().filter(|makes| makes.count.is_some()) else { return Vec::new() };
    let holds = |container: &Container| match &container.holds {
        Some(Content::Grams(grams)) => makes.grams.as_ref() == Some(grams),
        Some(Content::Millilitres(volume)) => makes.millilitres.as_ref() == Some(volume),
        None => false,
    };
    resolver.containers().into_iter().filter(holds).collect()
}

fn container(of: &Container) -> Vec<NamedText> {
    let prices: Vec<String> =
        of.packs.iter().map(|pack| format!("{} per {}", money(&pack.price), words::figure(&pack.count))).collect();
    let says = [
        ("holds", of.holds.as_ref().map(content_words)),
        ("overfill", of.overfill.as_ref().map(|overfill| format!("{} %", words::figure(overfill)))),
        ("price", (!prices.is_empty()).then(|| prices.join(", "))),
    ];
    says.into_iter().filter_map(|(about, says)| Some(named(&of.name, Some(about), says?))).collect()
}

/// How a material is bought.
pub(super) fn packs(material: &crate::model::Material) -> Option<String> {
    let pack = |pack: &crate::model::Pack| format!("{} per {}", money(&pack.price), content_words(&pack.size));
    let all: Vec<String> = material.packs.iter().map(pack).collect();
    (!all.is_empty()).then(|| all.join(", "))
}

/// What follows for the jar.
#[must_use]
pub fn sold(resolver: &Resolver<'_>, formula: &Arc<Formula>, order: &BatchOrder) -> Vec<SoldMeaning> {
    if formula.incomplete || formula.is_stock() {
        return Vec::new();
    }
    let mut all = costs(resolver, formula, order);
    let Some(jar) = Jar::of_formula(formula) else { return all };
    let seller = resolver.maker(formula.id.file).as_ref().map(Seller::from).unwrap_or_default();
    let nominal = Nominal::of(resolver, formula, formula.makes.as_ref());
    let (day, _) = order.day(formula);
    let subject = LabelSubject {
        names: resolver,
        jar: &jar,
        counted: formula.composition.as_ref(),
        seller: &seller,
        nominal: nominal.as_ref(),
        batch: None,
        panel: None,
        day: &day,
    };
    for (market, _) in &formula.markets {
        all.extend(on_the_jar(&MarketLabel::of(&subject, *market), *market, formula));
    }
    all
}

/// What a hundred grams and a container cost, and the price; what is not known in full is marked so.
fn costs(resolver: &Resolver<'_>, formula: &Formula, order: &BatchOrder) -> Vec<SoldMeaning> {
    let Some(cost) = cost::of(resolver, formula, order, None) else { return Vec::new() };
    let Some(currency) = cost.currency else { return Vec::new() };
    let part = |is_whole: bool| if is_whole { "" } else { ", not all of it known" };
    let mut all = Vec::new();
    let mut say = |what: &str, says: Option<String>| {
        all.extend(says.map(|says| SoldMeaning { kind: ChangeKind::Cost, said: named(what, None, says) }));
    };
    say(
        "materials for 100 g",
        cost.per_100g.as_ref().map(|sum| format!("{}{}", sum_words(sum, currency), part(cost.materials.is_complete()))),
    );
    if let Some(piece) = &cost.piece {
        say(
            "one container",
            piece.cost.as_ref().map(|sum| format!("{}{}", sum_words(sum, currency), part(cost.is_complete()))),
        );
        let asked = piece.price.as_ref().and_then(|price| price.asked.as_ref());
        // A price that is given is known; one for a margin is no surer than what it is for.
        let is_given = formula.selling.price.as_ref().is_some_and(|line| matches!(line.value, Pricing::Price(_)));
        let part = part(is_given || cost.is_complete());
        say("price", asked.map(|price| format!("{} {currency}{part}", to_coin(price, currency))));
    }
    all
}

fn on_the_jar(label: &MarketLabel, market: Market, formula: &Formula) -> Vec<SoldMeaning> {
    let of = |kind: ChangeKind, about: &str, says: String| SoldMeaning {
        kind,
        said: named(market.word(), Some(about), says),
    };
    let mut all = vec![of(ChangeKind::Declaration, "order", label.declaration.text())];
    all.extend(label.statements.iter().map(|said| of(ChangeKind::Statement, "statement", said.text.clone())));
    all.extend(label.net.text.clone().map(|text| of(ChangeKind::Statement, "net content", text)));
    let lasts = formula.label.lasts.as_ref().map(words::duration).unwrap_or_default();
    let durability = match (label.life.kind, &label.life.text) {
        (LifeKind::BestBefore, _) => Some(format!("best used within {lasts}")),
        (LifeKind::AfterOpening, Some(time)) => Some(format!("sign of the open jar, {time}")),
        _ => None,
    };
    all.extend(durability.map(|says| of(ChangeKind::Statement, "durability", says)));
    all
}

fn named(what: &str, about: Option<&str>, says: String) -> NamedText {
    NamedText { what: what.to_string(), about: about.map(ToString::to_string), says }
}

fn money(of: &Money) -> String {
    format!("{} {}", words::figure(&of.amount), of.currency)
}

/// A sum to the coin; a range where something is weighed to the pH.
fn sum_words(sum: &Sum, currency: Currency) -> String {
    let ends = sum.range.as_ref().map(|(low, high)| (to_coin(low, currency), to_coin(high, currency)));
    match ends {
        Some((low, high)) if low != high => format!("{low} to {high} {currency}"),
        _ => format!("{} {currency}", to_coin(&sum.at, currency)),
    }
}
