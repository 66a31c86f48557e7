//! A code followed through all records.

use super::records::Records;
use crate::model::Happened;
use smol_str::SmolStr;

/// What a code turned out to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The code of a lot.
    Lot,
    /// The name of a material.
    Material,
    /// The code on a jar, or the name of a batch.
    Batch,
}

impl Kind {
    /// Its word in output.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Kind::Lot => "lot",
            Kind::Material => "material",
            Kind::Batch => "batch",
        }
    }
}

/// Where a code leads.
#[derive(Clone, Debug)]
pub struct Trail {
    /// The code, as it was asked for.
    pub code: String,
    /// What it is; several, where it is more than one thing.
    pub kinds: Vec<Kind>,
    /// Every batch it is in or is, by itself or through premixes, in the order of the records.
    pub batches: Vec<Traced>,
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
    /// The other batches with a lot of the same material and code in them.
    pub also_in: Vec<SmolStr>,
}

/// Follows a code; none where no record knows it.
#[must_use]
pub fn trace(records: &Records, code: &str) -> Option<Trail> {
    let mut kinds = Vec::new();
    let mut starts: Vec<usize> = Vec::new();
    for (number, record) in records.all.iter().enumerate() {
        let mut is = |kind: Kind, holds: bool| {
            if holds {
                starts.push(number);
                if !kinds.contains(&kind) {
                    kinds.push(kind);
                }
            }
        };
        is(Kind::Batch, record.bears(code));
        is(Kind::Lot, record.batch.lots.iter().any(|lot| lot.code.eq_ignore_ascii_case(code)));
        is(Kind::Material, materials(records, number).any(|name| name == code));
    }
    if starts.is_empty() {
        return None;
    }
    starts.dedup();
    let batches = records.all.iter().enumerate().filter_map(|(number, _)| traced(records, number, &starts)).collect();
    Some(Trail { code: code.to_string(), kinds, batches })
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
    weighed.chain(lots)
}

/// A batch, where it is one of those, or one of those went into it.
fn traced(records: &Records, number: usize, starts: &[usize]) -> Option<Traced> {
    let below = records.below(number);
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
            lots.push(UsedLot {
                material: lot.material.text.clone(),
                code: lot.code.clone(),
                through: premix.clone(),
                also_in: others(records, number, &lot.material.text, &lot.code),
            });
        }
    }
    Some(Traced { record: number, through, lots, sold: sold(records, number) })
}

/// The other batches with a lot in them, by themselves or through premixes.
fn others(records: &Records, number: usize, material: &str, code: &str) -> Vec<SmolStr> {
    let holds = |number: &usize| {
        records.all.get(*number).is_some_and(|record| {
            record.batch.lots.iter().any(|lot| lot.material.text == material && lot.code.eq_ignore_ascii_case(code))
        })
    };
    let all = records.all.iter().enumerate().filter(|(other, _)| *other != number);
    let with = all.filter(|(other, _)| holds(other) || records.below(*other).iter().any(holds));
    with.map(|(_, record)| record.batch.name.clone()).collect()
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
