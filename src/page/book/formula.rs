//! The page of a formula: what is wrong with it, its sheet, pH, label and cost, its versions and its batches.

use super::{Book, BookPage};
use crate::batch::trail::Record;
use crate::page::formula::FormulaResults;
use crate::page::workroom::{Addresses as _, formula_state, linked};
use crate::page::{named, prose};
use crate::render::DiagnosticJson;
use crate::session::FormulaReport;
use maud::{Markup, html};

/// What helps where the weights are not known.
const UNWEIGHED: &str = "It cannot be weighed yet: it does not say how much it makes, as `makes 100 g`.";

impl Book<'_> {
    /// The page of a formula.
    pub(super) fn formula_page(&self, found: &FormulaReport) -> Option<BookPage> {
        let formula = &found.formula;
        let file = self.files.formulas.get(&formula.id)?;
        let of = FormulaResults { sources: self.session.sources(), report: self.report, found, order: &self.order };
        let version = formula.version.as_ref().map(|version| format!(", version {version}")).unwrap_or_default();
        let lead = html! {
            p { code { (named(&formula.name)) } (named(&version)) ", in " (named(&self.session.sources().path(formula.id.file))) }
            p { (formula_state(found)) }
        };
        let faults = faults(&DiagnosticJson::all(self.session.sources(), &found.diagnostics));
        let parts = [
            ("faults", "Faults", faults),
            ("sheet", "Sheet", Some(html! { (of.sheet(UNWEIGHED)) (self.made_of(found)) })),
            ("ph", "pH", Some(of.ph())),
            ("label", "Label", Some(of.label())),
            ("cost", "Cost", Some(of.cost())),
            ("versions", "Versions", Some(self.versions_of(found))),
            ("batches", "Batches", Some(self.batches_of(found))),
        ];
        let body = parts_of_page(parts);
        Some(self.page(file, "book-page formula", formula.title.as_deref().unwrap_or(&formula.name), lead, body))
    }

    /// Where each material of a formula is looked up.
    fn made_of(&self, found: &FormulaReport) -> Markup {
        let mut names: Vec<&str> = Vec::new();
        for line in &found.formula.lines {
            if !names.contains(&line.name.as_str()) {
                names.push(&line.name);
            }
        }
        let called = |name: &str| found.formula.lines.iter().find(|line| line.name == name);
        html! {
            @if !names.is_empty() {
                h3 { "Its materials" }
                ul.chips {
                    @for name in names {
                        @let title = called(name).and_then(|line| line.material.as_ref()).and_then(|of| of.title());
                        li { (linked(self.kept(name, false).as_deref(), title.unwrap_or(name))) }
                    }
                }
            }
        }
    }

    /// The batches of a formula.
    fn batches_of(&self, found: &FormulaReport) -> Markup {
        let is_own =
            |record: &&Record| self.formula_of(&record.batch).is_some_and(|of| of.formula.id == found.formula.id);
        let own: Vec<&Record> = self.records.all.iter().filter(is_own).collect();
        html! {
            @if own.is_empty() { p.none { "No batch of it is recorded." } }
            @else { (self.batch_table(&own, "Its batches")) }
        }
    }
}

/// The parts of a page, each a region, and a line that leads to each.
pub(super) fn parts_of_page<const N: usize>(parts: [(&str, &str, Option<Markup>); N]) -> Markup {
    let there: Vec<_> = parts.into_iter().filter_map(|(id, words, body)| Some((id, words, body?))).collect();
    html! {
        nav.parts aria-label="On this page" { ul { @for (id, words, _) in &there { li { a href={ "#" (id) } { (words) } } } } }
        div.parts-of-page {
            @for (id, words, body) in &there {
                section.card.part aria-labelledby=(id) { h2 id=(id) { (words) } (body) }
            }
        }
    }
}

/// What is wrong with a formula; none where nothing is.
pub(super) fn faults(all: &[DiagnosticJson]) -> Option<Markup> {
    (!all.is_empty()).then(|| {
        html! {
            ul.said {
                @for fault in all {
                    li class=(fault.level) {
                        span.level { (fault.level) } " "
                        span.place { code { (fault.code) } @if let Some(file) = &fault.file { ", " (named(file)) ", line " (fault.line) } } " "
                        (prose(&fault.message))
                        @if let Some(help) = &fault.help { span.help { (prose(help)) } }
                    }
                }
            }
        }
    })
}
