//! What batches cost, as a page in one file: the same tables as in text.

use super::shell::{Page, document, named, prose};
use crate::render::{BatchCostJson, CostSheet, CostTable, cost_sheet};
use maud::{Markup, html};

/// Some costs as one page.
#[must_use]
pub fn cost_html(costs: &[BatchCostJson]) -> String {
    let sheets: Vec<CostSheet> = costs.iter().map(cost_sheet).collect();
    let title = match sheets.as_slice() {
        [only] => format!("What it costs: {}", only.heading),
        _ => "What they cost".to_string(),
    };
    let page = Page {
        title: &title,
        class: "cost-page",
        lead: html! { @if let [only] = sheets.as_slice() { p { (named(&only.subtitle)) } } },
        places: &[],
        body: html! { @for (number, sheet) in sheets.iter().enumerate() { (body(sheet, number, sheets.len() > 1)) } },
        foot: html! { "Sums are worked out exactly and rounded where they are printed." },
    };
    document(&page, include_str!("assets/cost.css"), "")
}

/// The tables of a cost, as a part of a page that has the stylesheet.
#[must_use]
pub fn cost_tables(cost: &BatchCostJson) -> Markup {
    body(&cost_sheet(cost), 0, false)
}

fn body(sheet: &CostSheet, number: usize, among_others: bool) -> Markup {
    html! {
        section.cost aria-label={ "Cost " (number + 1) } {
            @if among_others { h2 { (named(&sheet.heading)) } p { (named(&sheet.subtitle)) } }
            @for (at, table) in sheet.tables.iter().enumerate() { (table_markup(table, &format!("{number}-{at}"))) }
            @if !sheet.cautions.is_empty() {
                div.care { h2 { "To be said beside it" } ul { @for caution in &sheet.cautions { li { (prose(caution)) } } } }
            }
            @if let Some(remark) = sheet.remark { p.soft { (remark) } }
        }
    }
}

fn table_markup(table: &CostTable, name: &str) -> Markup {
    let class = |column: usize| table.head.get(column).map(|_| if table.is_words(column) { "" } else { "figure" });
    html! {
        div.scroll tabindex="0" role="group" aria-label={ (table.title) " " (name) } { table {
            caption { (named(&table.title)) }
            @if !table.rows.is_empty() {
                thead { tr { th scope="col" { span.unseen { "What" } } @for (at, head) in table.head.iter().enumerate() { th class=[class(at)] scope="col" { (head) } } } }
            }
            tbody { @for row in &table.rows { (row_markup(table, row, &class)) } }
        } }
        @for after in &table.after { p.after { (named(after)) } }
    }
}

fn row_markup(table: &CostTable, row: &[String], class: &dyn Fn(usize) -> Option<&'static str>) -> Markup {
    let Some((name, cells)) = row.split_first() else { return html! {} };
    let is_sum = ["together", "for 100 g", "to be paid"].iter().any(|sum| name.starts_with(sum));
    let empty = (table.head.len()).saturating_sub(cells.len());
    html! {
        tr.sum[is_sum] {
            th scope="row" { (named(name)) }
            @for (at, cell) in cells.iter().enumerate() { td class=[class(at)] { (named(cell)) } }
            @for _ in 0..empty { td {} }
        }
    }
}
