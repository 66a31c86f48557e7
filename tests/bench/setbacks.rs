//! When it goes wrong at the bench, in figures: what evaporated, the way back by something named, over the reserve and set
//! right, and a record marked as corrected.
//!
//! How batches are topped up to a tared weight, led back and set right is common practice, no source; the figures are
//! worked by hand, of the gel in `tests/common/gel.rs`: 385.64 g, 96.41 g held back.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common;
use crate::common::gel::{NIGHT_GEL, fed};
use crate::common::valid_by;
use assert_cmd::Command;
use serde_json::Value;

/// What is in before anything is added.
const WEIGHED: &str = "  weighed water 222.23 g
  weighed glycerin 11.57 g
  weighed glycolic-acid-70 33.05 g
  reading pH 1.94
";

const REST: &str = "  weighed xanthan-gum 3.09 g
  weighed pentylene-glycol 15.43 g
  weighed phenoxyethanol-ethylhexylglycerin 3.86 g
";

fn run(statements: &str, arguments: &[&str]) -> (String, String) {
    fed(&format!("{NIGHT_GEL}{WEIGHED}{statements}}}\n"), arguments)
}

fn bench_with(statements: &str, more: &[&str]) -> Value {
    let (out, err) = run(statements, &[&["bench", "-", "--format", "json"], more].concat());
    let json = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{err}"));
    valid_by("docs/schema/bench.json", &json);
    json
}

fn bench(statements: &str) -> Value {
    bench_with(statements, &[])
}

fn record(statements: &str) -> (Value, String) {
    let json =
        serde_json::from_str(&run(statements, &["sheet", "-", "--record", "ng-1", "--format", "json"]).0).unwrap();
    valid_by("docs/schema/record.json", &json);
    (json, run(statements, &["sheet", "-", "--record", "ng-1"]).0)
}

fn codes(json: &Value) -> Vec<&str> {
    let all = json["diagnostics"].as_array().unwrap().iter();
    all.map(|one| one["code"].as_str().unwrap()).filter(|code| code.starts_with("batch-")).collect()
}

fn made<'j>(json: &'j Value, list: &str, substance: &str) -> &'j str {
    let all = json[list].as_array().unwrap();
    all.iter().find(|of| of["substance"] == substance).unwrap()["made_percent"].as_str().unwrap()
}

const HEATED: &str = "  added sodium-hydroxide-10 66.50 g\n  reading pH 3.80\n  heated 60 °C\n";

/// 222.23 + 11.57 + 33.05 + 66.50 + 3.09 + 15.43 + 3.86 = 355.73 g went in. With 35.20 g of water that would be 390.93 g,
/// and the scale says 385.64: 5.29 g went into the air, 5.29/385.64 = 1.37 %.
#[test]
fn what_evaporated_is_what_the_top_up_took_beyond_what_went_in() {
    let json = bench(&format!("{HEATED}{REST}  topped-up water 35.20 g to 385.64 g\n  reading pH 3.80\n"));
    assert_eq!((json["evaporated_g"].as_str(), json["evaporated_percent"].as_str()), (Some("5.29"), Some("1.37")));
    assert_eq!((json["top_up_g"].as_str(), json["top_up_to_g"].as_str()), (Some("0.00"), None));
    assert_eq!((json["next"]["do"].as_str(), codes(&json)), (Some("fill"), Vec::new()), "{json:#}");
    assert!(json["losses"][0].as_str().unwrap().starts_with("5.29 g, 1.37 % of the batch, evaporated"));
    // Back on its target: 0.7 × 33.05 g in 385.64 g, as if nothing had been heated.
    let unheated = bench(&format!("  added sodium-hydroxide-10 66.50 g\n{REST}  topped-up water 29.91 g\n"));
    assert_eq!(made(&json, "as_made", "glycolic-acid"), made(&unheated, "as_made", "glycolic-acid"));
    assert_eq!(unheated["evaporated_g"], Value::Null);
    let (record, markdown) =
        record(&format!("{HEATED}{REST}  topped-up water 35.20 g to 385.64 g\n  yield 381.00 g\n"));
    assert_eq!(record["evaporated_g"], "5.29");
    assert!(markdown.contains("5.29 g, 1.37 % of the batch, evaporated or was lost otherwise"), "{markdown}");
    // 385.64 − 381.00 = 4.64 g stayed in the beaker; 4.64/385.64 = 1.20 %.
    assert_eq!((record["shortfall_g"].as_str(), record["shortfall_percent"].as_str()), (Some("4.64"), Some("1.2")));
    assert!(markdown.contains("topped up with 35.20 g of water to 385.64 g in all"), "{markdown}");
}

/// By sum first and then by the scale: 390.93 g went in and 385.64 g are there.
#[test]
fn a_beaker_lighter_than_what_went_in_tells_it_too() {
    let json = bench(&format!("{HEATED}{REST}  topped-up water 35.20 g\n  topped-up water to 385.64 g\n"));
    assert_eq!(json["evaporated_g"], "5.29");
}

#[test]
fn where_the_record_does_not_tell_what_evaporated_it_is_said() {
    let said = |statements: &str| {
        let json = bench(&format!("{HEATED}{REST}{statements}"));
        assert_eq!(json["evaporated_g"], Value::Null);
        json["losses"][0].as_str().unwrap().to_string()
    };
    assert!(said("").starts_with("what evaporated is not known until the beaker is on the scale"));
    assert!(said("  topped-up water 29.91 g\n").starts_with("what evaporated is not known: it was topped up by sum"));
    assert!(said("  topped-up water to 385.64 g\n").starts_with("what evaporated is not told: the beaker was brought"));
}

/// After heat it is topped up by the scale: to 385.64 g, or, where 12.00 of the 355.73 g in the beaker were taken
/// out, to the share of it that stays: 385.64 × 343.73 ÷ 355.73 = 372.63 g.
#[test]
fn after_heat_the_scale_says_how_much() {
    for (before, to) in [("", "385.64"), ("  removed 12.00 g because \"a sample\"\n", "372.63")] {
        assert_eq!(bench(&format!("{HEATED}{REST}{before}"))["next"]["do"], "read");
        let json = bench(&format!("{HEATED}{REST}{before}  reading pH 3.80\n"));
        assert_eq!((json["next"]["do"].as_str(), json["top_up_to_g"].as_str()), (Some("top-up"), Some(to)));
        let why = json["next"]["why"].as_str().unwrap();
        assert!(why.contains(&format!("until the beaker holds {to} g by the scale")), "{why}");
        let right = bench(&format!("{HEATED}{REST}{before}  topped-up water 40 g to {to} g\n  reading pH 3.80\n"));
        assert_eq!(codes(&right), Vec::<&str>::new(), "{right:#}");
    }
    // Two lines are still to come while the gum is hot: 385.64 − 15.43 − 3.86.
    let hot = bench(&format!("{HEATED}  weighed xanthan-gum 3.09 g\n"));
    assert_eq!((hot["next"]["do"].as_str(), hot["top_up_to_g"].as_str()), (Some("weigh"), Some("366.35")));
    // Nothing heated, nothing to say.
    assert_eq!(bench("  added sodium-hydroxide-10 66.50 g\n")["top_up_to_g"], Value::Null);
}

/// Brought to weight while hot, before the adjuster: 385.64 − 96.41 − 22.38 = 266.85 g. What is held back is still to come.
#[test]
fn a_tared_weight_under_way_leaves_the_reserve() {
    let hot = "  heated 60 °C\n  topped-up water 4.00 g to 266.85 g\n";
    let json = bench(hot);
    assert_eq!((json["evaporated_g"].as_str(), codes(&json)), (Some("4.00"), Vec::new()), "{json:#}");
    let after =
        bench(&format!("{hot}  reading pH 1.94\n  added sodium-hydroxide-10 66.50 g\n  reading pH 3.80\n{REST}"));
    assert_eq!((after["top_up_g"].as_str(), codes(&after)), (Some("29.91"), Vec::new()), "{after:#}");
    let read = bench(&format!(
        "{hot}  reading pH 1.94\n  added sodium-hydroxide-10 66.50 g\n  reading pH 3.80\n{REST}  reading pH 3.80\n"
    ));
    assert_eq!(read["next"]["grams"], "29.91");
}

const PAST: &str = "  added sodium-hydroxide-10 90.00 g\n  reading pH 4.21\n";

#[test]
fn the_way_back_may_be_named() {
    let own = bench(PAST);
    assert_eq!(
        (own["way_back"]["material"].as_str(), own["next"]["do"].as_str()),
        (Some("glycolic-acid-70"), Some("add"))
    );
    let ph = |key: &str| own["way_back"][key].as_f64().unwrap();
    assert!((ph("ph_expected") - 3.8).abs() < 0.1 && ph("ph_low") < 3.8 && 3.8 < ph("ph_high"), "{own:#}");
    let named = bench_with(PAST, &["--back-with", "citric-acid"]);
    let way = &named["way_back"];
    assert_eq!((way["material"].as_str(), &named["next"]["grams"]), (Some("citric-acid"), &way["grams"]));
    let grams: f64 = way["grams"].as_str().unwrap().parse().unwrap();
    let over: f64 = way["over_reserve_g"].as_str().unwrap().parse().unwrap();
    // 6.41 g are left of what was held back.
    assert!(grams > 5.0 && grams < 20.0 && (grams - 6.41 - over).abs() < 1e-9, "{way:#}");
    // All the rest in, the batch weighs 385.64 g and what went over: the acid is its grams of that, at 99.5 to 100 %.
    let percent: f64 = made(way, "after", "citric-acid").parse().unwrap();
    assert!((percent - 99.75 * grams / (385.64 + over)).abs() < 0.001, "{percent}");
    let glycolic: f64 = made(way, "after", "glycolic-acid").parse().unwrap();
    assert!((glycolic - 70.0 * 33.05 / (385.64 + over)).abs() < 0.001, "{glycolic}");
    let of = |key: &str| way["after"][0][key].as_str().unwrap().parse::<f64>().unwrap();
    assert!((of("free_percent") + of("salt_percent") - glycolic).abs() < 0.002, "{way:#}");
    assert!(run(PAST, &["bench", "-", "--back-with", "citric-acid"]).0.contains("way back: "));
}

#[test]
fn what_leads_away_or_is_unknown_is_told() {
    for (name, words) in [
        ("sodium-hydroxide-10", "takes the pH further out"),
        ("glycerin", "takes the pH further out, or leaves it"),
        ("water", "does not lead back"),
        ("moon-dust", "Neither this file nor the shelf knows"),
    ] {
        let json = bench_with(PAST, &["--back-with", name]);
        assert!(json["way_back"]["no_way"].as_str().unwrap().contains(words), "{name}: {:#}", json["way_back"]);
        assert_eq!((json["next"]["do"].as_str(), json["way_back"]["grams"].as_str()), (Some("stop"), None));
    }
    let (_, err) = run("", &["bench", "-", "--back-with", "citric-acid"]);
    assert!(err.contains("nothing has to be led back with `citric-acid`"), "{err}");
}

#[test]
fn a_correction_marks_the_record() {
    let statements = format!("{PAST}  added citric-acid 6.00 g because \"past the window\"\n  reading pH 3.95\n{REST}");
    let json = bench(&statements);
    let corrections = json["corrections"].as_array().unwrap();
    assert_eq!(corrections.len(), 1);
    let one = &corrections[0];
    assert_eq!((one["material"].as_str(), one["grams"].as_str()), (Some("citric-acid"), Some("6.00")));
    assert_eq!(one["because"], "past the window");
    // Within the reserve the batch keeps its weight: 600/385.64 % of an acid of 99.5 to 100 %, and 0.7 × 3305/385.64 %.
    assert!(made(one, "after", "citric-acid").starts_with("1.5519"), "{one:#}");
    assert!(made(one, "after", "glycolic-acid").starts_with("5.9991"), "{one:#}");
    let (record, markdown) = record(&statements);
    assert_eq!(record["corrections"], json["corrections"]);
    assert!(markdown.contains("Corrected: 6.00 g of citric-acid, past the window.\n"), "{markdown}");
    assert_eq!(bench(PAST)["corrections"].as_array().unwrap().len(), 0);
    // What completes a weighing is no correction.
    let portions = bench("  weighed xanthan-gum 1.50 g\n  weighed xanthan-gum 1.59 g\n");
    assert_eq!(portions["corrections"].as_array().unwrap().len(), 0);
}

const OVER: &str = "  added sodium-hydroxide-10 106.00 g\n  reading pH 3.90\n";

/// 106.00 − 96.41 = 9.59 g over. The lines but water and adjuster are 8.5714 + 3 + 0.8 + 4 + 1 = 17.3714 %, so the right
/// batch is 9.59 ÷ 0.826286 = 11.606 g larger: 397.25 g, with 0.99, 0.35, 0.09, 0.46 and 0.12 g more of them.
#[test]
fn over_the_reserve_it_is_set_right() {
    let json = bench(OVER);
    let right = &json["set_right"];
    assert_eq!((json["stage"].as_str(), json["next"]["do"].as_str()), (Some("over-reserve"), Some("weigh")));
    assert_eq!((right["larger_batch_g"].as_str(), right["done"].as_bool()), (Some("397.25"), Some(false)));
    let add: Vec<&str> = right["add"].as_array().unwrap().iter().map(|of| of["grams"].as_str().unwrap()).collect();
    assert_eq!(add, ["0.99", "0.35", "0.09", "0.46", "0.12"]);
    // 9.59 of 395.23 g: 2.43 % thinner, the acid at 23.135/395.23 = 5.854 %.
    assert_eq!(right["thinner_percent"], "2.43");
    assert!(made(right, "actives", "glycolic-acid").starts_with("5.853"), "{right:#}");
    assert_eq!(codes(&json), ["batch-over-reserve"]);

    // Corrections or a second weighing, and lines that were not in yet with their share at once.
    let more = "  added glycolic-acid-70 0.99 g because \"over the reserve\"\n  weighed glycerin 0.35 g\n  weighed xanthan-gum \
                3.18 g\n  weighed pentylene-glycol 15.89 g\n  weighed phenoxyethanol-ethylhexylglycerin 3.98 g\n  reading \
                pH 3.90\n  filled 12 x 30 mL\n";
    let lots = "  lot water \"1\"\n  lot glycerin \"2\"\n  lot glycolic-acid-70 \"3\"\n  lot sodium-hydroxide-10 \"4\"\n  lot \
                xanthan-gum \"5\"\n  lot pentylene-glycol \"6\"\n  lot phenoxyethanol-ethylhexylglycerin \"7\"\n";
    let json = bench(&format!("{lots}{OVER}{more}"));
    assert_eq!((json["stage"].as_str(), json["set_right"]["done"].as_bool()), (Some("filled"), Some(true)));
    assert_eq!(codes(&json), ["batch-over-reserve"]);
    assert_eq!(json["diagnostics"][0]["level"], "note", "{json:#}");
    assert_eq!((json["over_reserve_g"].as_str(), json["corrections"].as_array().unwrap().len()), (Some("9.59"), 2));
    let glycolic: f64 = made(&json, "as_made", "glycolic-acid").parse().unwrap();
    assert!((glycolic - 6.0).abs() < 0.002, "{glycolic}");
    // Much more than that is a correction of its own, and over again.
    let json = bench(&format!("{OVER}  added glycolic-acid-70 5.99 g because \"too much\"\n"));
    assert_eq!(json["over_reserve_g"], "14.59");
}

/// An example as it stands: what `bench` prints, and the codes that `check` tells.
fn example(name: &str) -> (String, Vec<String>) {
    let path = format!("examples/gone-wrong/{name}.still");
    let run = |arguments: &[&str]| {
        let output = Command::cargo_bin("stillroom")
            .unwrap()
            .args(arguments)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output()
            .unwrap();
        (output.status.code().unwrap(), String::from_utf8(output.stdout).unwrap())
    };
    let (code, checked) = run(&["check", &path, "--format", "json"]);
    assert_eq!(code, 0, "{name}");
    let json: Value = serde_json::from_str(&checked).unwrap();
    let told = json["diagnostics"].as_array().unwrap().iter();
    let told = told.map(|one| format!("{} {}", one["level"].as_str().unwrap(), one["code"].as_str().unwrap()));
    (run(&["bench", &path]).1, told.collect())
}

/// Two records of batches that went wrong say what their first lines say of them.
#[test]
fn the_examples_that_went_wrong() {
    let (bench, codes) = example("over-reserve");
    assert_eq!(codes, ["note batch-over-reserve"]);
    insta::assert_snapshot!("bench-over-reserve", bench);
    let (bench, codes) = example("high-meter");
    assert_eq!(codes, ["warning batch-ph-doubtful"]);
    insta::assert_snapshot!("bench-high-meter", bench);
}

/// What the comment of the second says of a way out holds: set anew and read again, the doubt is over.
#[test]
fn the_high_meter_set_anew_goes_on() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/gone-wrong/high-meter.still");
    let text = std::fs::read_to_string(path).unwrap();
    let on = "  calibrated pH 4.00 reads 4.79\n  calibrated pH 4.00 reads 4.00\n  reading pH 2.92\n}\n";
    let text = format!("{}{on}", text.strip_suffix("}\n").unwrap());
    assert_eq!(common::codes(&text), Vec::<String>::new());
}

/// While it was over its reserve, the first said what its comment tells of that moment: 21.24 − 16.00 = 5.24 g over, and
/// 5 + 3 + 0.6 + 3 + 1 = 12.6 % of lines, so 5.24 ÷ 0.874 = 6.00 g more; the acid at 10.00 of 205.24 g.
#[test]
fn the_example_over_its_reserve_at_that_moment() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/gone-wrong/over-reserve.still");
    let text = std::fs::read_to_string(path).unwrap();
    let text = format!("{}}}\n", text.split("  added       mandelic-acid").next().unwrap());
    let output =
        Command::cargo_bin("stillroom").unwrap().args(["bench", "-"]).write_stdin(text).output().unwrap().stdout;
    let said = String::from_utf8(output).unwrap();
    assert!(said.contains("mandelic-acid 4.87 % for 5 %"), "{said}");
    assert!(said.contains("0.30 g of mandelic-acid, 0.18 g of glycerin, "), "{said}");
    assert!(said.contains("more make it a batch of 206.00 g"), "{said}");
}

/// A lot that is too old is told of before it goes in, and the batch is lost only once it did.
#[test]
fn a_lot_that_is_too_old_is_not_weighed_in() {
    let told = |statements: &str| {
        let (out, err) = fed(&format!("{NIGHT_GEL}{statements}}}\n"), &["check", "-"]);
        format!("{out}{err}").split(['\n', '│', ' ']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
    };
    const LOT: &str = "  lot glycerin \"G 7\" expires 2026-11-01\n";
    const WATER: &str = "  weighed water 222.23 g\n";
    let before = told(&format!("{LOT}{WATER}"));
    assert!(before.contains("Lot G 7 of `glycerin` is not in yet, and it expired on 2026-11-01."), "{before}");
    assert!(before.contains("Do not weigh this lot in: take another one") && !before.contains("Reject"), "{before}");
    assert!(before.contains("`struck lot glycerin \"G 7\" because \"too old\"`"), "{before}");
    // Struck, it is over; in the batch, the batch is.
    let struck = told(&format!("  struck lot glycerin \"G 7\" expires 2026-11-01 because \"too old\"\n{WATER}"));
    assert!(!struck.contains("lot-expired"), "{struck}");
    let within = told(&format!("{LOT}{WATER}  weighed glycerin 11.57 g\n"));
    assert!(within.contains("was used on 2026-11-20") && within.contains("Reject the batch"), "{within}");
    // The day is the last that the record tells of.
    let later = told("  lot glycerin \"G 8\" expires 2026-11-24\n  weighed water 222.23 g on 2026-11-25\n");
    assert!(later.contains("is not in yet, and it expired on 2026-11-24"), "{later}");
    assert!(!told("  lot glycerin \"G 8\" expires 2026-11-24\n").contains("lot-expired"));
}
