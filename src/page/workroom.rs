//! The workroom at a glance: formulas with their state, batches under way and what each waits for, what is planned and
//! missing.

use super::shell::{named, prose};
use crate::batch::View;
use crate::batch::trail::Record;
use crate::diagnostic::{FileId, Span};
use crate::model::{Batch, DeclId, Happened, Planned};
use crate::render::{BenchJson, BuyJson, NotReadJson, Summary, WeighedPlans};
use crate::session::{FormulaReport, Report, Session};
use crate::store::StoreRoom;
use crate::syntax::tree::Item;
use crate::workspace::Source;
use maud::{Markup, html};

/// So many letters are shown of a text that cannot be read.
const BEGINS: usize = 60;

/// Where the pages of things are; none of what has no page.
pub trait Addresses {
    /// The page of a formula.
    fn formula(&self, id: DeclId, name: &str) -> Option<String>;

    /// The page of a batch.
    fn batch(&self, id: DeclId, name: &str) -> Option<String>;

    /// A file, as it is told of.
    fn file(&self, file: FileId) -> Option<String>;

    /// The page of a text that cannot be read, by its beginning.
    fn unread(&self, _file: FileId, _text: &str) -> Option<String> {
        None
    }

    /// The page of something that is kept in the store room.
    fn kept(&self, _name: &str, _is_container: bool) -> Option<String> {
        None
    }
}

/// A name, and a link where there is a page of it.
#[must_use]
pub fn linked(address: Option<&str>, name: &str) -> Markup {
    html! { @match address { Some(address) => a href=(address) { (named(name)) }, None => (named(name)) } }
}

/// The workroom as it is shown.
pub struct WorkroomRegions<'s> {
    /// The files.
    pub session: &'s Session<'s>,
    /// What was found of them.
    pub report: &'s Report<'s>,
    /// Where the pages are.
    pub addresses: &'s dyn Addresses,
    /// The day by which the store room is reckoned; the last one that anything is told of, where there is none.
    pub today: Option<&'s str>,
}

impl WorkroomRegions<'_> {
    /// What cannot be opened, and what cannot be read of what can: it would be missed below.
    #[must_use]
    pub fn unread(&self) -> Markup {
        let failures = &self.session.loaded().failures;
        let broken: Vec<(&Source, Span)> = self.broken().collect();
        html! {
            @if !failures.is_empty() || !broken.is_empty() {
                ul.said aria-label="What cannot be read" {
                    @for (source, span) in &broken { (self.broken_text(source, *span)) }
                    @for failure in failures {
                        li.error { (prose(&format!("`{}` cannot be opened: {}.", failure.path, failure.reason))) }
                    }
                }
            }
        }
    }

    /// The declarations that did not parse, each by the text from where it begins.
    fn broken(&self) -> impl Iterator<Item = (&Source, Span)> {
        let named = self.session.sources().files.iter().filter(|source| source.named);
        named.flat_map(|source| {
            let spans = source
                .tree
                .items
                .iter()
                .filter_map(|item| if let Item::Broken(span) = item { Some(*span) } else { None });
            spans.map(move |span| (source, span))
        })
    }

    fn broken_text(&self, source: &Source, span: Span) -> Markup {
        let text = span.of(&source.text);
        let line = source.text.get(..span.start as usize).unwrap_or_default().matches('\n').count() + 1;
        let begins: String = text.lines().next().unwrap_or_default().chars().take(BEGINS).collect();
        let file = self.addresses.file(source.id).unwrap_or_default();
        let address = self.addresses.unread(source.id, text);
        html! {
            li.error {
                span.level { "Cannot be read" } ": " code { (named(begins.trim_end_matches(['{', ' ']))) } " in " (named(&file)) ", line " (line) ". "
                @if let Some(address) = address { a href=(address) { "What is wrong in " (named(begins.trim_end_matches(['{', ' ']))) } }
            }
        }
    }

    /// Each formula with its state.
    #[must_use]
    pub fn formulas(&self) -> Markup {
        let all = &self.report.formulas;
        html! {
            section aria-labelledby="formulas" {
                h2 id="formulas" { "Formulas" }
                @if all.is_empty() { p { "There is no formula in this folder yet." } }
                @else {
                    div.stacking { table.stacks role="table" aria-label="All formulas" {
                        thead role="rowgroup" { tr role="row" {
                            @for head in ["Formula", "State", "Version", "pH", "File"] { th scope="col" role="columnheader" { (head) } }
                        } }
                        tbody role="rowgroup" { @for found in all { (self.formula(found)) } }
                    } }
                }
            }
        }
    }

    fn formula(&self, found: &FormulaReport) -> Markup {
        let formula = &found.formula;
        let address = self.addresses.formula(formula.id, &formula.name);
        let file = self.addresses.file(formula.id.file);
        let window = formula.window.as_ref().map(|window| window.words());
        html! {
            tr role="row" {
                th scope="row" role="rowheader" { (linked(address.as_deref(), formula.title.as_deref().unwrap_or(&formula.name))) }
                td role="cell" data-label="State" { (formula_state(found)) }
                td role="cell" data-label=[formula.version.as_ref().map(|_| "Version")] { (named(formula.version.as_deref().unwrap_or_default())) }
                td role="cell" data-label=[window.as_ref().map(|_| "Window")] { (window.unwrap_or_default()) }
                td.soft role="cell" data-label=[file.as_ref().map(|_| "File")] { (named(file.as_deref().unwrap_or_default())) }
            }
        }
    }

    /// Each record of the files, those under way or those that are done.
    fn records(&self, is_done: bool) -> Vec<Record> {
        let resolver = &self.report.resolver;
        let sources = self.session.sources();
        let all = sources.files.iter().filter(|source| source.named).flat_map(|source| resolver.batches_of(source));
        let records = all.map(|batch| Record { batch, file: String::new() });
        records.filter(|record| matches!(record.standing(), "open" | "filled") != is_done).collect()
    }

    /// Each batch that is released or rejected, what was done last first; folded, as there are more of them each year. One
    /// that went out with an error open stands above them.
    #[must_use]
    pub fn finished(&self) -> Markup {
        let mut done = self.records(true);
        // Of the same day the one that stands further down was written later.
        done.reverse();
        done.sort_by(|one, other| last_day(&other.batch).cmp(&last_day(&one.batch)));
        let count = if done.len() == 1 { "1 batch".to_string() } else { format!("{} batches", done.len()) };
        let to_mend: Vec<&Record> = done.iter().filter(|record| self.is_out_with_an_error(&record.batch)).collect();
        html! {
            section aria-labelledby="finished" {
                h2 id="finished" { "Finished batches" }
                // What may have to be called back is not folded away.
                @if !to_mend.is_empty() {
                    ul.said { @for record in &to_mend { li.error { (self.batch(&record.batch)) } } }
                }
                @if done.is_empty() { p { "No batch is released or rejected yet." } }
                @else {
                    details {
                        summary { (count) ", the last first" }
                        ul { @for record in &done { li { (self.done(record)) } } }
                    }
                }
            }
        }
    }

    /// Whether a batch was released and an error of it is open.
    fn is_out_with_an_error(&self, batch: &Batch) -> bool {
        let is_rejected = batch.events.iter().any(|event| matches!(event.what, Happened::Rejected(_)));
        !is_rejected && self.report.unfit(batch).is_some()
    }

    /// A batch that is done: what became of it, and when.
    fn done(&self, record: &Record) -> Markup {
        let batch = &record.batch;
        let address = self.addresses.batch(batch.id, &batch.name);
        let formula = batch.formula.as_ref().map(|formula| formula.text.as_str());
        let is_sold = batch.events.iter().any(|event| matches!(event.what, Happened::Sold(..)));
        html! {
            (linked(address.as_deref(), &batch.name))
            @if let Some(formula) = formula { " of " (named(formula)) }
            ", " (record.standing()) @if is_sold { " and sold" }
            @if let Some(day) = last_day(batch) { ", " (day) }
        }
    }

    /// Each batch that is begun and not released, and what it waits for.
    #[must_use]
    pub fn under_way(&self) -> Markup {
        let open = self.records(false);
        html! {
            section aria-labelledby="under-way" {
                h2 id="under-way" { "Batches under way" }
                @if open.is_empty() { p { "No batch is under way." } }
                @else { ul { @for record in &open { li { (self.batch(&record.batch)) } } } }
            }
        }
    }

    /// A batch, and what it waits for.
    fn batch(&self, batch: &Batch) -> Markup {
        let address = self.addresses.batch(batch.id, &batch.name);
        let formula = batch.formula.as_ref().map(|formula| formula.text.as_str());
        html! {
            (linked(address.as_deref(), &batch.name))
            @if let Some(formula) = formula { " of " (named(formula)) }
            ". " (prose(&waits_for(self.report, batch)))
        }
    }

    /// What is planned, and what is missing for it; `after` stands below it.
    #[must_use]
    pub fn planned(&self, after: &Markup) -> Markup {
        let planned = self.report.resolver.planned();
        html! {
            section aria-labelledby="planned" {
                h2 id="planned" { "Planned" }
                @if planned.is_empty() {
                    p { (prose("Nothing is planned. Write what is to be made at the end of a file: `planned NAME 24 x 30 mL`.")) }
                } @else { (self.to_be_made(planned)) (after) }
            }
        }
    }

    fn to_be_made(&self, planned: Vec<Planned>) -> Markup {
        let mut left_out = Vec::new();
        let room = StoreRoom::of_files(&self.report.resolver, self.today, &mut left_out);
        let pages: Vec<Option<String>> =
            planned.iter().map(|one| self.addresses.formula(one.formula, &one.name)).collect();
        let weighed = WeighedPlans::of(self.session, self.report, planned);
        let buy = BuyJson::for_plans(self.report, &room, &weighed, None, left_out.is_empty());
        let missing: Vec<_> =
            buy.figures.iter().zip(&buy.rows).filter(|(_, row)| row.short_exact != "0").map(|(of, _)| of).collect();
        let page = |name: &str, kind: &str| self.addresses.kept(name, kind == "container");
        html! {
            ul { @for (planned, page) in buy.planned.iter().zip(&pages) {
                li { (linked(page.as_deref(), &planned.formula)) " " (named(&planned.makes)) }
            } }
            @if missing.is_empty() { p { "All that is known to be needed is on hand." } }
            @else {
                h3 { "Missing" }
                ul { @for of in &missing { li { (linked(page(&of.what, &of.kind).as_deref(), &of.what)) ", " (of.short) } } }
            }
            @if !buy.to_make.is_empty() {
                h3 { "To make first" }
                ul { @for make in &buy.to_make { li { (linked(page(&make.premix, "").as_deref(), &make.premix)) ", " (make.amount) } } }
            }
            @if !buy.notes.is_empty() { ul.said { @for note in &buy.notes { li { (prose(note)) } } } }
        }
    }
}

/// The last day that a record tells of.
fn last_day(batch: &Batch) -> Option<&str> {
    batch.events.iter().filter_map(|event| event.on.as_deref()).chain(batch.started.as_deref()).max()
}

/// Whether a formula can be weighed, and how many faults it has.
#[must_use]
pub fn formula_state(found: &FormulaReport) -> String {
    let words = Summary::of(&found.diagnostics).words();
    match (found.is_blocked(), words.is_empty()) {
        (true, _) => format!("Cannot be weighed: {words}"),
        (false, true) => "Nothing to mend".to_string(),
        (false, false) => format!("Can be weighed: {words}"),
    }
}

/// What a batch waits for.
#[must_use]
pub fn waits_for(report: &Report<'_>, batch: &Batch) -> String {
    match View::with(&report.resolver, batch, None, report.unfit(batch)) {
        Some(view) => BenchJson::new(batch, &view, Vec::new()).next_line(),
        None => "It cannot be held against its formula: its page says why.".to_string(),
    }
}

/// What could not be read: something may be missing for it.
#[must_use]
pub fn not_read(left_out: &[NotReadJson]) -> Markup {
    html! {
        @if !left_out.is_empty() {
            ul.said {
                @for of in left_out { li.warning { (prose(&of.words())) } }
                li.warning { "Not everything could be read, so something may be missing here." }
            }
        }
    }
}
