//! The shopping list: what is short of each thing, in the packs that cover it for the least money.

use super::packs::{Pack, cheapest};
use crate::quantity::{Currency, Exact, Money};
use smol_str::SmolStr;
use std::collections::BTreeMap;

/// What a need is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A raw material, in grams.
    Material,
    /// A premix that is made here, in grams.
    Premix,
    /// A container, by number.
    Container,
}

/// A pack that something is sold in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// What is in it, in grams or pieces; none where that is a volume of something of unknown density.
    pub holds: Option<Exact>,
    /// What it costs.
    pub price: Money,
    /// What is in it, as it is printed.
    pub written: String,
    /// Who sells it.
    pub supplier: Option<SmolStr>,
}

/// Something that is needed.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// Its name.
    pub what: SmolStr,
    /// What it is.
    pub kind: Kind,
    /// How much is needed, in grams or pieces.
    pub need: Exact,
    /// What is on hand and not past its day.
    pub on_hand: Exact,
    /// What is on hand and past its day.
    pub past: Exact,
    /// The packs it is sold in.
    pub offers: Vec<Offer>,
}

/// A line of the list.
#[derive(Clone, Debug)]
pub struct Row {
    /// What is needed.
    pub wanted: Wanted,
    /// What is short of it.
    pub short: Exact,
    /// What to buy of it.
    pub bought: Result<Bought, NotBought>,
}

/// What to buy of something.
#[derive(Clone, Debug, Default)]
pub struct Bought {
    /// Each pack and how many, the largest first.
    pub packs: Vec<(Offer, Exact)>,
    /// What all of them cost, in the currency of the list; none where no rate leads there.
    pub cost: Option<Exact>,
    /// The same in the money of the packs, where that is no money of the list.
    pub foreign: Option<Money>,
    /// What is left once all that is planned is made.
    pub left: Exact,
    /// Whether nothing can be cheaper.
    pub proven: bool,
}

/// Why no pack is picked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotBought {
    /// No price is stated.
    NoPrice,
    /// What is in each pack is a volume, and no density is stated.
    NoDensity,
    /// The packs are in several currencies, and no rate brings this one into that of the list.
    NoRate(Currency),
}

impl NotBought {
    /// Why, in a few words.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            NotBought::NoPrice => "no price".to_string(),
            NotBought::NoDensity => "no density".to_string(),
            NotBought::NoRate(from) => format!("no rate from {from}"),
        }
    }
}

/// A pack to buy, how many of it, and the line that it is for.
#[derive(Clone, Copy, Debug)]
pub struct PackToBuy<'l> {
    /// The line.
    pub row: &'l Row,
    /// The pack.
    pub offer: &'l Offer,
    /// How many.
    pub count: &'l Exact,
}

/// The shopping list.
#[derive(Clone, Debug, Default)]
pub struct ShoppingList {
    /// The currency that is added up; none where nothing has a price.
    pub currency: Option<Currency>,
    /// What is needed, by name.
    pub rows: Vec<Row>,
    /// What all costs, as far as it is known in that currency.
    pub total: Exact,
    /// What costs other money, which no rate brings over.
    pub others: BTreeMap<Currency, Exact>,
    /// Whether all that is short is in the total.
    pub complete: bool,
}

impl ShoppingList {
    /// The list of what is wanted. `bring` brings money into the currency of the list, where a rate leads there.
    #[must_use]
    pub fn of(
        mut wanted: Vec<Wanted>,
        currency: Option<Currency>,
        bring: &dyn Fn(&Money) -> Option<Exact>,
    ) -> ShoppingList {
        wanted.sort_by(|one, other| (&one.what, one.kind).cmp(&(&other.what, other.kind)));
        let rows: Vec<Row> = wanted.into_iter().map(|wanted| row(wanted, bring)).collect();
        let mut list = ShoppingList { currency, complete: true, ..ShoppingList::default() };
        for row in &rows {
            let bought = row.bought.as_ref().ok();
            match bought.and_then(|bought| bought.cost.as_ref()) {
                Some(cost) => list.total = &list.total + cost,
                None => list.complete = false,
            }
            if let Some(money) = bought.and_then(|bought| bought.foreign.as_ref()) {
                let sum = list.others.entry(money.currency).or_default();
                *sum = &*sum + &money.amount;
            }
        }
        ShoppingList { rows, ..list }
    }

    /// What to buy from each supplier, by name; what has none comes last.
    #[must_use]
    pub fn by_supplier(&self) -> Vec<(Option<&SmolStr>, Vec<PackToBuy<'_>>)> {
        let mut found: BTreeMap<(bool, Option<&SmolStr>), Vec<PackToBuy<'_>>> = BTreeMap::new();
        for row in &self.rows {
            for (offer, count) in row.bought.iter().flat_map(|bought| &bought.packs) {
                let supplier = offer.supplier.as_ref();
                found.entry((supplier.is_none(), supplier)).or_default().push(PackToBuy { row, offer, count });
            }
        }
        found.into_iter().map(|((_, supplier), bought)| (supplier, bought)).collect()
    }
}

fn row(wanted: Wanted, bring: &dyn Fn(&Money) -> Option<Exact>) -> Row {
    let short = (&wanted.need - &wanted.on_hand).max(Exact::ZERO);
    let bought = if short.is_zero() {
        let left = &wanted.on_hand - &wanted.need;
        Ok(Bought { cost: Some(Exact::ZERO), left, proven: true, ..Bought::default() })
    } else {
        bought(&wanted.offers, &short, bring)
    };
    Row { wanted, short, bought }
}

/// What to buy of something that is short.
fn bought(offers: &[Offer], short: &Exact, bring: &dyn Fn(&Money) -> Option<Exact>) -> Result<Bought, NotBought> {
    let weighed: Vec<(&Offer, &Exact)> =
        offers.iter().filter_map(|offer| Some((offer, offer.holds.as_ref()?))).collect();
    let Some((first, _)) = weighed.first() else {
        return Err(if offers.is_empty() { NotBought::NoPrice } else { NotBought::NoDensity });
    };
    // Money is compared in the currency of the list; or in its own, where all of it is in one.
    let is_one = weighed.iter().all(|(offer, _)| offer.price.currency == first.price.currency);
    let brought: Option<Vec<Exact>> = weighed.iter().map(|(offer, _)| bring(&offer.price)).collect();
    let is_brought = brought.is_some();
    let prices = match brought {
        Some(prices) => prices,
        None if is_one => weighed.iter().map(|(offer, _)| offer.price.amount.clone()).collect(),
        None => {
            let foreign = weighed.iter().find(|(offer, _)| bring(&offer.price).is_none());
            return Err(NotBought::NoRate(foreign.map_or(first.price.currency, |(offer, _)| offer.price.currency)));
        }
    };
    let packs: Vec<Pack> =
        weighed.iter().zip(prices).map(|((_, holds), price)| Pack { holds: (*holds).clone(), price }).collect();
    let found = cheapest(short, &packs).ok_or(NotBought::NoPrice)?;
    let mut picked: Vec<(&Exact, &Offer, Exact)> = weighed
        .iter()
        .zip(found.counts)
        .filter(|(_, count)| count.is_positive())
        .map(|((offer, holds), count)| (*holds, *offer, count))
        .collect();
    picked.sort_by(|one, other| other.0.cmp(one.0));
    let foreign = (!is_brought).then(|| Money { amount: found.cost.clone(), currency: first.price.currency });
    Ok(Bought {
        packs: picked.into_iter().map(|(_, offer, count)| (offer.clone(), count)).collect(),
        cost: is_brought.then_some(found.cost),
        foreign,
        left: found.over,
        proven: found.proven,
    })
}
