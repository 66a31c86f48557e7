//! A trail through a thousand batches and through four thousand, as a recall asks for it: `stillroom trace` beside the
//! parsing of the same records. `cargo bench --bench trace`.
//!
//! The aim is a trail of a thousand within a second and of four thousand within four. Nothing is asserted about time; the
//! ratio shows whether four times the records take four times as long, or sixteen.

#![allow(clippy::disallowed_methods, reason = "a benchmark writes files of its own")]

use std::io;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// How often each is run; the fastest counts.
const RUNS: usize = 3;

fn main() -> io::Result<()> {
    let mut before: Option<Duration> = None;
    for batches in [1_000, 4_000] {
        let folder = tempfile::tempdir()?;
        std::fs::write(folder.path().join("records.still"), records(batches))?;
        let (check, _) = fastest(folder.path(), &["fmt", "--check"])?;
        let (trace, bytes) = fastest(folder.path(), &["trace", "XG-1", "--format", "json"])?;
        let times = trace.as_secs_f64() / check.as_secs_f64();
        let grown = before.map(|before| format!(", {:.1} times as long", trace.as_secs_f64() / before.as_secs_f64()));
        println!(
            "{batches} batches: {:.0} ms{}, {times:.1} times as long as to lay them out; {} kB",
            trace.as_secs_f64() * 1e3,
            grown.unwrap_or_default(),
            bytes / 1_000
        );
        before = Some(trace);
    }
    Ok(())
}

/// Records of serums, one in ten with a base of its own, all of them with a lot of the same gum through it.
fn records(batches: usize) -> String {
    let mut text = String::new();
    for base in 0..batches / 10 {
        text.push_str(&format!(
            "batch base-{base} {{\n  formula  base\n  lot      xanthan-gum \"XG-1\"\n  lot      glycerin \"GL-{base}\"\n  \
             weighed  glycerin 60 g\n  filled   1 x 900 g as \"BASE-{base}\"\n}}\n\n"
        ));
    }
    for number in 0..batches {
        text.push_str(&format!(
            "batch s-{number} {{\n  formula  serum version \"1\"\n  started  2026-10-01\n  lot      base \"BASE-{}\"\n  lot      \
             water \"W-1\"\n  lot      panthenol-75 \"PA-{}\"\n  lot      fragrance \"FR-{number}\"\n  weighed  water 80 \
             g\n  reading  pH 5.6\n  filled   3 x 30 mL as \"S-{number}\"\n  sold     2 to \"market\"\n}}\n\n",
            number / 10,
            number / 100
        ));
    }
    text
}

/// How long the program takes in a folder, and how much it prints.
fn fastest(folder: &Path, arguments: &[&str]) -> io::Result<(Duration, usize)> {
    let mut best = (Duration::MAX, 0);
    for _ in 0..RUNS {
        let start = Instant::now();
        let mut program = Command::new(env!("CARGO_BIN_EXE_stillroom"));
        let output = program.args(arguments).current_dir(folder).stderr(Stdio::null()).output()?;
        best = best.min((start.elapsed(), output.stdout.len()));
    }
    Ok(best)
}
