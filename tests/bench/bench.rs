//! A batch at the bench: the arithmetic of holding back, adding and topping up, stage by stage.
//!
//! How a batch is held back, adjusted and topped up is common practice, no source; the figures are worked by hand.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common;
use crate::common::gel::{NIGHT_GEL, fed};
use crate::common::valid_by;
use assert_cmd::Command;
use proptest::prelude::*;
use serde_json::Value;
use stillroom::batch::View;
use stillroom::model::DeclId;
use stillroom::quantity::Exact;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::tree::Item;

/// The record with these statements, as `bench --format json` shows it.
fn bench(statements: &str) -> Value {
    let (out, err) = fed(&format!("{NIGHT_GEL}{statements}}}\n"), &["bench", "-", "--format", "json"]);
    serde_json::from_str(&out).unwrap_or_else(|_| panic!("{err}"))
}

const WEIGHED: &str = "  weighed water 221.94 g\n  weighed glycerin 11.57 g\n  weighed glycolic-acid-70 33.05 g\n";

fn next(json: &Value) -> (String, Option<String>, Option<String>) {
    let text = |key: &str| json["next"][key].as_str().map(str::to_string);
    (text("do").unwrap(), text("material"), text("grams"))
}

fn say(what: &str, material: Option<&str>, grams: Option<&str>) -> (String, Option<String>, Option<String>) {
    (what.to_string(), material.map(str::to_string), grams.map(str::to_string))
}

/// 385.632 g are brought to 385.64; 25 % of that are 96.41 held back, and 83.5 − 8.571… % of water less that are 221.94.
#[test]
fn from_an_empty_record_to_a_filled_batch() {
    let empty = bench("");
    assert_eq!((empty["stage"].as_str(), empty["held_back_g"].as_str()), (Some("weighing"), Some("96.41")));
    let step = next(&empty);
    assert_eq!((step.0.as_str(), step.1.as_deref()), ("weigh", Some("water")));
    let half = bench("  weighed water 100.00 g\n");
    let rest = half["plan"][0]["grams"].as_str().unwrap().parse::<f64>().unwrap() - 100.0;
    assert_eq!(next(&half), say("weigh", Some("water"), Some(&format!("{rest:.2}"))));

    let water = half["plan"][0]["grams"].as_str().unwrap().to_string();
    let weighed = WEIGHED.replace("221.94", &water);
    let before = bench(&weighed);
    assert_eq!((before["stage"].as_str(), next(&before).0.as_str()), (Some("adjusting"), "read"));
    let read = bench(&format!("{weighed}  reading pH 1.94\n"));
    assert_eq!((next(&read).0.as_str(), next(&read).1.as_deref()), ("add", Some("sodium-hydroxide-10")));

    let inside = format!(
        "{weighed}  reading pH 1.94\n  added sodium-hydroxide-10 54.00 g\n  added sodium-hydroxide-10 12.50 g\n  reading pH 3.78\n"
    );
    let json = bench(&inside);
    assert_eq!(json["stage"], "finishing");
    assert_eq!((json["adjuster_used_g"].as_str(), json["left_of_reserve_g"].as_str()), (Some("66.50"), Some("29.91")));
    assert_eq!(json["top_up_g"], "29.91");
    assert_eq!(next(&json), say("weigh", Some("xanthan-gum"), Some("3.09")));

    let all = format!(
        "{inside}  weighed xanthan-gum 3.09 g\n  weighed pentylene-glycol 15.43 g\n  weighed phenoxyethanol-ethylhexylglycerin 3.86 g\n"
    );
    assert_eq!(next(&bench(&all)).0, "read", "the gum and the preservative came after the last reading");
    let all = format!("{all}  reading pH 3.79\n");
    assert_eq!(next(&bench(&all)), say("top-up", Some("water"), Some("29.91")));
    let topped = format!("{all}  topped-up water 29.91 g\n");
    assert_eq!(next(&bench(&topped)).0, "read", "the last reading is older than the top-up");
    let read = format!("{topped}  reading pH 3.80\n");
    assert_eq!(next(&bench(&read)).0, "fill");
    let filled = bench(&format!("{read}  filled 12 x 30 mL as \"NG-1\"\n"));
    assert_eq!((filled["stage"].as_str(), next(&filled).0.as_str()), (Some("filled"), "release"));
    for (last, stage) in [("released", "released"), ("rejected because \"specks\"", "rejected")] {
        let json = bench(&format!("{read}  filled 12 x 30 mL as \"NG-1\"\n  {last}\n"));
        assert_eq!(json["stage"], stage);
    }
}

#[test]
fn when_it_goes_wrong() {
    // The formula's own acid leads back, out of the 6.70 g that are left: 6.41 g, and 0.29 g of water weighed too little.
    let over = format!("{WEIGHED}  added sodium-hydroxide-10 90 g\n  reading pH 4.21\n");
    let past = bench(&over);
    let step = next(&past);
    assert_eq!((past["stage"].as_str(), step.0.as_str()), (Some("past-window"), "add"), "{past:#}");
    assert_eq!(step.1.as_deref(), Some("glycolic-acid-70"));
    let grams: f64 = step.2.unwrap().parse().unwrap();
    assert!(grams > 2.0 && grams < 20.0, "{grams}");
    let back =
        bench(&format!("{over}  added glycolic-acid-70 {grams:.2} g because \"past the window\"\n  reading pH 3.80\n"));
    assert_eq!(back["plan"][1]["weighed_g"], "33.05", "a correction stands apart from the line");
    // 106.00 − 96.41 g, less 0.29 g of water weighed too little.
    let over = bench(&format!("{WEIGHED}  added sodium-hydroxide-10 106 g\n  reading pH 3.5\n"));
    assert_eq!((over["stage"].as_str(), over["over_reserve_g"].as_str()), (Some("over-reserve"), Some("9.30")));
    let told = |json: &Value| {
        let told = json["diagnostics"].as_array().unwrap().iter();
        told.map(|one| format!("{} {}", one["level"].as_str().unwrap(), one["code"].as_str().unwrap()))
            .collect::<Vec<_>>()
    };
    assert!(told(&over).contains(&"error batch-over-reserve".to_string()), "{:?}", told(&over));
    // 3.30 of 388.94 g are 0.85 %: a trifle, and the batch goes on.
    let trifle = bench(&format!("{WEIGHED}  added sodium-hydroxide-10 100 g\n  reading pH 3.8\n"));
    assert_eq!((trifle["stage"].as_str(), trifle["over_reserve_g"].as_str()), (Some("finishing"), Some("3.30")));
    assert!(told(&trifle).contains(&"note batch-over-reserve".to_string()), "{:?}", told(&trifle));
}

/// An assay takes the place of the nominal strength: 6 % of 385.64 g at 69.4 % are 33.34 g, at 70 % they are 33.05.
#[test]
fn an_assay_changes_the_plan() {
    let plan = |statements: &str| bench(statements)["plan"][1]["grams"].as_str().unwrap().to_string();
    assert_eq!(plan(""), "33.05");
    assert_eq!(plan("  lot glycolic-acid-70 \"GA-118\" assay 69.4 %\n"), "33.34");
}

#[test]
fn the_json_is_valid_by_its_schema() {
    valid_by("docs/schema/bench.json", &bench(WEIGHED));
    let text = format!("{NIGHT_GEL}}}\n\nbatch ng-2 {{\n  formula  night-gel\n}}\n");
    let (out, _) = fed(&text, &["bench", "-", "--format", "json"]);
    valid_by("docs/schema/benches.json", &serde_json::from_str(&out).unwrap());
}

/// One screen of a batch that is under way.
#[test]
fn one_screen() {
    let text =
        format!("{NIGHT_GEL}{WEIGHED}  reading pH 1.94\n  added sodium-hydroxide-10 54.00 g\n  reading pH 3.40\n}}\n");
    let output = Command::cargo_bin("stillroom").unwrap().args(["bench", "-"]).write_stdin(text).output().unwrap();
    insta::assert_snapshot!("bench-screen", String::from_utf8(output.stdout).unwrap());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever was added within the reserve, in whatever portions and order: topped up with what is left, the batch
    /// comes to its weight exactly, and each line to what was planned of it.
    #[test]
    fn within_the_reserve_the_batch_comes_to_its_weight(
        additions in prop::collection::vec(1_u32..2400, 0..4), split in 1_u32..2000, early in any::<bool>(),
    ) {
        let hundredths = |hundredths: u32| format!("{}.{:02}", hundredths / 100, hundredths % 100);
        let first = format!("  weighed water {} g\n", hundredths(split));
        let adds: String = additions.iter().map(|grams| format!("  added sodium-hydroxide-10 {} g\n", hundredths(*grams))).collect();
        let others = "  weighed glycerin 11.57 g\n  weighed glycolic-acid-70 33.05 g\n  weighed xanthan-gum 3.09 g\n  weighed \
                      pentylene-glycol 15.43 g\n  weighed phenoxyethanol-ethylhexylglycerin 3.86 g\n";
        let open = format!("{NIGHT_GEL}{first}{others}}}\n");
        let (rest, _) = with_view(&open, |view| (view.ledger.lines[0].missing(), ()));
        let second = format!("  weighed water {} g\n", rest.to_fixed(2));
        let body = if early { format!("{first}{adds}{others}{second}") } else { format!("{first}{second}{others}{adds}") };
        let (left, whole) = with_view(&format!("{NIGHT_GEL}{body}}}\n"), |view| (view.ledger.to_top_up(), view.ledger.batch.clone()));
        let text = format!("{NIGHT_GEL}{body}  topped-up water {} g\n}}\n", left.to_fixed(2));
        with_view(&text, |view| {
            let weighed: Exact = view.ledger.lines.iter().map(|line| line.weighed()).sum();
            assert_eq!(&weighed + &view.ledger.topped_up(), whole);
            assert!(view.ledger.to_top_up().is_zero() && view.ledger.over().is_zero());
            for line in view.ledger.lines.iter().filter(|line| line.planned.is_some()) {
                assert_eq!(line.weighed(), line.planned.clone().unwrap(), "{}", line.name);
            }
        });
    }
}

/// The first batch of a text at the bench.
fn with_view<T>(text: &str, look: impl FnOnce(&View<'_>) -> T) -> T {
    let folder = common::folder(&[("batch.still", text.as_bytes())]);
    let loaded = folder.load();
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let source = loaded.sources.files.iter().find(|source| source.named).unwrap();
    let item = source.tree.items.iter().position(|item| matches!(item, Item::Batch(_))).unwrap();
    let batch = report.resolver.batch(DeclId { file: source.id, item: item as u32 }).unwrap();
    look(&View::of(&report.resolver, &batch).unwrap())
}

/// A record that was begun with its plan frozen: the formula is edited, then gone, and the batch still stands.
#[test]
fn a_record_stands_alone() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let run = |arguments: &[&str]| {
        let output = Command::cargo_bin("stillroom").unwrap().args(arguments).current_dir(at).output().unwrap();
        assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    };
    let formula = NIGHT_GEL.split("\nbatch ").next().unwrap();
    std::fs::write(at.join("gel.still"), formula).unwrap();
    run(&[
        "record",
        "batches.still",
        "--new",
        "ng-7",
        "--formula",
        "night-gel",
        "--from",
        "gel.still",
        "--on",
        "2026-11-20",
    ]);
    for statement in ["weighed water 100.00 g", "weighed glycerin 11.57 g", "weighed glycolic-acid-70 33.05 g"] {
        run(&[&["record", "batches.still"][..], &statement.split(' ').collect::<Vec<_>>()].concat());
    }
    let figures = || {
        let json: Value = serde_json::from_str(&run(&["bench", "batches.still", "--format", "json"])).unwrap();
        (json["plan"].clone(), json["next"].clone(), json["held_back_g"].clone(), json["ph_window"].clone())
    };
    let before = figures();
    assert_eq!(before.2, "96.41");
    let edited =
        formula.replace("6 % active", "4 % active").replace("\"1.3\"", "\"2.0\"").replace("3.6 to 4.0", "3.0 to 3.4");
    std::fs::write(at.join("gel.still"), edited).unwrap();
    assert_eq!(figures(), before, "edited");
    // Gone, and with it the line that used it.
    std::fs::remove_file(at.join("gel.still")).unwrap();
    let record = std::fs::read_to_string(at.join("batches.still")).unwrap();
    std::fs::write(at.join("batches.still"), record.replace("use \"gel.still\"\n", "")).unwrap();
    assert_eq!(figures(), before, "gone");
    assert!(run(&["trace", "water", "batches.still"]).contains("ng-7"));
    assert!(run(&["sheet", "batches.still", "--record", "ng-7"]).contains("| glycolic-acid-70 |  | 33.05 |"));
}

/// The next addition is a multiple of the scale's step, within what is left, and its range within the window.
#[test]
fn it_says_how_much_to_add() {
    let json = bench(&format!("{WEIGHED}  reading pH 1.94\n  added sodium-hydroxide-10 54.00 g\n  reading pH 3.59\n"));
    let next = &json["next_addition"];
    let grams: f64 = next["grams"].as_str().unwrap().parse().unwrap();
    assert!(grams > 3.0 && grams < 42.41, "{json:#}");
    assert_eq!(json["next"]["grams"], next["grams"]);
    let figure = |key: &str| next[key].as_f64().unwrap();
    assert!(3.6 <= figure("ph_expected") && figure("ph_high") <= 4.0, "{next}");
    assert_eq!(json["doubt"].as_array().unwrap().len(), 0, "{json:#}");
}

/// The same meter set to its buffer half-way. Read off the buffer it is as it was, and what it shows too much goes off the
/// readings, so that the batch goes on; set to it, the batch is read again, the later readings are followed, and the doubt
/// is over.
#[test]
fn a_meter_set_anew_is_believed() {
    let high = format!("{WEIGHED}  reading pH 2.72\n  added sodium-hydroxide-10 20.00 g\n  reading pH 3.76\n");
    let codes = |json: &Value| -> Vec<String> {
        let all = json["diagnostics"].as_array().unwrap().iter();
        all.map(|one| one["code"].as_str().unwrap().to_string()).filter(|code| code.starts_with("batch-")).collect()
    };
    let off = bench(&format!("{high}  calibrated pH 4.00 reads 4.81\n"));
    assert_eq!((off["next"]["do"].as_str(), off["doubt"][0]["share"].as_f64()), (Some("add"), Some(1.0)), "{off:#}");
    let anew = format!("{high}  calibrated pH 4.00 reads 4.81\n  calibrated pH 4.00 reads 4.00\n");
    let json = bench(&anew);
    assert_eq!(next(&json), say("read", None, None), "{json:#}");
    assert!(json["next"]["why"].as_str().unwrap().starts_with("The meter was set anew"));
    let json = bench(&format!("{anew}  reading pH 2.95\n"));
    assert_eq!((json["next"]["do"].as_str(), json["stage"].as_str()), (Some("add"), Some("adjusting")), "{json:#}");
    assert_eq!((json["doubt"].as_array().unwrap().len(), codes(&json)), (0, Vec::new()), "{json:#}");
    let grams: f64 = json["next_addition"]["grams"].as_str().unwrap().parse().unwrap();
    // By the plan the middle takes 68 g in all, and 20.00 g are in.
    assert!(grams > 30.0 && grams < 60.0 && json["next_addition"]["ph_high"].as_f64().unwrap() <= 4.0, "{json:#}");
}

/// A meter that reads 0.8 high from the first reading on: weights and chemistry say so.
#[test]
fn a_meter_that_reads_high_is_doubted() {
    let json = bench(&format!(
        "{WEIGHED}  reading pH 2.72\n  added sodium-hydroxide-10 20.00 g\n  reading pH 3.60\n  added sodium-hydroxide-10 4.00 g\n  reading pH 3.74\n"
    ));
    assert_eq!(json["doubt"][0]["cause"], "meter reads high", "{json:#}");
    let codes: Vec<&str> =
        json["diagnostics"].as_array().unwrap().iter().map(|one| one["code"].as_str().unwrap()).collect();
    assert!(codes.contains(&"batch-ph-doubtful"), "{codes:?}");
    assert_eq!(json["next"]["do"], "check-meter");
}
