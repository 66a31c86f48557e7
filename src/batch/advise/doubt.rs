//! The second witness: which gross fault the readings speak for, and the cheapest act that would decide.

use super::meter::nearest_buffer;
use super::next::{Goal, ScaleSteps};
use super::posterior::{Posterior, Predicted, crossing};
use super::priors;
use super::situation::{Cause, Doubt, Situation};
use super::slip::{Slip, Slips};

/// Two outcomes further apart than this, in pH, are told apart by one reading.
const TELLS: f64 = 0.3;
/// What is added to decide is no more than this share of all the adjuster that there is: more than that is no test, but
/// the batch itself.
const SMALL: f64 = 0.25;

/// The gross faults that the readings speak for, the likeliest first.
#[must_use]
pub fn doubts(situation: &Situation, ahead: &Posterior<'_>, goal: Option<&Goal>, slips: &Slips<'_>) -> Vec<Doubt> {
    let not_slipped = 1.0 - slips.share();
    let is_honest = ahead.share(None) * not_slipped >= priors::HONEST;
    let least = if is_honest { priors::TOLD } else { priors::TOLD_BESIDE };
    let shares = Cause::ALL.into_iter().map(|cause| (cause, ahead.share(Some(cause)) * not_slipped));
    let told = shares.filter(|(_, share)| *share >= least).map(|(cause, share)| {
        let (test, buffer) = test(cause, situation, ahead, goal);
        Doubt { cause, size: size(cause, ahead), share, test, buffer }
    });
    let slipped = slips.all.iter().filter(|slip| slip.share >= least).map(|slip| struck(slip, situation));
    let mut doubts: Vec<Doubt> = told.chain(slipped).collect();
    doubts.sort_by(|one, other| other.share.total_cmp(&one.share));
    doubts
}

/// A slip is struck, and the beaker read again.
fn struck(slip: &Slip, situation: &Situation) -> Doubt {
    let seen = situation.readings.get(slip.number);
    let (typed, written) = seen.map_or((f64::NAN, ""), |seen| (seen.reading, seen.written.as_str()));
    let meant = slip.meant.map(|meant| format!(", {meant:.2} meant")).unwrap_or_default();
    let reading = slip.number + 1;
    Doubt {
        cause: Cause::Slip { reading },
        size: format!("reading {reading} of {typed}{meant}"),
        share: slip.share,
        test: format!("strike it and read again: `struck {written} because \"typed wrong\"`"),
        buffer: None,
    }
}

fn size(cause: Cause, ahead: &Posterior<'_>) -> String {
    match cause {
        Cause::MeterHigh | Cause::MeterLow => {
            format!("{:.1} pH", ahead.mean_of(cause, |explanation| explanation.meter.abs()))
        }
        Cause::BaseWeak | Cause::BaseStrong => {
            let strength = ahead.mean_of(cause, |explanation| 1.0 + explanation.more_strength);
            format!("{:.0} % of its strength", 100.0 * strength)
        }
        Cause::AcidWeak | Cause::AcidStrong => {
            let acid = ahead.mean_of(cause, |explanation| 1.0 + explanation.more_acid);
            format!("{:.0} % of its amount", 100.0 * acid)
        }
        Cause::UnlistedBuffer => {
            let buffer = ahead.mean_of(cause, |explanation| explanation.buffer);
            format!("{:.0} mmol per kg of water", 1000.0 * buffer)
        }
        Cause::Slip { .. } => String::new(),
    }
}

/// A buffer costs nothing and cannot spoil the batch: where a meter is on either side, it is read. Else a small
/// addition, if the two lead to readings far enough apart.
fn test(cause: Cause, situation: &Situation, ahead: &Posterior<'_>, goal: Option<&Goal>) -> (String, Option<f64>) {
    let rival = rival(cause, ahead);
    let of_meter = |cause: Cause| matches!(cause, Cause::MeterHigh | Cause::MeterLow);
    if of_meter(cause) {
        return read_buffer(situation);
    }
    if let Some(told) = goal.and_then(|goal| addition(cause, rival, situation, ahead, goal)) {
        return (told, None);
    }
    match cause {
        Cause::BaseWeak if !rival.is_some_and(of_meter) => {
            ("go on with a fresh lot of the base, and see whether it does more".to_owned(), None)
        }
        Cause::BaseStrong if !rival.is_some_and(of_meter) => {
            ("look at the label of the base, and at how it was made up; add less of it".to_owned(), None)
        }
        Cause::AcidWeak | Cause::AcidStrong if !rival.is_some_and(of_meter) => {
            let test = "look at the grade on the acid's label, and at what was weighed; write its true strength into its `lot`, \
                        as `assay`";
            (test.to_owned(), None)
        }
        _ => read_buffer(situation),
    }
}

/// The likeliest other explanation.
fn rival(cause: Cause, ahead: &Posterior<'_>) -> Option<Cause> {
    let others = Cause::ALL.into_iter().filter(|other| *other != cause).map(Some);
    let all = others.chain([None]).map(|other| (other, ahead.share(other)));
    all.fold((None, -1.0), |best, next| if next.1 > best.1 { next } else { best }).0
}

/// A buffer that was read already need not be read again: the meter is set to it.
fn read_buffer(situation: &Situation) -> (String, Option<f64>) {
    let buffer = nearest_buffer(situation.near_window());
    if situation.calibrations.is_empty() {
        (format!("read the buffer of pH {buffer:.2}"), Some(buffer))
    } else {
        (format!("set the meter to the buffer of pH {buffer:.2}, and read again"), None)
    }
}

/// The smallest addition after which the reading tells the two apart, and which is safe whoever is right. The figures
/// are the middles of what the explanations with the one fault, and with the other, foretell of the reading.
fn addition(
    cause: Cause,
    rival: Option<Cause>,
    situation: &Situation,
    ahead: &Posterior<'_>,
    goal: &Goal,
) -> Option<String> {
    let steps = ScaleSteps::of(situation.step);
    let left = steps.down(situation.left_grams.max(0.0));
    let small = steps.down(SMALL * (situation.adjuster_now + left));
    let safe = goal.safe(ahead, left, &steps).min(small);
    let (this, other) = (ahead.if_so(Some(cause))?, ahead.if_so(rival)?);
    let apart = |grams: f64| {
        let (here, there) = (this.after(grams), other.after(grams));
        let middles = (here.reading_at(0.5) - there.reading_at(0.5)).abs() - TELLS;
        // Where nine in ten of the one lie beyond nine in ten of the other.
        let above = |one: &Predicted, other: &Predicted| one.reading_at(0.1) - other.reading_at(0.9);
        middles.min(above(&here, &there).max(above(&there, &here)))
    };
    if !(safe >= steps.smallest && apart(safe) >= 0.0) {
        return None;
    }
    let found = crossing(0.0, safe, situation.step / 2.0, apart);
    let grams = steps.up(found).clamp(steps.smallest, safe);
    let (here, there) = (this.after(grams).reading_at(0.5), other.after(grams).reading_at(0.5));
    let subject = rival.map_or("nothing amiss", Cause::subject);
    let places = if situation.step < 0.01 { 3 } else { 2 };
    Some(format!("add {grams:.places$} g: {here:.1} means {}, {there:.1} {subject}", cause.subject()))
}
