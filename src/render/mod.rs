//! Results turned into text: JSON, Markdown, plain text, and diagnostics for people. No arithmetic here.

mod check_json;
mod diagnostic_json;
mod github;
mod human;
mod markdown;
mod sarif;
mod sheet;
mod sheet_text;
mod shelf_json;
mod shelf_text;
mod why;

pub use check_json::{CheckJson, Summary};
pub use diagnostic_json::DiagnosticJson;
pub use github::github;
pub use human::{Look, human};
pub use markdown::markdown;
pub use sarif::sarif;
pub use sheet::{Active, AllowedJson, Ph, Sheet, SheetLine, SheetPhase, Sheets, SubstanceShare, sheet};
pub use sheet_text::text;
pub use shelf_json::{ChangeJson, FactJson, FoundJson, KnownJson, ShelfFileJson, ShelfJson, StandInJson};
pub use shelf_text::shelf_text;
pub use why::{WhyFigure, WhyJson, WhyStep, Whys};
