//! Pages in one file, to print or to carry: sheet, label, cost, book; and the card, a picture.

mod cost;
mod curve;
mod foreseen;
mod label;
mod plot;
mod sheet;
mod shell;

pub use cost::{cost_html, cost_tables};
pub use curve::{CurveReading, curve, curve_words, ph_svg};
pub use foreseen::PhDrawing;
pub use label::{LabelPage, label_html};
pub use sheet::{
    AfterAdded, BenchAdjust, BenchLine, Dose, Doses, SheetAct, SheetBench, SheetPage, composition, sheet_html,
};
pub use shell::{Page, Place, STYLES, data, document, frame, named, prose};
