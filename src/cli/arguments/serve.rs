//! What serves other programs: `open`, `lsp`, `completions`, `man`.

use clap::Args;
use std::path::PathBuf;

/// Arguments of `lsp`.
#[derive(Args, Debug)]
pub struct LspArguments {
    /// Speak over standard input and output. It is the only way, and what many editors say by themselves.
    #[arg(long)]
    pub stdio: bool,
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
