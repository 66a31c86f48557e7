//! The store room: what is on hand, by material and lot, and what to buy for what is planned.

use super::find::{Find, matches};
use crate::page::{named, not_read, prose};
use crate::render::{BuyJson, StockJson, StockThingJson, WeighedPlans};
use crate::server::address;
use crate::server::answer::Page;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use crate::sheet::BatchOrder;
use crate::store::{StoreRoom, Thing, make_formulas};
use maud::{Markup, html};

/// The page.
pub fn show(workroom: &Workroom, asked: &Asked) -> Result<Page, Refusal> {
    let find = asked.get("find").map(String::as_str).unwrap_or_default();
    let (stock, buy) = workroom.saved(|session| {
        let report = session.check(&BatchOrder::default());
        make_formulas(&report.resolver);
        let mut left_out = Vec::new();
        let room = StoreRoom::of_files(&report.resolver, None, &mut left_out);
        let found = |thing: &Thing| matches(find, &thing.name);
        let stock = StockJson::new(session.sources(), &room, &left_out, &found);
        let planned = report.resolver.planned();
        let buy = (!planned.is_empty()).then(|| {
            let weighed = WeighedPlans::of(session, &report, planned);
            BuyJson::for_plans(&report, &room, &weighed, None, left_out.is_empty())
        });
        (stock, buy)
    });
    let search = Find { address: "/store", key: "find", asked: find, hint: "A material, a premix or a container." };
    let body = html! {
        (search.markup())
        (not_read(&stock.not_read))
        (on_hand(&stock, find))
        @if let Some(buy) = &buy { (to_buy(buy)) }
    };
    Ok(Page { here: "/store", scripts: &["watch.js", "fresh.js"], ..Page::new("Store room", "store desk", body) })
}

fn on_hand(stock: &StockJson, find: &str) -> Markup {
    let things: Vec<&StockThingJson> = stock.things.iter().collect();
    html! {
        section aria-labelledby="on-hand" {
            h2 id="on-hand" { "On hand" }
            p.soft { "At the end of " (stock.on) "." }
            @if things.is_empty() && find.is_empty() {
                p { (prose("Nothing was ever counted or bought here. Write it into a file of the folder: `stock { counted glycerin 880 g on 2026-11-01 }`.")) }
            } @else if things.is_empty() {
                p role="status" { "The store room has nothing of that name." }
            } @else {
                div.scroll { table {
                    thead { tr { th scope="col" { "What" } th.figure scope="col" { "On hand" } th scope="col" { "Lots" } th scope="col" { "Counted" } } }
                    tbody { @for thing in things { (row(thing)) } }
                } }
            }
            @if !stock.notes.is_empty() { ul.said { @for note in &stock.notes { li { (prose(note)) } } } }
        }
    }
}

fn row(thing: &StockThingJson) -> Markup {
    let lots = thing.lots.iter().filter(|lot| lot.lot.is_some());
    html! {
        tr {
            th scope="row" { (named(&thing.name)) @if thing.kind != "material" { " (" (thing.kind) ")" } }
            td.figure {
                @if thing.below_exact != "0" { (thing.below) " more went than came" }
                @else { (thing.on_hand) }
                @if thing.past_exact != "0" { br; (thing.past) " past its day" }
            }
            td {
                ul {
                    @for lot in lots {
                        @let code = lot.lot.as_deref().unwrap_or_default();
                        li {
                            a href=(address::trace(code)) { (named(code)) } ", " (lot.on_hand)
                            @if let Some(day) = &lot.expires { @if lot.past { ", past its day since " (day) } @else { ", to " (day) } }
                        }
                    }
                }
            }
            td { (thing.counted.as_deref().unwrap_or(if thing.kept { "never" } else { "not kept track of" })) }
        }
    }
}

fn to_buy(buy: &BuyJson) -> Markup {
    html! {
        section aria-labelledby="to-buy" {
            h2 id="to-buy" { "To buy for what is planned" }
            ul { @for planned in &buy.planned { li { (named(&planned.formula)) " " (named(&planned.makes)) } } }
            div.scroll { table {
                thead { tr { th scope="col" { "What" } th.figure scope="col" { "Needed" } th.figure scope="col" { "On hand" } th.figure scope="col" { "Short" } th scope="col" { "Packs" } } }
                tbody {
                    @for (figures, row) in buy.figures.iter().zip(&buy.rows) {
                        tr {
                            th scope="row" { (named(&figures.what)) }
                            td.figure { (figures.need) }
                            td.figure { (figures.on_hand) }
                            td.figure { @if row.short_exact == "0" { "nothing" } @else { (figures.short) } }
                            td {
                                @for pack in row.buy.iter().flatten() { (pack.count) " × " (named(&pack.pack)) " " }
                                @if let Some(why) = &row.why { (prose(why)) }
                            }
                        }
                    }
                }
            } }
            @if !buy.to_make.is_empty() {
                h3 { "To make first" }
                ul { @for make in &buy.to_make { li { (named(&make.premix)) ", " (make.amount) } } }
            }
            @if !buy.totals.is_empty() {
                p { "Together " (buy.totals.join(" and ")) @if !buy.complete { ", as far as it is known" } "." }
            }
            @if !buy.notes.is_empty() { ul.said { @for note in &buy.notes { li { (prose(note)) } } } }
        }
    }
}
