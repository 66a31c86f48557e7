//! Good batches beside those that were complained of: what the bad ones share and the good ones lack.

use super::records::{Record, Records};
use crate::model::{DeclId, Happened};
use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;

/// Good and bad batches beside each other.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// The batches that were complained of, or rejected.
    pub bad: Vec<String>,
    /// The filled batches of the same formulas that were not.
    pub good: Vec<String>,
    /// What every bad one has and no good one.
    pub shared: Vec<Shared>,
    /// How likely it is that any one thing falls so by chance alone: one over the number of ways to pick the bad ones.
    pub by_chance: Option<f64>,
}

/// Something that every bad batch has and no good one.
#[derive(Clone, Debug, PartialEq)]
pub struct Shared {
    /// `lot`, `version`, `order`, `last reading` or `waiting time`.
    pub what: &'static str,
    /// What it is.
    pub says: String,
}

/// Compares the batches of the formulas that any bad batch is of. None where no batch is bad.
#[must_use]
pub fn compare(records: &Records) -> Option<Comparison> {
    let is_bad = |record: &&Record| record.complaints().next().is_some() || record.standing() == "rejected";
    let bad: Vec<&Record> = records.all.iter().filter(is_bad).collect();
    let formula = |record: &Record| record.batch.formula.as_ref().map(|formula| formula.text.clone());
    let of_bad: FxHashSet<Option<SmolStr>> = bad.iter().map(|bad| formula(bad)).collect();
    let same = |record: &&Record| of_bad.contains(&formula(record));
    let done = |record: &&Record| record.batch.is_filled();
    let good: Vec<&Record> =
        records.all.iter().filter(|record| !is_bad(record) && done(record) && same(record)).collect();
    if bad.is_empty() {
        return None;
    }
    let mut shared = facts(records, &bad, &good);
    shared.extend(beyond(&bad, &good, "last reading", "pH ", last_reading));
    shared.extend(beyond(&bad, &good, "waiting time", "", waited));
    let names = |records: &[&Record]| records.iter().map(|record| record.batch.name.to_string()).collect();
    Some(Comparison {
        by_chance: (!good.is_empty()).then(|| chance(bad.len(), good.len())),
        bad: names(&bad),
        good: names(&good),
        shared,
    })
}

/// Lots, versions and the order of weighing.
fn facts(records: &Records, bad: &[&Record], good: &[&Record]) -> Vec<Shared> {
    let numbers: FxHashMap<DeclId, usize> =
        records.all.iter().enumerate().map(|(number, record)| (record.batch.id, number)).collect();
    let of = |record: &Record| {
        let mut all = vec![Shared { what: "order", says: order(record) }];
        all.extend(
            record.batch.version.iter().map(|version| Shared { what: "version", says: version.text.to_string() }),
        );
        let inner = numbers.get(&record.batch.id).map(|number| records.below(*number)).unwrap_or_default();
        let inner = inner.into_iter().filter_map(|number| records.all.get(number));
        let lots = std::iter::once(record).chain(inner).flat_map(|record| &record.batch.lots);
        for lot in lots.map(|lot| Shared { what: "lot", says: format!("{} {}", lot.material.text, lot.code) }) {
            if !all.contains(&lot) {
                all.push(lot);
            }
        }
        all
    };
    let Some((first, others)) = bad.split_first() else { return Vec::new() };
    let others: Vec<Vec<Shared>> = others.iter().map(|record| of(record)).collect();
    let good: Vec<Vec<Shared>> = good.iter().map(|record| of(record)).collect();
    let mut shared = of(first);
    shared.retain(|fact| {
        others.iter().all(|facts| facts.contains(fact)) && !good.iter().any(|facts| facts.contains(fact))
    });
    shared
}

/// What was weighed and added, in its order.
fn order(record: &Record) -> String {
    let mut names: Vec<&str> = Vec::new();
    for event in &record.batch.events {
        if let Happened::Weighed(material, _) | Happened::Added(material, ..) = &event.what
            && names.last() != Some(&material.text.as_str())
        {
            names.push(&material.text);
        }
    }
    names.join(", ")
}

fn last_reading(record: &Record) -> Option<f64> {
    record.batch.readings().last().map(|(_, reading, _)| reading.middle().to_f64())
}

/// All the time left to it, in minutes.
fn waited(record: &Record) -> Option<f64> {
    let seconds = record.batch.events.iter().filter_map(|event| match &event.what {
        Happened::Waited(seconds) => Some(seconds.to_f64()),
        _ => None,
    });
    Some(seconds.sum::<f64>() / 60.0)
}

/// A figure that lies for all bad batches on one side of all good ones.
fn beyond(
    bad: &[&Record],
    good: &[&Record],
    what: &'static str,
    before: &str,
    figure: fn(&Record) -> Option<f64>,
) -> Option<Shared> {
    let range = |records: &[&Record]| {
        let all: Option<Vec<f64>> = records.iter().map(|record| figure(record)).collect();
        let all = all.filter(|all| !all.is_empty())?;
        Some((all.iter().copied().fold(f64::MAX, f64::min), all.iter().copied().fold(f64::MIN, f64::max)))
    };
    let ((bad_low, bad_high), (good_low, good_high)) = (range(bad)?, range(good)?);
    let unit = if before.is_empty() { " min" } else { "" };
    let says = if bad_high < good_low {
        format!("{before}{bad_high:.2}{unit} at the most, where the good ones had {good_low:.2}{unit} at the least")
    } else if bad_low > good_high {
        format!("{before}{bad_low:.2}{unit} at the least, where the good ones had {good_high:.2}{unit} at the most")
    } else {
        return None;
    };
    Some(Shared { what, says })
}

/// One over the number of ways to pick so many batches out of all of them.
fn chance(bad: usize, good: usize) -> f64 {
    (0..bad).fold(1.0, |chance, picked| chance * (picked + 1) as f64 / (good + picked + 1) as f64)
}
