//! The shelf: what it knows under a name with its sources, what could stand in, and what words lead to.

use super::find::Find;
use crate::page::{named, prose};
use crate::render::{FactJson, KnownJson, ShelfJson, StandInJson, shelf_answer};
use crate::server::address;
use crate::server::answer::Page;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use maud::{Markup, html};

/// The page.
pub fn show(_: &Workroom, asked: &Asked) -> Result<Page, Refusal> {
    let find = asked.get("find").map(String::as_str).unwrap_or_default();
    let words: Vec<String> = find.split_whitespace().map(String::from).collect();
    let answer = shelf_answer(&words);
    let hint = "A name, an INCI name, or words: humectant, lactic, citrus.";
    let search = Find { address: "/shelf", key: "find", asked: find, hint };
    let body = html! {
        (search.markup())
        @if answer.asked.is_empty() { (files(&answer)) }
        @else if answer.known.is_empty() && answer.found.is_empty() { (nothing(&answer, find)) }
        @for known in &answer.known { (entry(known)) }
        @if !answer.found.is_empty() { (found(&answer)) }
        p.soft { "Shelf of " (answer.edition) ". What it says has its source beside it; your own supplier's papers come first." }
    };
    Ok(Page { here: "/shelf", ..Page::new("Shelf", "shelf", body) })
}

fn files(answer: &ShelfJson) -> Markup {
    html! {
        section aria-labelledby="files" {
            h2 id="files" { "What is on it" }
            div.scroll { table {
                thead { tr { th scope="col" { "File" } th scope="col" { "About" } th.figure scope="col" { "Materials" } th.figure scope="col" { "Substances" } } }
                tbody {
                    @for file in &answer.files {
                        tr { th scope="row" { (file.file) } td { (file.about) } td.figure { (file.materials) } td.figure { (file.substances) } }
                    }
                }
            } }
        }
    }
}

fn nothing(answer: &ShelfJson, find: &str) -> Markup {
    html! {
        p role="status" {
            "The shelf has nothing under " (named(find)) "."
            @if !answer.nearest.is_empty() { " Did you mean " (links(&answer.nearest)) "?" }
        }
    }
}

/// Names as links to what the shelf knows of them.
fn links(names: &[String]) -> Markup {
    html! { @for (at, name) in names.iter().enumerate() { @if at > 0 { ", " } a href=(address::shelf(name)) { (name) } } }
}

fn entry(known: &KnownJson) -> Markup {
    html! {
        section.card aria-label=(known.name) {
            h2 { (known.title.as_deref().unwrap_or(&known.name)) }
            p.soft { code { (known.name) } ", " (known.kind) ", in " code { (known.file) } }
            div.scroll { table {
                thead { tr { th scope="col" { "What" } th scope="col" { "Says" } th scope="col" { "Source" } } }
                tbody { @for fact in &known.facts { (fact_row(fact)) } }
            } }
            @if let Some(held_by) = known.held_by.as_ref().filter(|held_by| !held_by.is_empty()) {
                p { "In: " (links(held_by)) }
            }
            @if let Some(stand_ins) = known.stand_ins.as_ref().filter(|stand_ins| !stand_ins.is_empty()) {
                h3 { "What could stand in" }
                ul { @for stand_in in stand_ins { (stand_in_item(stand_in)) } }
                @if let Some(more) = known.more_stand_ins.filter(|more| *more > 0) { p.soft { "And " (more) " more." } }
            }
        }
    }
}

fn fact_row(fact: &FactJson) -> Markup {
    html! {
        tr {
            th scope="row" { (fact.about) }
            td { (fact.says) }
            td { @match &fact.source { Some(source) => (source_link(source)), None => "" } }
        }
    }
}

/// A source: a link where it is an address. It opens in a window of its own, and is not fetched by itself.
fn source_link(source: &str) -> Markup {
    let is_address = source.starts_with("https://") || source.starts_with("http://");
    let is_one = is_address && !source.contains(char::is_whitespace);
    html! { @if is_one { a href=(source) target="_blank" rel="noreferrer noopener" { (source) } } @else { (source) } }
}

fn stand_in_item(stand_in: &StandInJson) -> Markup {
    html! {
        li {
            a href=(address::shelf(&stand_in.name)) { (stand_in.title.as_deref().unwrap_or(&stand_in.name)) }
            ": " (prose(&stand_in.why))
            @if !stand_in.changes.is_empty() {
                ul {
                    @for change in &stand_in.changes {
                        li {
                            (change.about) ": "
                            @match (&change.from, &change.to) {
                                (Some(from), Some(to)) => { (from) " becomes " (to) }
                                (Some(from), None) => { (from) " is gone" }
                                (None, Some(to)) => { (to) " is new" }
                                (None, None) => "",
                            }
                        }
                    }
                }
            }
        }
    }
}

fn found(answer: &ShelfJson) -> Markup {
    html! {
        section aria-labelledby="found" {
            h2 id="found" { "Found" }
            div.scroll { table {
                thead { tr { th scope="col" { "Name" } th scope="col" { "Title" } th scope="col" { "Kind" } th scope="col" { "File" } } }
                tbody {
                    @for one in &answer.found {
                        tr {
                            th scope="row" { a href=(address::shelf(&one.name)) { (one.name) } }
                            td { (one.title.as_deref().unwrap_or_default()) }
                            td { (one.kind) }
                            td { (one.file) }
                        }
                    }
                }
            } }
        }
    }
}
