//! The sheet beside the text: the weights as a table, and what to take care of before them.

use crate::page::{named, prose};
use crate::render::{DEFERENCE, Sheet, SheetLine, SheetPhase, for_maker};
use maud::{Markup, html};

/// The weights of a batch.
#[must_use]
pub fn sheet(of: &Sheet) -> Markup {
    html! {
        p .batch-words { "Batch of " strong { (of.batch_g) " g" } @if !of.asked.is_empty() { " (" (named(&of.asked)) ")" } "." }
        @if of.batch_g != of.asked_g {
            p { "The weights on these scales add to " (of.batch_g) " g; " (of.asked_g) " g were asked for." }
        }
        (care(of))
        div .scroll tabindex="0" role="group" aria-label="Weigh" { table .weights {
            caption { "Weigh" }
            thead { tr { th scope="col" { "Material" } th scope="col" .figure { "%" } th scope="col" .figure { "g" } } }
            @for part in of.phases.iter().filter(|part| !part.lines.is_empty()) { (phase(part)) }
            tfoot { tr { th scope="row" { "All together" } td {} td .figure { strong { (of.total_g) } } } }
        } }
        (held_back(of))
        @if let Some(fill) = &of.fill { p { (prose(&fill.words())) } }
        (steps(of))
        p .deference { (DEFERENCE) }
    }
}

/// What is to be taken care of stands first.
fn care(of: &Sheet) -> Markup {
    let unpreserved = of.unpreserved.as_deref();
    html! {
        @if !of.cautions.is_empty() || unpreserved.is_some() {
            details .care {
                summary { "Take care first" }
                ul {
                    @for caution in &of.cautions { li { (prose(caution)) } }
                    @if let Some(why) = unpreserved { li { (prose(why)) } }
                }
            }
        }
    }
}

fn phase(of: &SheetPhase) -> Markup {
    let heat = of.heat_c.as_ref().map(|celsius| format!(", heat to {celsius} °C")).unwrap_or_default();
    let cool = of.cool_c.as_ref().map(|celsius| format!(", cool to {celsius} °C")).unwrap_or_default();
    html! {
        tbody {
            tr .phase { th colspan="3" scope="rowgroup" {
                (named(&of.name)) @if let Some(title) = &of.title { " · " (named(title)) } (heat) (cool)
            } }
            @for line in &of.lines { (weighed(line)) }
        }
    }
}

fn weighed(of: &SheetLine) -> Markup {
    let percent = of.percent.as_deref().map_or("to pH".to_string(), for_maker);
    html! {
        tr {
            th scope="row" {
                (named(of.title.as_deref().unwrap_or(&of.material)))
                @if let Some(because) = &of.because { span .because { (named(because)) } }
            }
            td .figure { (percent) }
            td .figure {
                @match (&of.first_weighing_g, &of.grams) {
                    (Some(first), _) => { strong { (first) } " first" },
                    (None, Some(grams)) => { strong { (grams) } },
                    (None, None) => { "at the bench" },
                }
            }
        }
    }
}

fn held_back(of: &Sheet) -> Markup {
    let lines = of.phases.iter().flat_map(|phase| &phase.lines);
    html! {
        @for line in lines.filter(|line| line.held_back_g.is_some()) {
            p {
                "Held back of " (named(line.title.as_deref().unwrap_or(&line.material))) ": "
                strong { (line.held_back_g.as_deref().unwrap_or_default()) " g" }
                ", to top up with."
            }
        }
    }
}

fn steps(of: &Sheet) -> Markup {
    html! {
        @if !of.steps.is_empty() {
            details { summary { "Steps" } ol .steps { @for step in &of.steps { li { (named(step)) } } } }
        }
        @if !of.allowed.is_empty() {
            details {
                summary { "Allowed" }
                ul { @for allowed in &of.allowed {
                    li { code { (named(&allowed.code)) } " because " (named(&allowed.because)) ". " (prose(&allowed.message)) }
                } }
            }
        }
        @if let Some(remark) = &of.remark { p { (prose(remark)) } }
    }
}
