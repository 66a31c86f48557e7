//! The labels of products as a page in one file: the text with a button that copies it, what stands where, the blanks
//! framed, and, of a size, a sheet of labels true to the millimetre.

use super::shell::{Page, document, named, prose};
use crate::label::{Panel, PlacedLine};
use crate::quantity::Exact;
use crate::render::{
    LABEL_DEFERENCE, LabelDrawing, LabelEntryJson, LabelItemJson, LabelJson, LabelTiling, MarketLabelJson,
    label_heading, label_net, label_order_words, label_part, label_share, shown_data,
};
use crate::session::Labels;
use crate::workspace::Sources;
use maud::{Markup, PreEscaped, html};

/// The labels of a product as a page shows them.
#[derive(Clone, Debug)]
pub struct LabelPage {
    /// The labels.
    pub labels: LabelJson,
    /// A sheet of labels for each of them, as a drawing; empty where no size was asked for. None of one that does not fit.
    pub tiled: Vec<Option<String>>,
}

impl LabelPage {
    /// The labels of a product; with a size and a paper, also a sheet of each.
    #[must_use]
    pub fn of(sources: &Sources, of: &Labels, on: Option<(&Panel, &LabelTiling)>) -> LabelPage {
        let labels = LabelJson::new(sources, of);
        let sheet = |layout: &crate::label::Layout| {
            let (panel, tiling) = on?;
            label_drawing(panel, layout.lines.as_ref()?, &labels).tiled(tiling)
        };
        let tiled = of.layouts.iter().map(sheet).collect();
        LabelPage { labels, tiled }
    }
}

/// A label of a size as it is drawn.
#[must_use]
pub fn label_drawing<'d>(panel: &Panel, lines: &'d [PlacedLine], labels: &'d LabelJson) -> LabelDrawing<'d> {
    LabelDrawing {
        width: micrometres(&panel.width),
        height: micrometres(&panel.height),
        lines,
        across: labels.across(),
        title: labels.title.as_deref().unwrap_or(&labels.formula),
    }
}

/// A length in mm as whole micrometres: the sides of a label are bounded.
fn micrometres(mm: &Exact) -> i64 {
    (mm * &Exact::whole(1_000)).to_step(&Exact::whole(1)).to_u32().map_or(0, i64::from)
}

/// The labels of some products as one page; `paper` is what sheets of labels are printed on.
#[must_use]
pub fn label_html(all: &[LabelPage], paper: Option<&LabelTiling>) -> String {
    let title = match all {
        [only] => only.labels.title.as_deref().unwrap_or(&only.labels.formula),
        _ => "Labels",
    };
    let page = Page {
        title,
        class: "label-page",
        lead: html! { p { "What the jar carries, and what stands beside it." } },
        places: &[],
        body: label_body(all),
        foot: html! { (LABEL_DEFERENCE) },
    };
    let styles = [include_str!("assets/label.css"), &paper_size(paper)].concat();
    document(&page, &styles, include_str!("assets/label.js"))
}

/// The labels of some products, as they stand in a page that has their stylesheet.
#[must_use]
pub fn label_body(all: &[LabelPage]) -> Markup {
    let shown: Vec<LabelJson> = all.iter().map(|of| shown_data(&of.labels)).collect();
    html! {
        @for (number, (of, labels)) in all.iter().zip(&shown).enumerate() {
            @if all.len() > 1 { h2.product { (named(labels.title.as_deref().unwrap_or(&labels.formula))) } }
            @for (at, label) in labels.labels.iter().enumerate() {
                (tiles(of.tiled.get(at).and_then(Option::as_deref), &format!("{number}-{at}"), &label.market))
                (market(labels, label, &format!("{number}-{at}")))
            }
            @if !labels.cautions.is_empty() {
                section.care aria-label={ "Cautions " (number + 1) } {
                    h2 { "Take care" }
                    ul { @for caution in &labels.cautions { li { (prose(caution)) } } }
                }
            }
        }
    }
}

/// The paper of a sheet of labels, in millimetres: without an edge, so that nothing is moved or made smaller.
fn paper_size(paper: Option<&LabelTiling>) -> String {
    let mm = |micrometres: i64| format!("{}.{:03}mm", micrometres / 1_000, (micrometres % 1_000).abs());
    paper.map_or_else(String::new, |of| {
        format!(
            "\n@page labels {{ size: {} {}; margin: 0; }}\n@media print {{ .tiles {{ page: labels; }} }}\n",
            mm(of.width),
            mm(of.height)
        )
    })
}

fn tiles(drawing: Option<&str>, name: &str, market: &str) -> Markup {
    let Some(drawing) = drawing else { return html! {} };
    // Several sheets in one page have a label each.
    let own = drawing
        .replace("<g id=\"label\">", &format!("<g id=\"label-{name}\">"))
        .replace("href=\"#label\"", &format!("href=\"#label-{name}\""));
    html! {
        section.tiles aria-label={ "Sheet of labels, " (market) " " (name) } {
            p.screen-only { "Print this page at its full size, 100 %, without fitting it to the paper." }
            div.paper tabindex="0" role="group" aria-label={ "Sheet of paper " (name) } { (PreEscaped(own)) }
        }
    }
}

fn market(labels: &LabelJson, label: &MarketLabelJson, name: &str) -> Markup {
    html! {
        section.market aria-label={ "Label, " (label.market) " " (name) } {
            h2 { "Label, " (label.market) }
            @if let Some(words) = labels.across() { p.across { (words) } }
            div.jar id={ "jar-" (name) } {
                @for paragraph in &label.jar { p.name[paragraph.item == "name"] data-copied { (framed(&paragraph.text)) } }
            }
            div.row.screen-only {
                button.first type="button" data-copies={ "jar-" (name) } { "Copy the text" }
                span role="status" data-said={ "jar-" (name) } {}
            }
            h3 { "Beside the label, not on it" }
            p { (prose(&label_heading(labels, label))) }
            (items(label, name))
            (entries(label, name))
            ul { @for words in label_order_words(label).into_iter().chain(label_net(label)) { li { (prose(&words)) } } }
        }
    }
}

/// A text of the jar, in which what is not known stands in a frame to be written into.
fn framed(text: &str) -> Markup {
    let is_blank = |piece: &str| piece.len() > 1 && piece.chars().all(|letter| letter == '_');
    let pieces: Vec<&str> = text.split_inclusive(' ').collect();
    html! {
        @for piece in pieces {
            @let word = piece.trim_end_matches(' ');
            @if is_blank(word) { span.frame title="not known yet" { (word) } (piece.get(word.len()..).unwrap_or_default()) }
            @else { (piece) }
        }
    }
}

fn entries(label: &MarketLabelJson, name: &str) -> Markup {
    let row = |entry: &LabelEntryJson| {
        html! { tr { th scope="row" { (named(&entry.name)) } td.figure { (label_share(entry)) } td { (label_part(entry).trim()) } } }
    };
    html! {
        div.scroll tabindex="0" role="group" aria-label={ "Ingredients " (name) } { table {
            caption { "Ingredients" }
            thead { tr { th scope="col" { "Ingredient" } th.figure scope="col" { "Share" } th scope="col" { "Note" } } }
            tbody { @for entry in &label.entries { (row(entry)) } }
        } }
    }
}

fn items(label: &MarketLabelJson, name: &str) -> Markup {
    let yes = |is: bool| if is { "yes" } else { "no" };
    let row = |item: &LabelItemJson| {
        html! {
            tr {
                th scope="row" { (named(&item.item)) }
                td { @match &item.text { Some(text) => (framed(text)), None => span.frame { "to be filled in" } } }
                td { (yes(item.container)) } td { (yes(item.outer)) } td { (prose(&item.source)) }
            }
        }
    };
    html! {
        div.scroll tabindex="0" role="group" aria-label={ "What stands where " (name) } { table {
            caption { "What stands where" }
            thead { tr { th scope="col" { "Item" } th scope="col" { "Text" } th scope="col" { "Container" } th scope="col" { "Outer pack" } th scope="col" { "Source" } } }
            tbody { @for item in &label.items { (row(item)) } }
        } }
    }
}
