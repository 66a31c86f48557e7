//! What a formula is begun from: `new`, `shelf`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

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
