//! The advisor at the bench, on batches whose truth is drawn from another physics than its own, with and without a
//! planted fault; and what has to hold of every advice.

#[path = "../../benches/workshop/mod.rs"]
mod workshop;

use std::sync::Arc;
use stillroom::batch::advise::{Advice, Cause, MeterSetting, Observation, Situation, Verdict, advise};
use stillroom::chemistry::{Activity, Constants, Mixture, equilibrium};
use stillroom::quantity::Range;
use workshop::maker::{Bench, End};
use workshop::{Batch, CAREFUL, Planted, STEP, USUAL, Workshop};

/// Batches of each kind: few, because a test is built to be debugged and not to be fast. The benchmark does more.
const FEW: u64 = 20;

fn followed(shop: &Workshop, by_chemistry: bool) -> Vec<End> {
    (0..FEW).map(|number| Bench::new(&Batch::draw(shop, number, Planted::None), by_chemistry).follow()).collect()
}

fn share(ends: &[End], which: impl Fn(&End) -> bool) -> f64 {
    ends.iter().filter(|end| which(end)).count() as f64 / ends.len() as f64
}

fn median(ends: &[End]) -> usize {
    let mut additions: Vec<usize> = ends.iter().map(|end| end.additions).collect();
    additions.sort_unstable();
    additions[additions.len() / 2]
}

#[test]
fn a_usual_workshop_ends_in_the_window() {
    let ends = followed(&USUAL, true);
    assert!(share(&ends, |end| end.reading_inside) >= 0.9);
    assert!(share(&ends, |end| end.truly_inside) >= 0.75);
    assert!(share(&ends, |end| end.overshot) <= 0.05);
    assert!(share(&ends, |end| end.doubted) <= 0.05);
    assert!(median(&ends) <= 4);
}

#[test]
fn a_careful_workshop_is_truly_inside() {
    let ends = followed(&CAREFUL, true);
    assert!(share(&ends, |end| end.reading_inside) >= 0.9);
    assert!(share(&ends, |end| end.truly_inside) >= 0.9);
    assert!(median(&ends) <= 4);
}

#[test]
fn readings_alone_lead_there_too() {
    let ends = followed(&CAREFUL, false);
    assert!(share(&ends, |end| end.reading_inside) >= 0.9);
    assert!(median(&ends) <= 8);
}

fn witnessed(planted: Planted) -> Vec<Advice> {
    let advice = |number| Bench::new(&Batch::draw(&CAREFUL, number, planted), true).three_readings();
    (0..FEW).map(advice).collect()
}

fn named(planted: Planted, cause: Cause) -> f64 {
    let advices = witnessed(planted);
    let right = advices.iter().filter(|advice| advice.doubts.first().is_some_and(|doubt| doubt.cause == cause));
    right.count() as f64 / FEW as f64
}

/// The case to catch: it looks fine by itself, and leaves the acid far less neutralised than the label will say.
#[test]
fn a_meter_that_reads_high_is_named() {
    assert!(named(Planted::MeterHigh, Cause::MeterHigh) >= 0.9);
}

#[test]
fn a_meter_that_reads_low_is_named() {
    assert!(named(Planted::MeterLow, Cause::MeterLow) >= 0.9);
}

#[test]
fn a_base_at_half_strength_is_named() {
    assert!(named(Planted::BaseHalf, Cause::BaseWeak) >= 0.9);
}

#[test]
fn an_acid_at_two_thirds_is_named() {
    assert!(named(Planted::AcidTwoThirds, Cause::AcidWeak) >= 0.9);
}

#[test]
fn a_clean_batch_is_not_doubted() {
    let advices = witnessed(Planted::None);
    assert_eq!(advices.iter().filter(|advice| !advice.doubts.is_empty() || !advice.honest).count(), 0);
}

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
    situation.readings.push(Observation { without_adjuster, adjuster_grams: grams, reading, error: 0.05 });
}

#[test]
fn it_asks_for_a_reading_first() {
    let advice = advise(&gel());
    assert_eq!((advice.verdict, advice.next), (Verdict::ReadFirst, None));
    let (middle, low, high) = advice.true_ph.unwrap();
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
    assert!(advice.honest && advice.doubts.is_empty() && advice.inside > 0.8);
}

/// The meter shows 0.8 too much: the batch looks inside, and is not. The buffer then tells.
#[test]
fn a_batch_that_only_looks_inside_is_held() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.8);
    read(&mut situation, 4.0, 3.92);
    let advice = advise(&situation);
    assert_eq!((advice.verdict, advice.honest), (Verdict::Doubtful, false));
    let doubt = &advice.doubts[0];
    assert_eq!(doubt.cause.words(), "meter reads high");
    assert_eq!(doubt.test, "read the buffer of pH 4.00");
    assert!(doubt.share > 0.9 && ["0.7 pH", "0.8 pH", "0.9 pH"].contains(&doubt.size.as_str()), "{doubt:?}");
    assert!(advice.true_ph.unwrap().2 < 3.6);
    situation.calibrations.push((4.0, 4.8));
    assert!(advise(&situation).doubts[0].share > 0.98);
}

/// The meter shows 0.8 too much, is set to its buffer, and is right from then on: the readings after it are followed, and
/// the doubt no longer stands. Without the new setting nothing fits.
#[test]
fn a_meter_set_anew_is_another_meter() {
    let mut situation = gel();
    read(&mut situation, 0.0, 2.8);
    read(&mut situation, 4.0, 3.92);
    assert_eq!(advise(&situation).verdict, Verdict::Doubtful);
    situation.earlier.push(MeterSetting { readings: 2, calibrations: Vec::new() });
    situation.calibrations.push((4.0, 4.0));
    let between = advise(&situation);
    assert_eq!(between.verdict, Verdict::ReadFirst, "the last reading is of another setting");
    assert!(between.honest && between.doubts.is_empty(), "{between:?}");
    read(&mut situation, 4.0, 3.12);
    let advice = advise(&situation);
    assert!(advice.honest && advice.doubts.is_empty(), "{advice:?}");
    assert_eq!(advice.verdict, Verdict::Add);
    let (middle, low, high) = advice.true_ph.unwrap();
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
        let drawn = Batch::draw(&USUAL, 1000 + number, Planted::None);
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
                assert!(next.high <= drawn.0.window.1 + 1e-3, "{next:?} {:?}", drawn.0.window);
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

/// One reading of a base at half its strength: that, or a meter that reads low. An addition that is small beside the batch
/// decides. Its two figures are what the chemistry of either explanation says, and the reading after it settles it.
#[test]
fn a_small_addition_decides() {
    let mut situation = gel();
    situation.left_grams = 24.0;
    situation.window = Range::new(Some(4.6), Some(5.2));
    let seen = (really(1.0, 0.5, 12.0) * 100.0).round() / 100.0;
    read(&mut situation, 12.0, seen);
    let advice = advise(&situation);
    let doubt = advice.doubts.iter().find(|doubt| doubt.cause == Cause::BaseWeak).unwrap();
    let meter = advice.doubts.iter().find(|doubt| doubt.cause == Cause::MeterLow).unwrap();
    assert_eq!(meter.test, "read the buffer of pH 4.00");
    let words: Vec<&str> = doubt.test.split(' ').collect();
    let ["add", grams, "g:", base, "means", "the", "base,", low, "the", "meter"] = words.as_slice() else {
        panic!("{}", doubt.test)
    };
    let [grams, base, low] = [grams, base, low].map(|figure| figure.parse::<f64>().unwrap());
    // A quarter of the 36 g that there are is the most that passes for a test.
    assert!(grams > 0.0 && grams <= 9.0 && low - base > 0.25, "{}", doubt.test);
    assert!((really(1.0, 0.5, 12.0 + grams) - base).abs() < 0.1, "{}", doubt.test);
    // The meter is off by as much as before, the base as strong as bases are.
    let off = seen - really(1.0, 0.97, 12.0);
    assert!((really(1.0, 0.97, 12.0 + grams) + off - low).abs() < 0.1, "{} {off}", doubt.test);
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
