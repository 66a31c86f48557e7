//! The store room: `buy`, `stock`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

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
