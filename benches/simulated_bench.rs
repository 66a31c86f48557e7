//! A simulated bench: batches whose truth is drawn from another physics than the advisor's, adjusted as it advises and
//! by two habits of the trade; and faults planted for the second witness. `cargo bench --bench simulated_bench`.
//!
//! Every batch is the same each time. Nothing is asserted here; `tests/bench/advise.rs` holds a smaller number of them.

mod workshop;

use std::time::Instant;
use stillroom::batch::advise::Cause;
use workshop::maker::{Bench, End};
use workshop::{Batch, CAREFUL, Planted, USUAL, Workshop};

/// Batches of each workshop; an argument sets another number.
const BATCHES: u64 = 1000;

fn main() {
    let asked = std::env::args().skip(1).find_map(|argument| argument.parse().ok());
    let batches = asked.unwrap_or(BATCHES);
    let start = Instant::now();
    for shop in [USUAL, CAREFUL] {
        println!("{}, {batches} batches, windows 0.4 wide", shop.name);
        println!("  {:<26}{}", "", HEAD);
        report("as advised", &each(batches, |number| follow(&shop, number, true)));
        report("as advised, readings alone", &each(batches, |number| follow(&shop, number, false)));
        report("fixed small step", &each(batches, |number| habit(&shop, number, |bench| bench.by_small_steps())));
        report("straight line", &each(batches, |number| habit(&shop, number, |bench| bench.by_straight_line())));
    }
    println!("second witness, careful workshop, after three readings");
    let faults = [
        ("meter 0.5 to 1.0 high", Planted::MeterHigh, Some(Cause::MeterHigh)),
        ("meter 0.5 to 1.0 low", Planted::MeterLow, Some(Cause::MeterLow)),
        ("base at half strength", Planted::BaseHalf, Some(Cause::BaseWeak)),
        ("acid at two thirds", Planted::AcidTwoThirds, Some(Cause::AcidWeak)),
        ("none", Planted::None, None),
    ];
    for (name, planted, cause) in faults {
        witness(name, planted, cause, batches / 4);
    }
    println!("{:.0} s", start.elapsed().as_secs_f64());
}

const HEAD: &str = "reading in  truly in  overshot  additions (95 %)  no reserve  doubted  buffers read";

fn follow(shop: &Workshop, number: u64, by_chemistry: bool) -> End {
    Bench::new(&Batch::draw(shop, number, Planted::None), by_chemistry).follow()
}

fn habit(shop: &Workshop, number: u64, work: impl Fn(Bench<'_>) -> End) -> End {
    work(Bench::new(&Batch::draw(shop, number, Planted::None), true))
}

/// Every batch, half of them beside the other half; in the order of their numbers.
fn each<T: Send>(batches: u64, work: impl Fn(u64) -> T + Sync) -> Vec<T> {
    let half = batches / 2;
    std::thread::scope(|scope| {
        let first = scope.spawn(|| (0..half).map(&work).collect::<Vec<T>>());
        let second: Vec<T> = (half..batches).map(&work).collect();
        let mut all = first.join().unwrap();
        all.extend(second);
        all
    })
}

fn report(name: &str, ends: &[End]) {
    let share =
        |which: fn(&End) -> bool| 100.0 * ends.iter().filter(|end| which(end)).count() as f64 / ends.len() as f64;
    let mut additions: Vec<usize> = ends.iter().map(|end| end.additions).collect();
    additions.sort_unstable();
    let at = |part: usize| additions[(additions.len() - 1) * part / 100];
    println!(
        "  {name:<26}{:>9.1} %{:>8.1} %{:>8.1} %{:>11} ({:>3}){:>10.1} %{:>7.1} %{:>12.1} %",
        share(|end| end.reading_inside),
        share(|end| end.truly_inside),
        share(|end| end.overshot),
        at(50),
        at(95),
        share(|end| end.out_of_reserve),
        share(|end| end.doubted),
        share(|end| end.buffers_read),
    );
}

fn witness(name: &str, planted: Planted, cause: Option<Cause>, batches: u64) {
    let advices = each(batches, |number| Bench::new(&Batch::draw(&CAREFUL, number, planted), true).three_readings());
    let share = |count: usize| 100.0 * count as f64 / advices.len() as f64;
    let named = advices.iter().filter(|advice| advice.doubts.first().map(|doubt| doubt.cause) == cause).count();
    let doubtful = advices.iter().filter(|advice| !advice.honest).count();
    let told = if cause.is_some() { "named right" } else { "no doubt told" };
    println!("  {name:<26}{told} {:>5.1} %, batch held as doubtful {:>5.1} %", share(named), share(doubtful));
}
