//! What can be written on the command line.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

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

/// Arguments of `lsp`.
#[derive(Args, Debug)]
pub struct LspArguments {
    /// Speak over standard input and output. It is the only way, and what many editors say by themselves.
    #[arg(long)]
    pub stdio: bool,
}

/// How diagnostics are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CheckFormat {
    /// For people.
    Human,
    /// For programs.
    Json,
    /// SARIF 2.1.0, for code hosts and editors.
    Sarif,
    /// Annotations of a GitHub workflow.
    Github,
}

/// `check`.
#[derive(Debug, Args)]
pub struct CheckArguments {
    /// Files, folders, or `-` for standard input; this folder where none is named.
    pub paths: Vec<PathBuf>,
    /// How to print.
    #[arg(long, value_enum, default_value = "human")]
    pub format: CheckFormat,
    /// Print each diagnostic in full: every place that bears on it, and its source.
    #[arg(long, short)]
    pub verbose: bool,
    /// The day that rules are read on, in place of the formula's `date`: `2026-11-25`.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Hold each formula against what it was at this commit, tag or branch: what changed needs a new version.
    #[arg(long, value_name = "REV")]
    pub since: Option<String>,
    /// Take warnings for errors.
    #[arg(long)]
    pub strict: bool,
    /// Make the edits that are surely right, and say what was done.
    #[arg(long)]
    pub fix: bool,
    /// Check again whenever a file changes, until Ctrl-C; with `--format json` one document a line.
    #[arg(long, conflicts_with = "fix")]
    pub watch: bool,
    /// With `--fix`: write nothing, print the patch.
    #[arg(long, requires = "fix")]
    pub dry_run: bool,
}

/// What `sheet`, `why` and `ph` are asked for.
#[derive(Debug, Args)]
pub struct AskArguments {
    /// A file, a folder, or `-` for standard input.
    pub path: PathBuf,
    /// The formula, where the file has several.
    #[arg(long, value_name = "NAME")]
    pub formula: Option<String>,
    /// The batch, in place of the formula's `makes`: `372g`, `12x30mL`, `"12x30mL plus 4%"`.
    #[arg(long, value_name = "SIZE")]
    pub batch: Option<String>,
    /// The scale, in place of the formula's; several times for several: `0.01g`, `"0.01g up to 600g"`.
    #[arg(long, value_name = "STEP")]
    pub scale: Vec<String>,
    /// The day that rules are read on, in place of the formula's `date`: `2026-11-25`.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
}

/// How a sheet is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SheetFormat {
    /// To be printed on paper and written on.
    Markdown,
    /// For programs.
    Json,
    /// For a terminal.
    Text,
    /// A page in one file: to print, and to fill in on a phone.
    Html,
}

/// Who a sheet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SheetReader {
    /// Whoever stands at the bench.
    Bench,
    /// A qualified safety assessor: what is in it by CAS number, what it is there for, the label, the rules, and what is
    /// missing.
    Assessor,
}

/// `sheet`.
#[derive(Debug, Args)]
pub struct SheetArguments {
    /// Of what.
    #[command(flatten)]
    pub ask: AskArguments,
    /// Who it is for: `assessor` prints a file for a safety assessor, of a formula or with `--batch NAME` of a batch.
    #[arg(long = "for", value_enum, default_value = "bench", value_name = "READER")]
    pub reader: SheetReader,
    /// The record of a batch of that name, in place of a sheet.
    #[arg(long, value_name = "BATCH", conflicts_with_all = ["formula", "batch", "scale"])]
    pub record: Option<String>,
    /// How to print.
    #[arg(long, value_enum, default_value = "markdown")]
    pub format: SheetFormat,
    /// Write to this file and print nothing; never over a `.still` file.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// How a label is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum LabelFormat {
    /// For a terminal, and to be pasted.
    Text,
    /// To be kept, or sent.
    Markdown,
    /// For programs.
    Json,
    /// A page in one file: the text to copy, what stands where, and with `--size` a sheet of labels to print.
    Html,
    /// A drawing true to the millimetre; with `--size`.
    Svg,
}

/// The paper that labels are printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SheetSize {
    /// 210 x 297 mm.
    A4,
    /// 8.5 x 11 inches.
    Letter,
}

/// `label`.
#[derive(Debug, Args)]
pub struct LabelArguments {
    /// A file, a folder, or `-` for standard input.
    pub path: PathBuf,
    /// The formula, where the file has several.
    #[arg(long, value_name = "NAME")]
    pub formula: Option<String>,
    /// The record of a batch, whose label says what really went in; or a size in place of the formula's `makes`: `12x30mL`.
    #[arg(long, value_name = "NAME or SIZE")]
    pub batch: Option<String>,
    /// The day that rules are read on, in place of the formula's `date`: `2026-11-25`.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// One market, in place of those of the formula: `eu`, `uk`, `us`.
    #[arg(long, value_name = "MARKET")]
    pub market: Option<String>,
    /// How to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: LabelFormat,
    /// The size of the label, width by height: `60x40mm`. What does not fit in letters that can be read is named.
    #[arg(long, value_name = "SIZE")]
    pub size: Option<String>,
    /// With `--format svg` or `html`: fill a sheet of paper. A page of labels has A4 without it.
    #[arg(long, value_enum, value_name = "PAPER", requires = "size")]
    pub sheet: Option<SheetSize>,
    /// With `--sheet`: so many labels, in place of as many as it holds.
    #[arg(long, value_name = "COUNT", requires = "sheet")]
    pub copies: Option<usize>,
    /// Write to this file and print nothing; never over a `.still` file.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// The kind of a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CardFormat {
    /// A drawing whose text is text.
    Svg,
    /// A picture in pixels, 300 to the inch: 1240 x 1748 where A6 holds it, else 1748 x 2480 (A5) or 2480 x 3508 (A4).
    Png,
}

/// `card`.
#[derive(Debug, Args)]
pub struct CardArguments {
    /// A file, a folder, or `-` for standard input.
    pub path: PathBuf,
    /// The formula, where the file has several.
    #[arg(long, value_name = "NAME")]
    pub formula: Option<String>,
    /// What to draw; where nothing is said, a name after `--out` that ends in `.png` asks for that, and else it is `svg`.
    #[arg(long, value_enum)]
    pub format: Option<CardFormat>,
    /// Leave out how much of each there is. The pH and the temperatures stay.
    #[arg(long)]
    pub without_figures: bool,
    /// Write to this file and print nothing; never over a `.still` file.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// How a difference is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum DiffFormat {
    /// For a terminal.
    Text,
    /// For a pull request, or to be kept.
    Markdown,
    /// For programs.
    Json,
}

/// `diff`.
#[derive(Debug, Args)]
pub struct DiffArguments {
    /// Two files or folders, the older first; or one, with `--since` or `--to`.
    #[arg(num_args = 0..=9)]
    pub paths: Vec<PathBuf>,
    /// Take the older side from git: a commit, a tag or a branch.
    #[arg(long, value_name = "REV", conflicts_with = "to")]
    pub since: Option<String>,
    /// The formula, where there are several.
    #[arg(long, value_name = "NAME")]
    pub formula: Option<String>,
    /// Hold the formula against this variant, formula or batch.
    #[arg(long, value_name = "NAME")]
    pub to: Option<String>,
    /// Show grams too, of a batch of this size: `500g`, `12x30mL`.
    #[arg(long, value_name = "SIZE")]
    pub batch: Option<String>,
    /// End with exit code 1 where anything differs.
    #[arg(long)]
    pub exit_code: bool,
    /// How to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: DiffFormat,
}

/// How the versions of a formula are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum LogFormat {
    /// For a terminal.
    Text,
    /// To be kept.
    Markdown,
    /// For programs.
    Json,
}

/// `log`.
#[derive(Debug, Args)]
pub struct LogArguments {
    /// A file or folder.
    pub path: PathBuf,
    /// The formula, where there are several; by any name it had.
    #[arg(long, value_name = "NAME")]
    pub formula: Option<String>,
    /// How to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: LogFormat,
}

/// How a forecast of the pH is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PhFormat {
    /// For a terminal, with the curve.
    Text,
    /// For programs.
    Json,
    /// The curve as a picture.
    Svg,
    /// The curve as comma-separated values.
    Csv,
}

/// How ions are taken to disturb one another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ActivityModel {
    /// The Davies equation.
    Davies,
    /// Specific ion interaction, for strong solutions.
    Best,
    /// Not at all.
    Ideal,
}

/// `ph`.
#[derive(Debug, Args)]
pub struct PhArguments {
    /// Of what.
    #[command(flatten)]
    pub ask: AskArguments,
    /// How to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: PhFormat,
    /// The model of activity.
    #[arg(long, value_enum, default_value = "davies")]
    pub activity: ActivityModel,
}

/// How a derivation is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum WhyFormat {
    /// For a terminal.
    Text,
    /// To be kept beside the sheet.
    Markdown,
    /// For programs.
    Json,
}

/// `why`.
#[derive(Debug, Args)]
pub struct WhyArguments {
    /// Of what.
    #[command(flatten)]
    pub ask: AskArguments,
    /// A material or premix of the formula, a substance in it, `batch`, `cost`, or `pH`.
    pub name: String,
    /// With `cost`: the currency of every sum: `EUR`. The record of a batch is named with `--batch`.
    #[arg(long = "in", value_name = "CURRENCY")]
    pub currency: Option<String>,
    /// How to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: WhyFormat,
}

/// How a cost is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CostFormat {
    /// For a terminal.
    Text,
    /// To be kept.
    Markdown,
    /// For programs.
    Json,
    /// A page in one file.
    Html,
}

/// `cost`.
#[derive(Debug, Args)]
pub struct CostArguments {
    /// A file, a folder, or `-` for standard input.
    pub path: PathBuf,
    /// The formula, where the file has several.
    #[arg(long, value_name = "NAME")]
    pub formula: Option<String>,
    /// The record of a batch, for what really went in; or a size, in place of the formula's `makes`: `372g`, `12x30mL`.
    #[arg(long, value_name = "NAME or SIZE")]
    pub batch: Option<String>,
    /// The currency of every sum, by a `rate` that is stated: `EUR`.
    #[arg(long = "in", value_name = "CURRENCY")]
    pub currency: Option<String>,
    /// The day that rates are read on: `2026-11-25`; else the formula's `date`, or the day a batch was started.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// How to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: CostFormat,
    /// Write to this file and print nothing; never over a `.still` file.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// `book`.
#[derive(Debug, Args)]
pub struct BookArguments {
    /// A file or a folder.
    pub path: PathBuf,
    /// The folder to write: one that is not there yet, is empty, or holds a book.
    #[arg(long, value_name = "FOLDER")]
    pub out: PathBuf,
}

/// How a batch at the bench is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum BenchFormat {
    /// One screen for a terminal.
    Text,
    /// For programs.
    Json,
}

/// `bench`.
#[derive(Debug, Args)]
pub struct BenchArguments {
    /// A file, a folder, or `-` for standard input.
    pub path: PathBuf,
    /// The batch, where the file has several.
    #[arg(long, value_name = "NAME")]
    pub batch: Option<String>,
    /// Past the far edge: lead back with this, of the file or of the shelf, and not with the formula's own.
    #[arg(long, value_name = "MATERIAL")]
    pub back_with: Option<String>,
    /// How to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: BenchFormat,
}

/// How a trail is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum TraceFormat {
    /// To be kept, or sent.
    Markdown,
    /// For programs.
    Json,
}

/// `trace`.
#[derive(Debug, Args)]
pub struct TraceArguments {
    /// A lot, a material, or the code on a jar.
    pub code: Option<String>,
    /// Files or folders with batch records; this folder where none is named.
    pub paths: Vec<PathBuf>,
    /// Compare the batches that were complained of with the others; all that is named is then a file or folder.
    #[arg(long)]
    pub compare: bool,
    /// How to print.
    #[arg(long, value_enum, default_value = "markdown")]
    pub format: TraceFormat,
}

/// How a shopping list and the store room are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum StoreFormat {
    /// For a terminal.
    Text,
    /// To be kept, or pinned to a door.
    Markdown,
    /// For programs.
    Json,
}

/// What `buy` and `stock` are asked for.
#[derive(Debug, Args)]
pub struct StoreArguments {
    /// Files or folders with what is planned, the store room and the batch records; this folder where none is named.
    pub paths: Vec<PathBuf>,
    /// Only what is planned of this formula, or what is in it.
    #[arg(long, value_name = "NAME")]
    pub formula: Option<String>,
    /// The day at whose end the store room is looked at; the last that anything is told of, where none is said.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// How to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: StoreFormat,
    /// Write to this file and print nothing; never over a `.still` file.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// `buy`.
#[derive(Debug, Args)]
pub struct BuyArguments {
    /// Of what.
    #[command(flatten)]
    pub ask: StoreArguments,
    /// The currency to add up in: `EUR`; the one that most is sold in, where none is said.
    #[arg(long = "in", value_name = "CURRENCY")]
    pub currency: Option<String>,
}

/// `stock`.
#[derive(Debug, Args)]
pub struct StockArguments {
    /// Of what.
    #[command(flatten)]
    pub ask: StoreArguments,
    /// Print what each sum follows from too: the last count, and what happened since.
    #[arg(long, short)]
    pub verbose: bool,
}

/// `record`.
#[derive(Debug, Args)]
pub struct RecordArguments {
    /// The file of the batch record.
    pub path: PathBuf,
    /// What happened: `weighed water 221.94 g`, `reading pH 3.59`; at a terminal it is asked for where none is given.
    #[arg(value_name = "STATEMENT", allow_negative_numbers = true)]
    pub statement: Vec<String>,
    /// The batch, where the file has several.
    #[arg(long, value_name = "NAME", conflicts_with = "new")]
    pub batch: Option<String>,
    /// Begin a new batch of this name, and the file where there is none.
    #[arg(long, value_name = "NAME", requires = "formula")]
    pub new: Option<String>,
    /// With `--new`: the formula that it is a batch of.
    #[arg(long, value_name = "FORMULA", requires = "new")]
    pub formula: Option<String>,
    /// With `--new`: the file that has the formula, where the record does not `use` it yet.
    #[arg(long, value_name = "FILE", requires = "new")]
    pub from: Option<PathBuf>,
    /// With `--new`: the size of the batch, in place of the formula's `makes`: `372g`, `12x30mL`.
    #[arg(long, value_name = "SIZE", requires = "new")]
    pub size: Option<String>,
    /// The day it happened, `2026-11-25`; with `--new`, the day the batch was started.
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// The time of day it happened: `14:05`.
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    /// Who did it.
    #[arg(long, value_name = "INITIALS")]
    pub by: Option<String>,
}

/// `fmt`.
#[derive(Debug, Args)]
pub struct FmtArguments {
    /// Files, folders, or `-` for standard input, which is printed; this folder where none is named.
    pub paths: Vec<PathBuf>,
    /// Write nothing; name the files that would change, and fail if there are any.
    #[arg(long)]
    pub check: bool,
    /// Write nothing; print what would change.
    #[arg(long)]
    pub diff: bool,
}

/// How an answer of the shelf is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ShelfFormat {
    /// For a terminal.
    Text,
    /// For programs.
    Json,
}

/// `shelf`.
#[derive(Debug, Args)]
pub struct ShelfArguments {
    /// The name of a material or substance, or words to search for; the files of the shelf where none is given.
    #[arg(value_name = "NAME or WORDS")]
    pub words: Vec<String>,
    /// Try what could stand in for the material in the formulas of this file, and say what comes of each.
    #[arg(long = "in", value_name = "PATH", requires = "words")]
    pub within: Option<PathBuf>,
    /// With `--in`: the formula, where the file has several.
    #[arg(long, value_name = "NAME", requires = "within")]
    pub formula: Option<String>,
    /// How to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: ShelfFormat,
}

/// `explain`.
#[derive(Debug, Args)]
pub struct ExplainArguments {
    /// The code; all codes are listed where none is named.
    pub code: Option<String>,
}

/// `new`.
#[derive(Debug, Args)]
pub struct NewArguments {
    /// The name of the folder; with `--from` or `--kind`, of the formula and its file: `day-cream` makes `day-cream.still`.
    pub name: PathBuf,
    /// Turn a table or a note into the formula: a CSV, TSV or Markdown file, plain lines, or `-` for standard input.
    #[arg(long, value_name = "FILE", conflicts_with = "kind")]
    pub from: Option<PathBuf>,
    /// A formula to begin from, with comments that say why each line is as it is.
    #[arg(long, value_enum, value_name = "KIND")]
    pub kind: Option<FormulaKind>,
    /// With `--from`: the water takes what is left up to 100 %, whatever figure it has.
    #[arg(long, requires = "from")]
    pub rest: bool,
    /// With `--from`: what figures without a unit are, and which count where percent and grams stand side by side.
    #[arg(long, value_enum, value_name = "UNIT", requires = "from")]
    pub figures: Option<TableFigures>,
}

/// A kind of formula to begin from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum FormulaKind {
    /// Water, thickened.
    Gel,
    /// Oil in water.
    Cream,
    /// Oils, a butter and a wax.
    Balm,
    /// Surfactants in water.
    Wash,
    /// Water with a little in it.
    Toner,
}

/// What the figures of a table are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum TableFigures {
    /// Percent.
    Percent,
    /// Grams.
    Grams,
}

/// `stillroom open`.
#[derive(Args, Debug)]
pub struct OpenArguments {
    /// The folder with the formulas; this one where none is named.
    pub folder: Option<PathBuf>,
    /// The port to listen on; a free one where none is named.
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub port: u16,
    /// Print the address, and open no browser.
    #[arg(long)]
    pub no_browser: bool,
    /// Also for a phone in the same network, by a code to scan.
    #[arg(long)]
    pub lan: bool,
    /// End when standard input ends, too.
    #[arg(long)]
    pub until_eof: bool,
}

/// `completions`.
#[derive(Debug, Args)]
pub struct CompletionsArguments {
    /// The shell.
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

/// `man`.
#[derive(Debug, Args)]
pub struct ManArguments {
    /// The command; the program itself where none is named.
    #[arg(value_name = "COMMAND", conflicts_with = "out")]
    pub of: Option<String>,
    /// Write every page into this folder and print nothing.
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
}
