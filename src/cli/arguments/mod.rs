//! What can be written on the command line, in a file for each family of commands.

mod batches;
mod begin;
mod check;
mod formula;
mod serve;
mod shown;
mod store;
mod versions;

pub use batches::{BenchArguments, BenchFormat, RecordArguments, TraceArguments, TraceFormat};
pub use begin::{FormulaKind, NewArguments, ShelfArguments, ShelfFormat, TableFigures};
pub use check::{CheckArguments, CheckFormat, ExplainArguments, FmtArguments};
pub use formula::{
    ActivityModel, AskArguments, CostArguments, CostFormat, PhArguments, PhFormat, SheetArguments, SheetFormat,
    SheetReader, WhyArguments, WhyFormat,
};
pub use serve::{CompletionsArguments, LspArguments, ManArguments, OpenArguments};
pub use shown::{BookArguments, CardArguments, CardFormat, LabelArguments, LabelFormat, SheetSize};
pub use store::{BuyArguments, StockArguments, StoreFormat};
pub use versions::{DiffArguments, DiffFormat, LogArguments, LogFormat};

use clap::{Parser, Subcommand};

/// Formulas as text, turned into exact batch sheets, or a message that says which line is wrong.
#[derive(Debug, Parser)]
#[command(name = "stillroom", version, about, disable_help_subcommand = true)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Check formulas and say what is wrong, where, and how to mend it.
    Check(CheckArguments),
    /// Print the batch sheet of a formula.
    Sheet(SheetArguments),
    /// Print the label of a formula or a batch: ingredients, statements, net quantity, how long it keeps, who answers.
    Label(LabelArguments),
    /// Draw a formula in percent as one picture to share, with what to take care of; nothing of price, supplier or lot.
    Card(CardArguments),
    /// Say what changed between two versions of a formula: what was edited, and what follows from it.
    Diff(DiffArguments),
    /// List the versions of a formula through git, with the meaning of each change in a line.
    Log(LogArguments),
    /// Say how a figure came about, step by step, from what is written to the rounded weight.
    Why(WhyArguments),
    /// Say what a batch, 100 g and a container cost, and what a price leaves; what has no price is listed.
    Cost(CostArguments),
    /// Foresee the pH: before adjustment, the grams of adjuster to the window, and the titration curve.
    Ph(PhArguments),
    /// Show where a batch stands: what is weighed, what is next, the pH so far, what is left of the water held back.
    Bench(BenchArguments),
    /// Write a folder of pages to read: formulas, versions, batches, materials, lots, with a search over all of them.
    Book(BookArguments),
    /// Follow a lot, a material or the code on a jar through batch records: where it went, and what it came from.
    Trace(TraceArguments),
    /// List what to buy for what is planned, less what is on hand, in the packs that cost least.
    Buy(BuyArguments),
    /// Show what is on hand, by material and lot, and what it follows from.
    Stock(StockArguments),
    /// Write down what happened at the bench: one more statement of a batch, checked first.
    Record(RecordArguments),
    /// Lay files out in the one layout; what they mean stays as it is.
    Fmt(FmtArguments),
    /// Show what the shelf knows under a name with its sources, and what could stand in; or search it.
    Shelf(ShelfArguments),
    /// Explain a diagnostic: why it matters at the bench, a wrong formula and the right one.
    Explain(ExplainArguments),
    /// Make a small working folder to start from; or a formula, of a kind or out of a table that you have.
    New(NewArguments),
    /// Open a folder as pages in the browser: formulas, the bench, the store room. Ctrl-C ends it.
    Open(OpenArguments),
    /// Serve an editor over standard input and output: faults as one types, weights beside the lines, help at the cursor.
    Lsp(LspArguments),
    /// Print what a shell is to read so that it completes commands and options.
    Completions(CompletionsArguments),
    /// Print the manual page of the program or of a command, or write all of them into a folder.
    Man(ManArguments),
}
