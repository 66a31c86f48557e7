//! The pH beside the text: the curve as a picture that is described in words, and the doses as a table.

use crate::page::{PhDrawing, curve, named, prose};
use crate::render::{PhAdjuster, PhJson};
use maud::{Markup, html};

/// What is foreseen of the pH; its curve where one can be drawn.
#[must_use]
pub fn ph(of: &PhJson, drawing: Option<&PhDrawing>) -> Markup {
    let ph = &of.ph.ph;
    html! {
        @if let Some(drawing) = drawing { figure .curve { (curve(drawing, &[])) } }
        @if ph.adjusters.iter().any(is_dosed) {
            div .scroll tabindex="0" role="group" aria-label="Foreseen doses" { table {
                caption { "Foreseen doses in " (of.batch_g) " g, in grams" }
                thead { tr {
                    th scope="col" { "Adjuster" }
                    th scope="col" .figure { "near edge" } th scope="col" .figure { "middle" }
                    th scope="col" .figure { "far edge" }
                } }
                tbody { @for adjuster in &ph.adjusters { (doses(adjuster)) } }
            } }
        }
        ul .told { @for words in &ph.words { li { (prose(words)) } } }
        @if let Some((what_for, steps)) = ph.beaker_test.split_first() {
            p { (prose(what_for)) }
            ol { @for step in steps { li { (prose(step)) } } }
        }
        p .deference { "A forecast is for planning: the meter decides." }
    }
}

fn is_dosed(of: &PhAdjuster) -> bool {
    [of.grams_near, of.grams_mid, of.grams_far].iter().any(Option::is_some)
}

fn doses(of: &PhAdjuster) -> Markup {
    html! {
        tr {
            th scope="row" { (named(&of.material)) }
            @for (dose, range) in [
                (of.grams_near, of.grams_near_range), (of.grams_mid, of.grams_mid_range),
                (of.grams_far, of.grams_far_range),
            ] {
                td .figure {
                    @match dose { Some(dose) => { strong { (format!("{dose:.2}")) } }, None => "—" }
                    @if let Some([Some(low), Some(high)]) = range {
                        span .range { (format!("{low:.2} to {high:.2}")) }
                    }
                }
            }
        }
    }
}
