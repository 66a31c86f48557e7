//! Results turned into text: JSON, Markdown, plain text, and diagnostics for people. No arithmetic here.

#[cfg(feature = "terminal")]
mod alike;
mod assessor;
mod assessor_made;
mod assessor_markdown;
mod beaker;
mod bench;
mod bench_text;
#[cfg(feature = "terminal")]
mod brief;
mod buy;
mod buy_text;
mod check_json;
mod cost;
mod cost_text;
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
mod label;
mod label_markdown;
mod label_svg;
mod label_text;
mod left_over;
#[cfg(feature = "git")]
mod log;
mod markdown;
mod markup;
mod number;
mod ph;
mod ph_text;
mod planned;
mod record;
#[cfg(feature = "sarif")]
mod sarif;
mod screen;
mod setback;
mod sheet;
mod sheet_fill;
mod sheet_parts;
mod sheet_text;
mod shelf_answer;
mod shelf_json;
mod shelf_text;
mod stock;
mod stock_text;
mod struck;
mod swaps_json;
mod swaps_text;
mod trace;
mod why;

pub use assessor::{
    AllowedFactJson, AssessedBatchJson, AssessedLineJson, AssessedLotJson, AssessedMaterialJson, AssessedSubstanceJson,
    AssessorJson, ComplaintJson, ContainedJson, LeftOpenJson, MissingFactJson, ReadRuleJson, StatedFactJson,
};
pub use assessor_made::AssessorExtras;
pub use assessor_markdown::assessor_markdown;
pub use bench::{
    BenchAddition, BenchDoubt, BenchJson, BenchLine, BenchMade, BenchNext, BenchReserve, BenchesJson, step_words,
};
#[cfg(feature = "terminal")]
pub use brief::{brief, says_more};
pub use buy::{
    BuyFiguresJson, BuyJson, BuyPackJson, BuyRowJson, Buying, PlannedJson, SupplierJson, SupplierPackJson, ToMakeJson,
};
pub use buy_text::{buy_markdown, buy_text};
pub use check_json::{CheckJson, Summary};
pub use cost::{
    BatchCostJson, BatchCostsJson, CostLineJson, CostMissingJson, CostPartJson, PackedJson, PaidJson, SellJson,
};
pub use cost_text::{CostSheet, CostTable, cost_markdown, cost_sheet, cost_tables, cost_text};
pub use diagnostic_json::DiagnosticJson;
#[cfg(feature = "git")]
pub use diff::{DiffChangeJson, DiffJson, FormulaDiffJson, MaterialDiffJson};
#[cfg(feature = "git")]
pub use diff_text::{DiffBlock, DiffPart, diff_blocks, diff_markdown, diff_text};
pub use github::github;
#[cfg(feature = "terminal")]
pub use human::{Style, human};
pub use in_markdown::{code_in_markdown, in_markdown, sentence_in_markdown};
pub use label::{
    DurabilityJson, JarTextJson, LabelEntryJson, LabelItemJson, LabelJson, LabelNoteJson, LabelsJson, MarketLabelJson,
    NetJson, SettlingJson, StatementJson,
};
pub use label_markdown::label_markdown;
pub use label_svg::{LabelDrawing, LabelTiling};
pub use label_text::{
    DEFERENCE as LABEL_DEFERENCE, heading as label_heading, label_text, net_words as label_net,
    order_words as label_order_words, part_words as label_part, share as label_share,
};
pub use left_over::left_over_words;
#[cfg(feature = "git")]
pub use log::{LogJson, TrackJson, VersionJson, change_in_short};
pub use markdown::{DEFERENCE, markdown};
#[cfg(feature = "pages")]
pub(crate) use markup::in_markup;
pub use number::for_maker;
#[cfg(feature = "pages")]
pub(crate) use ph::edges as ph_edges;
pub use ph::{Ph, PhAdjuster, PhJson, PhLeftOut, PhPoint, PhWithCurve, PhsJson, ph, ph_json};
#[cfg(feature = "pages")]
pub(crate) use ph_text::window_words as ph_window_words;
pub use ph_text::{ph_csv, ph_text};
pub use planned::WeighedPlans;
pub use record::{RecordEvent, RecordJson, RecordLine, RecordLot};
#[cfg(feature = "sarif")]
pub use sarif::sarif;
pub use screen::{OnScreen, Screen, shown, shown_data, shown_json, shown_path};
pub use setback::{CorrectionJson, FinishedJson, SetRightJson, ToAddJson, WayBackJson};
pub use sheet::{Active, AllowedJson, Sheet, SheetLine, SheetPhase, Sheets, SubstanceShare, sheet};
pub use sheet_fill::{SheetFill, SheetKeeps};
pub use sheet_parts::{
    ADDITION_ROWS, Blank, Ready, after_blanks, before_filling, called, free_acid_words, gathered, held_words, holding,
    lines_of, outcome_blanks, ready, share_words, sheet_window,
};
pub use sheet_text::text;
pub use shelf_answer::shelf_answer;
pub use shelf_json::{ChangeJson, FactJson, FoundJson, KnownJson, ShelfFileJson, ShelfJson, StandInJson};
pub use shelf_text::shelf_text;
pub use stock::{MovedJson, StockJson, StockLevelJson, StockLotJson, StockThingJson};
pub use stock_text::{stock_markdown, stock_text};
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
