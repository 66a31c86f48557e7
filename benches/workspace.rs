//! How long a check of a large workspace takes, beside reading its bytes, a plain scan of its tokens, and the bare
//! grammar: all in one run, over the same files; and how much memory it takes. `cargo bench --bench workspace`.
//!
//! `-- once check` and `-- once parse` do the one thing once, on one thread, for a profiler to look at. Where the
//! instructions of a check went when it was last looked at so (callgrind; without link-time optimisation, which hides
//! what is called; a fifth of them all is taking memory and giving it back):
//!
//! | phase | share |
//! | --- | --- |
//! | reading files | 1 % |
//! | cutting them, and the grammar on each statement of its own | 15 % |
//! | the tree | 12 % |
//! | names | 2 % |
//! | formulas: figures, percentages, compositions | 22 % |
//! | weights | 3 % |
//! | the pH: states, doses to the window, steps of the scale | 20 % |
//! | all other checks | 22 % |
//! | giving memory back | 3 % |
//!
//! The aim is that all the compiler does costs at most half as much again as the grammar alone. Nothing is asserted
//! about time: the figures are for a person to read. What is asserted is that the workspace is sound, since a check
//! that stops early would look fast.

#![allow(clippy::disallowed_methods, reason = "a benchmark reads files of its own")]

mod generate;

use generate::Workspace;
use rayon::prelude::*;
use std::hint::black_box;
use std::path::PathBuf;
use std::process::Command;
use std::time::{Duration, Instant};
use stillroom::diagnostic::{Diagnostic, Level};
use stillroom::session::{check, check_without_forecast};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::{bare_parse, token_scan};
use stillroom::workspace::{Disk, load};

/// Files of formulas, of 20 each.
const FORMULA_FILES: usize = 500;

/// How often everything is measured; the least of each counts.
const ROUNDS: usize = 9;

/// The share of the grammar's own time that the whole check aims to stay within.
const AIM: f64 = 1.5;

/// What a check may take beside one that foresees no pH.
const FORECAST_AIM: f64 = 1.3;

/// What a check may hold in memory at most, beside the text that it checks.
const MEMORY_AIM: f64 = 12.0;

fn main() -> std::io::Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let workspace = generate::workspace(FORMULA_FILES, 0)?;
    if let Some(at) = arguments.iter().position(|argument| argument == "once") {
        return once(arguments.get(at + 1).map_or("check", String::as_str), &workspace);
    }
    let texts: Vec<String> = workspace.files.iter().map(std::fs::read_to_string).collect::<Result<_, _>>()?;
    assert_sound(&workspace);
    let one_thread = rayon::ThreadPoolBuilder::new().num_threads(1).build().map_err(std::io::Error::other)?;
    let (mut all, mut one) = (Times::default(), Times::default());
    // Round by round, so that a disturbance falls on everything alike.
    for _ in 0..ROUNDS {
        all.keep_least(Times::measure(&workspace.files, &texts));
        one.keep_least(one_thread.install(|| Times::measure(&workspace.files, &texts)));
    }
    print(&workspace, &all, &one);
    print_memory(&workspace)
}

/// One thing alone. Of a check it prints how many bytes it held at the most.
fn once(what: &str, workspace: &Workspace) -> std::io::Result<()> {
    let one_thread = rayon::ThreadPoolBuilder::new().num_threads(1).build().map_err(std::io::Error::other)?;
    one_thread.install(|| {
        if what == "parse" {
            let texts: Vec<String> = workspace.files.iter().map(std::fs::read_to_string).collect::<Result<_, _>>()?;
            black_box(texts.iter().map(|text| bare_parse(text)).sum::<usize>());
            return Ok(());
        }
        let before = most_held();
        let loaded = load(&Disk, &workspace.files, None);
        black_box(check(&loaded.sources, &BatchOrder::default(), false).diagnostics.len());
        println!("{}", most_held().unwrap_or(0).saturating_sub(before.unwrap_or(0)));
        Ok(())
    })
}

/// The most memory this process has held so far, in bytes; none where the system does not say.
fn most_held() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    Some(line.trim().strip_suffix("kB")?.trim().parse::<u64>().ok()? * 1024)
}

/// In a process of its own, since what is given back need not go back to the system.
fn print_memory(workspace: &Workspace) -> std::io::Result<()> {
    let alone = Command::new(std::env::current_exe()?).args(["once", "check"]).output()?;
    let held: f64 = String::from_utf8_lossy(&alone.stdout).trim().parse().map_err(std::io::Error::other)?;
    if held > 0.0 {
        println!("\nmemory ÷ text {:>22.1}   (aim: at most {MEMORY_AIM})", held / workspace.bytes as f64);
    }
    Ok(())
}

/// Every formula is checked, and none has an error.
fn assert_sound(workspace: &Workspace) {
    let loaded = load(&Disk, &workspace.files, None);
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let errors: Vec<&Diagnostic> = report.diagnostics.iter().filter(|fault| fault.level == Level::Error).collect();
    assert!(errors.is_empty(), "the made-up workspace is at fault: {:#?}", errors.first());
    assert_eq!(report.formulas.len(), workspace.formulas, "every formula is checked");
}

/// The least time that each thing took.
#[derive(Default)]
struct Times {
    read: Least,
    scan: Least,
    parse: Least,
    check: Least,
    without_forecast: Least,
    /// Parts of `check`, each the least of its own.
    load: Least,
    look: Least,
    let_go: Least,
}

/// The least of the times kept in it.
#[derive(Clone, Copy, Default)]
struct Least(Option<Duration>);

impl Least {
    fn keep(&mut self, other: Least) {
        self.0 = [self.0, other.0].into_iter().flatten().min();
    }

    fn seconds(self) -> f64 {
        self.0.unwrap_or_default().as_secs_f64()
    }
}

impl Times {
    /// Measures everything once, on the threads of the pool it is called in.
    fn measure(files: &[PathBuf], texts: &[String]) -> Times {
        let read = timed(|| files.par_iter().map(|file| std::fs::read(file).map_or(0, |bytes| bytes.len())).sum());
        let scan = timed(|| texts.par_iter().map(|text| token_scan(text)).sum());
        let parse = timed(|| texts.par_iter().map(|text| bare_parse(text)).sum());
        let without_forecast = timed(|| {
            let loaded = load(&Disk, files, None);
            check_without_forecast(&loaded.sources, &BatchOrder::default()).diagnostics.len()
        });
        Times { read, scan, parse, without_forecast, ..Times::of_check(files) }
    }

    /// The whole of check: from the names of the files to the diagnostics, and until all memory is given back.
    fn of_check(files: &[PathBuf]) -> Times {
        let start = Instant::now();
        let loaded = load(&Disk, files, None);
        let load = start.elapsed();
        let report = check(&loaded.sources, &BatchOrder::default(), false);
        let look = start.elapsed();
        black_box(report.diagnostics.len());
        drop(report);
        drop(loaded);
        let end = start.elapsed();
        let least = |time| Least(Some(time));
        Times {
            check: least(end),
            load: least(load),
            look: least(look - load),
            let_go: least(end - look),
            ..Times::default()
        }
    }

    fn keep_least(&mut self, other: Times) {
        self.read.keep(other.read);
        self.scan.keep(other.scan);
        self.parse.keep(other.parse);
        self.check.keep(other.check);
        self.without_forecast.keep(other.without_forecast);
        self.load.keep(other.load);
        self.look.keep(other.look);
        self.let_go.keep(other.let_go);
    }
}

fn timed(work: impl FnOnce() -> usize) -> Least {
    let start = Instant::now();
    black_box(work());
    Least(Some(start.elapsed()))
}

fn print(workspace: &Workspace, all: &Times, one: &Times) {
    let megabytes = workspace.bytes as f64 / 1e6;
    println!(
        "{} files, {megabytes:.2} MB, {} formulas; the least of {ROUNDS} rounds\n",
        workspace.files.len(),
        workspace.formulas
    );
    println!("{:<16}{:>24}{:>24}", "", threads(rayon::current_num_threads()), threads(1));
    let time = |name: &str, of: fn(&Times) -> Least| {
        let cell = |times: &Times| {
            let seconds = of(times).seconds();
            format!("{:.1} ms {:>7.0} MB/s", seconds * 1e3, megabytes / seconds.max(1e-9))
        };
        println!("{name:<16}{:>24}{:>24}", cell(all), cell(one));
    };
    time("read", |times| times.read);
    time("token scan", |times| times.scan);
    time("pest parse", |times| times.parse);
    time("check", |times| times.check);
    time("without forecast", |times| times.without_forecast);
    time("  its loading", |times| times.load);
    time("  its checking", |times| times.look);
    time("  its letting go", |times| times.let_go);
    println!();
    let ratio = |name: &str, of: fn(&Times) -> Least, aim: &str| {
        let cell = |times: &Times| format!("{:.2}", times.check.seconds() / of(times).seconds().max(1e-9));
        println!("check ÷ {name:<12}{:>20}{:>24}{aim}", cell(all), cell(one));
    };
    ratio("read", |times| times.read, "");
    ratio("token scan", |times| times.scan, "");
    ratio("pest parse", |times| times.parse, &format!("   (aim: at most {AIM})"));
    ratio("no forecast", |times| times.without_forecast, &format!("   (aim: at most {FORECAST_AIM})"));
}

fn threads(number: usize) -> String {
    if number == 1 { "1 thread".to_string() } else { format!("{number} threads") }
}
