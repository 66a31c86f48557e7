//! How long a pH takes: one solve of a mixture of five acids, and a titration of a hundred points. `cargo bench --bench ph`.
//!
//! `benches/reference/compare.py` does the same work with a general-purpose pH library of another language, and prints
//! the ratio of the two. Nothing is asserted about time.

use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;
use stillroom::chemistry::{Activity, Blend, Constants, Mixture, equilibrium};

/// How often each is measured; the least counts.
const ROUNDS: usize = 9;

/// Lactic, glycolic, citric, salicylic and azelaic acid, half neutralised, in 100 g.
fn five_acids() -> Mixture {
    let acids: [(&[f64], f64); 5] = [
        (&[3.86], 0.03),
        (&[3.83], 0.02),
        (&[3.128, 4.761, 6.396], 0.01),
        (&[2.97, 13.6], 0.005),
        (&[4.55, 5.5], 0.005),
    ];
    let mut mixture = Mixture::water(0.09);
    for (id, (pka, moles)) in (0_u64..).zip(acids) {
        mixture.put(id, &Arc::new(Constants::acid(pka)), moles);
    }
    mixture.put_strong_base(0.04);
    mixture
}

/// The least time of one call in seconds, over rounds of so many calls.
fn least(calls: u32, mut work: impl FnMut() -> f64) -> f64 {
    let times = (0..ROUNDS).map(|_| {
        let start = Instant::now();
        for _ in 0..calls {
            black_box(work());
        }
        start.elapsed().as_secs_f64() / f64::from(calls)
    });
    times.fold(f64::INFINITY, f64::min)
}

fn main() {
    let mixture = five_acids();
    for model in [Activity::Davies, Activity::Best, Activity::Ideal] {
        let solve = least(2000, || equilibrium(&mixture, model).map_or(0.0, |found| found.ph));
        println!("solve {} {:.3} us", model.word(), solve * 1e6);
    }
    let mut start = five_acids();
    start.put_strong_base(-0.04);
    let mut per_unit = Mixture::water(0.09e-3);
    per_unit.put_strong_base(0.1 / 39.997);
    let blend = Blend { start, per_unit, most: 60.0 };
    let dose = least(2000, || blend.dose(4.0, Activity::Davies).unwrap_or(0.0));
    println!("dose davies {:.3} us", dose * 1e6);
    let titration = least(50, || {
        let ph = (0..100).map(|point| equilibrium(&blend.at(f64::from(point) * 0.5), Activity::Davies));
        ph.flatten().map(|found| found.ph).sum()
    });
    println!("titration davies {:.3} us", titration * 1e6);
}
