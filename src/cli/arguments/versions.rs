//! What changed: `diff`, `log`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

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
