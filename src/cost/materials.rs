//! What the materials of a batch cost, line by line; the parts of a premix in place of it.

use super::exchange::Exchange;
use super::packs::{NoPrice, UnitPrice, price_of};
use super::parts::GoesIn;
use super::sum::Sum;
use crate::diagnostic::FileId;
use crate::model::{DeclId, Material};
use crate::quantity::{Currency, Exact};
use crate::resolve::Resolver;
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;
use smol_str::SmolStr;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a line costs.
#[derive(Clone, Debug)]
pub struct CostLine {
    /// The material's or premix's name.
    pub name: SmolStr,
    /// What it is called.
    pub title: Option<SmolStr>,
    /// What goes in, in grams; none for what is weighed to the pH.
    pub grams: Option<Exact>,
    /// The same as the sheet prints it: to a step of the scale, and so that all lines add up to the batch. None where no
    /// sheet does.
    pub printed: Option<Exact>,
    /// What it costs; of a premix, its parts that have a price. None where nothing of it has one, or it is weighed to the
    /// pH.
    pub cost: Option<Exact>,
    /// Whether all of it has a price.
    pub complete: bool,
    /// The price it is reckoned with; none for a premix.
    pub price: Option<UnitPrice>,
    /// Of a premix, each raw material in it; empty for a raw material.
    pub parts: Vec<CostPart>,
    /// The most of it that may go in, and what that costs, of what is weighed to the pH.
    pub most: Option<(Exact, Option<Exact>)>,
}

/// What a raw material in a premix costs.
#[derive(Clone, Debug)]
pub struct CostPart {
    /// Its name.
    pub name: SmolStr,
    /// How much of it goes in, in grams.
    pub grams: Exact,
    /// The price it is reckoned with.
    pub price: Option<UnitPrice>,
    /// What it costs.
    pub cost: Option<Exact>,
}

/// What has no price, or none that can be added.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    /// The material, or what else is paid for.
    pub name: SmolStr,
    /// How much of it goes in, over all lines and premixes, in grams.
    pub grams: Option<Exact>,
    /// The same by the weights that the sheet prints; none where that is nobody's figure.
    pub printed: Option<Exact>,
    /// Why.
    pub why: NoPrice,
}

/// What the materials of a batch cost.
#[derive(Clone, Debug, Default)]
pub struct Materials {
    /// Each line.
    pub lines: Vec<CostLine>,
    /// What has no price.
    pub missing: Vec<Missing>,
    /// What is in another money, and cannot be added.
    pub other: BTreeMap<Currency, Exact>,
    /// What they cost together.
    pub sum: Sum,
}

/// How much of each raw material is needed, and what it costs.
type Needs = IndexMap<DeclId, (Arc<Material>, Exact, Result<UnitPrice, NoPrice>), FxBuildHasher>;

impl Materials {
    /// What goes in, priced.
    pub(super) fn of(resolver: &Resolver<'_>, exchange: &Exchange, file: FileId, all: &[GoesIn]) -> Materials {
        let needs = needs(resolver, exchange, file, all);
        let lines: Vec<CostLine> = all.iter().map(|of| line(of, &needs)).collect();
        let sum: Exact = lines.iter().filter_map(|line| line.cost.as_ref()).sum();
        let mut missing = Vec::new();
        let mut other: BTreeMap<Currency, Exact> = BTreeMap::new();
        for (material, grams, price) in needs.values() {
            let Err(why) = price else { continue };
            if let NoPrice::NoRate(money) = why {
                let have = other.entry(money.currency).or_insert(Exact::ZERO);
                *have = &*have + &money.amount;
            }
            missing.push(Missing {
                name: material.name.clone(),
                grams: Some(grams.clone()),
                printed: Some(printed(all, material)),
                why: why.clone(),
            });
        }
        missing.extend(unpriced(all));
        let range = range(all, &needs, &sum);
        Materials { lines, missing, other, sum: Sum { at: sum, range } }
    }

    /// Whether all of it has a price.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.missing.is_empty()
    }
}

/// What is needed of each raw material over all lines and premixes, of what is weighed to the pH as much as may go in: so
/// much has to be bought.
fn needs(resolver: &Resolver<'_>, exchange: &Exchange, file: FileId, all: &[GoesIn]) -> Needs {
    let mut needs: Needs = IndexMap::default();
    for of in all {
        let grams = of.grams.as_ref().or(of.most.as_ref()).cloned().unwrap_or(Exact::ZERO);
        for (material, share) in &of.made.parts {
            let known = needs
                .entry(material.id)
                .or_insert_with(|| (Arc::clone(material), Exact::ZERO, Err(NoPrice::NotStated)));
            known.1 = &known.1 + &(&grams * share);
        }
    }
    for (material, grams, price) in needs.values_mut() {
        *price = price_of(resolver, exchange, file, material, grams);
    }
    needs
}

/// How much of a raw material goes in by the weights that the sheet prints, of what is weighed to the pH as much as may.
fn printed(all: &[GoesIn], material: &Material) -> Exact {
    let of_line = |of: &GoesIn| {
        let grams = of.printed.as_ref().or(of.grams.as_ref()).or(of.most.as_ref()).cloned().unwrap_or(Exact::ZERO);
        let own = of.made.parts.iter().filter(|(part, _)| part.id == material.id);
        own.map(|(_, share)| &grams * share).sum::<Exact>()
    };
    all.iter().map(of_line).sum()
}

/// What no price can be looked up for: what is weighed to a pH and nothing says how much at most, and what nobody
/// declares.
fn unpriced(all: &[GoesIn]) -> Vec<Missing> {
    let mut missing: Vec<Missing> = Vec::new();
    let mut add = |name: &SmolStr, grams: Option<Exact>, why: NoPrice| match missing
        .iter_mut()
        .find(|known| known.name == *name && known.why == why)
    {
        Some(known) => {
            known.grams = known.grams.take().zip(grams).map(|(have, more)| &have + &more);
        }
        None => missing.push(Missing { name: name.clone(), grams, printed: None, why }),
    };
    for of in all {
        if of.grams.is_none() && of.most.is_none() {
            add(&of.name, None, NoPrice::AtBench);
        }
        for name in &of.made.at_bench {
            add(name, None, NoPrice::AtBench);
        }
        let grams = of.grams.as_ref().or(of.most.as_ref());
        for (name, share) in &of.made.unknown {
            add(name, grams.map(|grams| grams * share), NoPrice::Unknown);
        }
    }
    missing
}

fn price<'n>(needs: &'n Needs, material: &Material) -> Option<&'n UnitPrice> {
    needs.get(&material.id).and_then(|(_, _, price)| price.as_ref().ok())
}

fn line(of: &GoesIn, needs: &Needs) -> CostLine {
    let cost = |grams: &Exact| per_gram(of, needs).map(|each| grams * &each);
    let priced = of.made.parts.iter().all(|(material, _)| price(needs, material).is_some());
    let is_whole = of.made.at_bench.is_empty() && of.made.unknown.is_empty();
    let own = of.made.parts.first().filter(|_| !of.is_premix);
    let grams = of.grams.as_ref();
    let within = grams
        .filter(|_| of.is_premix)
        .into_iter()
        .flat_map(|grams| of.made.parts.iter().map(move |(material, share)| part(material, &(grams * share), needs)));
    CostLine {
        name: of.name.clone(),
        title: of.title.clone(),
        cost: grams.and_then(&cost),
        complete: priced && is_whole && (grams.is_some() || of.most.is_some()),
        price: own.and_then(|(material, _)| price(needs, material)).cloned(),
        parts: within.collect(),
        most: of.most.as_ref().filter(|_| grams.is_none()).map(|most| (most.clone(), cost(most))),
        grams: of.grams.clone(),
        printed: of.printed.clone(),
    }
}

fn part(material: &Material, grams: &Exact, needs: &Needs) -> CostPart {
    let price = price(needs, material);
    CostPart {
        name: material.name.clone(),
        grams: grams.clone(),
        price: price.cloned(),
        cost: price.map(|price| grams * &price.each),
    }
}

/// What a gram costs, its parts without a price left out; none where none has one.
fn per_gram(of: &GoesIn, needs: &Needs) -> Option<Exact> {
    let known = of.made.parts.iter().filter_map(|(material, share)| Some(share * &price(needs, material)?.each));
    known.fold(None, |sum: Option<Exact>, more| Some(sum.map_or(more.clone(), |sum| &sum + &more)))
}

/// What the materials cost from the least to the most that may be weighed to the pH. It comes out of what is held back,
/// so each gram of it costs what it is dearer than that.
fn range(all: &[GoesIn], needs: &Needs, sum: &Exact) -> Option<(Exact, Exact)> {
    let each = |of: &GoesIn| per_gram(of, needs).unwrap_or(Exact::ZERO);
    let mut reserves: IndexMap<usize, (Exact, Exact, Exact), FxBuildHasher> = IndexMap::default();
    for of in all.iter().filter(|of| of.grams.is_none()) {
        let (Some(at), Some(most)) = (of.from, &of.most) else { continue };
        let dearer = &each(of) - &all.get(at).map_or(Exact::ZERO, each);
        let known = reserves.entry(at).or_insert_with(|| (most.clone(), Exact::ZERO, Exact::ZERO));
        known.1 = known.1.clone().min(dearer.clone());
        known.2 = known.2.clone().max(dearer);
    }
    let mut ends = (sum.clone(), sum.clone());
    for (most, least_dear, dearest) in reserves.values() {
        ends = (&ends.0 + &(most * least_dear), &ends.1 + &(most * dearest));
    }
    (!reserves.is_empty()).then_some(ends)
}
