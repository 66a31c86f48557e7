//! The first page: what finds every other, and the workroom at a glance.

use super::material::hand_words;
use super::{Book, BookPage, FIRST, Kept, UsedAt};
use crate::batch::trail::Record;
use crate::page::workroom::{Addresses as _, WorkroomRegions, formula_state, linked, not_read};
use crate::page::{data, prose};
use crate::render::shown;
use crate::session::FormulaReport;
use maud::{Markup, html};
use serde::Serialize;

/// What one page is found by.
#[derive(Serialize)]
struct Entry {
    /// What it is.
    kind: &'static str,
    /// What it is called.
    title: String,
    /// Where it is.
    address: String,
    /// What is said of it beside its name.
    note: String,
    /// All else that it is found by.
    words: String,
}

impl Book<'_> {
    /// The first page.
    pub(super) fn first_page(&self) -> BookPage {
        let regions = WorkroomRegions { session: self.session, report: self.report, addresses: self, today: None };
        let all: Vec<&Record> = self.records.all.iter().collect();
        let body = html! {
            (self.find())
            (not_read(&self.stock.not_read))
            div.beside.glance {
                div { (regions.formulas()) }
                div { (regions.under_way()) (regions.planned(&html! {})) }
            }
            section aria-labelledby="batches" {
                h2 id="batches" { "Batches" }
                @if all.is_empty() { p { "No batch is recorded." } } @else { (self.batch_table(&all, "All batches")) }
            }
            (self.materials())
            (data("entries", &self.entries()))
        };
        let [formulas, batches, kept] = [self.report.formulas.len(), all.len(), self.uses.len()];
        let lead = html! {
            p {
                (count(formulas, "formula", "formulas")) ", " (count(batches, "batch", "batches")) ", "
                (count(kept, "material or container", "materials and containers")) ". To read: nothing here writes anything."
            }
        };
        self.page(FIRST, "book-page first desk", "Book", lead, body)
    }

    /// The search: shown where its script runs, since it finds nothing without.
    fn find(&self) -> Markup {
        html! {
            div.find role="search" hidden {
                div.field {
                    label for="find" { "Find" }
                    input id="find" type="search" autocomplete="off" autocapitalize="off" spellcheck="false" aria-describedby="find-hint" aria-controls="found";
                    small id="find-hint" { "A formula, a material, its INCI name, a batch, a lot, the code on a jar. Enter opens the first." }
                }
                p role="status" id="found-count" {}
                ol.found id="found" {}
            }
        }
    }

    fn materials(&self) -> Markup {
        html! {
            section aria-labelledby="materials" {
                h2 id="materials" { "Materials" }
                @if !self.stock.notes.is_empty() { ul.said { @for note in &self.stock.notes { li { (prose(note)) } } } }
                @if self.uses.is_empty() { p { "Nothing is weighed or kept here." } }
                @else {
                    div.scroll tabindex="0" role="group" aria-label="All materials" { table {
                        thead { tr {
                            th scope="col" { "Material" } th scope="col" { "What it is" } th.figure scope="col" { "Used in" }
                            th.figure scope="col" { "On hand" } th.figure scope="col" { "Lots" }
                        } }
                        tbody { @for (kept, used) in &self.uses { (self.material_row(kept, used)) } }
                    } }
                }
            }
        }
    }

    fn material_row(&self, kept: &Kept, used: &[UsedAt]) -> Markup {
        let stock = self.stocked(kept);
        let lots = stock.map_or(0, |of| of.lots.iter().filter(|lot| lot.lot.is_some()).count());
        html! {
            tr {
                th scope="row" { (linked(self.kept(&kept.1, kept.0).as_deref(), self.called(kept, used))) }
                td { (self.kind(kept, used)) }
                td.figure { (if kept.0 { self.filled_into(kept) } else { formulas(used) }) }
                td.figure { (stock.map_or("—".to_string(), hand_words)) }
                td.figure { (lots) }
            }
        }
    }

    /// How many formulas are filled into a container.
    fn filled_into(&self, kept: &Kept) -> usize {
        let packed =
            |found: &&FormulaReport| found.formula.selling.packed_in.iter().any(|packing| packing.name == kept.1);
        self.report.formulas.iter().filter(packed).count()
    }

    /// What every page is found by.
    fn entries(&self) -> Vec<Entry> {
        let formulas = self.report.formulas.iter().filter_map(|found| self.formula_entry(found));
        let batches = self.records.all.iter().filter_map(|record| self.batch_entry(record));
        let kept = self.uses.iter().filter_map(|(kept, used)| self.kept_entry(kept, used));
        // Read by its script, a text comes out as it is: what is unseen in it is shown before.
        let fit = |of: Entry| Entry { title: shown(&of.title).into_owned(), note: shown(&of.note).into_owned(), ..of };
        formulas.chain(batches).chain(kept).map(fit).collect()
    }

    fn formula_entry(&self, found: &FormulaReport) -> Option<Entry> {
        let formula = &found.formula;
        let mut words = vec![formula.name.to_string(), self.session.sources().path(formula.id.file)];
        for line in &formula.lines {
            words.push(line.name.to_string());
            words.extend(line.material.as_ref().and_then(|of| of.title()).map(ToString::to_string));
        }
        Some(Entry {
            kind: "formula",
            title: formula.title.as_ref().unwrap_or(&formula.name).to_string(),
            address: self.formula(formula.id, &formula.name)?,
            note: formula_state(found),
            words: words.join(" "),
        })
    }

    fn batch_entry(&self, record: &Record) -> Option<Entry> {
        let batch = &record.batch;
        let formula = batch.formula.as_ref().map(|formula| formula.text.to_string()).unwrap_or_default();
        let title = self.formula_of(batch).and_then(|found| found.formula.title.as_ref()).map(ToString::to_string);
        let mut words: Vec<String> = record.codes().iter().map(ToString::to_string).collect();
        words.extend(batch.lots.iter().flat_map(|lot| [lot.code.to_string(), lot.material.text.to_string()]));
        words.extend(batch.started.as_ref().map(ToString::to_string));
        words.push(formula.clone());
        let of = title.unwrap_or(formula);
        Some(Entry {
            kind: "batch",
            title: batch.name.to_string(),
            address: self.batch(batch.id, &batch.name)?,
            note: format!("of {of}, {}", record.standing()),
            words: words.join(" ") + " " + &of,
        })
    }

    fn kept_entry(&self, kept: &Kept, used: &[UsedAt]) -> Option<Entry> {
        let stock = self.stocked(kept);
        let mut words = self.inci(used);
        words.push(kept.1.to_string());
        words.extend(self.material(used).into_iter().flat_map(|of| of.also.iter().map(ToString::to_string)));
        words.extend(stock.iter().flat_map(|of| &of.lots).filter_map(|lot| lot.lot.clone()));
        Some(Entry {
            kind: if kept.0 { "container" } else { "material" },
            title: self.called(kept, used).to_string(),
            address: self.kept(&kept.1, kept.0)?,
            note: stock.map_or_else(String::new, |of| format!("on hand: {}", hand_words(of))),
            words: words.join(" "),
        })
    }
}

/// How many formulas lines are of.
fn formulas(used: &[UsedAt]) -> usize {
    let mut numbers: Vec<usize> = used.iter().map(|at| at.0).collect();
    numbers.dedup();
    numbers.len()
}

fn count(number: usize, one: &str, several: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { several })
}
