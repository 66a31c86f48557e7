//! A book: a folder of pages that are read from the disk. Every formula with what it comes to, its versions and its
//! batches; every material with where it is used, its lots and what is on hand; and a first page that finds them all.

mod batch;
mod formula;
mod index;
mod material;
mod names;
mod versions;

pub use versions::BookVersions;

use super::shell::{Page, Place, document};
use super::workroom::Addresses;
use crate::batch::trail::Records;
use crate::diagnostic::FileId;
use crate::model::{Batch, DeclId, Formula, LineMaterial, Material};
use crate::render::{NotReadJson, StockJson, StockThingJson};
use crate::resolve::NameSet;
use crate::session::{FormulaReport, Report, Session};
use crate::sheet::BatchOrder;
use crate::store::StoreRoom;
use maud::{Markup, html};
use names::FileNames;
use rayon::prelude::*;
use smol_str::SmolStr;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The first page.
const FIRST: &str = "index.html";

/// What stands at the end of each page, by which a book knows its own.
const MARK: &str = "<!-- A page of a book: `stillroom book` writes it anew. -->\n";

/// Whether a file is a page that a book was written as.
#[must_use]
pub fn is_page_of_a_book(text: &[u8]) -> bool {
    text.ends_with(MARK.as_bytes())
}

/// A page of a book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BookPage {
    /// Its file in the folder of the book: small letters, digits and hyphens, and `.html`.
    pub name: String,
    /// The page.
    pub text: String,
}

/// Something that is weighed or filled, by its name, and whether it is a container.
type Kept = (bool, SmolStr);

/// A line that a thing is used in: the number of its formula in the report, and that of the line.
type UsedAt = (usize, usize);

/// All that a book shows.
pub struct Book<'s> {
    session: &'s Session<'s>,
    report: &'s Report<'s>,
    versions: &'s BookVersions,
    order: BatchOrder,
    records: Records,
    stock: StockJson,
    uses: BTreeMap<Kept, Vec<UsedAt>>,
    files: Files,
}

/// The file of each page.
#[derive(Debug, Default)]
struct Files {
    formulas: BTreeMap<DeclId, String>,
    batches: BTreeMap<DeclId, String>,
    kept: BTreeMap<Kept, String>,
}

impl<'s> Book<'s> {
    /// Gathers the book of a session. `report` keeps what is foreseen.
    #[must_use]
    pub fn of(session: &'s Session<'s>, report: &'s Report<'s>, versions: &'s BookVersions) -> Book<'s> {
        let records = Records::of_files(session.loaded(), &mut Vec::new());
        let mut left_out = Vec::new();
        crate::store::make_formulas(&report.resolver);
        let room = StoreRoom::of_files(&report.resolver, None, &mut left_out);
        let stock = StockJson::new(session.sources(), &room, &left_out, &|_| true);
        let uses = uses(report, &stock);
        let files = Files::of(report, &records, &uses);
        Book { session, report, versions, order: BatchOrder::default(), records, stock, uses, files }
    }

    /// Every page, the first one last: it stands once all that it leads to does.
    #[must_use]
    pub fn pages(&self) -> Vec<BookPage> {
        let formulas = self.report.formulas.par_iter().filter_map(|found| self.formula_page(found));
        let batches = (0..self.records.all.len()).into_par_iter().filter_map(|number| self.batch_page(number));
        let kept = self.uses.par_iter().filter_map(|(kept, used)| self.kept_page(kept, used));
        let mut pages: Vec<BookPage> = formulas.collect();
        pages.extend(batches.collect::<Vec<_>>());
        pages.extend(kept.collect::<Vec<_>>());
        pages.push(self.first_page());
        pages
    }

    /// What could not be read, so that something may be missing.
    #[must_use]
    pub fn left_out(&self) -> &[NotReadJson] {
        &self.stock.not_read
    }

    /// A page of the book.
    fn page(&self, file: &str, class: &str, title: &str, lead: Markup, body: Markup) -> BookPage {
        let script = if file == FIRST { include_str!("../assets/book.js") } else { "" };
        let place = |words, address, is_here| Place { words, address, is_here };
        let places = [
            place("Book", FIRST, file == FIRST),
            place("Formulas", "index.html#formulas", false),
            place("Batches", "index.html#batches", false),
            place("Materials", "index.html#materials", false),
        ];
        let page = Page { title, class, lead, places: &places, body, foot: foot() };
        let styles = concat!(include_str!("../assets/formula-parts.css"), include_str!("../assets/book.css"));
        BookPage { name: file.to_string(), text: document(&page, styles, script) + MARK }
    }

    /// The thing of the store room, where it is kept.
    fn stocked(&self, kept: &Kept) -> Option<&StockThingJson> {
        self.stock.things.iter().find(|thing| is_of(thing, kept))
    }

    /// The formula of a batch, where it is one of the book.
    fn formula_of(&self, batch: &Batch) -> Option<&FormulaReport> {
        let name = batch.formula.as_ref()?;
        let id = self.report.resolver.scopes.find(batch.id.file, NameSet::Weighable, &name.text)?;
        self.report.formulas.iter().find(|found| found.formula.id == id)
    }

    /// A material by what a line of it says; none of a premix, a container, and what is not known.
    fn material(&self, used: &[UsedAt]) -> Option<&Arc<Material>> {
        let lines = used.iter().filter_map(|at| self.line(*at));
        lines.into_iter().find_map(|line| match &line.material {
            Some(LineMaterial::Material(material)) => Some(material),
            _ => None,
        })
    }

    /// A premix by what a line of it says.
    fn premix(&self, used: &[UsedAt]) -> Option<&Arc<Formula>> {
        let mut lines = used.iter().filter_map(|at| self.line(*at));
        lines.find_map(|line| match &line.material {
            Some(LineMaterial::Premix(premix)) => Some(premix),
            _ => None,
        })
    }

    fn line(&self, (formula, line): UsedAt) -> Option<&crate::model::Line> {
        self.report.formulas.get(formula)?.formula.lines.get(line)
    }

    /// What a thing is called.
    fn called<'a>(&'a self, kept: &'a Kept, used: &[UsedAt]) -> &'a str {
        let title = self.material(used).and_then(|material| material.title.as_deref());
        title.or_else(|| self.premix(used).and_then(|premix| premix.title.as_deref())).unwrap_or(&kept.1)
    }
}

impl Addresses for Book<'_> {
    fn formula(&self, id: DeclId, _: &str) -> Option<String> {
        self.files.formulas.get(&id).cloned()
    }

    fn batch(&self, id: DeclId, _: &str) -> Option<String> {
        self.files.batches.get(&id).cloned()
    }

    fn file(&self, file: FileId) -> Option<String> {
        Some(self.session.sources().path(file))
    }

    fn kept(&self, name: &str, is_container: bool) -> Option<String> {
        self.files.kept.get(&(is_container, SmolStr::new(name))).cloned()
    }
}

impl Files {
    fn of(report: &Report<'_>, records: &Records, uses: &BTreeMap<Kept, Vec<UsedAt>>) -> Files {
        let mut names = FileNames::default();
        let mut files = Files::default();
        for found in &report.formulas {
            files.formulas.insert(found.formula.id, names.give("formula", &found.formula.name));
        }
        for record in &records.all {
            files.batches.insert(record.batch.id, names.give("batch", &record.batch.name));
        }
        for kept in uses.keys() {
            let kind = if kept.0 { "container" } else { "material" };
            files.kept.insert(kept.clone(), names.give(kind, &kept.1));
        }
        files
    }
}

/// Everything that is weighed, filled or kept, with each line that it is used in.
fn uses(report: &Report<'_>, stock: &StockJson) -> BTreeMap<Kept, Vec<UsedAt>> {
    let mut uses: BTreeMap<Kept, Vec<UsedAt>> = BTreeMap::new();
    for thing in &stock.things {
        uses.entry((thing.kind == "container", SmolStr::new(&thing.name))).or_default();
    }
    for (number, found) in report.formulas.iter().enumerate() {
        for packing in &found.formula.selling.packed_in {
            uses.entry((true, packing.name.clone())).or_default();
        }
        for (at, line) in found.formula.lines.iter().enumerate() {
            if line.material.is_some() {
                uses.entry((false, line.name.clone())).or_default().push((number, at));
            }
        }
    }
    uses
}

fn is_of(thing: &StockThingJson, (is_container, name): &Kept) -> bool {
    (thing.kind == "container") == *is_container && thing.name == name.as_str()
}

fn foot() -> Markup {
    html! {
        "This book shows the files as they were when it was written. It is arithmetic: local law and a qualified safety "
        "assessor decide whether a product is safe and may be sold."
    }
}
