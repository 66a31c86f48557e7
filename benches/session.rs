//! What it costs to ask a session again after one line changed, beside a whole check of the same workspace of 200
//! formulas, in one run. `cargo bench --bench session`. Nothing is asserted about time.

#![allow(clippy::disallowed_methods, reason = "a benchmark reads files of its own")]

mod generate;

use std::hint::black_box;
use std::time::{Duration, Instant};
use stillroom::session::{Session, check};
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Disk, load};

/// Files of formulas, of 20 each.
const FORMULA_FILES: usize = 10;

/// How often everything is measured; the least of each counts.
const ROUNDS: usize = 30;

fn timed<T>(work: impl FnOnce() -> T) -> Duration {
    let start = Instant::now();
    black_box(work());
    start.elapsed()
}

fn main() -> std::io::Result<()> {
    let workspace = generate::workspace(FORMULA_FILES, 0)?;
    let order = BatchOrder::default();
    let formulas: Vec<_> = workspace.files.iter().filter(|path| path.to_string_lossy().contains("range-")).collect();
    let mut session = Session::open(Disk, &workspace.files, None);
    assert_eq!(session.check(&order).formulas.len(), workspace.formulas, "every formula is checked");
    let (mut whole, mut again) = (Duration::MAX, Duration::MAX);
    for round in 0..ROUNDS {
        let path = formulas[round % formulas.len()];
        let text = std::fs::read_to_string(path)?;
        // A figure in the last line that has one: another each time.
        let at = text.rfind(|c: char| ('1'..='8').contains(&c)).expect("a figure");
        let text = format!("{}{}{}", &text[..at], 1 + round / formulas.len() % 8, &text[at + 1..]);
        again = again.min(timed(|| {
            session.set_text(path, &text);
            session.check(&order).diagnostics.len()
        }));
        whole = whole.min(timed(|| {
            let loaded = load(&Disk, &workspace.files, None);
            check(&loaded.sources, &order, false).diagnostics.len()
        }));
    }
    let milliseconds = |time: Duration| time.as_secs_f64() * 1e3;
    println!(
        "{} formulas: a whole check {:.2} ms, asked again after one line changed {:.2} ms: {:.1} % of it",
        workspace.formulas,
        milliseconds(whole),
        milliseconds(again),
        100.0 * again.as_secs_f64() / whole.as_secs_f64()
    );
    Ok(())
}
