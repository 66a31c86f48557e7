//! A simulated bench: batches whose truth is drawn from another physics than the program's, adjusted as it advises, with
//! a buffer at hand and without, and by two habits of the trade; and faults planted for the second witness.
//!
//! `cargo bench --bench simulated_bench` prints the tables; with `STILLROOM_WRITE=1` it writes them into `docs/ph.md`.
//! Every batch is the same each time. The priors were tuned on the numbers below a million; what is printed is of those
//! from a million on. Nothing is asserted here; `tests/bench/simulated.rs` holds a smaller number of them.

#![allow(clippy::disallowed_methods, reason = "it writes a page of the documentation")]

mod workshop;

use std::ops::Range;
use std::time::Instant;
use stillroom::batch::advise::{Cause, advise};
use workshop::maker::{Bench, End};
use workshop::{Batch, CAREFUL, LOOSE, Planted, Workshop};

/// Batches of each row of the first table; an argument sets another number. The second has a quarter of them.
const BATCHES: u64 = 250;
/// The number of the first batch; a second argument sets another.
const FIRST: u64 = 1_000_000;
/// The page, and what the tables stand between.
const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/ph.md");
const BEFORE: &str = "<!-- made by STILLROOM_WRITE=1 cargo bench --bench simulated_bench -->\n";
const AFTER: &str = "<!-- /made -->";

fn main() {
    let asked: Vec<u64> = std::env::args().skip(1).filter_map(|argument| argument.parse().ok()).collect();
    let batches = asked.first().copied().unwrap_or(BATCHES);
    let first = asked.get(1).copied().unwrap_or(FIRST);
    println!("{:.1} ms an advice of five readings", milliseconds());
    let start = Instant::now();
    let makers = makers(&(first..first + batches));
    println!("{makers}{:.0} s", start.elapsed().as_secs_f64());
    let faults = faults(&(first..first + batches / 4));
    println!("{faults}{:.0} s", start.elapsed().as_secs_f64());
    if std::env::var_os("STILLROOM_WRITE").is_some() {
        write(&format!("\n{makers}\n{faults}\n"));
    }
}

/// How long it takes to give an advice.
fn milliseconds() -> f64 {
    const TIMES: u32 = 20;
    let mut bench = bench(&LOOSE, FIRST, Planted::None, true);
    for _ in 0..4 {
        bench.read();
        bench.add(0.1);
    }
    bench.read();
    let start = Instant::now();
    for _ in 0..TIMES {
        std::hint::black_box(advise(&bench.situation));
    }
    start.elapsed().as_secs_f64() * 1000.0 / f64::from(TIMES)
}

/// A way of adjusting a batch, and its name.
type Way = (&'static str, fn(&Workshop, u64) -> End);

const WAYS: [Way; 5] = [
    ("as advised, a buffer read when asked", |shop, number| bench(shop, number, Planted::None, true).follow(true)),
    ("as advised, without a buffer", |shop, number| bench(shop, number, Planted::None, true).follow(false)),
    ("the same from readings alone, with a buffer", |shop, number| {
        bench(shop, number, Planted::None, false).follow(true)
    }),
    ("a fixed small step", |shop, number| bench(shop, number, Planted::None, true).by_small_steps()),
    ("a straight line through two readings", |shop, number| {
        bench(shop, number, Planted::None, true).by_straight_line()
    }),
];

/// The table of makers.
fn makers(numbers: &Range<u64>) -> String {
    let mut out = format!(
        "| workshop, {} batches each | truly inside | inside by the reading | ever truly past the far edge | ever read \
         past it | additions, half and 95 % of batches | buffer asked for | doubted |\n| --- | ---: | ---: | ---: | ---: \
         | ---: | ---: | ---: |\n",
        numbers.end - numbers.start
    );
    for shop in [CAREFUL, LOOSE] {
        for (how, work) in WAYS {
            let ends = each(numbers, |number| work(&shop, number));
            let mut additions: Vec<usize> = ends.iter().map(|end| end.additions).collect();
            additions.sort_unstable();
            let at = |part: usize| additions[(additions.len() - 1) * part / 100];
            let shares = [
                share(&ends, |end| end.truly_inside),
                share(&ends, |end| end.reading_inside),
                share(&ends, |end| end.overshot),
                share(&ends, |end| end.read_past),
                format!("{}, {}", at(50), at(95)),
                share(&ends, |end| end.buffer_asked),
                share(&ends, |end| end.doubted),
            ];
            out += &format!("| {}: {how} | {} |\n", shop.name, shares.join(" | "));
        }
    }
    out
}

/// A row of the table of faults: its name, what is planted, and which causes are right.
type Fault = (&'static str, Planted, fn(Cause) -> bool);

const FAULTS: [Fault; 9] = [
    ("meter 0.5 to 1.0 high", Planted::MeterHigh, |cause| cause == Cause::MeterHigh),
    ("meter 0.5 to 1.0 low", Planted::MeterLow, |cause| cause == Cause::MeterLow),
    ("a reading typed wrong", Planted::Slip, |cause| matches!(cause, Cause::Slip { .. })),
    ("adjuster at half strength", Planted::BaseHalf, |cause| cause == Cause::BaseWeak),
    ("adjuster 1.5 to 1.9 times", Planted::BaseStrong, |cause| cause == Cause::BaseStrong),
    ("active at two thirds", Planted::AcidTwoThirds, |cause| cause == Cause::AcidWeak),
    ("active 1.3 to 1.5 times", Planted::AcidStrong, |cause| cause == Cause::AcidStrong),
    ("0.05 to 0.08 mol/kg unlisted", Planted::Unlisted, |cause| cause == Cause::UnlistedBuffer),
    ("none", Planted::None, |_| false),
];

/// The table of faults.
fn faults(numbers: &Range<u64>) -> String {
    let mut out = format!(
        "| workshop and fault, {} batches each | doubted by the third reading | the right cause first | among those named \
         | doubted on the way | among those named last, done as told |\n| --- | ---: | ---: | ---: | ---: | ---: |\n",
        numbers.end - numbers.start
    );
    for shop in [CAREFUL, LOOSE] {
        for (name, planted, is_right) in FAULTS {
            let all = each(numbers, |number| {
                let three = bench(&shop, number, planted, true).three_readings();
                (three, bench(&shop, number, planted, true).follow(true))
            });
            let causes = [
                share(&all, |(three, _)| !three.honest || !three.doubts.is_empty()),
                share(&all, |(three, _)| three.doubts.first().is_some_and(|doubt| is_right(doubt.cause))),
                share(&all, |(three, _)| three.doubts.iter().any(|doubt| is_right(doubt.cause))),
                share(&all, |(_, end)| end.doubted),
                share(&all, |(_, end)| end.named.iter().any(|cause| is_right(*cause))),
            ];
            out += &format!("| {}: {name} | {} |\n", shop.name, causes.join(" | "));
        }
    }
    out
}

fn bench(shop: &Workshop, number: u64, planted: Planted, by_chemistry: bool) -> Bench {
    Bench::new(&Batch::draw(shop, number, planted), by_chemistry)
}

/// Every batch, half of them beside the other half; in the order of their numbers.
fn each<T: Send>(numbers: &Range<u64>, work: impl Fn(u64) -> T + Sync) -> Vec<T> {
    let half = u64::midpoint(numbers.start, numbers.end);
    std::thread::scope(|scope| {
        let first = scope.spawn(|| (numbers.start..half).map(&work).collect::<Vec<T>>());
        let second: Vec<T> = (half..numbers.end).map(&work).collect();
        let mut all = first.join().unwrap();
        all.extend(second);
        all
    })
}

/// A share in percent, to a tenth.
fn share<T>(all: &[T], which: impl Fn(&T) -> bool) -> String {
    format!("{:.1} %", 100.0 * all.iter().filter(|one| which(one)).count() as f64 / all.len() as f64)
}

/// Puts the tables into their place on the page.
fn write(tables: &str) {
    let page = std::fs::read_to_string(PAGE).unwrap();
    let (head, rest) = page.split_once(BEFORE).expect("the page has a place for the tables");
    let (_, tail) = rest.split_once(AFTER).expect("the place has an end");
    std::fs::write(PAGE, format!("{head}{BEFORE}{tables}{AFTER}{tail}")).unwrap();
}
