//! What a batch costs, beside the text: the tables that the command prints.

use crate::page::{named, prose};
use crate::render::{BatchCostJson, CostTable, cost_tables};
use maud::{Markup, html};

/// What a batch costs.
#[must_use]
pub fn cost(of: &BatchCostJson) -> Markup {
    html! {
        p { "On " (of.on) @if let Some(currency) = &of.currency { ", in " (currency) } ", for " (of.grams) " g." }
        @for table in cost_tables(of) { (one(&table)) }
        @if !of.cautions.is_empty() { ul { @for caution in &of.cautions { li { (prose(caution)) } } } }
    }
}

fn one(of: &CostTable) -> Markup {
    let class = |column: usize| if of.is_words(column) { "words" } else { "figure" };
    html! {
        @if of.rows.is_empty() { h3 { (named(&of.title)) } } @else {
            div .scroll tabindex="0" role="group" aria-label=(of.title) { table {
                caption { (named(&of.title)) }
                thead { tr { td {} @for (at, head) in of.head.iter().enumerate() { th scope="col" class=(class(at)) { (head) } } } }
                tbody { @for row in &of.rows { tr {
                    @for (at, cell) in row.iter().enumerate() {
                        @match at.checked_sub(1) {
                            None => { th scope="row" { (named(cell)) } },
                            Some(column) => { td class=(class(column)) { (named(cell)) } },
                        }
                    }
                    @for _ in row.len()..=of.head.len() { td {} }
                } } }
            } }
        }
        @for after in &of.after { p { (prose(after)) } }
    }
}
