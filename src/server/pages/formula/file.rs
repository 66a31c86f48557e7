//! The page of a whole file, whatever stands in it: materials, prices, stock, records. Its text, what is wrong with it, and the
//! ways to what it has. `/text/FILE`.

use super::body::FormulaState;
use super::parts::{conflict, faults, keeping, writing};
use super::versions::VersionsKept;
use crate::page::{data, named, prose};
use crate::server::address;
use crate::server::answer::Page;
use crate::server::holds::Holds;
use crate::server::inside::Inside;
use crate::server::live::as_in_a_field;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use maud::{Markup, html};

/// The page of a file.
///
/// # Errors
/// What is no `.still` file of the folder, or cannot be read.
pub fn show(workroom: &Workroom, file: &str, _: &Asked) -> Result<Page, Refusal> {
    let file = workroom.inside(file)?;
    let found = workroom.read(&file)?;
    let kept = VersionsKept::of(&file, &address::text(file.name()));
    let holds = workroom.saved(|session| {
        let source = session.sources().files.iter().find(|source| source.absolute == file.path());
        source.map(Holds::of).unwrap_or_default()
    });
    let state = FormulaState { file: file.name(), name: "", version: found.version.digits() };
    let body = html! {
        link rel="stylesheet" href="/assets/formula.css";
        (data("formula-state", &state))
        noscript { p .said .warning { "This page saves nothing without scripts: allow them for it, or write in an editor." } }
        div .formula-page {
            div .writing {
                (writing("Text", &as_in_a_field(&found.text)))
                (keeping(&html! {}, kept.are_kept()))
                (faults())
            }
            div .following { (in_it(&file, &holds)) (versions(&kept)) }
        }
        (conflict())
    };
    let mut page = Page::new(file.name(), "formula file desk", body);
    page.scripts = &["formula.js"];
    page.version = Some(found.version);
    Ok(page)
}

/// What stands in the file as it is saved; a formula and a batch have pages of their own.
fn in_it(file: &Inside, holds: &Holds) -> Markup {
    let formulas = holds.formulas.iter().map(|name| (address::formula(file.name(), name), name));
    let batches = holds.batches.iter().map(|name| (address::batch(file.name(), name), name));
    let all = [("Formulas", formulas.collect::<Vec<_>>()), ("Batches", batches.collect())];
    html! {
        section .card aria-labelledby="in-it" {
            h2 #in-it { "In this file" }
            p { (holds.words()) "." }
            @for (title, links) in all.iter().filter(|(_, links)| !links.is_empty()) {
                h3 { (title) }
                ul { @for (address, name) in links { li { a href=(address) { (named(name)) } } } }
            }
        }
    }
}

fn versions(kept: &VersionsKept) -> Markup {
    html! {
        @if let Some(why) = &kept.why_not {
            section .card aria-labelledby="versions-title" {
                h2 #versions-title { "Versions" }
                p { (prose(why)) }
                @if let Some(begin) = &kept.begin { p { a .button href=(begin) { "Begin keeping versions" } } }
            }
        }
    }
}
