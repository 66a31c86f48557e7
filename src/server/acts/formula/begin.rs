//! A batch begun from the page of a formula: its record is made, and the bench goes on from there. `/begin`.

use super::Writing;
use crate::keeping::{Begin, FileVersion, NewEntry, Written, write_down};
use crate::model::MakesSize;
use crate::server::address;
use crate::server::answer::Told;
use crate::server::heard::Heard;
use crate::server::inside::Inside;
use crate::server::live::LiveOrder;
use crate::server::names::is_name;
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;
use crate::syntax::tree::Item;
use serde::Deserialize;
use serde_json::json;
use smol_str::SmolStr;
use std::collections::BTreeSet;

/// The batch that is to be begun.
#[derive(Clone, Debug, Deserialize)]
pub struct Beginning {
    /// The formula, as the page has it.
    #[serde(flatten)]
    pub of: Writing,
    /// Its size; as the formula says where this is empty.
    #[serde(default)]
    pub size: String,
    /// Its name; where there is none, one is proposed and nothing is written.
    pub called: Option<String>,
}

/// Begins a batch of what is saved, or proposes a name for one.
pub fn begin(workroom: &Workroom, _: Option<FileVersion>, asked: Beginning) -> Result<Told, Refusal> {
    let file = asked.of.inside(workroom)?;
    let now = workroom.now();
    let Some(called) = asked.called.as_deref().map(str::trim) else {
        return Told::new(&json!({ "name": proposed(&asked.of.name, &now.day, &taken(workroom)) }));
    };
    is_name(called).map_err(Refusal::wrong)?;
    let record = record_of(workroom, &file)?;
    let entry = NewEntry {
        path: record.path(),
        batch: None,
        begin: Some(Begin {
            name: called,
            formula: &asked.of.name,
            from: (record != file).then(|| file.path()),
            makes: size(&asked.size)?,
            started: Some(SmolStr::new(&now.day)),
            stamps: format!(" at {}", now.hour),
        }),
        statement: None,
        asked_back: false,
        version: None,
    };
    let mut heard = Heard::default();
    match write_down(&workroom.keeper(), &entry, &mut heard).map_err(|why| workroom.refusal(why, &record, ""))? {
        Written::Refused => Err(heard.refusal()),
        Written::Recorded(written) => {
            let address = address::batch(record.name(), called);
            Ok(Told::new(&json!({ "address": address, "file": record.name(), "told": heard.json() }))?
                .of(written.version))
        }
    }
}

fn size(asked: &str) -> Result<Option<MakesSize>, Refusal> {
    let order = LiveOrder::of(asked, None);
    match order.refused {
        Some(why) => Err(Refusal::wrong(why)),
        None => Ok(order.order.makes),
    }
}

/// The file of a formula's records: its own where it has some, else the one beside it.
fn record_of(workroom: &Workroom, file: &Inside) -> Result<Inside, Refusal> {
    let has_batches = workroom.saved(|session| {
        let source = session.sources().files.iter().find(|source| source.absolute == file.path());
        source.is_some_and(|source| source.tree.items.iter().any(|item| matches!(item, Item::Batch(_))))
    });
    if has_batches {
        return Ok(file.clone());
    }
    let stem = file.name().strip_suffix(".still").unwrap_or(file.name());
    workroom.inside_to_be(&format!("{stem}-batches.still"))
}

/// The names of all batches of the folder.
fn taken(workroom: &Workroom) -> BTreeSet<String> {
    workroom.saved(|session| {
        let items = session.sources().files.iter().flat_map(|source| &source.tree.items);
        let batches = items.filter_map(|item| if let Item::Batch(batch) = item { Some(batch) } else { None });
        batches.map(|batch| batch.name.text.to_string()).collect()
    })
}

/// A name out of what the formula is called and the day: `acid-gel` on 14 November is `ag-1114`, and then `ag-1114-2`.
fn proposed(formula: &str, day: &str, taken: &BTreeSet<String>) -> String {
    let first = |word: &str| word.chars().next().filter(char::is_ascii_lowercase);
    let letters: String = formula.split('-').filter_map(first).collect();
    let digits: String = day.chars().skip(4).filter(char::is_ascii_digit).collect();
    let letters = if letters.is_empty() { "batch" } else { &letters };
    let name = format!("{letters}-{digits}");
    let numbered = (2..1_000).map(|number| format!("{name}-{number}"));
    std::iter::once(name.clone()).chain(numbered).find(|name| !taken.contains(name)).unwrap_or(name)
}

#[cfg(test)]
mod tests {
    use super::proposed;
    use std::collections::BTreeSet;

    #[test]
    fn a_batch_is_called_by_its_formula_and_its_day() {
        let taken = BTreeSet::from(["ag-1114".to_string(), "ag-1114-2".to_string()]);
        assert_eq!(proposed("acid-gel", "2026-11-14", &BTreeSet::new()), "ag-1114");
        assert_eq!(proposed("acid-gel", "2026-11-14", &taken), "ag-1114-3");
        assert_eq!(proposed("balm", "2026-01-05", &taken), "b-0105");
    }
}
