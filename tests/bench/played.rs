//! Batches played through: whoever does what is next, word for word, ends with a released batch, whatever one thing went
//! wrong. What comes of losses is arithmetic; that a finished batch has the percentages of its formula is what a top-up is
//! for (common practice, no source).

#![allow(clippy::disallowed_methods, reason = "how many batches are played may be asked for")]

use crate::common;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use stillroom::batch::{Do, Ledger, Setting, View, contents};
use stillroom::chemistry::{Activity, equilibrium};
use stillroom::model::{Batch, DeclId, Event, Happened, LineAmount, Named, Reading};
use stillroom::quantity::Exact;
use stillroom::resolve::Resolver;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::tree::Item;

/// What goes wrong, once.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Slip {
    Nothing,
    /// An addition of so many times what was said.
    Overshoot(f64),
    /// So many hundredths of what is in the beaker are lost, before the act of that number.
    Spill(i64, usize),
    /// Next to nothing is held back.
    DryReserve,
}

#[derive(Clone, Debug)]
struct Recipe {
    acid: &'static str,
    percent: u32,
    window: (u32, u32),
    holds: u32,
    two_reserves: bool,
    citric_too: bool,
    hot: bool,
    waits: bool,
    grams: u32,
    slip: Slip,
}

fn recipe() -> impl Strategy<Value = Recipe> {
    let slip = prop_oneof![
        2 => Just(Slip::Nothing),
        1 => (15_u32..25).prop_map(|tenths| Slip::Overshoot(f64::from(tenths) / 10.0)),
        1 => (2_i64..40, 1_usize..12).prop_map(|(percent, at)| Slip::Spill(percent, at)),
        1 => Just(Slip::DryReserve),
    ];
    let acids = prop_oneof![Just("glycolic-acid-70"), Just("lactic-acid-80"), Just("mandelic-acid")];
    let flags = any::<(bool, bool, bool, bool)>();
    (acids, 2_u32..8, 33_u32..38, 20_u32..35, flags, 100_u32..600, slip).prop_map(
        |(acid, percent, low, holds, (two_reserves, citric_too, hot, waits), grams, slip)| Recipe {
            acid,
            percent,
            window: (low, low + 4),
            holds: if slip == Slip::DryReserve { 2 } else { holds },
            two_reserves,
            citric_too,
            hot,
            waits,
            grams,
            slip,
        },
    )
}

impl Recipe {
    fn text(&self) -> String {
        let (low, high) = self.window;
        let ph = |tenths: u32| format!("{}.{}", tenths / 10, tenths % 10);
        let rose = if self.two_reserves { "    rose-hydrosol  20 %  hold back 5 %\n" } else { "" };
        let from = if self.two_reserves { " from water" } else { "" };
        let citric = match (self.citric_too, self.two_reserves) {
            (true, true) => "    citric-acid-monohydrate  q.s. to pH from rose-hydrosol\n",
            (true, false) => "    citric-acid-monohydrate  q.s. to pH\n",
            _ => "",
        };
        let (heat, cool) = if self.hot { ("    heat to 60 °C\n", "    cool to 40 °C\n") } else { ("", "") };
        let steps = if self.waits {
            "  steps {\n    \"Weigh {water}.\"\n    \"Scatter {xanthan-gum} in {glycerin}.\"\n    \"Leave it 30 min.\"\n    \"Stir in \
             {phenoxyethanol-ethylhexylglycerin}.\"\n    \"Let it stand for 2 h.\"\n  }\n"
        } else {
            ""
        };
        format!(
            "use shelf/all\n\nmaterial rose-hydrosol {{\n  contains water 100 %\n}}\n\nformula played {{\n  version \"1\"\n  \
             product leave-on face\n  makes {} g\n  scale 0.01 g\n  meter 0.05\n  pH {} to {}\n\n  phase A {{\n{heat}    water  q.s.  \
             hold back {} %\n{rose}    {}  {} %\n    sodium-hydroxide-10  q.s. to pH{from}\n{citric}    glycerin  3 %\n  }}\n  phase B \
             {{\n    xanthan-gum  0.5 %\n  }}\n  phase C {{\n{cool}    phenoxyethanol-ethylhexylglycerin  1 %\n  \
             }}\n{steps}}}\n\nbatch one {{\n  formula played version \"1\"\n}}\n",
            self.grams,
            ph(low),
            ph(high),
            self.holds,
            self.acid,
            self.percent
        )
    }
}

pub fn event(what: Happened, of: &Batch) -> Event {
    Event { what, on: None, at: None, by: None, said: Default::default(), place: of.place }
}

/// The pH of the beaker by the chemistry, to a hundredth: here the meter, the bottles and the constants are all right.
pub fn reads(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch) -> Reading {
    let now = contents(resolver, setting, batch, batch.events.len());
    let adjuster = stillroom::batch::adjuster_per_gram(resolver, setting, batch).unwrap();
    let whole = now.without_adjuster.plus(&adjuster, now.adjuster_grams);
    let ph = equilibrium(&whole, Activity::Davies).unwrap().ph;
    let read = Exact::ratio((ph * 100.0).round() as i64, 100);
    Reading { low: read.clone(), high: read, by_strip: false, diluted: false }
}

/// Plays a batch to its end; gives back the record, or at what it stopped.
fn play(resolver: &Resolver<'_>, mut batch: Batch, slip: Slip) -> Result<Batch, String> {
    let mut slipped = slip == Slip::Nothing || slip == Slip::DryReserve;
    let mut told = Vec::new();
    for act in 0..80 {
        if let (Slip::Spill(percent, at), false) = (slip, slipped)
            && act >= at
        {
            let weights = View::of(resolver, &batch).ok_or("no view")?.ledger.weights.total();
            let gone = (&weights * &Exact::ratio(percent, 100)).to_step(&Exact::ratio(1, 100));
            slipped = true;
            if gone.is_positive() {
                batch.events.push(event(Happened::Removed(gone, "spilt".into()), &batch));
            }
        }
        let view = View::of(resolver, &batch).ok_or("no view")?;
        let next = &view.next;
        told.push(format!(
            "{} {:?} {:?}",
            next.what.word(),
            next.material,
            next.grams.as_ref().map(|grams| grams.to_fixed(2))
        ));
        let named = || next.material.clone().map(|text| Named { text, place: batch.place }).ok_or("no material");
        let by_scale = next.why.contains("by the scale");
        let grams =
            || next.grams.clone().filter(|grams| by_scale || grams.is_positive()).ok_or(format!("no grams: {told:#?}"));
        let happened = match next.what {
            Do::Heat => Happened::Heated(next.celsius.clone().ok_or("no temperature")?),
            Do::Cool => Happened::Cooled(next.celsius.clone().ok_or("no temperature")?),
            Do::Weigh => Happened::Weighed(named()?, grams()?),
            Do::Add => {
                let material = named()?;
                let is_adjuster = view.setting.formula.adjusters().any(|line| line.name == material.text);
                let times = match slip {
                    Slip::Overshoot(times) if !slipped && is_adjuster => {
                        slipped = true;
                        times
                    }
                    _ => 1.0,
                };
                let more = &grams()? * &Exact::ratio((times * 10.0) as i64, 10);
                let because = (!is_adjuster).then(|| "as the bench said".into());
                Happened::Added(material, more.to_step(&Exact::ratio(1, 100)), because)
            }
            Do::Read => Happened::Read(reads(resolver, &view.setting, &batch)),
            Do::CheckMeter => {
                let buffer = Exact::ratio((next.buffer.ok_or("no buffer")? * 100.0).round() as i64, 100);
                Happened::Calibrated { buffer: buffer.clone(), reads: buffer }
            }
            Do::Wait => Happened::Waited(next.seconds.clone().unwrap_or(Exact::ONE)),
            Do::TopUp => {
                let to = view.ledger.top_up_to().filter(|_| by_scale);
                Happened::ToppedUp { material: named()?, grams: Some(grams()?), to }
            }
            Do::Fill => Happened::Filled { count: Exact::ONE, each: None, code: None },
            Do::Release => Happened::Released,
            Do::Stop => return Err(format!("stop: {} after {told:#?}", next.why)),
            Do::Done => return Ok(batch),
        };
        batch.events.push(event(happened, &batch));
    }
    Err(format!("no end: {told:#?}"))
}

pub fn with_batch<T>(text: &str, look: impl FnOnce(&Resolver<'_>, Batch) -> T) -> T {
    let folder = common::folder(&[("batch.still", text.as_bytes())]);
    let loaded = folder.load();
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let source = loaded.sources.files.iter().find(|source| source.named).unwrap();
    let item = source.tree.items.iter().position(|item| matches!(item, Item::Batch(_))).unwrap();
    let batch = report.resolver.batch(DeclId { file: source.id, item: item as u32 }).unwrap();
    look(&report.resolver, batch)
}

/// Batches of random formulas, obeyed word for word: with nothing wrong, one overshoot, one spill or a dry reserve. The
/// advice is what takes the time: `STILLROOM_PLAYED=200 cargo test --release --test bench played` plays more.
#[test]
fn obeying_leads_to_release() {
    let mut runner = TestRunner::deterministic();
    let cases: u32 = std::env::var("STILLROOM_PLAYED").ok().and_then(|cases| cases.parse().ok()).unwrap_or(16);
    let mut failed = Vec::new();
    for number in 0..cases {
        let recipe = recipe().new_tree(&mut runner).unwrap().current();
        with_batch(&recipe.text(), |resolver, batch| match play(resolver, batch, recipe.slip) {
            Ok(batch) => is_right(resolver, &batch, &recipe),
            Err(why) => failed.push(format!("{number}: {recipe:?}\n{why}")),
        });
    }
    assert!(failed.is_empty(), "{} of {cases}:\n{}", failed.len(), failed.join("\n\n"));
}

/// Each fixed line has its percentage in the finished batch, but for the step of the scale and what a trifle over the
/// reserve thins, and the last reading is in the window.
fn is_right(resolver: &Resolver<'_>, batch: &Batch, recipe: &Recipe) {
    let view = View::of(resolver, batch).unwrap();
    let whole = view.ledger.weights.total().to_f64();
    let trifle = view.ledger.over().is_positive();
    let corrected: Vec<&str> = view.corrections.iter().map(|of| of.material.as_str()).collect();
    for line in view.setting.formula.lines.iter().filter(|line| !matches!(line.amount, LineAmount::AtBench)) {
        let reserve = view.ledger.reserves.iter().any(|reserve| reserve.material == line.name);
        // What led back from past the window is in it beside its line.
        if reserve || corrected.contains(&line.name.as_str()) && !trifle {
            continue;
        }
        let percent = line.percent.as_ref().unwrap().to_f64();
        let found = view.ledger.weights.parts[line.name.as_str()].to_f64() * 100.0 / whole;
        let allowed = percent * if trifle { 0.03 } else { 0.01 } + 1.0 / whole;
        assert!((found - percent).abs() < allowed, "{}: {found} for {percent} in {recipe:?}", line.name);
    }
    let last = view.last.as_ref().unwrap();
    let (low, high) = recipe.window;
    let read = last.reading.low.to_f64() * 10.0;
    assert!(!last.stale && read >= f64::from(low) - 1e-9 && read <= f64::from(high) + 1e-9, "{read} in {recipe:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// Of what is still to be weighed after losses, each line asks for the share that stayed of what was planned of it,
    /// exactly; and so do what is held back and its top-up.
    #[test]
    fn a_loss_scales_what_is_still_to_come(
        recipe in recipe(), weighed in 1_usize..5, losses in prop::collection::vec(1_i64..60, 1..4),
    ) {
        with_batch(&recipe.text(), |resolver, mut batch| {
            let plan = View::of(resolver, &batch).unwrap().ledger;
            for line in plan.lines.iter().filter(|line| line.planned.is_some()).take(weighed) {
                let material = Named { text: line.name.clone(), place: batch.place };
                batch.events.push(event(Happened::Weighed(material, line.planned.clone().unwrap()), &batch));
            }
            let mut stays = Exact::ONE;
            for percent in losses {
                let there = View::of(resolver, &batch).unwrap().ledger.weights.total();
                let gone = &there * &Exact::ratio(percent, 100);
                stays = &stays * &Exact::ratio(100 - percent, 100);
                batch.events.push(event(Happened::Removed(gone, "spilt".into()), &batch));
            }
            let view = View::of(resolver, &batch).unwrap();
            prop_assert_eq!(&view.ledger.stays, &stays);
            let lines = view.ledger.lines.iter().zip(&plan.lines).filter(|(_, first)| first.planned.is_some());
            for (number, (line, first)) in lines.enumerate() {
                let to_come = if number < weighed { Exact::ZERO } else { &stays * &first.missing() };
                prop_assert_eq!(line.missing(), to_come, "{}", line.name);
            }
            for (reserve, first) in view.ledger.reserves.iter().zip(&plan.reserves) {
                prop_assert_eq!(reserve.left(), &stays * &first.left());
                prop_assert_eq!(reserve.to_top_up(), &stays * &first.to_top_up());
            }
            // The rest in as it is asked: every line at its percentage of the printed plan, exactly.
            let finished = view.ledger.finished(None);
            let planned = Ledger::of(&view.setting.formula, &view.setting.plan, &Batch { events: Vec::new(), ..batch.clone() });
            for (name, grams) in &planned.finished(None).parts {
                let now = finished.parts.get(name).cloned().unwrap_or(Exact::ZERO);
                prop_assert_eq!(now.over(&finished.total()), grams.over(&plan.batch), "{}", name);
            }
            Ok(())
        })?;
    }
}
