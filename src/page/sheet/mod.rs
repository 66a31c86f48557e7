//! The batch sheet as a page in one file: to print, one side to work by and one to look up, or to carry on a phone, where
//! it is ticked and filled in, says what to add next, and hands the record out.

mod back;
mod bench;
mod composition;
mod doses;
mod fit;
mod front;

pub use bench::{BenchAdjust, BenchLine, SheetAct, SheetBench};
pub use composition::composition;
pub use doses::{AfterAdded, Dose, Doses};

use super::foreseen::PhDrawing;
use super::shell::{Page, data, document};
use crate::quantity::Exact;
use crate::render::{DEFERENCE, Sheet, shown_data};
use crate::resolve::Resolver;
use crate::session::FormulaReport;
use maud::{Markup, html};

/// A sheet with all that its page shows beside it.
#[derive(Clone, Debug)]
pub struct SheetPage {
    /// The sheet.
    pub sheet: Sheet,
    /// What its script goes by; none of a sheet that nothing is recorded of.
    pub bench: Option<SheetBench>,
    /// The curve; none where no dose is foreseen.
    pub drawing: Option<PhDrawing>,
}

impl SheetPage {
    /// The page of a sheet.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, report: &FormulaReport, sheet: Sheet) -> SheetPage {
        let batch = report.plan.as_ref().map_or(Exact::HUNDRED, |plan| plan.batch.clone());
        let outlook = report.outlook(resolver);
        SheetPage {
            bench: SheetBench::of(resolver, report, &sheet),
            drawing: PhDrawing::of(&report.formula, outlook.as_ref(), &batch, 0.0),
            sheet,
        }
    }

    /// The same to be printed from another page: nothing is recorded there.
    #[must_use]
    pub fn to_print(resolver: &Resolver<'_>, report: &FormulaReport, sheet: Sheet) -> SheetPage {
        let batch = report.plan.as_ref().map_or(Exact::HUNDRED, |plan| plan.batch.clone());
        let outlook = report.outlook(resolver);
        let drawing = PhDrawing::of(&report.formula, outlook.as_ref(), &batch, 0.0);
        SheetPage { bench: None, drawing, sheet }
    }
}

/// The looks of a sheet, added to those of every page.
pub const SHEET_STYLES: &str = include_str!("../assets/sheet.css");

/// A sheet within another page, that it is printed from. How close it is set stands in its data: a page that is served allows
/// no style in its elements, and its script sets it.
#[must_use]
pub fn sheet_paper(of: &SheetPage) -> Markup {
    article(of, 0, Among::Another)
}

/// What else stands on the page of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Among {
    /// Nothing: its name is that of the page.
    Nothing,
    /// Other sheets.
    Sheets,
    /// What is no sheet, and served.
    Another,
}

/// Some sheets as one page.
#[must_use]
pub fn sheet_html(sheets: &[SheetPage]) -> String {
    let script = include_str!("../assets/sheet.js");
    let page = match sheets {
        [only] => Page {
            title: only.sheet.title.as_deref().unwrap_or(&only.sheet.formula),
            class: "sheet-page one",
            lead: front::lead(&shown_data(&only.sheet)),
            places: &[],
            body: article(only, 0, Among::Nothing),
            foot: foot(&only.sheet),
        },
        all => Page {
            title: "Batch sheets",
            class: "sheet-page",
            lead: html! { p.screen-only { (all.len()) " sheets: each prints on paper of its own." } },
            places: &[],
            body: html! { @for (number, of) in all.iter().enumerate() { (article(of, number, Among::Sheets)) } },
            foot: html! {},
        },
    };
    document(&page, SHEET_STYLES, script)
}

/// One sheet: its two sides, and what its script goes by. Among others it has a heading of its own.
fn article(of: &SheetPage, number: usize, among: Among) -> Markup {
    let sheet = &shown_data(&of.sheet);
    let (working, second) = fit::fit(sheet);
    let (named, served) = (among != Among::Nothing, among == Among::Another);
    let style = (!served).then(|| format!("--fit:{working};--fit-second:{second}"));
    let side = front::Front { sheet, steps: &of.sheet.steps, bench: of.bench.as_ref(), number };
    html! {
        article.sheet id={ "sheet-" (number) } style=[style] data-fit=[served.then_some(working)] data-fit-second=[served.then_some(second)] {
            @if named {
                div.masthead.inner { h2.title dir="auto" { (sheet.title.as_deref().unwrap_or(&sheet.formula)) } (front::lead(sheet)) }
            }
            div.side.working { (side.markup()) @if named { p.deference { (foot(sheet)) } } }
            div.side.second { (back::back(sheet, of.drawing.as_ref())) }
            @if let Some(bench) = &of.bench { (data(&format!("bench-{number}"), bench)) }
        }
    }
}

fn foot(sheet: &Sheet) -> Markup {
    let is_stock = sheet.product.iter().any(|product| product == "stock");
    html! { @if is_stock { "A stock for the bench, not for skin." } @else { (DEFERENCE) } }
}
