//! What happened at the bench: `bench`, `record`, `trace`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

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
