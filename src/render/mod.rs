//! Results turned into text: JSON, Markdown, plain text, and diagnostics for people. No arithmetic here.

#[cfg(feature = "terminal")]
mod alike;
mod beaker;
mod bench;
mod bench_text;
#[cfg(feature = "terminal")]
mod brief;
mod check_json;
mod diagnostic_json;
#[cfg(feature = "git")]
mod diff;
#[cfg(feature = "git")]
mod diff_text;
#[cfg(feature = "terminal")]
mod excerpt;
mod github;
#[cfg(feature = "terminal")]
mod human;
mod in_markdown;
mod left_over;
#[cfg(feature = "git")]
mod log;
mod markdown;
mod number;
mod ph;
#[cfg(feature = "svg")]
mod ph_svg;
mod ph_text;
mod record;
#[cfg(feature = "sarif")]
mod sarif;
mod screen;
mod setback;
mod sheet;
mod sheet_text;
mod shelf_json;
mod shelf_text;
mod struck;
mod swaps_json;
mod swaps_text;
mod trace;
mod why;

pub use bench::{BenchAddition, BenchDoubt, BenchJson, BenchLine, BenchMade, BenchNext, BenchesJson};
#[cfg(feature = "terminal")]
pub use brief::{brief, says_more};
pub use check_json::{CheckJson, Summary};
pub use diagnostic_json::DiagnosticJson;
#[cfg(feature = "git")]
pub use diff::{DiffChangeJson, DiffJson, FormulaDiffJson, MaterialDiffJson};
#[cfg(feature = "git")]
pub use diff_text::{diff_markdown, diff_text};
pub use github::github;
#[cfg(feature = "terminal")]
pub use human::{Style, human};
pub use left_over::left_over_words;
#[cfg(feature = "git")]
pub use log::{LogJson, TrackJson, VersionJson};
pub use markdown::markdown;
pub use ph::{Ph, PhAdjuster, PhJson, PhLeftOut, PhPoint, PhWithCurve, PhsJson, ph, ph_json};
#[cfg(feature = "svg")]
pub use ph_svg::ph_svg;
pub use ph_text::{ph_csv, ph_text};
pub use record::{RecordEvent, RecordJson, RecordLine, RecordLot};
#[cfg(feature = "sarif")]
pub use sarif::sarif;
pub use screen::{OnScreen, Screen, shown, shown_json, shown_path};
pub use setback::{CorrectionJson, FinishedJson, SetRightJson, ToAddJson, WayBackJson};
pub use sheet::{Active, AllowedJson, Sheet, SheetLine, SheetPhase, Sheets, SubstanceShare, sheet};
pub use sheet_text::text;
pub use shelf_json::{ChangeJson, FactJson, FoundJson, KnownJson, ShelfFileJson, ShelfJson, StandInJson};
pub use shelf_text::shelf_text;
pub use struck::StruckJson;
pub use swaps_json::{CostJson, FaultJson, FormulaSwapsJson, OutcomeJson, SwapJson, SwapsJson};
pub use swaps_text::swaps_text;
pub use trace::{
    ComparisonJson, LotInUseJson, LotJson, NotReadJson, SharedJson, SoldJson, TraceJson, TracedJson, TracedLineJson,
};
pub use why::{WhyFigure, WhyJson, WhyStep, Whys};

use std::fmt::Write as _;

/// `1 line`, `3 lines`.
#[cfg(feature = "git")]
fn counted(count: usize, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

/// Writes a line; writing to a string cannot fail.
fn line(out: &mut String, text: std::fmt::Arguments<'_>) {
    let _ = writeln!(out, "{text}");
}
