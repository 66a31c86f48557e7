//! From what is planned to the shopping list: the containers that each batch fills, and the packs that each thing is sold
//! in.

use super::list::{Kind, Offer, ShoppingList, Wanted};
use super::need::{Need, Needs};
use super::room::{StoreRoom, Thing};
use super::vessels::{quoted, that_hold};
use crate::cost::{Exchange, size_text};
use crate::model::{Container, Content, Formula, MakesSize, Material, Planned};
use crate::quantity::{Currency, Exact, Money};
use crate::resolve::Resolver;
use crate::sheet::Plan;
use crate::sheet::ph::{MODEL, outlook};
use smol_str::SmolStr;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A batch that is planned, with its formula and the weights of its sheet.
pub struct PlannedBatch {
    /// As it stands.
    pub planned: Planned,
    /// The formula.
    pub formula: Arc<Formula>,
    /// Its weights.
    pub plan: Plan,
}

impl Needs {
    /// What batches need, premixes taken from what is on hand first.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, room: &StoreRoom, batches: &[PlannedBatch]) -> Needs {
        let mut needs = Needs::default();
        let containers = resolver.containers();
        for PlannedBatch { planned, formula, plan } in batches {
            let weighs = formula.adjusters().next().is_some();
            let foreseen = weighs.then(|| outlook(resolver, formula, MODEL)).flatten();
            needs.add_batch(formula, plan, foreseen.as_ref());
            match filled(resolver, &containers, formula, &planned.makes) {
                Ok((names, count)) => names.iter().for_each(|name| needs.add_containers(name, &count)),
                Err(why) => needs.notes.push(format!("`{}`: {why}", planned.name)),
            }
        }
        needs.with_premixes_made(room)
    }
}

impl ShoppingList {
    /// What to buy for needs, less what is on hand, in a currency: the one asked for, else the one that most things are
    /// sold in.
    #[must_use]
    pub fn for_needs(resolver: &Resolver<'_>, room: &StoreRoom, needs: &Needs, into: Option<Currency>) -> ShoppingList {
        let containers = resolver.containers();
        let wanted: Vec<Wanted> =
            needs.of.iter().map(|(thing, need)| wanted(resolver, room, &containers, thing, need)).collect();
        let currency = into.or_else(|| most_used(&wanted));
        let exchange = currency.map(|currency| Exchange::new(currency, &room.day, resolver.rates()));
        let bring = |money: &Money| exchange.as_ref()?.bring(money);
        ShoppingList::of(wanted, currency, &bring)
    }
}

fn wanted(resolver: &Resolver<'_>, room: &StoreRoom, containers: &[Container], thing: &Thing, need: &Need) -> Wanted {
    let (on_hand, past) = room.on_hand(thing);
    let mut offers: Vec<Offer> = match need.kind {
        Kind::Container => {
            containers.iter().filter(|one| one.name == thing.name).flat_map(packs_of_container).collect()
        }
        _ => need.materials.iter().flat_map(|material| packs_of(resolver, material)).collect(),
    };
    // Where nobody says who sells it, it is looked for where it was bought last.
    let last = room.things.get(thing).and_then(|(_, account)| account.bought_from.as_ref());
    for offer in offers.iter_mut().filter(|offer| offer.supplier.is_none()) {
        offer.supplier = last.cloned();
    }
    // Files that say the same of one thing offer one pack.
    let mut met: Vec<Offer> = Vec::new();
    offers.retain(|offer| {
        let is_new = !met.contains(offer);
        met.extend(is_new.then(|| offer.clone()));
        is_new
    });
    Wanted { what: thing.name.clone(), kind: need.kind, need: need.amount.clone(), on_hand, past, offers }
}

fn packs_of_container(container: &Container) -> Vec<Offer> {
    let offer = |pack: &crate::model::ContainerPack| Offer {
        holds: Some(pack.count.clone()).filter(Exact::is_positive),
        price: pack.price.clone(),
        written: pack.count.to_string(),
        supplier: None,
    };
    container.packs.iter().map(offer).collect()
}

fn packs_of(resolver: &Resolver<'_>, material: &Material) -> Vec<Offer> {
    let offer = |pack: &crate::model::Pack| Offer {
        holds: pack.size.grams(material.density.as_ref()),
        price: pack.price.clone(),
        written: size_text(resolver, pack.place).to_string(),
        supplier: material.supplier.clone(),
    };
    material.packs.iter().map(offer).collect()
}

/// The currency that most things are sold in; of equals the first by its code.
fn most_used(wanted: &[Wanted]) -> Option<Currency> {
    let mut things: BTreeMap<Currency, usize> = BTreeMap::new();
    for of in wanted {
        let mut currencies: Vec<Currency> = of.offers.iter().map(|offer| offer.price.currency).collect();
        currencies.sort_unstable();
        currencies.dedup();
        for currency in currencies {
            *things.entry(currency).or_default() += 1;
        }
    }
    // The last of equals is taken, so they are gone through backwards.
    things.into_iter().rev().max_by_key(|(_, count)| *count).map(|(currency, _)| currency)
}

/// The containers that a batch fills, and how many of each: those of its `packed in`, else the one that holds just what
/// each is filled with. None of a batch that is not filled.
fn filled(
    resolver: &Resolver<'_>,
    containers: &[Container],
    formula: &Formula,
    makes: &MakesSize,
) -> Result<(Vec<SmolStr>, Exact), String> {
    let content = match (&makes.grams, &makes.millilitres) {
        (Some(grams), _) => Some(Content::Grams(grams.clone())),
        (None, millilitres) => millilitres.clone().map(Content::Millilitres),
    };
    let holding = |container: &&Container| content.is_some() && container.holds == content;
    let packing = &formula.selling.packed_in;
    let packed: Vec<SmolStr> = packing.iter().map(|packing| packing.name.clone()).collect();
    let mut known = packing.iter().filter_map(|packing| resolver.container(packing.id));
    let is_filled = makes.count.is_some() || known.any(|container| holding(&&container));
    if !packed.is_empty() {
        return match is_filled {
            true => Ok((packed, makes.count.clone().unwrap_or(Exact::ONE))),
            false => Err(format!(
                "how many of {} it fills is not said, and none is counted. Plan it by containers: `24 x 30 mL`.",
                quoted(&packed)
            )),
        };
    }
    let fitting = match &content {
        Some(content) => that_hold(resolver, containers, formula.id.file, content)?,
        None => Vec::new(),
    };
    Ok((fitting, makes.count.clone().unwrap_or(Exact::ONE)))
}
