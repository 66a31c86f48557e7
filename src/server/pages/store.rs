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
    let today = workroom.now().day;
    let (stock, buy) = workroom.saved(|session| {
        let report = session.check(&BatchOrder::default());
        make_formulas(&report.resolver);
        let mut left_out = Vec::new();
        let room = StoreRoom::of_files(&report.resolver, Some(&today), &mut left_out);
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
            p.soft { "As of today, " (stock.on) "." }
            @if things.is_empty() && find.is_empty() {
                p { (prose("Nothing was ever counted or bought here. Write it into a file of the folder: `stock { counted glycerin 880 g on 2026-11-01 }`.")) }
            } @else if things.is_empty() {
                p role="status" { "The store room has nothing of that name." }
            } @else {
                div.stacking { table.stacks role="table" {
                    thead role="rowgroup" { tr role="row" { (head("What", false)) (head("On hand", true)) (head("Lots", false)) (head("Counted", false)) } }
                    tbody role="rowgroup" { @for thing in things { (row(thing)) } }
                } }
            }
            @if !stock.notes.is_empty() { ul.said { @for note in &stock.notes { li { (prose(note)) } } } }
        }
    }
}

fn head(words: &str, is_figure: bool) -> Markup {
    html! { th.figure[is_figure] scope="col" role="columnheader" { (words) } }
}

fn row(thing: &StockThingJson) -> Markup {
    let lots: Vec<_> = thing.lots.iter().filter(|lot| lot.lot.is_some()).collect();
    html! {
        tr role="row" {
            th scope="row" role="rowheader" { (named(&thing.name)) @if thing.kind != "material" { " (" (thing.kind) ")" } }
            td.figure role="cell" data-label="On hand" {
                @if thing.below_exact != "0" { (thing.below) " more went than came" }
                @else { (thing.on_hand) }
                @if thing.past_exact != "0" { br; (thing.past) " past its day" }
            }
            td role="cell" data-label=[(!lots.is_empty()).then_some("Lots")] {
                @if !lots.is_empty() { ul {
                    @for lot in lots {
                        @let code = lot.lot.as_deref().unwrap_or_default();
                        li {
                            a href=(address::trace(code)) { (named(code)) } ", " (lot.on_hand)
                            @if let Some(day) = &lot.expires { @if lot.past { ", past its day since " (day) } @else { ", to " (day) } }
                        }
                    }
                } }
            }
            td role="cell" data-label="Counted" { (thing.counted.as_deref().unwrap_or(if thing.kept { "never" } else { "not kept track of" })) }
        }
    }
}

fn to_buy(buy: &BuyJson) -> Markup {
    html! {
        section aria-labelledby="to-buy" {
            h2 id="to-buy" { "To buy for what is planned" }
            ul { @for planned in &buy.planned { li { (named(&planned.formula)) " " (named(&planned.makes)) } } }
            div.stacking { table.stacks role="table" {
                thead role="rowgroup" { tr role="row" { (head("What", false)) (head("Needed", true)) (head("On hand", true)) (head("Short", true)) (head("Packs", false)) } }
                tbody role="rowgroup" {
                    @for (figures, row) in buy.figures.iter().zip(&buy.rows) {
                        tr role="row" {
                            th scope="row" role="rowheader" { (named(&figures.what)) }
                            td.figure role="cell" data-label="Needed" { (figures.need) }
                            td.figure role="cell" data-label="On hand" { (figures.on_hand) }
                            td.figure role="cell" data-label="Short" { @if row.short_exact == "0" { "nothing" } @else { (figures.short) } }
                            td role="cell" data-label=[(row.buy.iter().flatten().next().is_some() || row.why.is_some()).then_some("Packs")] {
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

#[cfg(test)]
mod tests {
    use super::show;
    use crate::keeping::Moment;
    use crate::server::pages::workroom;
    use crate::server::routes::Asked;
    use crate::server::workroom::Workroom;
    use std::fs;

    const ROOM: &str = "use shelf/all

formula oil {
  version  \"1\"
  product  stock
  makes    100 g
  scale    0.01 g
  phase A {
    squalane       q.s.
    sunflower-oil  30 %
  }
}

stock {
  counted  squalane       900 g  on 2026-11-01
  bought   sunflower-oil  400 g  lot \"SF-1\"  on 2026-11-01  expires 2026-11-20
}

planned oil 100 g
";

    fn moment(day: &str) -> Moment {
        Moment { day: day.to_string(), hour: "10:00".to_string() }
    }

    /// A lot that is past its day today is not on hand, though no record tells of a later day than that of its count.
    #[test]
    fn the_store_room_is_that_of_today() {
        let held = tempfile::tempdir().unwrap();
        let folder = held.path().canonicalize().unwrap();
        fs::write(folder.join("a.still"), ROOM).unwrap();
        let asked = Asked::new();
        let at = |clock: fn() -> Moment| {
            let room = Workroom::of(&folder, clock);
            let page = |page: crate::server::answer::Page| page.body.into_string();
            (page(show(&room, &asked).unwrap()), page(workroom::show(&room, &asked).unwrap()))
        };
        let (store, first) = at(|| moment("2026-11-20"));
        assert!(store.contains("As of today, 2026-11-20.") && !store.contains("past its day"), "{store}");
        assert!(first.contains("All that is known to be needed is on hand."), "{first}");
        let (store, first) = at(|| moment("2026-11-21"));
        assert!(store.contains("As of today, 2026-11-21.") && store.contains("past its day"), "{store}");
        assert!(first.contains("<h3>Missing</h3>") && first.contains("sunflower-oil"), "{first}");
    }
}
