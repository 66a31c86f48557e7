//! The page of a batch: where it stands, its lots, what was weighed, and what happened in its order.

use super::formula::{faults, parts_of_page};
use super::{Book, BookPage};
use crate::batch::View;
use crate::batch::trail::Record;
use crate::model::Batch;
use crate::page::workroom::{Addresses as _, linked, waits_for};
use crate::page::{named, prose};
use crate::render::{DiagnosticJson, RecordJson, RecordLot, StruckJson};
use maud::{Markup, html};

impl Book<'_> {
    /// Batches as a table.
    pub(super) fn batch_table(&self, all: &[&Record], name: &str) -> Markup {
        html! {
            div.scroll tabindex="0" role="group" aria-label=(name) { table {
                thead { tr {
                    th scope="col" { "Batch" } th scope="col" { "Formula" } th scope="col" { "Stands" }
                    th scope="col" { "Begun" } th scope="col" { "Code" }
                } }
                tbody { @for record in all { (self.batch_row(record)) } }
            } }
        }
    }

    fn batch_row(&self, record: &Record) -> Markup {
        let batch = &record.batch;
        html! {
            tr {
                th scope="row" { (linked(self.batch(batch.id, &batch.name).as_deref(), &batch.name)) }
                td { (self.its_formula(batch)) }
                td { (record.standing()) }
                td.day { (batch.started.as_deref().unwrap_or("—")) }
                td { (named(&record.codes().join(", "))) }
            }
        }
    }

    /// The formula of a batch, with a link where it is one of the book.
    fn its_formula(&self, batch: &Batch) -> Markup {
        match (self.formula_of(batch), &batch.formula) {
            (Some(found), _) => {
                let formula = &found.formula;
                let address = self.formula(formula.id, &formula.name);
                linked(address.as_deref(), formula.title.as_deref().unwrap_or(&formula.name))
            }
            (None, Some(name)) => named(&name.text),
            (None, None) => html! { "—" },
        }
    }

    /// The page of a batch.
    pub(super) fn batch_page(&self, number: usize) -> Option<BookPage> {
        let record = self.records.all.get(number)?;
        let batch = &record.batch;
        let file = self.files.batches.get(&batch.id)?;
        let view = View::with(&self.report.resolver, batch, None, self.report.unfit(batch));
        let told: Vec<_> = self.report.of_batch(batch).cloned().collect();
        let deviations = DiagnosticJson::all(self.session.sources(), &told);
        let json = view.as_ref().map(|view| {
            let digest = view.setting.digest(&self.report.resolver, batch);
            RecordJson::new(batch, view, digest, deviations.clone())
        });
        let version = batch.version.as_ref().map(|version| format!(", version {}", version.text)).unwrap_or_default();
        let lead = html! {
            p { "Batch of " (self.its_formula(batch)) (named(&version)) ", in " (named(&self.session.sources().path(batch.id.file))) }
            p {
                (record.standing())
                @if let Some(day) = &batch.started { ", begun " (day) }
                @if !record.codes().is_empty() { ", code " (named(&record.codes().join(", "))) }
            }
        };
        let is_open = matches!(record.standing(), "open" | "filled");
        let parts = [
            ("next", "What it waits for", is_open.then(|| html! { p { (prose(&waits_for(self.report, batch))) } })),
            ("faults", "Faults", faults(&deviations)),
            ("weighed", "Weighed", json.as_ref().map(|json| self.weighed(json))),
            ("lots", "Lots", (!batch.lots.is_empty()).then(|| self.lots(batch, json.as_ref()))),
            ("happened", "What happened", Some(happened(batch, json.as_ref()))),
            ("made", "As made", json.as_ref().filter(|json| !json.as_made.is_empty()).map(as_made)),
        ];
        Some(self.page(file, "book-page batch", &format!("Batch {}", batch.name), lead, parts_of_page(parts)))
    }

    fn weighed(&self, json: &RecordJson) -> Markup {
        html! {
            div.scroll tabindex="0" role="group" aria-label="What was weighed" { table {
                thead { tr {
                    th scope="col" { "Material" } th.figure scope="col" { "Planned, g" } th.figure scope="col" { "± g" }
                    th.figure scope="col" { "Weighed, g" } th scope="col" { "By" }
                } }
                tbody { @for line in &json.lines { tr {
                    th scope="row" { (linked(self.kept(&line.material, false).as_deref(), &line.material)) }
                    td.figure { (line.planned_words()) }
                    td.figure { (line.allowed_g.as_deref().unwrap_or_default()) }
                    td.figure { (line.weighed_g.as_deref().unwrap_or("—")) }
                    td { (named(&line.by.join(", "))) }
                } } }
            } }
            @for said in json.remarks() { p { (prose(&said)) } }
        }
    }

    fn lots(&self, batch: &Batch, json: Option<&RecordJson>) -> Markup {
        let plain: Vec<RecordLot> = json.map_or_else(|| RecordLot::all(batch), |json| json.lots.clone());
        html! {
            div.scroll tabindex="0" role="group" aria-label="Its lots" { table {
                thead { tr { th scope="col" { "Material" } th scope="col" { "Lot" } th scope="col" { "Opened" } } }
                tbody { @for lot in &plain { tr {
                    th scope="row" { (linked(self.kept(&lot.material, false).as_deref(), &lot.material)) }
                    td { (named(&lot.words())) }
                    td.day { (lot.opened.as_deref().unwrap_or("—")) }
                } } }
            } }
        }
    }
}

/// All that happened: with its formula in the words of the record's document, else as it is written.
fn happened(batch: &Batch, json: Option<&RecordJson>) -> Markup {
    let struck = StruckJson::all(batch);
    let row = |what: &str, on: Option<&str>, at: Option<&str>, by: Option<&str>| {
        html! { tr { td { (named(what)) } td.day { (on.unwrap_or_default()) } td { (at.unwrap_or_default()) } td { (named(by.unwrap_or_default())) } } }
    };
    html! {
        @if batch.events.is_empty() { p.none { "Nothing is written down yet." } }
        @else {
            div.scroll tabindex="0" role="group" aria-label="What happened in its order" { table {
                thead { tr { th scope="col" { "What" } th scope="col" { "Day" } th scope="col" { "Hour" } th scope="col" { "By" } } }
                tbody {
                    @if let Some(json) = json {
                        @for of in &json.events { (row(&of.what, of.on.as_deref(), of.at.as_deref(), of.by.as_deref())) }
                    } @else {
                        @for of in &batch.events { (row(&of.said, of.on.as_deref(), of.at.as_deref(), of.by.as_deref())) }
                    }
                }
            } }
        }
        @if !struck.is_empty() { ul { @for of in &struck { li { (named(&of.words())) } } } }
    }
}

fn as_made(json: &RecordJson) -> Markup {
    html! {
        p.soft { "The target is without what was added to the pH." }
        div.scroll tabindex="0" role="group" aria-label="Each substance as made" { table {
            thead { tr { th scope="col" { "Substance" } th.figure scope="col" { "Target, %" } th.figure scope="col" { "Made, %" } } }
            tbody { @for of in &json.as_made { tr {
                th scope="row" { (named(&of.substance)) } td.figure { (of.target_percent) } td.figure { (of.made_percent) }
            } } }
        } }
    }
}
