//! A code followed through all records.

use super::records::Records;
use crate::model::{Happened, Lot};
use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;

/// What a code turned out to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CodeKind {
    /// The code of a lot.
    Lot,
    /// The name of a material.
    Material,
    /// The code on a jar, or the name of a batch.
    Batch,
}

impl CodeKind {
    /// Its word in output.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            CodeKind::Lot => "lot",
            CodeKind::Material => "material",
            CodeKind::Batch => "batch",
        }
    }
}

/// Where a code leads.
#[derive(Clone, Debug)]
pub struct Trail {
    /// The code, as it was asked for.
    pub code: String,
    /// What it is; several, where it is more than one thing.
    pub kinds: Vec<CodeKind>,
    /// Every batch it is in or is, by itself or through premixes, in the order of the records.
    pub batches: Vec<Traced>,
    /// Every lot in any of those, once, with all batches that it is in.
    pub lots: Vec<LotInUse>,
}

/// A lot, and where it is.
#[derive(Clone, Debug)]
pub struct LotInUse {
    /// The material.
    pub material: SmolStr,
    /// The code, as the first of those batches writes it.
    pub code: SmolStr,
    /// The numbers of the records of all batches that it is in, by itself or through premixes, in their order.
    pub records: Vec<usize>,
}

/// A batch on the trail.
#[derive(Clone, Debug)]
pub struct Traced {
    /// The number of its record.
    pub record: usize,
    /// The batches that lead from the code to it; empty where it is in this one itself.
    pub through: Vec<SmolStr>,
    /// Every lot in it, those of its premixes too.
    pub lots: Vec<UsedLot>,
    /// How many were sold, and to whom.
    pub sold: Vec<(String, Option<SmolStr>)>,
}

/// A lot in a batch.
#[derive(Clone, Debug)]
pub struct UsedLot {
    /// The material.
    pub material: SmolStr,
    /// The code.
    pub code: SmolStr,
    /// The premix it came through; none where it was weighed in itself.
    pub through: Option<SmolStr>,
}

/// Follows a code; none where no record knows it.
#[must_use]
pub fn trace(records: &Records, code: &str) -> Option<Trail> {
    let mut kinds = Vec::new();
    let mut starts: FxHashSet<usize> = FxHashSet::default();
    for (number, record) in records.all.iter().enumerate() {
        let mut is = |kind: CodeKind, holds: bool| {
            if holds {
                starts.insert(number);
                if !kinds.contains(&kind) {
                    kinds.push(kind);
                }
            }
        };
        is(CodeKind::Batch, record.bears(code));
        is(CodeKind::Lot, record.batch.lots.iter().any(|lot| lot.code.eq_ignore_ascii_case(code)));
        is(CodeKind::Material, materials(records, number).any(|name| name == code));
    }
    if starts.is_empty() {
        return None;
    }
    let below: Vec<Vec<usize>> = (0..records.all.len()).map(|number| records.below(number)).collect();
    let all = below.iter().enumerate();
    let batches: Vec<Traced> = all.filter_map(|(number, below)| traced(records, number, below, &starts)).collect();
    let lots = lots_in_use(records, &below, &batches);
    Some(Trail { code: code.to_string(), kinds, batches, lots })
}

/// The materials that went into a batch itself.
fn materials(records: &Records, number: usize) -> impl Iterator<Item = &str> {
    let batch = records.all.get(number).map(|record| &record.batch);
    let weighed = batch.into_iter().flat_map(|batch| &batch.events).filter_map(|event| match &event.what {
        Happened::Weighed(material, _) | Happened::Added(material, ..) | Happened::ToppedUp { material, .. } => {
            Some(material.text.as_str())
        }
        _ => None,
    });
    let lots = batch.into_iter().flat_map(|batch| &batch.lots).map(|lot| lot.material.text.as_str());
    // Of a statement that cannot be read in full, the material may be known.
    let unread = batch.into_iter().flat_map(|batch| &batch.unread).filter_map(|unread| unread.material.as_deref());
    weighed.chain(lots).chain(unread)
}

/// A batch, where it is one of those, or one of those went into it.
fn traced(records: &Records, number: usize, below: &[usize], starts: &FxHashSet<usize>) -> Option<Traced> {
    let name = |number: &usize| records.all.get(*number).map(|record| record.batch.name.clone());
    let own = starts.contains(&number);
    let through: Vec<SmolStr> =
        if own { Vec::new() } else { below.iter().filter(|inner| starts.contains(inner)).filter_map(name).collect() };
    if !own && through.is_empty() {
        return None;
    }
    let mut lots = Vec::new();
    for (inner, premix) in std::iter::once((number, None)).chain(below.iter().map(|inner| (*inner, name(inner)))) {
        let Some(record) = records.all.get(inner) else { continue };
        for lot in &record.batch.lots {
            lots.push(UsedLot { material: lot.material.text.clone(), code: lot.code.clone(), through: premix.clone() });
        }
    }
    Some(Traced { record: number, through, lots, sold: sold(records, number) })
}

/// Every lot in the batches of a trail once, in the order in which those name them, with all batches that it is in.
fn lots_in_use(records: &Records, below: &[Vec<usize>], batches: &[Traced]) -> Vec<LotInUse> {
    let mut holders: FxHashMap<(SmolStr, String), Vec<usize>> = FxHashMap::default();
    for (number, below) in below.iter().enumerate() {
        let held = std::iter::once(&number).chain(below).filter_map(|inner| records.all.get(*inner));
        for Lot { material, code, .. } in held.flat_map(|record| &record.batch.lots) {
            let holders = holders.entry(same_lot(&material.text, code)).or_default();
            if holders.last() != Some(&number) {
                holders.push(number);
            }
        }
    }
    let used = batches.iter().flat_map(|batch| &batch.lots);
    let in_use = used.filter_map(|UsedLot { material, code, .. }| {
        // Taken out, so that each is there once.
        let records = holders.remove(&same_lot(material, code))?;
        Some(LotInUse { material: material.clone(), code: code.clone(), records })
    });
    in_use.collect()
}

/// What two mentions of one lot have in common.
fn same_lot(material: &SmolStr, code: &str) -> (SmolStr, String) {
    (material.clone(), code.to_ascii_lowercase())
}

fn sold(records: &Records, number: usize) -> Vec<(String, Option<SmolStr>)> {
    let events = records.all.get(number).into_iter().flat_map(|record| &record.batch.events);
    events
        .filter_map(|event| match &event.what {
            Happened::Sold(count, to) => Some((count.to_string(), to.clone())),
            _ => None,
        })
        .collect()
}
