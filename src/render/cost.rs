//! What a batch costs as data for printing: each sum as a fraction, and beside it to the coin.

use super::DiagnosticJson;
use crate::cost::{
    Cost, CostLine, CostPart, Missing, Packed, Paid, Piece, Price, Sum, content_words, rate_words, to_coin,
};
use crate::quantity::{Currency, Exact};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What `cost --format json` prints. Sums are reduced fractions, and beside each stands the same to the coin, half to
/// even. What is weighed to the pH is in no sum but the `_low` and `_high` ones, which are null where there is none.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BatchCostJson {
    /// `stillroom.cost/1`.
    pub schema: String,
    /// The formula.
    pub formula: String,
    /// What it is called.
    pub title: Option<String>,
    /// Its version.
    pub version: Option<String>,
    /// The record of a batch that it is the cost of; null where it is of the formula.
    pub record: Option<String>,
    /// The day that rates are read on.
    pub on: String,
    /// The currency of every sum; null where nothing has a price.
    pub currency: Option<String>,
    /// Whether everything that is paid for has a price.
    pub complete: bool,
    /// What has no price, or none that can be added, and is in no sum.
    pub missing: Vec<CostMissingJson>,
    /// Each line of the formula, or what a record weighed.
    pub lines: Vec<CostLineJson>,
    /// What could not be added, in its own currency: fractions.
    pub other_currencies: BTreeMap<String, String>,
    /// The rates that were used.
    pub rates: Vec<String>,
    /// What there is to fill, in grams: the batch, or what came out of it.
    pub grams_exact: String,
    /// The same to the step of the scale.
    pub grams: String,
    /// What the materials cost.
    pub materials_exact: String,
    /// The same to the coin.
    pub materials: String,
    /// The least they cost, over what may be weighed to the pH.
    pub materials_exact_low: Option<String>,
    /// The most.
    pub materials_exact_high: Option<String>,
    /// What the materials of a hundred grams cost.
    pub per_100g_exact: Option<String>,
    /// The same to the coin.
    pub per_100g: Option<String>,
    /// The least they cost.
    pub per_100g_exact_low: Option<String>,
    /// The most.
    pub per_100g_exact_high: Option<String>,
    /// What the work costs.
    pub labour_exact: String,
    /// The same to the coin.
    pub labour: String,
    /// What the fees for the batch come to.
    pub fees_exact: String,
    /// The same to the coin.
    pub fees: String,
    /// Work and fees, each as it is written.
    pub paid: Vec<PaidJson>,
    /// Materials, labour and fees together.
    pub batch_exact: String,
    /// The same to the coin.
    pub batch: String,
    /// The least it costs.
    pub batch_exact_low: Option<String>,
    /// The most.
    pub batch_exact_high: Option<String>,
    /// What a container holds by name; null where nothing says what the batch is filled into, and so are all keys below
    /// it.
    pub holds: Option<String>,
    /// How many containers were asked for; null where the batch was asked for by its weight.
    pub asked: Option<u64>,
    /// How many there is enough for, or were filled.
    pub filled: Option<u64>,
    /// How many fewer that are.
    pub short: Option<u64>,
    /// What goes into each, in grams.
    pub fill_g_exact: Option<String>,
    /// What is left over, in grams.
    pub remains_g_exact: Option<String>,
    /// What one is packed in.
    pub packing: Vec<PackedJson>,
    /// What one is packed in costs.
    pub container_exact: Option<String>,
    /// The same to the coin.
    pub container: Option<String>,
    /// What of it has no price.
    pub container_missing: Vec<String>,
    /// What is paid for each beside it.
    pub fees_each_exact: Option<String>,
    /// The same to the coin.
    pub fees_each: Option<String>,
    /// What one container costs in all; null where not one is full.
    pub per_container_exact: Option<String>,
    /// The same to the coin.
    pub per_container: Option<String>,
    /// The least it costs.
    pub per_container_exact_low: Option<String>,
    /// The most.
    pub per_container_exact_high: Option<String>,
    /// The price; null where the formula says nothing of one.
    pub sell: Option<SellJson>,
    /// What is to be said beside the figures.
    pub cautions: Vec<String>,
    /// What bears on the formula and is not allowed.
    pub diagnostics: Vec<DiagnosticJson>,
}

/// What several formulas cost.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BatchCostsJson {
    /// `stillroom.costs/1`.
    pub schema: String,
    /// Each of them.
    pub costs: Vec<BatchCostJson>,
}

/// What has no price that can be added.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CostMissingJson {
    /// The material, or what else is paid for.
    pub material: String,
    /// How much of it there is, over all lines and premixes; null for what is not weighed.
    pub grams_exact: Option<String>,
    /// The same to the step of the scale.
    pub grams: Option<String>,
    /// Why.
    pub why: String,
}

/// What a line costs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CostLineJson {
    /// The material's or premix's name.
    pub material: String,
    /// What it is called.
    pub title: Option<String>,
    /// The grams; null for what is weighed to the pH.
    pub grams_exact: Option<String>,
    /// The same to the step of the scale.
    pub grams: Option<String>,
    /// The pack that the price is taken from; null for a premix, and where there is no price.
    pub pack: Option<String>,
    /// What it costs; of a premix, its parts that have a price.
    pub cost_exact: Option<String>,
    /// The same to the coin.
    pub cost: Option<String>,
    /// Whether all of it has a price.
    pub complete: bool,
    /// Its share of what the materials cost.
    pub share_percent_exact: Option<String>,
    /// Of a premix, each raw material in it.
    pub parts: Vec<CostPartJson>,
    /// Whether it is weighed to the pH.
    pub at_bench: bool,
    /// The most of it that may be weighed to the pH, in grams.
    pub most_grams_exact: Option<String>,
    /// What that costs.
    pub most_cost_exact: Option<String>,
}

/// What a raw material in a premix costs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CostPartJson {
    /// Its name.
    pub material: String,
    /// The grams.
    pub grams_exact: String,
    /// The pack that the price is taken from.
    pub pack: Option<String>,
    /// What it costs.
    pub cost_exact: Option<String>,
}

/// Work, or a fee.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PaidJson {
    /// `labour`, or the reason of a fee.
    pub what: String,
    /// As it is written.
    pub written: String,
    /// Whether it is paid for each container, and not for the batch.
    pub each: bool,
    /// What it costs; null where no rate says it.
    pub cost_exact: Option<String>,
    /// The same to the coin.
    pub cost: Option<String>,
}

/// What a container is packed in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PackedJson {
    /// The container.
    pub container: String,
    /// How many are in the pack that the price is taken from.
    pub pack: Option<String>,
    /// What one costs.
    pub cost_exact: Option<String>,
    /// The same to the coin.
    pub cost: Option<String>,
    /// Why it has no price.
    pub why: Option<String>,
}

/// A price, and what becomes of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SellJson {
    /// Whether there is one: not where margin, fees and tax leave nothing for the container.
    pub possible: bool,
    /// Without tax.
    pub net_exact: Option<String>,
    /// With tax: as it comes out, or as it is given.
    pub paid_exact: Option<String>,
    /// With tax, brought up to the coin.
    pub paid: Option<String>,
    /// The same where the most is weighed to the pH.
    pub paid_at_most: Option<String>,
    /// The margin that was asked for, in percent of the net price; null where the price is given.
    pub asked_margin_percent: Option<String>,
    /// The tax on top, in percent.
    pub vat_percent: String,
    /// The tax in the price as it is paid, to the coin.
    pub vat: Option<String>,
    /// What is paid of the price, in percent of it.
    pub fee_percent: String,
    /// The same to the coin.
    pub fee: Option<String>,
    /// What is left of the price as it is paid, once tax, fees and the container are.
    pub left_exact: Option<String>,
    /// The same to the coin.
    pub left: Option<String>,
    /// That in percent of its net price.
    pub margin_percent_exact: Option<String>,
}

/// How the sums of one cost are written.
struct Written {
    currency: Currency,
    decimals: u32,
}

impl BatchCostJson {
    /// A cost as data for printing.
    #[must_use]
    pub fn new(cost: &Cost, diagnostics: Vec<DiagnosticJson>) -> BatchCostJson {
        let currency = cost.currency.unwrap_or(Currency::NONE);
        let written = Written { currency, decimals: cost.step.decimals().unwrap_or(2) };
        let [materials_exact_low, materials_exact_high] = ends(Some(&cost.materials.sum));
        let [per_100g_exact_low, per_100g_exact_high] = ends(cost.per_100g.as_ref());
        let [batch_exact_low, batch_exact_high] = ends(Some(&cost.whole));
        let piece = cost.piece.as_ref();
        let per_container = piece.and_then(|piece| piece.cost.as_ref());
        let [per_container_exact_low, per_container_exact_high] = ends(per_container);
        let per_100g = cost.per_100g.as_ref().map(|sum| &sum.at);
        let each = |sum: fn(&Piece) -> &Exact| piece.map(|piece| sum(piece).to_fraction());
        let each_coin = |sum: fn(&Piece) -> &Exact| piece.map(|piece| written.coin(sum(piece)));
        BatchCostJson {
            schema: "stillroom.cost/1".to_string(),
            formula: cost.formula.to_string(),
            title: cost.title.as_ref().map(ToString::to_string),
            version: cost.version.as_ref().map(ToString::to_string),
            record: cost.batch.as_ref().map(ToString::to_string),
            on: cost.day.to_string(),
            currency: cost.currency.map(|currency| currency.to_string()),
            complete: cost.is_complete(),
            missing: cost.missing.iter().map(|missing| written.missing(missing)).collect(),
            lines: cost.materials.lines.iter().map(|line| written.line(line, &cost.materials.sum.at)).collect(),
            other_currencies: cost.other.iter().map(|(of, sum)| (of.to_string(), sum.to_fraction())).collect(),
            rates: cost.rates.iter().map(rate_words).collect(),
            grams_exact: cost.grams.to_fraction(),
            grams: written.grams(&cost.grams),
            materials_exact: cost.materials.sum.at.to_fraction(),
            materials: written.coin(&cost.materials.sum.at),
            materials_exact_low,
            materials_exact_high,
            per_100g_exact: per_100g.map(Exact::to_fraction),
            per_100g: per_100g.map(|sum| written.coin(sum)),
            per_100g_exact_low,
            per_100g_exact_high,
            labour_exact: cost.labour_sum.to_fraction(),
            labour: written.coin(&cost.labour_sum),
            fees_exact: cost.fees_sum.to_fraction(),
            fees: written.coin(&cost.fees_sum),
            paid: written.paid(cost),
            batch_exact: cost.whole.at.to_fraction(),
            batch: written.coin(&cost.whole.at),
            batch_exact_low,
            batch_exact_high,
            holds: piece.map(|piece| content_words(&piece.content)),
            asked: piece.and_then(|piece| counted(piece.filled.asked.as_ref()?)),
            filled: piece.and_then(|piece| counted(&piece.filled.count)),
            short: piece.and_then(|piece| counted(&piece.filled.short)),
            fill_g_exact: each(|piece| &piece.filled.each),
            remains_g_exact: each(|piece| &piece.filled.remains),
            packing: piece.map(|piece| piece.packing.iter().map(|of| written.packed(of)).collect()).unwrap_or_default(),
            container_exact: each(|piece| &piece.packing_sum),
            container: each_coin(|piece| &piece.packing_sum),
            container_missing: piece
                .iter()
                .flat_map(|piece| piece.missing())
                .map(|(name, _)| name.to_string())
                .collect(),
            fees_each_exact: each(|piece| &piece.fees_sum),
            fees_each: each_coin(|piece| &piece.fees_sum),
            per_container_exact: per_container.map(|sum| sum.at.to_fraction()),
            per_container: per_container.map(|sum| written.coin(&sum.at)),
            per_container_exact_low,
            per_container_exact_high,
            sell: piece.and_then(|piece| written.sell(piece)),
            cautions: cost.cautions.clone(),
            diagnostics,
        }
    }
}

/// The ends of a sum; none where it has none.
fn ends(sum: Option<&Sum>) -> [Option<String>; 2] {
    match sum.and_then(|sum| sum.range.as_ref()) {
        Some((low, high)) => [Some(low.to_fraction()), Some(high.to_fraction())],
        None => [None, None],
    }
}

/// A whole number, where it is one that programs can read.
fn counted(count: &Exact) -> Option<u64> {
    count.to_fraction().parse().ok()
}

impl Written {
    fn coin(&self, sum: &Exact) -> String {
        to_coin(sum, self.currency)
    }

    fn grams(&self, grams: &Exact) -> String {
        grams.to_fixed(self.decimals)
    }

    fn missing(&self, missing: &Missing) -> CostMissingJson {
        CostMissingJson {
            material: missing.name.to_string(),
            grams_exact: missing.grams.as_ref().map(Exact::to_fraction),
            grams: missing.printed.as_ref().or(missing.grams.as_ref()).map(|grams| self.grams(grams)),
            why: missing.why.words(),
        }
    }

    fn line(&self, line: &CostLine, together: &Exact) -> CostLineJson {
        let share = line.cost.as_ref().and_then(|cost| (cost * &Exact::HUNDRED).over(together));
        let most = line.most.as_ref();
        CostLineJson {
            material: line.name.to_string(),
            title: line.title.as_ref().map(ToString::to_string),
            grams_exact: line.grams.as_ref().map(Exact::to_fraction),
            grams: line.printed.as_ref().or(line.grams.as_ref()).map(|grams| self.grams(grams)),
            pack: line.price.as_ref().map(|price| price.pack.to_string()),
            cost_exact: line.cost.as_ref().map(Exact::to_fraction),
            cost: line.cost.as_ref().map(|cost| self.coin(cost)),
            complete: line.complete,
            share_percent_exact: share.as_ref().map(Exact::to_fraction),
            parts: line.parts.iter().map(part).collect(),
            at_bench: line.grams.is_none(),
            most_grams_exact: most.map(|(grams, _)| grams.to_fraction()),
            most_cost_exact: most.and_then(|(_, cost)| cost.as_ref()).map(Exact::to_fraction),
        }
    }

    fn paid(&self, cost: &Cost) -> Vec<PaidJson> {
        let json = |paid: &Paid, each: bool| PaidJson {
            what: paid.what.to_string(),
            written: paid.said.to_string(),
            each,
            cost_exact: paid.cost.as_ref().map(Exact::to_fraction),
            cost: paid.cost.as_ref().map(|cost| self.coin(cost)),
        };
        let of_batch = cost.labour.iter().chain(&cost.fees).map(|paid| json(paid, false));
        let of_each = cost.piece.iter().flat_map(|piece| &piece.fees).map(|paid| json(paid, true));
        of_batch.chain(of_each).collect()
    }

    fn packed(&self, packed: &Packed) -> PackedJson {
        let price = packed.price.as_ref().ok();
        PackedJson {
            container: packed.name.to_string(),
            pack: price.map(|price| price.pack.to_string()),
            cost_exact: price.map(|price| price.each.to_fraction()),
            cost: price.map(|price| self.coin(&price.each)),
            why: packed.price.as_ref().err().map(crate::cost::NoPrice::words),
        }
    }

    fn sell(&self, piece: &Piece) -> Option<SellJson> {
        let price: &Price = piece.price.as_ref()?;
        let coin = |sum: &Option<Exact>| sum.as_ref().map(|sum| self.coin(sum));
        let exact = |sum: &Option<Exact>| sum.as_ref().map(Exact::to_fraction);
        let of_price = |percent: &Exact| price.asked.as_ref().map(|asked| asked * &percent.hundredth());
        let net = price.asked.as_ref().and_then(|asked| asked.over(&(&Exact::ONE + &piece.shares.vat.hundredth())));
        let vat = price.asked.as_ref().zip(net).map(|(asked, net)| asked - &net);
        Some(SellJson {
            possible: price.possible,
            net_exact: exact(&price.net),
            paid_exact: exact(&price.paid),
            paid: coin(&price.asked),
            paid_at_most: piece.price_at_most.as_ref().and_then(|most| coin(&most.asked)),
            asked_margin_percent: piece.margin.as_ref().map(ToString::to_string),
            vat_percent: piece.shares.vat.to_string(),
            vat: coin(&vat),
            fee_percent: piece.shares.fee.to_string(),
            fee: coin(&of_price(&piece.shares.fee)),
            left_exact: exact(&price.left),
            left: coin(&price.left),
            margin_percent_exact: exact(&price.margin),
        })
    }
}

fn part(part: &CostPart) -> CostPartJson {
    CostPartJson {
        material: part.name.to_string(),
        grams_exact: part.grams.to_fraction(),
        pack: part.price.as_ref().map(|price| price.pack.to_string()),
        cost_exact: part.cost.as_ref().map(Exact::to_fraction),
    }
}
