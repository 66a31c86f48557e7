//! Whether the time of a check stays in proportion to the number of formulas, and to the number of rules that bind
//! them: 100, 1000 and 10 000 formulas, and 1000 formulas under 0, 100 and 1000 rules of the house, all in one run.
//! `cargo bench --bench scaling`.
//!
//! What counts is the time for each formula beside that of the smallest workspace: near 1, or under it, is in
//! proportion. A file of materials is read once however many formulas there are, so it weighs most on the fewest.
//! Nothing is asserted about time; what is asserted is that the workspaces are sound.

#![allow(clippy::disallowed_methods, reason = "a benchmark writes files of its own")]

mod generate;

use generate::{FORMULAS_PER_FILE, Workspace};
use std::hint::black_box;
use std::time::{Duration, Instant};
use stillroom::diagnostic::Level;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Disk, load};

/// Formulas, from a few to many.
const FORMULAS: [usize; 3] = [100, 1000, 10_000];

/// Rules that bind each of a thousand formulas.
const RULES: [usize; 3] = [0, 100, 1000];

/// How often each is measured; the least counts.
const ROUNDS: usize = 5;

fn main() -> std::io::Result<()> {
    println!("the least of {ROUNDS} rounds, on one thread\n");
    let one_thread = rayon::ThreadPoolBuilder::new().num_threads(1).build().map_err(std::io::Error::other)?;
    one_thread.install(|| {
        in_formulas()?;
        in_rules()
    })
}

/// The time for each formula, as the formulas grow more.
fn in_formulas() -> std::io::Result<()> {
    println!("{:>9}{:>9}{:>12}{:>16}{:>18}", "formulas", "MB", "check, ms", "µs a formula", "beside the first");
    let mut first = None;
    for formulas in FORMULAS {
        let workspace = generate::workspace(formulas / FORMULAS_PER_FILE, 0)?;
        let time = least(&workspace);
        let each = time / formulas as f64;
        let ratio = each / *first.get_or_insert(each);
        let megabytes = workspace.bytes as f64 / 1e6;
        println!("{formulas:>9}{megabytes:>9.2}{:>12.1}{:>16.1}{ratio:>18.2}", time * 1e3, each * 1e6);
    }
    Ok(())
}

/// The time that each rule adds to each formula, as the rules grow more.
fn in_rules() -> std::io::Result<()> {
    println!("\n{:>9}{:>9}{:>12}{:>16}{:>18}", "formulas", "rules", "check, ms", "ns a rule", "beside the first");
    let formulas = FORMULAS[1];
    let (mut bare, mut first) = (0.0, None);
    for rules in RULES {
        let time = least(&generate::workspace(formulas / FORMULAS_PER_FILE, rules)?);
        if rules == 0 {
            bare = time;
            println!("{formulas:>9}{rules:>9}{:>12.1}", time * 1e3);
            continue;
        }
        let each = (time - bare).max(0.0) / (formulas * rules) as f64;
        let ratio = each / *first.get_or_insert(each);
        println!("{formulas:>9}{rules:>9}{:>12.1}{:>16.1}{ratio:>18.2}", time * 1e3, each * 1e9);
    }
    Ok(())
}

/// The least time of a check of a whole workspace, in seconds.
fn least(workspace: &Workspace) -> f64 {
    (0..ROUNDS).map(|_| once(workspace)).min().unwrap_or_default().as_secs_f64()
}

fn once(workspace: &Workspace) -> Duration {
    let start = Instant::now();
    let loaded = load(&Disk, &workspace.files, None);
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let time = start.elapsed();
    let error = report.diagnostics.iter().find(|fault| fault.level == Level::Error);
    assert!(error.is_none(), "the made-up workspace is at fault: {error:#?}");
    assert_eq!(report.formulas.len(), workspace.formulas, "every formula is checked");
    black_box(report.diagnostics.len());
    time
}
