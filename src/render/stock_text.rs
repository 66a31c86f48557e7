//! The store room for people: what is past its day first, then what is on hand, fit to be pinned to its door.

use super::in_markdown::{data_in_markdown, sentence_in_markdown};
use super::line;
use super::screen::shown_data;
use super::stock::{MovedJson, StockJson, StockLotJson, StockThingJson};
use super::trace::NotReadJson;
use std::fmt::Write as _;

/// Which parts of a document are sentences of the program's own.
const SENTENCES: &[&str] = &["notes"];

/// For a terminal. `verbose` adds what each sum follows from.
#[must_use]
pub fn stock_text(stock: &StockJson, verbose: bool) -> String {
    let stock = &shown_data(stock);
    let mut out = format!("In the store room at the end of {}\n", stock.on);
    let past = past(stock);
    if !past.is_empty() {
        out.push_str("\nPast its day: not to be used\n");
        for (thing, lot) in past {
            let expires = lot.expires.as_deref().unwrap_or_default();
            let _ =
                writeln!(out, "  {:<28} {:>12}  {}, its last day was {expires}", thing.name, lot.on_hand, code(lot));
        }
    }
    out.push_str("\nOn hand\n");
    for thing in kept(stock) {
        let counted = thing.counted.as_ref().map_or("never counted".to_string(), |day| format!("counted {day}"));
        let past = past_of(thing).map(|past| format!(", {past} of it past its day")).unwrap_or_default();
        let _ = writeln!(out, "  {:<28} {:>12}  {counted}{past}", thing.name, thing.on_hand);
        for lot in thing.lots.iter().filter(|lot| tells_more(lot)) {
            let _ = writeln!(out, "    {:<26} {:>12}  {}", code(lot), lot.on_hand, dates(lot));
        }
        if verbose {
            for moved in &thing.follows_from {
                let _ = writeln!(out, "      {}", words(moved));
            }
        }
    }
    if kept(stock).next().is_none() {
        out.push_str("  nothing\n");
    }
    for told in remarks(stock) {
        let _ = writeln!(out, "\n{told}");
    }
    out
}

/// As Markdown.
#[must_use]
pub fn stock_markdown(stock: &StockJson, verbose: bool) -> String {
    let remarks: Vec<String> = remarks(stock).iter().map(|told| sentence_in_markdown(told)).collect();
    let stock = &data_in_markdown(stock, SENTENCES);
    let mut out = String::new();
    line(&mut out, format_args!("# Store room at the end of {}", stock.on));
    let past = past(stock);
    if !past.is_empty() {
        line(&mut out, format_args!("\n## Past its day: not to be used\n"));
        line(&mut out, format_args!("| What | Lot | How much | Last day |\n| --- | --- | ---: | --- |"));
        for (thing, lot) in past {
            let expires = lot.expires.as_deref().unwrap_or_default();
            line(&mut out, format_args!("| {} | {} | {} | {expires} |", thing.name, code(lot), lot.on_hand));
        }
    }
    line(&mut out, format_args!("\n## On hand\n"));
    line(&mut out, format_args!("| What | On hand | Counted | Lots, the oldest first |\n| --- | ---: | --- | --- |"));
    for thing in kept(stock) {
        let counted = thing.counted.as_deref().unwrap_or("never");
        let lots = thing.lots.iter().filter(|lot| tells_more(lot));
        let lots: Vec<String> = lots.map(|lot| format!("{} {} ({})", lot.on_hand, code(lot), dates(lot))).collect();
        let past = past_of(thing).map(|past| format!(", {past} of it past its day")).unwrap_or_default();
        line(&mut out, format_args!("| {} | {}{past} | {counted} | {} |", thing.name, thing.on_hand, lots.join("; ")));
    }
    for told in remarks {
        line(&mut out, format_args!("\n{told}"));
    }
    if verbose {
        line(&mut out, format_args!("\n## What it follows from\n"));
        line(&mut out, format_args!("| What | Day | Happened | How much | Where |\n| --- | --- | --- | ---: | --- |"));
        for thing in &stock.things {
            for moved in &thing.follows_from {
                let (on, place) = (moved.on.as_deref().unwrap_or("—"), place(moved));
                let row = format_args!("| {} | {on} | {} | {} | {place} |", thing.name, moved.what, moved.amount);
                line(&mut out, row);
            }
        }
    }
    out
}

fn kept(stock: &StockJson) -> impl Iterator<Item = &StockThingJson> {
    stock.things.iter().filter(|thing| thing.kept)
}

fn past(stock: &StockJson) -> Vec<(&StockThingJson, &StockLotJson)> {
    let lots = stock.things.iter().flat_map(|thing| thing.lots.iter().map(move |lot| (thing, lot)));
    lots.filter(|(_, lot)| lot.past).collect()
}

/// What of a thing is past its day; none where nothing is.
fn past_of(thing: &StockThingJson) -> Option<&str> {
    (thing.past_exact != "0").then_some(thing.past.as_str())
}

/// Whether a lot says more than that there is some.
fn tells_more(lot: &StockLotJson) -> bool {
    lot.lot.is_some() || lot.expires.is_some() || lot.since.is_some()
}

fn code(lot: &StockLotJson) -> String {
    lot.lot.as_ref().map_or("no lot".to_string(), |code| format!("lot {code}"))
}

fn dates(lot: &StockLotJson) -> String {
    let since = lot.since.as_ref().map(|day| format!("since {day}"));
    let until = lot.expires.as_ref().map(|day| if lot.past { format!("PAST {day}") } else { format!("to {day}") });
    let from = lot.from.as_ref().map(|from| format!("from {from}"));
    [since, until, from].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn words(moved: &MovedJson) -> String {
    let on = moved.on.as_deref().unwrap_or("no day");
    format!("{on}  {} {}  ({})", moved.what, moved.amount, place(moved))
}

fn place(moved: &MovedJson) -> String {
    let batch = moved.batch.as_ref().map(|batch| format!("{batch}, ")).unwrap_or_default();
    format!("{batch}{}:{}", moved.file, moved.line)
}

/// What is to be told beside the figures, in sentences.
fn remarks(stock: &StockJson) -> Vec<String> {
    let mut all = Vec::new();
    // Of what happens on a later day only, nothing has happened yet.
    let used = stock.things.iter().filter(|thing| !thing.kept && !thing.follows_from.is_empty());
    let unkept: Vec<String> = used.map(|thing| format!("`{}`", thing.name)).collect();
    if !unkept.is_empty() {
        all.push(format!("Used, and never counted or bought: {}.", unkept.join(", ")));
    }
    all.extend(stock.notes.iter().cloned());
    all.extend(stock.not_read.iter().map(NotReadJson::words));
    all
}
