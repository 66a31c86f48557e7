//! The second side of a sheet: what is looked up, and not worked by.

use super::composition::{composition, free_acid};
use crate::page::curve::{curve, curve_words};
use crate::page::foreseen::PhDrawing;
use crate::page::{named, prose};
use crate::render::{Sheet, called, for_maker, lines_of, share_words};
use maud::{Markup, html};

/// The second side.
pub(super) fn back(sheet: &Sheet, drawing: Option<&PhDrawing>) -> Markup {
    let adjusted = lines_of(sheet).any(|line| line.at_bench);
    html! {
        @if let Some(drawing) = drawing {
            section.card aria-label="The pH" {
                h2 { "The pH as it is foreseen" }
                figure { (curve(drawing, &[])) figcaption { (curve_words(drawing, &[])) " The shade is how far it may be off, the bars how far a dose may." } }
                @for reason in sheet.ph.iter().flat_map(|ph| &ph.less_sure) { p { "Less sure: " (prose(reason.trim_end_matches('.'))) "." } }
            }
        }
        section.card aria-label="Composition" {
            h2 { "Composition" @if adjusted { ", without what is added to the pH" } }
            @if let Some(drawing) = composition(sheet) { figure { (drawing) } }
            (targets(sheet))
            (free_acid(sheet))
            (shares(sheet))
        }
        section.card aria-label="Long figures" {
            h2 { "Long figures" }
            (figures(sheet))
            (remarks(sheet))
            dl.facts {
                dt { "Formula" } dd { code { (named(&sheet.formula)) } }
                dt { "Digest" } dd { code.digest { (sheet.digest) } }
                dt { "Shelf" } dd { (sheet.shelf) }
                dt { "Lines together" } dd { (sheet.total_percent_exact) " %" }
            }
        }
    }
}

fn targets(sheet: &Sheet) -> Markup {
    html! {
        @if !sheet.actives.is_empty() {
            div.scroll tabindex="0" role="group" aria-label="Held to a target" { table {
                caption { "Held to a target" }
                thead { tr { th scope="col" { "Substance" } th.figure scope="col" { "Target, %" } th.figure scope="col" { "As weighed, %" } } }
                tbody { @for of in &sheet.actives {
                    tr { th scope="row" { (named(&of.substance)) } td.figure { (for_maker(&of.target_percent)) } td.figure { (for_maker(&of.as_weighed_percent)) } }
                } }
            } }
        }
    }
}

fn shares(sheet: &Sheet) -> Markup {
    html! {
        div.scroll tabindex="0" role="group" aria-label="Shares" { table {
            caption { "Shares" }
            thead { tr { th scope="col" { "Substance" } th.figure scope="col" { "Target, %" } th.figure scope="col" { "As weighed, %" } } }
            tbody { @for of in &sheet.substances {
                tr {
                    th scope="row" { (named(of.inci.as_deref().unwrap_or(&of.substance))) }
                    td.figure { (share_words(&of.percent_low, &of.percent_high)) }
                    td.figure { (share_words(&of.as_weighed_low, &of.as_weighed_high)) }
                }
            } }
        } }
    }
}

/// Each line as it is written, and its figures before they are rounded.
fn figures(sheet: &Sheet) -> Markup {
    html! {
        div.scroll tabindex="0" role="group" aria-label="Each line exactly" { table {
            caption { "Each line exactly" }
            thead { tr {
                th scope="col" { "Material" } th scope="col" { "As written" } th.figure scope="col" { "%" }
                th.figure scope="col" { "g in all" } th.figure scope="col" { "exact, g" }
            } }
            tbody { @for line in lines_of(sheet) {
                tr {
                    th scope="row" { (named(called(line))) }
                    td { code { (named(&line.amount)) } }
                    td.figure { (line.percent.as_deref().unwrap_or("to pH")) }
                    td.figure { (line.grams.as_deref().unwrap_or("")) }
                    td.figure { (line.grams_exact.as_deref().unwrap_or("")) }
                }
            } }
        } }
    }
}

fn remarks(sheet: &Sheet) -> Markup {
    let others: Vec<_> = sheet.diagnostics.iter().filter(|of| of.level != "warning").collect();
    html! {
        @if !others.is_empty() || !sheet.allowed.is_empty() {
            h3 { "Remarks" }
            ul {
                @for of in others { li { (of.level) " (" code { (of.code) } "): " (prose(&of.message)) } }
                @for of in &sheet.allowed { li { "allowed (" code { (of.code) } "): " (prose(&of.message)) " Because: " (prose(&of.because)) } }
            }
        }
        @if let Some(remark) = &sheet.remark { p { (prose(remark)) } }
    }
}
