//! The shopping list as data: what is needed, what is on hand, and the packs that cover the rest.

use super::stock::{StockLevelJson, amount, kind_word, levels};
use crate::quantity::{Currency, Exact};
use crate::store::{Bought, Kind, NotBought, PackToBuy, Row, ShoppingList, StoreRoom};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;
use std::collections::BTreeMap;

/// What `buy --format json` prints.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BuyJson {
    /// `stillroom.buy/1`.
    pub schema: String,
    /// The day at whose end the store room is looked at.
    pub on: String,
    /// What is planned, in the order of the files.
    pub planned: Vec<PlannedJson>,
    /// What there is of each thing, by name.
    pub stock: BTreeMap<String, StockLevelJson>,
    /// The currency that is added up; none where nothing has a price.
    pub currency: Option<String>,
    /// What is needed, by name.
    pub rows: Vec<BuyRowJson>,
    /// What is to be made first of each premix, in grams as a fraction.
    pub make_first: BTreeMap<String, String>,
    /// What all costs, as far as it is known in that currency, as a fraction.
    pub total_exact: String,
    /// The same to the coin.
    pub total: String,
    /// Whether that is all of it.
    pub complete: bool,
    /// What costs other money, which no rate brings over.
    pub other_currencies: BTreeMap<String, String>,
    /// The same packs by who sells them.
    pub suppliers: Vec<SupplierJson>,
    /// The rows as they are printed, in their order.
    pub figures: Vec<BuyFiguresJson>,
    /// What is to be made first, as it is printed.
    pub to_make: Vec<ToMakeJson>,
    /// What all costs, as it is printed, each currency by itself.
    pub totals: Vec<String>,
    /// What is not known, or not counted.
    pub notes: Vec<String>,
}

/// A batch that is planned.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PlannedJson {
    /// The formula.
    pub formula: String,
    /// How much of it, as it is written.
    pub makes: String,
    /// What it weighs, in grams as a fraction; none where it cannot be weighed.
    pub grams_exact: Option<String>,
}

/// Something that is needed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BuyRowJson {
    /// Its name.
    pub what: String,
    /// How much is needed, in grams or pieces.
    pub need_exact: String,
    /// What is on hand and not past its day.
    pub on_hand_exact: String,
    /// What is short.
    pub short_exact: String,
    /// The packs to buy, the largest first; none where none can be picked.
    pub buy: Option<Vec<BuyPackJson>>,
    /// What they cost, in the currency of the list; none where that is not known.
    pub cost_exact: Option<String>,
    /// What is left once all that is planned is made.
    pub left_exact: Option<String>,
    /// Why nothing is picked, or not added up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// The figures of a row as they are printed, each with its unit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BuyFiguresJson {
    /// What they are of.
    pub what: String,
    /// `material` or `container`.
    pub kind: String,
    /// What is needed: `120 g`.
    pub need: String,
    /// What is on hand and not past its day.
    pub on_hand: String,
    /// What is short.
    pub short: String,
    /// What is on hand, past its day, and not counted; none where nothing is.
    pub past: Option<String>,
}

/// What is to be made of a premix.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ToMakeJson {
    /// The premix.
    pub premix: String,
    /// How much of it: `102.5 g`.
    pub amount: String,
}

/// A pack to buy.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BuyPackJson {
    /// What is in it.
    pub pack: String,
    /// How many.
    pub count: u64,
}

/// What to buy from one supplier.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SupplierJson {
    /// Who; none where nobody says.
    pub supplier: Option<String>,
    /// What.
    pub packs: Vec<SupplierPackJson>,
}

/// A pack to buy from a supplier.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SupplierPackJson {
    /// What it is of.
    pub what: String,
    /// `material` or `container`.
    pub kind: String,
    /// What is in it.
    pub pack: String,
    /// How many.
    pub count: u64,
    /// What they cost, in the money it is sold in, as a fraction.
    pub cost_exact: String,
    /// The same as it is printed: `14.00 EUR`.
    pub cost: String,
    /// What is short of it, as it is printed: `120 g`.
    pub short: String,
}

/// What a shopping list is made of.
pub struct Buying<'b> {
    /// What is planned.
    pub planned: Vec<PlannedJson>,
    /// The store room.
    pub room: &'b StoreRoom,
    /// The list.
    pub list: &'b ShoppingList,
    /// What is to be made first.
    pub make_first: &'b BTreeMap<SmolStr, Exact>,
    /// What is not known.
    pub notes: Vec<String>,
}

impl BuyJson {
    /// The list as data.
    #[must_use]
    pub fn new(buying: Buying<'_>) -> BuyJson {
        let Buying { planned, room, list, make_first, notes } = buying;
        let others = list.others.iter().map(|(currency, sum)| (currency.to_string(), sum.to_fraction()));
        let others_printed = list.others.iter().map(|(currency, sum)| money(sum, *currency));
        let total = list.currency.map(|currency| money(&list.total, currency));
        let unproven = list.rows.iter().filter(|row| row.bought.as_ref().is_ok_and(|bought| !bought.proven));
        BuyJson {
            schema: "stillroom.buy/1".to_string(),
            on: room.day.to_string(),
            planned,
            stock: levels(room, &|_| true),
            currency: list.currency.map(|currency| currency.to_string()),
            rows: list.rows.iter().map(row).collect(),
            make_first: make_first.iter().map(|(name, grams)| (name.to_string(), grams.to_fraction())).collect(),
            total_exact: list.total.to_fraction(),
            total: list
                .currency
                .map_or_else(|| list.total.to_fixed(2), |currency| list.total.to_fixed(currency.decimals())),
            complete: list.complete,
            other_currencies: others.collect(),
            suppliers: list.by_supplier().into_iter().map(|(who, bought)| supplier(who, &bought)).collect(),
            figures: list.rows.iter().map(figures).collect(),
            to_make: make_first.iter().map(to_make).collect(),
            totals: total.into_iter().chain(others_printed).collect(),
            notes: notes.into_iter().chain(unproven.map(too_many_ways)).collect(),
        }
    }
}

fn row(row: &Row) -> BuyRowJson {
    let (bought, why) = match &row.bought {
        Ok(bought) => (Some(bought), bought.foreign.as_ref().map(|money| NotBought::NoRate(money.currency).words())),
        Err(why) => (None, Some(why.words())),
    };
    BuyRowJson {
        what: row.wanted.what.to_string(),
        need_exact: row.wanted.need.to_fraction(),
        on_hand_exact: row.wanted.on_hand.to_fraction(),
        short_exact: row.short.to_fraction(),
        buy: bought.map(packs),
        cost_exact: bought.and_then(|bought| bought.cost.as_ref()).map(Exact::to_fraction),
        left_exact: bought.map(|bought| bought.left.to_fraction()),
        why,
    }
}

fn figures(row: &Row) -> BuyFiguresJson {
    let wanted = &row.wanted;
    let text = |of: &Exact| amount(wanted.kind, of);
    BuyFiguresJson {
        what: wanted.what.to_string(),
        kind: kind_word(wanted.kind).to_string(),
        need: text(&wanted.need),
        on_hand: text(&wanted.on_hand),
        short: text(&row.short),
        past: wanted.past.is_positive().then(|| text(&wanted.past)),
    }
}

fn to_make((premix, grams): (&SmolStr, &Exact)) -> ToMakeJson {
    ToMakeJson { premix: premix.to_string(), amount: amount(Kind::Premix, grams) }
}

fn packs(bought: &Bought) -> Vec<BuyPackJson> {
    bought.packs.iter().map(|(offer, of)| BuyPackJson { pack: offer.written.clone(), count: count(of) }).collect()
}

fn supplier(who: Option<&SmolStr>, bought: &[PackToBuy<'_>]) -> SupplierJson {
    let pack = |PackToBuy { row, offer, count: of }: &PackToBuy<'_>| {
        let cost = &offer.price.amount * *of;
        SupplierPackJson {
            what: row.wanted.what.to_string(),
            kind: kind_word(row.wanted.kind).to_string(),
            pack: offer.written.clone(),
            count: count(of),
            cost_exact: cost.to_fraction(),
            cost: money(&cost, offer.price.currency),
            short: amount(row.wanted.kind, &row.short),
        }
    };
    SupplierJson { supplier: who.map(ToString::to_string), packs: bought.iter().map(pack).collect() }
}

/// A sum as it is printed: to the coin, half to even.
fn money(sum: &Exact, currency: Currency) -> String {
    format!("{} {currency}", sum.to_fixed(currency.decimals()))
}

/// How many, as a machine has it: no shop has more packs.
fn count(of: &Exact) -> u64 {
    of.to_fixed(0).parse().unwrap_or(u64::MAX)
}

fn too_many_ways(row: &Row) -> String {
    format!(
        "`{}` can be bought in more ways than were looked at: what stands here is the best of those, and a cheaper one may \
         be there.",
        row.wanted.what
    )
}
