//! Pages in one file, to print or to carry: sheet, label, cost, book; and the card, a picture.

mod shell;

pub use shell::{Page, Place, STYLES, data, document, frame, named, prose};
