//! How long a pH takes: one solve of a mixture of five acids, a titration of a hundred points, and solves with metals beside
//! the same where nothing holds them. `cargo bench --bench ph`.
//!
//! `benches/reference/compare.py` does the same work with a general-purpose pH library of another language, and prints
//! the ratio of the two. Nothing is asserted about time.

use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;
use stillroom::chemistry::{Activity, Binding, Blend, Constants, Mixture, equilibrium};

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

/// How much of each a case has, in mol/kg: citric and lactic acid, EDTA and carbonic acid; calcium, magnesium and zinc.
struct WithMetals {
    name: &'static str,
    acids: [f64; 4],
    metals: [f64; 3],
    sodium: f64,
    /// Whether the metals come as their hydroxides.
    solid: bool,
}

const WITH_METALS: [WithMetals; 7] = [
    WithMetals {
        name: "one metal, one acid",
        acids: [0.05, 0.0, 0.0, 0.0],
        metals: [0.03, 0.0, 0.0],
        sodium: 0.08,
        solid: false,
    },
    WithMetals {
        name: "one metal, EDTA",
        acids: [0.0, 0.0, 0.01, 0.0],
        metals: [0.004, 0.0, 0.0],
        sodium: 0.04,
        solid: false,
    },
    WithMetals {
        name: "one metal, three acids",
        acids: [0.05, 0.1, 0.002, 0.0],
        metals: [0.02, 0.0, 0.0],
        sodium: 0.1,
        solid: false,
    },
    WithMetals {
        name: "two metals, two acids",
        acids: [0.03, 0.1, 0.0, 0.0],
        metals: [0.0, 0.03, 0.02],
        sodium: 0.1,
        solid: false,
    },
    WithMetals {
        name: "three metals, three acids",
        acids: [0.03, 0.1, 0.01, 0.0],
        metals: [0.01, 0.03, 0.02],
        sodium: 0.1,
        solid: false,
    },
    WithMetals {
        name: "solid zinc oxide",
        acids: [0.0, 0.1, 0.0, 0.0],
        metals: [0.0, 0.0, 1.0],
        sodium: 0.0,
        solid: true,
    },
    WithMetals {
        name: "calcium carbonate falls out",
        acids: [0.0, 0.0, 0.0, 0.02],
        metals: [0.01, 0.0, 0.0],
        sodium: 0.04,
        solid: false,
    },
];

impl WithMetals {
    /// The mixture, where the acids hold the metals, or where those are bare ions. Constants as in `tests/data/ph-metals.json`.
    fn mixture(&self, held: bool) -> Mixture {
        type Known = (&'static [f64], f64, [&'static [f64]; 3]);
        const ACIDS: [Known; 4] = [
            (&[3.128, 4.761, 6.396], 0.0, [&[4.87, 2.864, 1.1], &[4.89, 2.514, 1.043], &[6.21, 3.804, 1.683]]),
            (&[3.86], 0.0, [&[1.45], &[1.37], &[2.2]]),
            (&[1.5, 2.16, 3.119, 6.273, 10.948], 1.0, [&[12.42, 4.952], &[10.57, 4.022], &[18.0, 10.452]]),
            (&[6.351, 10.329], 0.0, [&[3.2, 1.27], &[2.92, 1.01], &[4.76, 1.5]]),
        ];
        const HYDROXIDES: [f64; 3] = [5.19, 11.15, 16.1];
        let mut mixture = Mixture::water(1.0);
        for (id, ((pka, top_charge, log_k), moles)) in (10..).zip(ACIDS.into_iter().zip(self.acids)) {
            let binds = (0..).zip(log_k).map(|(metal, log_k)| Binding { metal, log_k: log_k.to_vec() });
            let constants = Constants::new(pka, top_charge, None);
            let constants = if held { constants.binding(binds.collect()) } else { constants };
            if moles > 0.0 {
                mixture.put(id, &Arc::new(constants), moles);
            }
        }
        for (id, (pksp, moles)) in
            (0..).zip(HYDROXIDES.into_iter().zip(self.metals)).filter(|(_, (_, moles))| *moles > 0.0)
        {
            let with = if id == 0 { vec![(13, 8.48)] } else { Vec::new() };
            match held {
                true => mixture.put(id, &Arc::new(Constants::new(&[], 2.0, None).falling_out(Some(pksp), with)), moles),
                false if self.solid => {}
                false => mixture.put_ion(2.0, moles),
            }
            match self.solid {
                true if held => mixture.hydroxide += 2.0 * moles,
                true => {}
                false => mixture.put_ion(-1.0, 2.0 * moles),
            }
        }
        mixture.put_strong_base(self.sodium);
        mixture
    }
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
    for case in WITH_METALS {
        let [with, without] = [true, false].map(|held| {
            let mixture = case.mixture(held);
            least(1000, || equilibrium(&mixture, Activity::Davies).map_or(0.0, |found| found.ph))
        });
        println!("{} {:.3} us, {:.1} times one that nothing holds", case.name, with * 1e6, with / without);
    }
}
