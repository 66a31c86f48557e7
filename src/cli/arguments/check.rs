//! What is held against the rules and laid out: `check`, `fmt`, `explain`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

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

/// `explain`.
#[derive(Debug, Args)]
pub struct ExplainArguments {
    /// The code; all codes are listed where none is named.
    pub code: Option<String>,
}
