//! Which pack a price is taken from: the smallest that covers what is needed, else the largest.

use super::exchange::Exchange;
use crate::diagnostic::{FileId, Place};
use crate::model::{Container, Content, LineMaterial, Material, Pack};
use crate::quantity::{Exact, Money};
use crate::resolve::Resolver;
use crate::syntax::one_blank;
use smol_str::SmolStr;

/// A price, from the pack it is taken from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitPrice {
    /// The pack: `500 g`, or the number of pieces.
    pub pack: SmolStr,
    /// Where its price stands.
    pub place: Place,
    /// Of the whole pack, in its own money.
    pub price: Money,
    /// How much is in the pack: grams, or pieces.
    pub holds: Exact,
    /// For a gram or a piece, in the currency that is asked for.
    pub each: Exact,
}

/// Why something has no price that can be added.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoPrice {
    /// None is stated.
    NotStated,
    /// It is for a volume, and no density says what that weighs.
    NoDensity,
    /// It is in another money, and no rate says what that is worth: the sum for what is needed.
    NoRate(Money),
    /// What goes in is weighed at the bench, and nothing says how much at most.
    AtBench,
    /// Nobody declares it.
    Unknown,
    /// Several could be meant.
    Several,
}

impl NoPrice {
    /// Why, in a few words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            NoPrice::NotStated => "no price".to_string(),
            NoPrice::NoDensity => "no density".to_string(),
            NoPrice::NoRate(money) => format!("no rate from {}", money.currency),
            NoPrice::AtBench => "weighed at the bench".to_string(),
            NoPrice::Unknown => "not declared".to_string(),
            NoPrice::Several => "several hold as much".to_string(),
        }
    }
}

/// A pack, whatever is in it.
#[derive(Clone, Debug)]
pub(super) struct Choice {
    pub pack: SmolStr,
    pub place: Place,
    pub price: Money,
    pub holds: Exact,
}

/// The material whose packs count: what a file calls so today, where the plan of a batch names none.
fn sold_as(resolver: &Resolver<'_>, file: FileId, material: &Material) -> Option<LineMaterial> {
    let today = || resolver.weighs_out(file, &material.name);
    if material.packs.is_empty() { today() } else { None }
}

/// The packs of a material, as a file sees it, with the density that a volume is weighed by.
pub(super) fn packs_of(resolver: &Resolver<'_>, file: FileId, material: &Material) -> (Vec<Pack>, Option<Exact>) {
    match sold_as(resolver, file, material) {
        Some(LineMaterial::Material(today)) => {
            (today.packs.clone(), material.density.clone().or(today.density.clone()))
        }
        _ => (material.packs.clone(), material.density.clone()),
    }
}

/// The price of a material of which so many grams are needed.
pub(super) fn price_of(
    resolver: &Resolver<'_>,
    exchange: &Exchange,
    file: FileId,
    material: &Material,
    need: &Exact,
) -> Result<UnitPrice, NoPrice> {
    let (packs, density) = packs_of(resolver, file, material);
    let known = |pack: &Pack| {
        let grams = pack.size.grams(density.as_ref()).filter(Exact::is_positive)?;
        let pack_of = size_text(resolver, pack.place);
        Some(Choice { pack: pack_of, place: pack.place, price: pack.price.clone(), holds: grams })
    };
    match price_from(packs.iter().filter_map(known).collect(), exchange, need) {
        // A pack by volume that cannot be weighed is left out where there is another.
        Err(NoPrice::NotStated) if packs.iter().any(|pack| matches!(pack.size, Content::Millilitres(_))) => {
            Err(NoPrice::NoDensity)
        }
        found => found,
    }
}

/// The price of a container of which so many are needed.
pub(super) fn container_price(exchange: &Exchange, container: &Container, need: &Exact) -> Result<UnitPrice, NoPrice> {
    let packs = container.packs.iter().filter(|pack| pack.count.is_positive());
    let choice = packs.map(|pack| Choice {
        pack: SmolStr::from(pack.count.to_string()),
        place: pack.place,
        price: pack.price.clone(),
        holds: pack.count.clone(),
    });
    price_from(choice.collect(), exchange, need)
}

/// What is in a pack, as the formatter writes it.
pub fn size_text(resolver: &Resolver<'_>, price: Place) -> SmolStr {
    let text = one_blank(resolver.sources.at(price));
    let size = text.rsplit_once(" per ").map_or(text.as_str(), |(_, size)| size).trim();
    let unit = size.find(|letter: char| !letter.is_ascii_digit() && !matches!(letter, '.' | ',' | '_'));
    match unit.and_then(|at| size.split_at_checked(at)) {
        Some((figure, unit)) if !figure.is_empty() => SmolStr::from(format!("{figure} {}", unit.trim())),
        _ => SmolStr::from(size),
    }
}

/// The price from the smallest pack that covers a need, else from the largest; of two of a size from the cheaper.
fn price_from(packs: Vec<Choice>, exchange: &Exchange, need: &Exact) -> Result<UnitPrice, NoPrice> {
    let dearness = |choice: &Choice| match exchange.bring(&choice.price) {
        Some(sum) => (false, sum),
        None => (true, choice.price.amount.clone()),
    };
    let order = |a: &Choice, b: &Choice| a.holds.cmp(&b.holds).then_with(|| dearness(a).cmp(&dearness(b)));
    let largest = packs.iter().map(|pack| &pack.holds).max().cloned().ok_or(NoPrice::NotStated)?;
    let enough = largest.min(need.clone());
    let choice = packs.into_iter().filter(|pack| pack.holds >= enough).min_by(order).ok_or(NoPrice::NotStated)?;
    let each = exchange.bring(&choice.price).and_then(|price| price.over(&choice.holds));
    let Choice { pack, place, price, holds } = choice;
    match each {
        Some(each) => Ok(UnitPrice { pack, place, price, holds, each }),
        None => {
            let amount = (&price.amount * need).over(&holds).unwrap_or(Exact::ZERO);
            Err(NoPrice::NoRate(Money { amount, currency: price.currency }))
        }
    }
}
