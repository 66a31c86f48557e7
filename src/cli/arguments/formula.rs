//! What is worked out of a formula: `sheet`, `why`, `ph`, `cost`.

use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

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

impl AskArguments {
    /// A formula of a file as it stands: of its own size, on its own scale and day.
    pub fn as_it_stands(path: &Path, formula: Option<&str>) -> AskArguments {
        AskArguments {
            path: path.to_path_buf(),
            formula: formula.map(str::to_string),
            batch: None,
            scale: Vec::new(),
            on: None,
        }
    }
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
