//! The trail of a code, and good batches beside bad ones, as data and as Markdown.

use super::in_markdown::{data_in_markdown, sentence_in_markdown};
use super::line;
use crate::batch::trail::{
    AsItWas, Comparison, LotInUse, NotRead, Record, Records, Traced, Trail, as_it_was, make_formulas_of,
};
use crate::model::Happened;
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::workspace::Sources;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What `trace --format json` prints.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct TraceJson {
    /// `stillroom.trace/1`.
    pub schema: String,
    /// The code asked for.
    pub code: String,
    /// What it is: `lot`, `material`, `batch`.
    pub kinds: Vec<String>,
    /// Every batch it is in or is.
    pub batches: Vec<TracedJson>,
    /// Every lot in any of those batches, once, with all batches that it is in.
    pub lots: Vec<LotInUseJson>,
    /// What could not be read, or not in full: a batch may be missing for it.
    pub not_read: Vec<NotReadJson>,
}

/// A lot, and where it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LotInUseJson {
    /// The material.
    pub material: String,
    /// The code.
    pub lot: String,
    /// All batches that it is in, by itself or through premixes.
    pub batches: Vec<String>,
}

/// A file or folder that could not be read, or a statement of a record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct NotReadJson {
    /// The file or folder.
    pub path: String,
    /// The line of the statement; none where nothing of the file or folder could be read.
    pub line: Option<usize>,
    /// The batch whose record it stands in, where that is known.
    pub batch: Option<String>,
    /// Why.
    pub why: String,
}

/// A batch on the trail.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct TracedJson {
    /// The batch.
    pub batch: String,
    /// The file its record stands in.
    pub file: String,
    /// The formula.
    pub formula: Option<String>,
    /// Its version, as it was.
    pub version: Option<String>,
    /// The digest of the formula as it was; none where that cannot be reached.
    pub digest: Option<String>,
    /// The lines of the formula as it was; empty where that cannot be reached.
    pub lines: Vec<TracedLineJson>,
    /// The day it was started.
    pub started: Option<String>,
    /// `open`, `filled`, `released` or `rejected`.
    pub standing: String,
    /// The batches that lead from the code to it; empty where it is in this one itself.
    pub through: Vec<String>,
    /// The codes on its jars.
    pub codes: Vec<String>,
    /// Every lot in it.
    pub lots: Vec<LotJson>,
    /// How many were sold, and to whom.
    pub sold: Vec<SoldJson>,
    /// What was complained of.
    pub complaints: Vec<String>,
}

/// A line of a formula as it was.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct TracedLineJson {
    /// The material.
    pub material: String,
    /// Its percentage as supplied; none for what was weighed to the pH.
    pub percent: Option<String>,
}

/// Digits of a printed percentage.
const DIGITS: u32 = 10;

/// A lot in a batch.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LotJson {
    /// The material.
    pub material: String,
    /// The code.
    pub lot: String,
    /// The premix it came through.
    pub through: Option<String>,
}

/// Some that were sold.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SoldJson {
    /// How many.
    pub count: String,
    /// To whom.
    pub to: Option<String>,
}

impl TraceJson {
    /// A trail as data. `as_it_was` gives the formula of a record, where it can be reached.
    #[must_use]
    pub fn new(
        records: &Records,
        trail: &Trail,
        not_read: &[NotRead],
        as_it_was: &(dyn Fn(&Record) -> Option<AsItWas> + Sync),
    ) -> TraceJson {
        TraceJson {
            schema: "stillroom.trace/1".to_string(),
            code: trail.code.clone(),
            kinds: trail.kinds.iter().map(|kind| kind.word().to_string()).collect(),
            batches: trail.batches.par_iter().filter_map(|traced| batch(records, traced, as_it_was)).collect(),
            lots: trail.lots.iter().map(|lot| in_use(records, lot)).collect(),
            not_read: not_read.iter().map(NotReadJson::from).collect(),
        }
    }

    /// A trail of the records of files, each batch with its formula as it was: by its plan, else by the files.
    #[must_use]
    pub fn of_files(sources: &Sources, records: &Records, trail: &Trail, not_read: &[NotRead]) -> TraceJson {
        let resolver = Resolver::new(sources, &mut Vec::new());
        make_formulas_of(&resolver, trail.batches.iter().filter_map(|traced| records.all.get(traced.record)));
        TraceJson::new(records, trail, not_read, &|record| as_it_was(&resolver, record.batch.id))
    }

    /// As Markdown.
    #[must_use]
    pub fn markdown(&self) -> String {
        // What could not be read is told in sentences, made fit as such.
        Self { not_read: self.not_read.clone(), ..data_in_markdown(self, &[]) }.written()
    }

    fn written(&self) -> String {
        let mut out = String::new();
        line(&mut out, format_args!("# Trail of {} ({})\n", self.code, self.kinds.join(", ")));
        put_not_read(&mut out, &self.not_read);
        line(
            &mut out,
            format_args!("| Batch | Formula | Started | Standing | Through | On the jars | Sold | Complaints |"),
        );
        line(&mut out, format_args!("| --- | --- | --- | --- | --- | --- | --- | --- |"));
        for of in &self.batches {
            let version = of.version.as_ref().map(|version| format!(" {version}")).unwrap_or_default();
            let sold: Vec<String> = of
                .sold
                .iter()
                .map(|sold| match &sold.to {
                    Some(to) => format!("{} to {to}", sold.count),
                    None => sold.count.clone(),
                })
                .collect();
            line(
                &mut out,
                format_args!(
                    "| {} | {}{version} | {} | {} | {} | {} | {} | {} |",
                    of.batch,
                    of.formula.as_deref().unwrap_or("—"),
                    of.started.as_deref().unwrap_or("—"),
                    of.standing,
                    of.through.join(", "),
                    of.codes.join(", "),
                    sold.join("; "),
                    of.complaints.join("; "),
                ),
            );
        }
        for of in self.batches.iter().filter(|of| !of.lines.is_empty()) {
            let digest = of.digest.as_deref().unwrap_or_default();
            line(&mut out, format_args!("\n## Formula of {} as it was\n\nDigest `{digest}`\n", of.batch));
            line(&mut out, format_args!("| Material | % |\n| --- | ---: |"));
            for each in &of.lines {
                line(&mut out, format_args!("| {} | {} |", each.material, each.percent.as_deref().unwrap_or("to pH")));
            }
        }
        for of in &self.batches {
            line(&mut out, format_args!("\n## Lots in {}\n", of.batch));
            line(&mut out, format_args!("| Material | Lot | Through |"));
            line(&mut out, format_args!("| --- | --- | --- |"));
            for lot in &of.lots {
                let through = lot.through.as_deref().unwrap_or_default();
                line(&mut out, format_args!("| {} | {} | {through} |", lot.material, lot.lot));
            }
        }
        if !self.lots.is_empty() {
            line(&mut out, format_args!("\n## Batches of each lot\n"));
            line(&mut out, format_args!("| Material | Lot | In |\n| --- | --- | --- |"));
            for lot in &self.lots {
                line(&mut out, format_args!("| {} | {} | {} |", lot.material, lot.lot, lot.batches.join(", ")));
            }
        }
        out
    }
}

/// What could not be read, before all else: whoever recalls by the trail is to know of it first.
fn put_not_read(out: &mut String, not_read: &[NotReadJson]) {
    if not_read.is_empty() {
        return;
    }
    line(out, format_args!("**Not everything could be read, so a batch may be missing here.**\n"));
    for of in not_read {
        line(out, format_args!("- {}", sentence_in_markdown(&of.words())));
    }
    out.push('\n');
}

impl NotReadJson {
    /// In a sentence: where, and why.
    #[must_use]
    pub fn words(&self) -> String {
        let line = self.line.map(|line| format!(", line {line}")).unwrap_or_default();
        let batch = self.batch.as_ref().map(|batch| format!(", in `{batch}`")).unwrap_or_default();
        format!("`{}`{line}{batch}: {}", self.path, self.why)
    }
}

impl From<&NotRead> for NotReadJson {
    fn from(of: &NotRead) -> NotReadJson {
        NotReadJson { path: of.path.clone(), line: of.line, batch: of.batch.clone(), why: of.why.clone() }
    }
}

fn in_use(records: &Records, lot: &LotInUse) -> LotInUseJson {
    let with = lot.records.iter().filter_map(|number| records.all.get(*number));
    LotInUseJson {
        material: lot.material.to_string(),
        lot: lot.code.to_string(),
        batches: with.map(|record| record.batch.name.to_string()).collect(),
    }
}

fn traced_line((material, percent): &(smol_str::SmolStr, Option<Exact>)) -> TracedLineJson {
    let percent = percent.as_ref().map(|percent| percent.to_significant(DIGITS));
    TracedLineJson { material: material.to_string(), percent }
}

fn batch(
    records: &Records,
    traced: &Traced,
    as_it_was: &(dyn Fn(&Record) -> Option<AsItWas> + Sync),
) -> Option<TracedJson> {
    let record = records.all.get(traced.record)?;
    let formula = as_it_was(record);
    let strings = |all: &[smol_str::SmolStr]| all.iter().map(ToString::to_string).collect::<Vec<_>>();
    let codes = record.batch.events.iter().filter_map(|event| match &event.what {
        Happened::Filled { code, .. } => code.as_ref().map(ToString::to_string),
        _ => None,
    });
    Some(TracedJson {
        batch: record.batch.name.to_string(),
        file: record.file.clone(),
        formula: record.batch.formula.as_ref().map(|formula| formula.text.to_string()),
        version: record.batch.version.as_ref().map(|version| version.text.to_string()),
        digest: formula.as_ref().map(|formula| formula.digest.clone()),
        lines: formula.iter().flat_map(|formula| &formula.lines).map(traced_line).collect(),
        started: record.batch.started.as_ref().map(ToString::to_string),
        standing: record.standing().to_string(),
        through: strings(&traced.through),
        codes: codes.collect(),
        lots: traced
            .lots
            .iter()
            .map(|lot| LotJson {
                material: lot.material.to_string(),
                lot: lot.code.to_string(),
                through: lot.through.as_ref().map(ToString::to_string),
            })
            .collect(),
        sold: traced
            .sold
            .iter()
            .map(|(count, to)| SoldJson { count: count.clone(), to: to.as_ref().map(ToString::to_string) })
            .collect(),
        complaints: record.complaints().map(ToString::to_string).collect(),
    })
}

/// What `trace --compare --format json` prints.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ComparisonJson {
    /// `stillroom.comparison/1`.
    pub schema: String,
    /// The batches that were complained of, or rejected.
    pub bad: Vec<String>,
    /// The others of the same formulas.
    pub good: Vec<String>,
    /// What every bad one has and no good one.
    pub shared: Vec<SharedJson>,
    /// How likely any one thing falls so by chance alone; none without a good batch.
    pub by_chance: Option<f64>,
    /// What could not be read, or not in full: a batch may be missing for it.
    pub not_read: Vec<NotReadJson>,
}

/// Something that every bad batch has and no good one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SharedJson {
    /// `lot`, `version`, `order`, `last reading` or `waiting time`.
    pub what: String,
    /// What it is.
    pub says: String,
}

impl ComparisonJson {
    /// A comparison as data.
    #[must_use]
    pub fn new(of: &Comparison, not_read: &[NotRead]) -> ComparisonJson {
        ComparisonJson {
            schema: "stillroom.comparison/1".to_string(),
            bad: of.bad.clone(),
            good: of.good.clone(),
            shared: of
                .shared
                .iter()
                .map(|shared| SharedJson { what: shared.what.to_string(), says: shared.says.clone() })
                .collect(),
            by_chance: of.by_chance.map(|chance| (chance * 1e4).round() / 1e4),
            not_read: not_read.iter().map(NotReadJson::from).collect(),
        }
    }

    /// As Markdown.
    #[must_use]
    pub fn markdown(&self) -> String {
        // What could not be read is told in sentences, made fit as such.
        Self { not_read: self.not_read.clone(), ..data_in_markdown(self, &[]) }.written()
    }

    fn written(&self) -> String {
        let mut out = String::new();
        line(&mut out, format_args!("# Bad batches beside good ones\n"));
        put_not_read(&mut out, &self.not_read);
        line(&mut out, format_args!("Bad: {}.  ", self.bad.join(", ")));
        let good = if self.good.is_empty() { "none".to_string() } else { self.good.join(", ") };
        line(&mut out, format_args!("Good: {good}.\n"));
        for shared in &self.shared {
            line(&mut out, format_args!("- {}: {}", shared.what, shared.says));
        }
        if self.shared.is_empty() {
            line(&mut out, format_args!("Nothing is in all of the bad ones and in none of the good ones."));
        }
        match self.by_chance {
            Some(chance) => line(
                &mut out,
                format_args!(
                    "\nOf {} batches, any one thing falls so by chance alone {:.0} times in 100, and many things were \
                     looked at. It is where to look first, and no proof.",
                    self.bad.len() + self.good.len(),
                    chance * 100.0
                ),
            ),
            None => line(&mut out, format_args!("\nWithout a good batch to compare with, it says nothing.")),
        }
        out
    }
}
