//! Whole batches at the simulated bench, whose truth is another physics than the program's: what the aims of the advice
//! are, with the slack that so few batches need. `cargo bench --bench simulated_bench` does a thousand of each.

use crate::workshop::maker::{Bench, End};
use crate::workshop::{Batch, CAREFUL, LOOSE, Planted, Workshop};
use stillroom::batch::advise::Cause;

/// Batches of each kind, and the number of the first: other ones than the priors were tuned on.
const FEW: u64 = 6;
const FIRST: u64 = 2_000_000;

fn bench(shop: &Workshop, number: u64, planted: Planted) -> Bench {
    Bench::new(&Batch::draw(shop, FIRST + number, planted), true)
}

fn followed(shop: &Workshop) -> Vec<End> {
    (0..FEW).map(|number| bench(shop, number, Planted::None).follow(true)).collect()
}

fn count(ends: &[End], which: impl Fn(&End) -> bool) -> usize {
    ends.iter().filter(|end| which(end)).count()
}

fn median(ends: &[End]) -> usize {
    let mut additions: Vec<usize> = ends.iter().map(|end| end.additions).collect();
    additions.sort_unstable();
    additions[additions.len() / 2]
}

/// The aims: truly inside in 95 of 100, past the far edge in one, four additions, a buffer in half.
#[test]
fn a_careful_workshop_is_truly_inside() {
    let ends = followed(&CAREFUL);
    assert!(count(&ends, |end| end.truly_inside) >= 5, "{ends:#?}");
    assert!(count(&ends, |end| end.overshot) == 0 && median(&ends) <= 4, "{ends:#?}");
    assert!(count(&ends, |end| end.buffer_asked) <= 4 && count(&ends, |end| end.doubted) == 0, "{ends:#?}");
}

/// The aims: truly inside in 80 of 100, past the far edge in one, four additions.
#[test]
fn a_loose_workshop_is_truly_inside_by_its_buffer() {
    let ends = followed(&LOOSE);
    assert!(count(&ends, |end| end.truly_inside) >= 4, "{ends:#?}");
    assert!(count(&ends, |end| end.overshot) == 0 && median(&ends) <= 4, "{ends:#?}");
    assert!(count(&ends, |end| end.doubted) == 0, "{ends:#?}");
}

/// How many of the first three careful batches with a fault are named right, once the maker did as she was told.
fn named(planted: Planted, is_right: impl Fn(Cause) -> bool) -> usize {
    let ends = (0..3).map(|number| bench(&CAREFUL, number, planted).follow(true));
    ends.filter(|end| end.named.iter().any(|cause| is_right(*cause))).count()
}

#[test]
fn a_meter_that_is_off_is_named() {
    assert!(named(Planted::MeterHigh, |cause| cause == Cause::MeterHigh) >= 2);
    assert!(named(Planted::MeterLow, |cause| cause == Cause::MeterLow) >= 2);
}

#[test]
fn a_base_at_half_strength_is_named() {
    assert!(named(Planted::BaseHalf, |cause| cause == Cause::BaseWeak) >= 2);
}

/// Of those that were read three times, so that the slip is among them.
#[test]
fn a_reading_typed_wrong_is_named() {
    let advices = (0..3).map(|number| bench(&CAREFUL, number, Planted::Slip).three_readings());
    let named = advices
        .filter(|advice| matches!(advice.doubts.first(), Some(doubt) if matches!(doubt.cause, Cause::Slip { .. })));
    assert!(named.count() >= 2);
}
