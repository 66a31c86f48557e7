//! Pages in one file, to print or to carry: sheet, label, cost, book; and the card, a picture.

#[cfg(feature = "git")]
mod book;
mod card;
mod cost;
mod curve;
mod curve_labels;
mod foreseen;
mod formula;
mod label;
mod labels;
mod plot;
mod sheet;
mod shell;
mod titration;
mod workroom;

#[cfg(feature = "git")]
pub use book::{Book, BookPage, BookVersions, is_page_of_a_book};
pub use card::{Card, CardLine, CardPhase, CardSize, DrawnCard, TooHigh};
pub use cost::{cost_html, cost_tables};
pub use curve::{curve, curve_words, ph_svg};
pub use foreseen::PhDrawing;
pub use formula::FormulaResults;
#[cfg(feature = "git")]
pub use formula::difference;
pub use label::{LabelPage, label_body, label_drawing, label_html};
pub use sheet::{
    AfterAdded, BenchAdjust, BenchLine, Dose, Doses, SHEET_STYLES, SheetAct, SheetBench, SheetPage, composition,
    sheet_html, sheet_paper,
};
pub use shell::{Page, Place, STYLES, data, document, frame, named, prose};
pub use titration::CurveReading;
pub use workroom::{Addresses, WorkroomRegions, formula_state, linked, not_read, waits_for};
