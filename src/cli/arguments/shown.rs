//! What others see: `label`, `card`, `book`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

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
    /// What to draw; where nothing is said, what the name after `--out` ends in, `.svg` or `.png`, and else `svg`.
    #[arg(long, value_enum)]
    pub format: Option<CardFormat>,
    /// Leave out how much of each there is. The pH and the temperatures stay.
    #[arg(long)]
    pub without_figures: bool,
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
