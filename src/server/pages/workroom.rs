//! The workroom: formulas with their state, batches under way and what each waits for, what is planned and missing.

use crate::batch::View;
use crate::batch::trail::Record;
use crate::diagnostic::FileId;
use crate::page::{named, prose};
use crate::render::{BenchJson, BuyJson, Summary, WeighedPlans};
use crate::server::address;
use crate::server::answer::Page;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::scan;
use crate::server::workroom::Workroom;
use crate::session::{FormulaReport, Report, Session};
use crate::sheet::BatchOrder;
use crate::store::StoreRoom;
use maud::{Markup, html};

/// The page.
pub fn show(workroom: &Workroom, _: &Asked) -> Result<Page, Refusal> {
    let body = workroom.saved(|session| {
        let report = session.check(&BatchOrder::default());
        let of = Shown { workroom, session, report: &report };
        html! {
            p.row {
                a.button.first href="/new" { "New formula" }
            }
            (of.unread())
            (of.formulas())
            (of.under_way())
            (of.planned())
            (on_the_phone(workroom))
        }
    });
    Ok(Page { here: "/", scripts: &["watch.js", "fresh.js"], ..Page::new("Workroom", "workroom desk", body) })
}

/// The folder as it is shown.
struct Shown<'s> {
    workroom: &'s Workroom,
    session: &'s Session<'static>,
    report: &'s Report<'s>,
}

impl Shown<'_> {
    /// The name of a file in addresses; none where it lies outside.
    fn file(&self, file: FileId) -> Option<String> {
        self.workroom.name_of(&self.session.sources().home(file)?.absolute)
    }

    /// What cannot be opened.
    fn unread(&self) -> Markup {
        let failures = &self.session.loaded().failures;
        html! {
            @if !failures.is_empty() {
                ul.said {
                    @for failure in failures {
                        li.error { (prose(&format!("`{}` cannot be opened: {}.", failure.path, failure.reason))) }
                    }
                }
            }
        }
    }

    fn formulas(&self) -> Markup {
        let all = &self.report.formulas;
        html! {
            section aria-labelledby="formulas" {
                h2 id="formulas" { "Formulas" }
                @if all.is_empty() { p { "There is no formula in this folder yet." } }
                @else {
                    div.scroll { table {
                        thead { tr { th scope="col" { "Formula" } th scope="col" { "State" } th scope="col" { "Version" } th scope="col" { "pH" } th scope="col" { "File" } } }
                        tbody { @for found in all { (self.formula(found)) } }
                    } }
                }
            }
        }
    }

    fn formula(&self, found: &FormulaReport) -> Markup {
        let formula = &found.formula;
        let title = formula.title.as_deref().unwrap_or(&formula.name);
        let file = self.file(formula.id.file);
        let state = state(found);
        html! {
            tr {
                th scope="row" {
                    @match &file {
                        Some(file) => a href=(address::formula(file, &formula.name)) { (named(title)) },
                        None => (named(title)),
                    }
                }
                td { (state) }
                td { (named(formula.version.as_deref().unwrap_or_default())) }
                td { (formula.window.as_ref().map(|window| window.words()).unwrap_or_default()) }
                td.soft { (named(file.as_deref().unwrap_or_default())) }
            }
        }
    }

    fn under_way(&self) -> Markup {
        let resolver = &self.report.resolver;
        let sources = self.session.sources();
        let all = sources.files.iter().filter(|source| source.named).flat_map(|source| resolver.batches_of(source));
        let records = all.map(|batch| Record { batch, file: String::new() });
        let open: Vec<Record> = records.filter(|record| matches!(record.standing(), "open" | "filled")).collect();
        html! {
            section aria-labelledby="under-way" {
                h2 id="under-way" { "Batches under way" }
                @if open.is_empty() { p { "No batch is under way." } }
                @else { ul { @for record in &open { li { (self.batch(record)) } } } }
            }
        }
    }

    /// A batch, and what it waits for.
    fn batch(&self, record: &Record) -> Markup {
        let batch = &record.batch;
        let view = View::with(&self.report.resolver, batch, None, self.report.unfit(batch));
        let waits = match &view {
            Some(view) => BenchJson::new(batch, view, Vec::new()).next_line(),
            None => "It cannot be held against its formula: open it to see why.".to_string(),
        };
        let formula = batch.formula.as_ref().map(|formula| formula.text.as_str());
        html! {
            @match self.file(batch.id.file) {
                Some(file) => a href=(address::batch(&file, &batch.name)) { (named(&batch.name)) },
                None => (named(&batch.name)),
            }
            @if let Some(formula) = formula { " of " (named(formula)) }
            ". " (prose(&waits))
        }
    }

    fn planned(&self) -> Markup {
        let planned = self.report.resolver.planned();
        if planned.is_empty() {
            return html! {
                section aria-labelledby="planned" {
                    h2 id="planned" { "Planned" }
                    p { (prose("Nothing is planned. Write what is to be made at the end of a file: `planned NAME 24 x 30 mL`.")) }
                }
            };
        }
        let mut left_out = Vec::new();
        let room = StoreRoom::of_files(&self.report.resolver, None, &mut left_out);
        let weighed = WeighedPlans::of(self.session, self.report, planned);
        let buy = BuyJson::for_plans(self.report, &room, &weighed, None, left_out.is_empty());
        let missing: Vec<(&str, &str)> = buy
            .figures
            .iter()
            .zip(&buy.rows)
            .filter(|(_, row)| row.short_exact != "0")
            .map(|(figures, _)| (figures.what.as_str(), figures.short.as_str()))
            .collect();
        html! {
            section aria-labelledby="planned" {
                h2 id="planned" { "Planned" }
                ul { @for planned in &buy.planned { li { (named(&planned.formula)) " " (named(&planned.makes)) } } }
                @if missing.is_empty() { p { "All that is known to be needed is on hand." } }
                @else {
                    h3 { "Missing" }
                    ul { @for (what, short) in &missing { li { (named(what)) ", " (short) } } }
                }
                @if !buy.to_make.is_empty() {
                    h3 { "To make first" }
                    ul { @for make in &buy.to_make { li { (named(&make.premix)) ", " (make.amount) } } }
                }
                @if !buy.notes.is_empty() { ul.said { @for note in &buy.notes { li { (prose(note)) } } } }
                p { a href="/store" { "What to buy, and what is on hand" } }
            }
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

/// Whether a formula can be weighed, and how many faults it has.
fn state(found: &FormulaReport) -> String {
    let words = Summary::of(&found.diagnostics).words();
    match (found.is_blocked(), words.is_empty()) {
        (true, _) => format!("Cannot be weighed: {words}"),
        (false, true) => "Nothing to mend".to_string(),
        (false, false) => format!("Can be weighed: {words}"),
    }
}
