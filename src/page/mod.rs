//! Pages in one file, to print or to carry: sheet, label, cost, book; and the card, a picture.

mod card;
mod curve;
mod foreseen;
mod plot;
mod shell;

pub use card::{Card, CardLine, CardPhase, CardSize, DrawnCard, TooHigh};
pub use curve::{CurveReading, curve, curve_words, ph_svg};
pub use foreseen::PhDrawing;
pub use shell::{Page, Place, STYLES, data, document, frame, named, prose};
