//! The labels beside the text: of each market what stands on the jar, and what stands beside it.

use crate::diagnostic::Diagnostic;
use crate::page::{named, prose};
use crate::render::{LABEL_DEFERENCE, LabelJson, MarketLabelJson, label_order_words, label_share};
use crate::syntax::vocabulary::Market;
use maud::{Markup, html};

/// The labels of a formula; `drugs` are the markets that have none, as what it says of itself makes a drug of it there.
#[must_use]
pub fn label(of: &LabelJson, drugs: &[(Market, Diagnostic)]) -> Markup {
    html! {
        @for (market, fault) in drugs {
            p { strong { "No label for " (market.word().to_uppercase()) ". " } (prose(&fault.message)) }
        }
        @for label in &of.labels { (market(label)) }
        @if !of.cautions.is_empty() { ul { @for caution in &of.cautions { li { (prose(caution)) } } } }
        p .deference { (LABEL_DEFERENCE) }
    }
}

fn market(of: &MarketLabelJson) -> Markup {
    html! {
        h3 { "Label for " (of.market.to_uppercase()) }
        div .jar { @for paragraph in &of.jar { p { (named(&paragraph.text)) } } }
        details {
            summary { "What stands where, and how much of it" }
            div .scroll tabindex="0" role="group" aria-label="Ingredients" { table {
                caption { "Ingredients" }
                thead { tr { th scope="col" { "Ingredient" } th scope="col" .figure { "share" } } }
                tbody { @for entry in &of.entries {
                    tr { th scope="row" { (named(&entry.name)) } td .figure { (label_share(entry)) } }
                } }
            } }
            @for words in label_order_words(of) { p { (prose(&words)) } }
        }
    }
}
