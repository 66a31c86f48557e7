//! The workroom: formulas with their state, batches under way and what each waits for, what is planned and missing.

use crate::diagnostic::{Diagnostic, FileId};
use crate::model::DeclId;
use crate::page::{Addresses, WorkroomRegions, named};
use crate::render::Summary;
use crate::server::address;
use crate::server::answer::Page;
use crate::server::holds::Holds;
use crate::server::pages::versions::UNKEPT;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::scan;
use crate::server::workroom::Workroom;
use crate::session::{Report, Session};
use crate::sheet::BatchOrder;
use crate::workspace::Repository;
use maud::{Markup, html};
use std::collections::BTreeMap;

/// The page.
pub fn show(workroom: &Workroom, _: &Asked) -> Result<Page, Refusal> {
    let today = workroom.now().day;
    let body = workroom.saved(|session| {
        let report = session.check(&BatchOrder::default());
        let addresses = Served { workroom, session };
        let regions = WorkroomRegions { session, report: &report, addresses: &addresses, today: Some(&today) };
        html! {
            p.row {
                a.button.first href="/new" { "New formula" }
            }
            (regions.unread())
            (regions.formulas())
            (regions.under_way())
            (regions.finished())
            (regions.planned(&html! { p { a href="/store" { "What to buy, and what is on hand" } } }))
            (files(workroom, session, &report))
            (to_keep(workroom))
            (on_the_phone(workroom))
        }
    });
    Ok(Page { here: "/", scripts: &["watch.js", "fresh.js"], ..Page::new("Workroom", "workroom desk", body) })
}

/// Where the pages of the folder are; none of a file that lies outside.
struct Served<'s> {
    workroom: &'s Workroom,
    session: &'s Session<'static>,
}

impl Addresses for Served<'_> {
    fn formula(&self, id: DeclId, name: &str) -> Option<String> {
        Some(address::formula(&self.file(id.file)?, name))
    }

    fn batch(&self, id: DeclId, name: &str) -> Option<String> {
        Some(address::batch(&self.file(id.file)?, name))
    }

    fn unread(&self, file: FileId, text: &str) -> Option<String> {
        let file = self.file(file)?;
        let mut words =
            text.split(|letter: char| letter.is_whitespace() || letter == '{').filter(|word| !word.is_empty());
        let (kind, name) = (words.next().unwrap_or_default(), words.next().unwrap_or("text"));
        Some(match kind {
            "batch" => address::batch(&file, name),
            "formula" | "variant" => address::formula(&file, name),
            _ => address::text(&file),
        })
    }

    fn file(&self, file: FileId) -> Option<String> {
        self.workroom.name_of(&self.session.sources().home(file)?.absolute)
    }
}

/// Each file of the folder with what stands in it: not everything that is written has a formula.
fn files(workroom: &Workroom, session: &Session<'static>, report: &Report<'_>) -> Markup {
    let mut faults: BTreeMap<FileId, Vec<Diagnostic>> = BTreeMap::new();
    for fault in report.diagnostics.iter() {
        faults.entry(fault.primary.place.file).or_default().push(fault.clone());
    }
    // What is no error is told of each formula: of the same file another formula may be told more.
    let errors = |file: FileId| faults.get(&file).map_or(0, |faults| Summary::of(faults).errors);
    let state = |file: FileId| match errors(file) {
        0 => "No error".to_string(),
        1 => "1 error".to_string(),
        several => format!("{several} errors"),
    };
    let named_files = session.sources().files.iter().filter(|source| source.named && source.readable);
    let all: Vec<_> =
        named_files.filter_map(|source| workroom.name_of(&source.absolute).map(|name| (name, source))).collect();
    html! {
        @if !all.is_empty() {
            section aria-labelledby="files" {
                h2 id="files" { "Files" }
                div.stacking { table.stacks role="table" {
                    thead role="rowgroup" { tr role="row" {
                        @for words in ["File", "In it", "State"] { th scope="col" role="columnheader" { (words) } }
                    } }
                    tbody role="rowgroup" { @for (name, source) in &all {
                        tr role="row" {
                            th scope="row" role="rowheader" { a href=(address::text(name)) { (named(name)) } }
                            td role="cell" data-label="In it" { (Holds::of(source).words()) }
                            td role="cell" data-label="State" { (state(source.id)) }
                        }
                    } }
                } }
            }
        }
    }
}

/// What is kept beside the files: versions, and a book to take away.
fn to_keep(workroom: &Workroom) -> Markup {
    let is_unkept = matches!(Repository::of(workroom.folder()), Ok(None));
    html! {
        @if is_unkept {
            section aria-labelledby="versions" {
                h2 id="versions" { "Versions" }
                p { (UNKEPT) }
                p { a.button href=(address::begin_versions("/")) { "Begin keeping versions" } }
            }
        }
        section aria-labelledby="book" {
            h2 id="book" { "Book" }
            p { "Every formula, batch and material as pages to read, without this program and without a network. It is one "
                "packed file: unpack it where you want it, and open " code { "index.html" } " in its folder." }
            p { a.button href=(address::BOOK) { "Download the book" } }
        }
    }
}

/// How a phone in the same network comes in, where that was asked for.
fn on_the_phone(workroom: &Workroom) -> Markup {
    html! {
        @if let Some(link) = workroom.lan() {
            section aria-labelledby="phone" {
                h2 id="phone" { "On a phone in the same network" }
                (scan::drawn(link))
                p { "Scan this with the phone's camera, or type " code { (link) } }
                p.soft { (scan::MEANS) }
            }
        }
    }
}
