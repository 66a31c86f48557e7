//! The workroom: formulas with their state, batches under way and what each waits for, what is planned and missing.

use crate::diagnostic::FileId;
use crate::model::DeclId;
use crate::page::{Addresses, WorkroomRegions};
use crate::server::address;
use crate::server::answer::Page;
use crate::server::pages::versions::UNKEPT;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::scan;
use crate::server::workroom::Workroom;
use crate::session::Session;
use crate::sheet::BatchOrder;
use crate::workspace::Repository;
use maud::{Markup, html};

/// The page.
pub fn show(workroom: &Workroom, _: &Asked) -> Result<Page, Refusal> {
    let body = workroom.saved(|session| {
        let report = session.check(&BatchOrder::default());
        let addresses = Served { workroom, session };
        let regions = WorkroomRegions { session, report: &report, addresses: &addresses };
        html! {
            p.row {
                a.button.first href="/new" { "New formula" }
            }
            (regions.unread())
            (regions.formulas())
            (regions.under_way())
            (regions.planned(&html! { p { a href="/store" { "What to buy, and what is on hand" } } }))
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
        Some(if kind == "batch" { address::batch(&file, name) } else { address::formula(&file, name) })
    }

    fn file(&self, file: FileId) -> Option<String> {
        self.workroom.name_of(&self.session.sources().home(file)?.absolute)
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
