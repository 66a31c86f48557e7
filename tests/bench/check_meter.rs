//! Is the meter right: the true pH in what is printed, the buffer that is asked for, and what its answer makes of the
//! readings, from the record through `bench`, `check` and `sheet --record`. The gel's figures are made up; what the advice is
//! worth is measured at the simulated bench (`docs/ph.md`).

#![allow(clippy::disallowed_methods, reason = "a test reads an example")]

use crate::common::gel::{NIGHT_GEL, fed};
use serde_json::Value;

/// The acid is in, and the pH is read before any base.
const START: &str = "  weighed water 221.94 g\n  weighed glycerin 11.57 g\n  weighed glycolic-acid-70 33.05 g\n  \
                     reading pH 2.02\n";
/// In the window by the reading and by the meter's usual error perhaps not in truth.
const NEAR_EDGE: &str = "  added sodium-hydroxide-10 57.00 g\n  reading pH 3.62\n";

fn json(statements: &str, command: &[&str]) -> Value {
    let (out, err) = fed(&format!("{NIGHT_GEL}{statements}}}\n"), command);
    serde_json::from_str(&out).unwrap_or_else(|_| panic!("{err}"))
}

fn bench(statements: &str) -> Value {
    json(statements, &["bench", "-", "--format", "json"])
}

fn next(json: &Value) -> &str {
    json["next"]["do"].as_str().unwrap()
}

#[test]
fn the_true_ph_is_told() {
    assert_eq!(bench("")["ph_true"], Value::Null);
    let middle = format!("{START}  added sodium-hydroxide-10 67.00 g\n  reading pH 3.80\n");
    let told = &bench(&middle)["ph_true"];
    let figure = |key: &str| told[key].as_f64().unwrap();
    assert!(figure("low") < 3.8 && 3.8 < figure("high") && figure("high") - figure("low") < 0.45, "{told}");
    assert!((0.9..=1.0).contains(&figure("inside")), "{told}");
    let words = format!(
        "truly pH {:.2} to {:.2}; in the window {:.0} in 100",
        figure("low"),
        figure("high"),
        figure("inside") * 100.0
    );
    let (screen, _) = fed(&format!("{NIGHT_GEL}{middle}}}\n"), &["bench", "-"]);
    assert!(screen.contains(&words), "{screen}");
    let (sheet, err) = fed(&format!("{NIGHT_GEL}{middle}}}\n"), &["sheet", "-", "--record", "ng-1"]);
    assert!(sheet.contains(&words), "{sheet}{err}");
    let record = json(&middle, &["sheet", "-", "--record", "ng-1", "--format", "json"]);
    assert_eq!(&record["ph_true"], told);
}

/// In the window by the reading but not surely in truth: a buffer, before the rest is weighed in. What it shows goes off
/// the readings; the base then goes in to where the truth is in the window, and the batch goes on.
#[test]
fn a_buffer_is_asked_for_before_anything_that_cannot_be_undone() {
    let before = format!("{START}{NEAR_EDGE}");
    let asked = bench(&before);
    assert!(asked["ph_true"]["inside"].as_f64().unwrap() < 0.9, "{asked:#}");
    assert_eq!((next(&asked), asked["next"]["grams"].as_str()), ("check-meter", None), "{asked:#}");
    let why = asked["next"]["why"].as_str().unwrap();
    assert!(why.contains("the buffer of pH 4.01") && why.contains("`calibrated pH 4.01 reads …`"), "{why}");

    let high = format!("{before}  calibrated pH 4.01 reads 4.19\n");
    let told = bench(&high);
    assert_eq!((next(&told), told["stage"].as_str()), ("add", Some("adjusting")), "{told:#}");
    let figure = |key: &str| told["next_addition"][key].as_f64().unwrap();
    // 3.80 in truth is 3.98 by this meter, and the far edge 4.18.
    assert!((3.85..4.08).contains(&figure("ph_expected")) && figure("ph_high") <= 4.18, "{told:#}");
    let grams = told["next"]["grams"].as_str().unwrap();

    let done = format!("{high}  added sodium-hydroxide-10 {grams} g\n  reading pH 4.02\n");
    let on = bench(&done);
    assert_eq!((next(&on), on["stage"].as_str()), ("weigh", Some("finishing")), "{on:#}");
    assert_eq!(on["next"]["material"], "xanthan-gum");
}

/// Read right, the meter is as good as set: the batch is read once more, and no buffer is asked for again.
#[test]
fn a_buffer_is_asked_for_once() {
    let right = format!("{START}{NEAR_EDGE}  calibrated pH 4.01 reads 4.02\n");
    assert_eq!(next(&bench(&right)), "read");
    for reading in ["3.62", "3.66", "3.80"] {
        let json = bench(&format!("{right}  reading pH {reading}\n"));
        assert!(["add", "weigh"].contains(&next(&json)), "{json:#}");
    }
    // Passed over, it is not asked for again either.
    let on = bench(&format!("{START}{NEAR_EDGE}  added sodium-hydroxide-10 1.00 g\n  reading pH 3.63\n"));
    assert_ne!(next(&on), "check-meter", "{on:#}");
}

/// 3.92 by a meter that shows 0.18 too much is 3.74, and 4.10 is 3.92: inside; 3.70 is 3.52, and the filled batch is out.
#[test]
fn a_finished_batch_is_judged_by_what_the_meter_is_known_to_show() {
    let told = |reading: &str| {
        let statements = format!(
            "{START}  calibrated pH 4.01 reads 4.19\n  added sodium-hydroxide-10 65.00 g\n  weighed xanthan-gum 3.09 g\n  \
             weighed pentylene-glycol 15.43 g\n  weighed phenoxyethanol-ethylhexylglycerin 3.86 g\n  topped-up water 31.41 \
             g\n  reading pH {reading}\n  filled 12 x 30 mL\n"
        );
        let text = format!("{NIGHT_GEL}{statements}}}\n");
        fed(&text, &["check", "-"]).1 + &fed(&text, &["check", "-"]).0
    };
    assert!(!told("3.92").contains("[batch-ph-outside]"), "{}", told("3.92"));
    assert!(!told("4.10").contains("[batch-ph-outside]"), "{}", told("4.10"));
    assert!(told("3.70").contains("[batch-ph-outside]"), "{}", told("3.70"));
}

/// 8.36 typed for 3.86: named, with the words that strike it.
#[test]
fn a_slip_is_told_with_the_words_that_strike_it() {
    let json = bench(&format!("{START}  added sodium-hydroxide-10 67.00 g\n  reading pH 8.36\n"));
    let doubt = &json["doubt"][0];
    assert_eq!((doubt["cause"].as_str(), next(&json)), (Some("typed wrong"), "stop"), "{json:#}");
    assert_eq!(doubt["size"], "reading 2 of 8.36, 3.86 meant");
    assert!(doubt["test"].as_str().unwrap().ends_with("`struck reading pH 8.36 because \"typed wrong\"`"), "{doubt}");
}

/// Where the last reading lies outside and is acted on, no chance of a pH inside stands beside it: that one would be of the
/// readings before it.
#[test]
fn beside_a_reading_outside_the_window_no_other_one_is_said_to_be_in_it() {
    let added = format!("{START}  added sodium-hydroxide-10 67.00 g\n");
    let slip = format!("{added}  reading pH 8.36\n");
    let screen = |statements: &str| fed(&format!("{NIGHT_GEL}{statements}}}\n"), &["bench", "-"]).0;
    assert_eq!(bench(&slip)["ph_true"], Value::Null);
    assert!(!screen(&slip).contains("in the window"), "{}", screen(&slip));
    // Once it is struck and read again, it is said of that reading.
    let again = format!("{added}  struck reading pH 8.36 because \"typed wrong\"\n  reading pH 3.86\n");
    assert!(screen(&again).contains("in the window 9"), "{}", screen(&again));
}

/// What was spilt takes its share of everything with it: what is left is what it was, and so is what was read of it.
#[test]
fn a_loss_says_nothing_of_the_meter() {
    const TWICE: &str = "  removed 3 g because \"a cup\"\n  waited 5 min\n  removed 40 g because \"spilt\"\n";
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/gone-wrong/high-meter.still");
    let high = std::fs::read_to_string(path).unwrap();
    let high = high.trim_end().strip_suffix('}').unwrap();
    let near = format!("{NIGHT_GEL}{START}{NEAR_EDGE}");
    let slip = format!("{NIGHT_GEL}{START}  added sodium-hydroxide-10 67.00 g\n  reading pH 8.36\n");
    for (record, wanted) in [(high, "check-meter"), (near.as_str(), "check-meter"), (slip.as_str(), "stop")] {
        let bench = |more: &str| -> Value {
            let (out, err) = fed(&format!("{record}{more}}}\n"), &["bench", "-", "--format", "json"]);
            serde_json::from_str(&out).unwrap_or_else(|_| panic!("{err}"))
        };
        let before = bench("");
        assert_eq!(next(&before), wanted, "{before:#}");
        for lost in ["  removed 3 g because \"spilt\"\n", TWICE] {
            let after = bench(lost);
            assert_eq!(next(&after), wanted, "{lost}: {after:#}");
            assert_eq!(after["next"]["buffer"], before["next"]["buffer"], "{lost}");
            assert_eq!(after["doubt"][0]["cause"], before["doubt"][0]["cause"], "{lost}");
        }
    }
    // What goes in after a loss makes it another beaker all the same.
    let (out, _) = fed(
        &format!("{near}  removed 3 g because \"spilt\"\n  added sodium-hydroxide-10 1 g\n}}\n"),
        &["bench", "-", "--format", "json"],
    );
    assert_eq!(next(&serde_json::from_str(&out).unwrap()), "read");
}
