//! The trail of a lot, a material or the code on a jar: where it went, and what it came from.

use super::find::Find;
use crate::batch::trail::{NotRead, Records, Trail, trace};
use crate::keeping::stills_under;
use crate::model::DeclId;
use crate::page::{named, not_read};
use crate::render::{LotInUseJson, StockJson, TraceJson, TracedJson};
use crate::server::address;
use crate::server::answer::Page;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use crate::sheet::BatchOrder;
use crate::store::StoreRoom;
use crate::syntax::nearest;
use crate::versions::recover_for;
use crate::workspace::{Loaded, load};
use maud::{Markup, html};
use std::collections::BTreeSet;

/// The page.
pub fn show(workroom: &Workroom, asked: &Asked) -> Result<Page, Refusal> {
    let code = asked.get("code").or_else(|| asked.get("find")).map(|code| code.trim()).unwrap_or_default();
    let search = Find { address: "/trace", key: "code", asked: code, hint: "A lot, a material, or the code on a jar." };
    let answer = if code.is_empty() {
        html! {}
    } else {
        answer(workroom, code)
    };
    let body = html! { (search.markup()) (answer) };
    Ok(Page { here: "/trace", ..Page::new("Trace", "trace desk", body) })
}

fn answer(workroom: &Workroom, code: &str) -> Markup {
    let (files, unread) = stills_under(workroom.folder());
    let loaded = load(workroom.world(), &files, None).seen_from(Some(workroom.folder().to_path_buf()));
    let unread = unread.iter().chain(loaded.failures.iter().filter(|failure| failure.named));
    let mut left_out: Vec<NotRead> = unread
        .map(|failure| NotRead {
            path: failure.path.clone(),
            line: None,
            batch: None,
            why: format!("It cannot be opened: {}.", failure.reason),
        })
        .collect();
    let records = Records::of_files(&loaded, &mut left_out);
    let Some(trail) = trace(&records, code) else {
        let on_hand = in_the_store_room(workroom, code);
        return if on_hand.is_empty() { unknown(&records, code, &left_out) } else { unused(code, &on_hand, &left_out) };
    };
    let json = followed(loaded, &records, &trail, &left_out);
    html! {
        p role="status" {
            (named(&json.code)) " is " (json.kinds.join(" and ")) ", in " (count(json.batches.len(), "batch", "batches")) "."
        }
        (not_read(&json.not_read))
        section aria-labelledby="batches" {
            h2 id="batches" { "Batches" }
            div.scroll { table {
                thead { tr { th scope="col" { "Batch" } th scope="col" { "Formula" } th scope="col" { "Stands" } th scope="col" { "Lots" } th scope="col" { "Sold to" } th scope="col" { "Complaints" } } }
                tbody { @for batch in &json.batches { (batch_row(batch)) } }
            } }
        }
        @if !json.lots.is_empty() { (lots(&json.lots)) }
    }
}

/// A trail as data, each batch with its formula as it was.
fn followed(mut loaded: Loaded, records: &Records, trail: &Trail, left_out: &[NotRead]) -> TraceJson {
    let on_trail = || trail.batches.iter().filter_map(|traced| records.all.get(traced.record));
    let ids: BTreeSet<DeclId> = on_trail().map(|record| record.batch.id).collect();
    recover_for(&mut loaded, &|id| ids.contains(&id));
    TraceJson::of_files(&loaded.sources, records, trail, left_out)
}

/// What the store room has of a lot: of which material, and how much.
fn in_the_store_room(workroom: &Workroom, code: &str) -> Vec<(String, String)> {
    let today = workroom.now().day;
    let stock = workroom.saved(|session| {
        let report = session.check(&BatchOrder::default());
        let mut left_out = Vec::new();
        let room = StoreRoom::of_files(&report.resolver, Some(&today), &mut left_out);
        StockJson::new(session.sources(), &room, &left_out, &|_| true)
    });
    let lots = stock.things.iter().flat_map(|thing| thing.lots.iter().map(move |lot| (thing, lot)));
    let found = lots.filter(|(_, lot)| lot.lot.as_deref().is_some_and(|lot| lot.eq_ignore_ascii_case(code)));
    found.map(|(thing, lot)| (thing.name.clone(), lot.on_hand.clone())).collect()
}

/// A lot that lies in the store room, and went into nothing yet.
fn unused(code: &str, on_hand: &[(String, String)], left_out: &[NotRead]) -> Markup {
    html! {
        @for (material, amount) in on_hand {
            p role="status" {
                (named(code)) " is a lot of " a href=(address::store(material)) { (named(material)) } ": " (amount)
                " of it is in the store room, and no batch record here has it."
            }
        }
        @if !left_out.is_empty() { p { "Not everything could be read, so a batch may be missing here." } }
    }
}

fn unknown(records: &Records, code: &str, left_out: &[NotRead]) -> Markup {
    let known = records.known_names();
    let near = nearest(code, known.iter().map(String::as_str)).first().map(ToString::to_string);
    html! {
        p role="status" {
            "No batch record here knows " (named(code)) ": no lot, no material, no code on a jar."
            @if let Some(near) = near { " Did you mean " a href=(address::trace(&near)) { (named(&near)) } "?" }
        }
        @if !left_out.is_empty() { p { "Not everything could be read, so a batch may be missing here." } }
    }
}

fn batch_row(batch: &TracedJson) -> Markup {
    html! {
        tr {
            th scope="row" { a href=(address::batch(&batch.file, &batch.batch)) { (named(&batch.batch)) } }
            td {
                (named(batch.formula.as_deref().unwrap_or_default()))
                @if let Some(version) = &batch.version { " " (named(version)) }
            }
            td { (batch.standing) @if let Some(day) = &batch.started { ", begun " (day) } }
            td { ul { @for lot in &batch.lots { li { (named(&lot.material)) ": " a href=(address::trace(&lot.lot)) { (named(&lot.lot)) } } } } }
            td { ul { @for sold in &batch.sold { li { (named(&sold.count)) @if let Some(to) = &sold.to { " to " (named(to)) } } } } }
            td { ul { @for complaint in &batch.complaints { li { (named(complaint)) } } } }
        }
    }
}

fn lots(all: &[LotInUseJson]) -> Markup {
    html! {
        section aria-labelledby="lots" {
            h2 id="lots" { "Lots" }
            div.scroll { table {
                thead { tr { th scope="col" { "Material" } th scope="col" { "Lot" } th scope="col" { "Batches" } } }
                tbody {
                    @for lot in all {
                        tr {
                            th scope="row" { (named(&lot.material)) }
                            td { a href=(address::trace(&lot.lot)) { (named(&lot.lot)) } }
                            td { (named(&lot.batches.join(", "))) }
                        }
                    }
                }
            } }
        }
    }
}

fn count(number: usize, one: &str, several: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { several })
}
