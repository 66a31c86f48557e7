//! The advisor at the bench, on situations made by hand; and what has to hold of every advice. `simulated.rs` has whole
//! batches.

use crate::workshop::maker::Bench;
use crate::workshop::{Batch, LOOSE, Planted, STEP};
use std::sync::Arc;
use stillroom::batch::advise::{Cause, MeterSetting, Observation, Situation, TruePh, Verdict, advise, shows_more};
use stillroom::chemistry::{Activity, Constants, Mixture, equilibrium};
use stillroom::quantity::Range;

/// Batches of each kind: few, because a test is built to be debugged and not to be fast.
const FEW: u64 = 5;

/// Lactic acid 0.05 mol in 75 g of water, brought to 3.6 to 4.0 with sodium hydroxide of 10 %.
fn gel() -> Situation {
    let mut now = Mixture::water(0.075);
    now.put(1, &Arc::new(Constants::acid(&[3.86])), 0.05);
    let mut base = Mixture::water(0.0009);
    base.put_strong_base(0.1 / 39.997);
    Situation {
        now,
        adjuster_per_gram: base,
        left_grams: 18.0,
        step: 0.01,
        window: Range::new(Some(3.6), Some(4.0)),
        ..Situation::default()
    }
}

fn read(situation: &mut Situation, grams: f64, reading: f64) {
    let without_adjuster = situation.now.clone();
    situation.left_grams -= grams - situation.adjuster_now;
    situation.adjuster_now = grams;
    situation.readings.push(Observation {
        without_adjuster,
        adjuster_grams: grams,
        reading,
        error: 0.05,
        written: format!("reading pH {reading}"),
    });
}

#[test]
fn it_asks_for_a_reading_first() {
    let advice = advise(&gel());
    assert_eq!((advice.verdict, advice.next), (Verdict::ReadFirst, None));
    let TruePh { low, middle, high, .. } = advice.ph_true.unwrap();
    assert!(low < middle && middle < high && (middle - 2.0).abs() < 0.2, "{middle}");
}

#[test]
fn it_asks_for_a_reading_when_something_came_in_since() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.0);
    situation.adjuster_now = 3.0;
    assert_eq!(advise(&situation).verdict, Verdict::ReadFirst);
    situation.adjuster_now = 0.0;
    situation.now.water_kg += 0.01;
    assert_eq!(advise(&situation).verdict, Verdict::ReadFirst);
}

#[test]
fn it_starts_with_a_fraction() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.0);
    let advice = advise(&situation);
    let next = advice.next.unwrap();
    // By the plan the middle takes 11.3 g.
    assert!(next.grams > 4.0 && next.grams < 8.5, "{next:?}");
    assert!(next.high <= 4.0 + 1e-6 && next.low < next.reading && next.reading < next.high, "{next:?}");
}

#[test]
fn past_the_far_edge_it_says_so() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.0);
    read(&mut situation, 12.5, 4.1);
    let advice = advise(&situation);
    assert_eq!((advice.verdict, advice.next), (Verdict::PastFarEdge, None));
}

#[test]
fn inside_it_may_be_filled() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.0);
    read(&mut situation, 11.2, 3.8);
    let advice = advise(&situation);
    assert_eq!(advice.verdict, Verdict::Inside);
    assert!(advice.honest && advice.doubts.is_empty() && advice.ph_true.unwrap().inside > 0.8 && advice.is_inside);
}

/// The meter shows 0.8 too much: the batch looks inside, and is not. The buffer is asked for, and tells: from there on the
/// doubt is told, and the truth is aimed at.
#[test]
fn a_batch_that_only_looks_inside_is_held() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.8);
    read(&mut situation, 4.0, 3.92);
    let advice = advise(&situation);
    assert_eq!((advice.verdict, advice.honest), (Verdict::CheckMeter { buffer: 4.01 }, false));
    assert!(!advice.is_inside);
    let doubt = &advice.doubts[0];
    assert_eq!(doubt.cause.words(), "meter reads high");
    assert_eq!(doubt.test, "read the buffer of pH 4.01");
    assert!(doubt.share > 0.9 && ["0.7 pH", "0.8 pH", "0.9 pH"].contains(&doubt.size.as_str()), "{doubt:?}");
    assert!(advice.ph_true.unwrap().high < 3.6);
    situation.calibrations.push((4.01, 4.81));
    let told = advise(&situation);
    assert!(told.doubts[0].share > 0.98 && told.honest && (told.meter_shows_more - 0.8).abs() < 1e-9, "{told:?}");
    assert_eq!(told.doubts[0].test, "set the meter to the buffer of pH 4.01, and read again");
    assert_eq!(told.verdict, Verdict::Add);
    // The middle of the window, 3.8, is read as 4.6.
    assert!(told.next.unwrap().reading > 4.3 && told.next.unwrap().high <= 4.8 + 1e-6, "{told:?}");
}

/// The meter shows 0.8 too much, is set to its buffer, and is right from then on: the readings after it are followed, and
/// the doubt no longer stands. Without the new setting nothing fits.
#[test]
fn a_meter_set_anew_is_another_meter() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.8);
    read(&mut situation, 4.0, 3.92);
    assert_eq!(advise(&situation).verdict, Verdict::CheckMeter { buffer: 4.01 });
    situation.earlier.push(MeterSetting { readings: 2, calibrations: Vec::new() });
    situation.calibrations.push((4.0, 4.0));
    let between = advise(&situation);
    assert_eq!(between.verdict, Verdict::ReadFirst, "the last reading is of another setting");
    assert!(between.honest && between.doubts.is_empty(), "{between:?}");
    read(&mut situation, 4.0, 3.12);
    let advice = advise(&situation);
    assert!(advice.honest && advice.doubts.is_empty(), "{advice:?}");
    assert_eq!(advice.verdict, Verdict::Add);
    let TruePh { low, middle, high, .. } = advice.ph_true.unwrap();
    assert!((middle - 3.12).abs() < 0.1 && high - low < 0.4, "{middle} {low} {high}");
    let next = advice.next.unwrap();
    assert!(next.reading > 3.6 && next.high <= 4.0 + 1e-6, "{next:?}");
    read(&mut situation, 11.2, 3.8);
    assert_eq!(advise(&situation).verdict, Verdict::Inside);
    situation.earlier.clear();
    assert!(!advise(&situation).honest);
}

/// What is off in the product alone, no buffer shows: it goes on when the meter is set anew, and is doubted still.
#[test]
fn a_fault_that_buffers_hide_outlives_a_new_setting() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.8);
    read(&mut situation, 4.0, 3.92);
    situation.earlier.push(MeterSetting { readings: 2, calibrations: Vec::new() });
    situation.calibrations.push((4.0, 4.0));
    read(&mut situation, 4.0, 3.92);
    read(&mut situation, 4.5, 4.02);
    let advice = advise(&situation);
    assert_eq!((advice.honest, advice.doubts[0].cause), (false, Cause::MeterHigh), "{advice:?}");
}

/// A window that is come to from above, with an acid.
#[test]
fn down_is_as_up() {
    let mut situation = gel();
    situation.now.put_strong_base(0.045);
    situation.adjuster_per_gram = Mixture::water(0.0005);
    situation.adjuster_per_gram.put(1, &Arc::new(Constants::acid(&[3.86])), 0.005);
    read(&mut situation, 0.0, 4.75);
    let advice = advise(&situation);
    let next = advice.next.unwrap();
    assert_eq!(advice.verdict, Verdict::Add);
    assert!(next.low >= 3.6 - 1e-6 && next.reading < 4.75, "{next:?}");
}

#[test]
fn an_open_window_and_no_window_are_understood() {
    let mut situation = gel();
    situation.window = Range::new(Some(3.6), None);
    read(&mut situation, 0.0, 2.0);
    assert_eq!(advise(&situation).verdict, Verdict::Add);
    situation.window = Range::new(None, Some(4.0));
    assert!(matches!(advise(&situation).verdict, Verdict::Inside | Verdict::Add));
    situation.window = Range::new(None, None);
    assert_eq!(advise(&situation).verdict, Verdict::Inside);
}

#[test]
fn an_empty_reserve_is_told() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.0);
    situation.left_grams = 0.0;
    assert_eq!(advise(&situation).verdict, Verdict::OutOfReserve);
}

/// The same situation gives the same advice; a step of any size is kept; the pessimistic end stays inside.
#[test]
fn what_holds_of_every_advice() {
    for number in 0..FEW {
        let drawn = Batch::draw(&LOOSE, number, Planted::None);
        for by_chemistry in [true, false] {
            let mut bench = Bench::new(&drawn, by_chemistry);
            bench.situation.step = [0.01, 0.1, 0.001][number as usize % 3];
            for _ in 0..3 {
                bench.read();
                let advice = advise(&bench.situation);
                assert_eq!(advice, advise(&bench.situation));
                let Some(next) = advice.next else { break };
                let steps = next.grams / bench.situation.step;
                assert!((steps - steps.round()).abs() < 1e-6 && next.grams >= STEP, "{next:?}");
                assert!(next.grams >= 0.03 - 1e-9 && next.grams <= bench.situation.left_grams + 1e-9);
                // The far edge is the upper one where the adjuster leads up, and never gone past as good as surely.
                let (low, high) = drawn.0.window;
                let keeps = if drawn.0.recipe.up { next.high <= high + 1e-3 } else { next.low >= low - 1e-3 };
                assert!(keeps, "{next:?} {:?}", drawn.0.window);
                bench.add(next.grams);
            }
        }
    }
}

/// Whatever stands in a situation, there is an answer, and no figure of it is no number.
#[test]
fn nonsense_gets_an_answer() {
    let odd = [0.0, -1.0, 1e300, f64::NAN, f64::INFINITY, f64::NEG_INFINITY];
    for one in odd {
        for other in [3.8, 0.0, f64::NAN] {
            let mut situation = gel();
            read(&mut situation, one, other);
            situation.left_grams = one;
            situation.step = other;
            situation.calibrations.push((one, other));
            situation.window = Range::new(Some(other), Some(one));
            let advice = advise(&situation);
            assert!(advice.next.is_none_or(|next| next.grams.is_finite() && next.reading.is_finite()));
            assert!(advice.doubts.iter().all(|doubt| doubt.share.is_finite()));
        }
    }
}

/// The gel with so much of its acid, and base of so much of its strength, as it really reads.
fn really(acid: f64, strength: f64, grams: f64) -> f64 {
    let mut mixture = Mixture::water(0.075);
    mixture.put(1, &Arc::new(Constants::acid(&[3.86])), 0.05 * acid);
    let mut base = Mixture::water(0.0009);
    base.put_strong_base(0.1 / 39.997 * strength);
    equilibrium(&mixture.plus(&base, grams), Activity::Davies).unwrap().ph
}

/// One reading of a base at less than half its strength: that, or a meter that reads low. An addition that is small beside the batch
/// decides. Its two figures are what the chemistry of either explanation says, and the reading after it settles it.
#[test]
fn a_small_addition_decides() {
    let mut situation = gel();
    situation.left_grams = 24.0;
    situation.window = Range::new(Some(4.6), Some(5.2));
    let seen = (really(1.0, 0.46, 12.0) * 100.0).round() / 100.0;
    read(&mut situation, 12.0, seen);
    let advice = advise(&situation);
    let doubt = advice.doubts.iter().find(|doubt| doubt.cause == Cause::BaseWeak).unwrap();
    let meter = advice.doubts.iter().find(|doubt| doubt.cause == Cause::MeterLow).unwrap();
    assert_eq!(meter.test, "read the buffer of pH 4.01");
    let words: Vec<&str> = doubt.test.split(' ').collect();
    let ["add", grams, "g:", base, "means", "the", "base,", low, "the", "meter"] = words.as_slice() else {
        panic!("{}", doubt.test)
    };
    let [grams, base, low] = [grams, base, low].map(|figure| figure.parse::<f64>().unwrap());
    // A quarter of the 36 g that there are is the most that passes for a test.
    assert!(grams > 0.0 && grams <= 9.0 && low - base > 0.25, "{}", doubt.test);
    assert!((really(1.0, 0.46, 12.0 + grams) - base).abs() < 0.1, "{}", doubt.test);
    // The meter is off by as much as before, the base as strong as bases are.
    let off = seen - really(1.0, 0.96, 12.0);
    assert!((really(1.0, 0.96, 12.0 + grams) + off - low).abs() < 0.1, "{} {off}", doubt.test);
    for (reading, cause) in [(base, Cause::BaseWeak), (low, Cause::MeterLow)] {
        let mut after = situation.clone();
        read(&mut after, 12.0 + grams, reading);
        let left: Vec<Cause> = advise(&after).doubts.iter().map(|doubt| doubt.cause).collect();
        assert_eq!(left, [cause], "{reading}");
    }
}

/// What would take a large part of the batch to tell apart is not told to be added for a test.
#[test]
fn a_large_addition_is_no_test() {
    let mut situation = gel();
    for grams in [0.0, 4.0] {
        read(&mut situation, grams, really(1.0, 0.5, grams));
    }
    let doubt = &advise(&situation).doubts[0];
    assert_eq!((doubt.cause, doubt.test.contains("a fresh lot of the base")), (Cause::BaseWeak, true), "{doubt:?}");
}

/// In the window by the reading, near an edge: a buffer may show that it is out. Read right, nothing is asked again; read
/// 0.18 high, as much comes off every reading, and the batch is adjusted on to where the truth is inside.
#[test]
fn a_buffer_is_asked_for_once_and_believed() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.25);
    read(&mut situation, 11.0, 3.72);
    let advice = advise(&situation);
    assert_eq!(advice.verdict, Verdict::CheckMeter { buffer: 4.01 }, "{advice:?}");
    assert!(advice.honest && advice.is_inside && advice.ph_true.unwrap().inside < 0.9, "{advice:?}");

    let mut high = situation.clone();
    high.calibrations.push((4.01, 4.19));
    let told = advise(&high);
    assert_eq!((told.verdict, told.is_inside), (Verdict::Add, false), "{told:?}");
    assert!((told.meter_shows_more - 0.18).abs() < 1e-9);
    let next = told.next.unwrap();
    // The middle, 3.80, reads 3.98; the far edge 4.18.
    assert!(next.reading > 3.85 && next.reading < 4.08 && next.high <= 4.18 + 1e-6, "{next:?}");
    read(&mut high, 11.0 + next.grams, 3.98);
    let done = advise(&high);
    assert_eq!((done.verdict, done.is_inside), (Verdict::Inside, true), "{done:?}");
    assert!(done.ph_true.unwrap().inside >= 0.9, "{done:?}");
    // What reads 4.10 by this meter is 3.92, and inside; what reads 4.30 is past.
    high.readings.last_mut().unwrap().reading = 4.10;
    assert_ne!(advise(&high).verdict, Verdict::PastFarEdge);
    high.readings.last_mut().unwrap().reading = 4.30;
    assert_eq!(advise(&high).verdict, Verdict::PastFarEdge);
}

/// Where the middle is read and weights and chemistry agree, nothing that a buffer shows changes what to do.
#[test]
fn no_buffer_is_asked_for_where_it_changes_nothing() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.0);
    read(&mut situation, 11.2, 3.8);
    assert_eq!(advise(&situation).verdict, Verdict::Inside);
    // Nor before the window, nor past it, nor where one was read.
    situation.readings.pop();
    read(&mut situation, 9.0, 3.55);
    assert!(!matches!(advise(&situation).verdict, Verdict::CheckMeter { .. }));
}

/// Asked for and passed over, a buffer is not asked for again: the batch goes on.
#[test]
fn a_buffer_that_was_passed_over_is_not_asked_for_again() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.25);
    read(&mut situation, 11.0, 3.72);
    read(&mut situation, 11.2, 3.73);
    let advice = advise(&situation);
    assert!(advice.ph_true.unwrap().inside < 0.9, "{advice:?}");
    assert!(matches!(advice.verdict, Verdict::Add | Verdict::Inside), "{advice:?}");
}

/// A digit swapped, a point one place off, a wrong digit: the reading is named, with what was meant and the words that
/// strike it. Struck, the doubt is over.
#[test]
fn a_slip_is_named() {
    for (typed, meant) in [(8.36, "3.86"), (0.38, "3.80"), (9.86, "3.86")] {
        let mut situation = gel();
        read(&mut situation, 0.0, 2.0);
        read(&mut situation, 11.2, typed);
        let advice = advise(&situation);
        let doubt = &advice.doubts[0];
        assert_eq!(
            (doubt.cause, advice.verdict),
            (Cause::Slip { reading: 2 }, Verdict::Doubtful),
            "{typed}: {advice:?}"
        );
        assert_eq!(doubt.size, format!("reading 2 of {typed}, {meant} meant"));
        let words = format!("strike it and read again: `struck reading pH {typed} because \"typed wrong\"`");
        assert_eq!(doubt.test, words);
        situation.readings.pop();
        assert!(advise(&situation).doubts.is_empty());
    }
    let mut situation = gel();
    read(&mut situation, 0.0, 2.0);
    read(&mut situation, 8.0, 5.33);
    read(&mut situation, 11.2, 3.8);
    let doubt = &advise(&situation).doubts[0];
    assert_eq!((doubt.cause, doubt.share > 0.9), (Cause::Slip { reading: 2 }, true), "{doubt:?}");
}

/// By hand: 0.18 at the buffer of 4.01 and beyond it; between it and 7.00, which was shown right, a share of it.
#[test]
fn what_a_meter_shows_too_much() {
    let more =
        |calibrations: &[(f64, f64)], reading: f64| (shows_more(calibrations, reading) * 1000.0).round() / 1000.0;
    assert_eq!(more(&[], 3.8), 0.0);
    assert_eq!(more(&[(4.01, 4.05)], 3.8), 0.0);
    assert_eq!(more(&[(4.01, 4.19)], 3.8), 0.18);
    assert_eq!(more(&[(4.01, 4.19), (7.0, 7.02)], 3.8), 0.18);
    assert_eq!(more(&[(4.01, 4.19), (7.0, 7.02)], 5.595), 0.09);
    assert_eq!(more(&[(4.01, 4.19), (4.01, 4.0)], 3.8), 0.0);
}
