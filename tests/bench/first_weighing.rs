//! Water weighed off its first weighing: what is too much comes off the top-up, what is too little adds to it, and what is
//! more than was held back is told, with the larger batch that sets it right.
//!
//! The figures are worked by hand, of a gel of 500 g: 88.5 % of water are 442.50 g, 50 g of them held back, so that 392.50 g
//! are weighed first. That what is topped up makes the line whole is how water held back is defined, `docs/language.md`.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::folder;
use crate::common::gel::fed;
use crate::common::repository::run_in;
use crate::common::valid_by;
use serde_json::Value;
use std::fs;

const GEL: &str = "use shelf/all

formula hand-gel {
  version \"1\"
  product leave-on hand
  makes 500 g
  scale 0.01 g
  pH 5.0 to 5.5
  phase A {
    water q.s. hold back 10 %
    glycerin 10 %
    citric-acid-10 q.s. to pH
  }
  phase B {
    xanthan-gum 0.6 %
    phenoxyethanol-ethylhexylglycerin 0.9 %
  }
}

batch g-1 {
  formula hand-gel version \"1\"
";
const GLYCERIN: &str = "  weighed glycerin 50.00 g\n";
const REST: &str = "  reading pH 5.20\n  weighed xanthan-gum 3.00 g\n  weighed phenoxyethanol-ethylhexylglycerin 4.50 g\n  reading pH 5.20\n";

fn text(statements: &str) -> String {
    format!("{GEL}{statements}}}\n")
}

fn bench_of(text: &str) -> Value {
    let (out, err) = fed(text, &["bench", "-", "--format", "json"]);
    let json = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{err}"));
    valid_by("docs/schema/bench.json", &json);
    json
}

fn bench(statements: &str) -> Value {
    bench_of(&text(statements))
}

fn next(json: &Value) -> (&str, Option<&str>, Option<&str>) {
    (json["next"]["do"].as_str().unwrap(), json["next"]["material"].as_str(), json["next"]["grams"].as_str())
}

/// What is told of weights and top-ups, with its level.
fn told(json: &Value) -> Vec<String> {
    let all = json["diagnostics"].as_array().unwrap().iter();
    let told = all.map(|one| (one["level"].as_str().unwrap(), one["code"].as_str().unwrap()));
    told.filter(|(_, code)| ["batch-weight-off", "batch-topup-off", "batch-over-reserve"].contains(code))
        .map(|(level, code)| format!("{level} {code}"))
        .collect()
}

fn message<'j>(json: &'j Value, code: &str) -> &'j str {
    let all = json["diagnostics"].as_array().unwrap();
    all.iter().find(|one| one["code"] == code).unwrap_or_else(|| panic!("{json:#}"))["message"].as_str().unwrap()
}

fn help<'j>(json: &'j Value, code: &str) -> &'j str {
    let all = json["diagnostics"].as_array().unwrap();
    all.iter().find(|one| one["code"] == code).unwrap_or_else(|| panic!("{json:#}"))["help"].as_str().unwrap()
}

fn made(json: &Value, substance: &str) -> f64 {
    let all = json["as_made"].as_array().unwrap();
    let of = all.iter().find(|of| of["substance"] == substance).unwrap();
    of["made_percent"].as_str().unwrap().parse().unwrap()
}

#[test]
fn the_top_up_makes_the_line_whole() {
    for (weighed, top_up, before) in [
        ("392.50", "50.00", "0.00"),
        ("392.49", "50.01", "-0.01"),
        ("390.00", "52.50", "-2.50"),
        ("396.40", "46.10", "3.90"),
        ("432.50", "10.00", "40.00"),
    ] {
        let all = format!("  weighed water {weighed} g\n{GLYCERIN}{REST}");
        let json = bench(&all);
        assert_eq!(next(&json), ("top-up", Some("water"), Some(top_up)), "{weighed}");
        let of = &json["reserves"][0];
        assert_eq!((of["top_up_g"].as_str(), json["top_up_g"].as_str()), (Some(top_up), Some(top_up)), "{weighed}");
        assert_eq!((of["weighed_before_g"].as_str(), json["weighed_before_g"].as_str()), (Some(before), Some(before)));
        let done = bench(&format!("{all}  topped-up water {top_up} g\n  reading pH 5.20\n"));
        assert_eq!(next(&done).0, "fill", "{weighed}");
        assert!(!told(&done).iter().any(|told| told.ends_with("topup-off")), "{done:#}");
        // 4.50 of 500 g.
        assert!((made(&done, "glycerin") - 9.95).abs() < 0.06, "{done:#}");
        assert_eq!(done["top_up_g"], "0.00");
    }
}

#[test]
fn all_of_it_at_once_leaves_nothing_to_top_up() {
    let all = format!("  weighed water 442.50 g\n{GLYCERIN}{REST}");
    let json = bench(&all);
    assert_eq!((next(&json).0, json["top_up_g"].as_str()), ("fill", Some("0.00")), "{json:#}");
    assert_eq!(told(&json), ["note batch-weight-off"]);
    assert!(help(&json, "batch-weight-off").contains("The top-up is less by that: 0.00 g"), "{json:#}");
    let (screen, _) = fed(&text(&all), &["bench", "-"]);
    assert!(
        screen.contains(
            "held back 50.00 g, 50.00 g weighed too much at first, used 0.00 g, left 0.00 g; to top up 0.00 g"
        )
    );
    let (screen, _) = fed(&text("  weighed water 390.00 g\n"), &["bench", "-"]);
    assert!(
        screen.contains("held back 50.00 g, 2.50 g weighed too little at first, used 0.00 g, left 52.50 g"),
        "{screen}"
    );
}

#[test]
fn topped_up_in_full_all_the_same_is_told() {
    let all = format!("  weighed water 432.50 g\n{GLYCERIN}{REST}  topped-up water 50.00 g\n  reading pH 5.20\n");
    let json = bench(&all);
    let said = "The top-up was 50.00 g; 50.00 g held back less 40.00 g weighed too much less 0.00 g used are 10.00 g.";
    assert_eq!(message(&json, "batch-topup-off"), said);
    assert!(help(&json, "batch-topup-off").contains("40.00 g over its weight"));
    // Weighed off by what weighing is off by, and topped up by the sheet: what thins it is a note, the other way is nothing.
    for (weighed, expected) in [("396.00", vec!["note batch-topup-off"]), ("389.00", vec![]), ("392.51", vec![])] {
        let all =
            format!("  weighed water {weighed} g\n{GLYCERIN}{REST}  topped-up water 50.00 g\n  reading pH 5.20\n");
        assert_eq!(told(&bench(&all)), expected, "{weighed}");
    }
}

/// What is missing of the first weighing may come with the top-up: 62.50 g for 50.00 g.
#[test]
fn what_was_weighed_too_little_is_asked_for_or_topped_up() {
    let short = format!("  weighed water 380.00 g\n{GLYCERIN}");
    assert_eq!(next(&bench(&short)), ("weigh", Some("water"), Some("12.50")));
    let all = format!("{short}{REST}  topped-up water 50.00 g\n  reading pH 5.20\n");
    assert_eq!(next(&bench(&all)), ("top-up", Some("water"), Some("12.50")));
    let filled = bench(&format!("{all}  filled 5 x 90 g\n"));
    let said = "The top-up was 50.00 g; 50.00 g held back and 12.50 g weighed too little less 0.00 g used are 62.50 g.";
    assert_eq!(
        (told(&filled).as_slice(), message(&filled, "batch-topup-off")),
        (["warning batch-topup-off".to_string()].as_slice(), said)
    );
    let right = bench(&format!("{short}{REST}  topped-up water 62.50 g\n  reading pH 5.20\n"));
    assert_eq!((next(&right).0, told(&right)), ("fill", Vec::new()));
}

/// The adjuster has the room that is left: 10.00 − 4.00. And of what is taken out a share goes: a tenth of the 482.50 g in
/// the beaker leaves nine tenths of 10.00 g.
#[test]
fn adjuster_and_losses_come_off_it_too() {
    let json =
        bench(&format!("  weighed water 432.50 g\n{GLYCERIN}  reading pH 6.00\n  added citric-acid-10 4.00 g\n"));
    assert_eq!((json["left_of_reserve_g"].as_str(), json["top_up_g"].as_str()), (Some("6.00"), Some("6.00")));
    let json = bench(&format!("  weighed water 432.50 g\n{GLYCERIN}  removed 48.25 g because \"a spill\"\n"));
    assert_eq!((json["held_back_g"].as_str(), json["weighed_before_g"].as_str()), (Some("45.00"), Some("36.00")));
    assert_eq!(json["top_up_g"], "9.00");
    // Weighed in two goes, with the loss between them: nine tenths of the 200.00 g that were to come, and 10.00 g more.
    let json = bench(&format!(
        "  weighed water 192.50 g\n  removed 19.25 g because \"a spill\"\n  weighed water 190.00 g\n{GLYCERIN}"
    ));
    assert_eq!((json["weighed_before_g"].as_str(), json["top_up_g"].as_str()), (Some("10.00"), Some("35.00")));
    // A correction with water is drawn, and not counted twice.
    let json = bench(&format!("  weighed water 432.50 g\n{GLYCERIN}  added water 3.00 g because \"too thick\"\n"));
    assert_eq!((json["adjuster_used_g"].as_str(), json["top_up_g"].as_str()), (Some("3.00"), Some("7.00")));
}

/// Sixty grams more for what steams off: after heat only the scale knows what is left of them.
#[test]
fn what_was_weighed_for_the_steam_is_told_of_by_the_scale() {
    let heated = GEL.replace("  phase A {\n", "  phase A {\n    heat to 60 °C\n");
    let of = |statements: &str| bench_of(&format!("{heated}{statements}}}\n"));
    let hot = format!("  heated 60 °C\n  weighed water 452.50 g\n{GLYCERIN}{REST}");
    let json = of(&hot);
    assert_eq!((json["stage"].as_str(), json["top_up_to_g"].as_str()), (Some("finishing"), Some("500.00")), "{json:#}");
    assert!(!told(&json).contains(&"error batch-over-reserve".to_string()), "{json:#}");
    // 510.00 g went in, 20.00 g of them into the air: 10.00 g bring it to 500.00 g.
    let right = of(&format!("{hot}  topped-up water 10.00 g to 500.00 g\n  reading pH 5.20\n"));
    assert_eq!(
        (next(&right).0, right["evaporated_g"].as_str(), right["over_reserve_g"].as_str()),
        ("fill", Some("20.00"), Some("0.00"))
    );
    // Nothing steamed off: it is over by what the scale says.
    let over = of(&format!("{hot}  topped-up water 0 g to 540.00 g\n"));
    assert_eq!(over["over_reserve_g"].as_str(), Some("10.00"), "{over:#}");
}

/// Each reserve its own: 4.00 g of glycerin weighed too much come off the glycerin's top-up, and nothing off the water's.
#[test]
fn several_reserves_are_each_their_own() {
    let two = GEL
        .replace("glycerin 10 %", "glycerin 10 % hold back 2 %")
        .replace("citric-acid-10 q.s. to pH", "citric-acid-10 q.s. to pH from water");
    let json = bench_of(&format!("{two}  weighed water 402.50 g\n  weighed glycerin 44.00 g\n}}\n"));
    let each: Vec<(&str, &str)> = json["reserves"]
        .as_array()
        .unwrap()
        .iter()
        .map(|of| (of["material"].as_str().unwrap(), of["top_up_g"].as_str().unwrap()))
        .collect();
    assert_eq!(each, [("water", "40.00"), ("glycerin", "6.00")]);
    assert_eq!((json["top_up_g"].as_str(), json["weighed_before_g"].as_str()), (Some("46.00"), Some("14.00")));
}

/// 462.50 − 442.50 = 20.00 g over. The other lines are 11.5 %, so the right batch is 20.00 ÷ 0.885 = 22.60 g larger, with
/// 2.26, 0.14 and 0.20 g more of them.
#[test]
fn more_than_was_held_back_is_told_and_set_right() {
    let all = format!("  weighed water 462.50 g\n{GLYCERIN}{REST}");
    let json = bench(&all);
    let said = "70.00 g of `water` more than planned went in and 50.00 g were held back: the batch is 20.00 g over its \
                weight, everything in it 3.8 % too thin.";
    assert_eq!(
        (told(&json), message(&json, "batch-over-reserve")),
        (vec!["error batch-over-reserve".to_string()], said)
    );
    assert!(help(&json, "batch-over-reserve").contains(
        "Weigh in 2.26 g of `glycerin`, 0.14 g of `xanthan-gum`, 0.20 g of `phenoxyethanol-ethylhexylglycerin` more: it is \
         then a right batch of 522.60 g."
    ));
    assert_eq!(next(&json), ("add", Some("glycerin"), Some("2.26")));
    let more = "  added glycerin 2.26 g because \"too much water\"\n  added xanthan-gum 0.14 g because \"too much water\"\n  \
                added phenoxyethanol-ethylhexylglycerin 0.20 g because \"too much water\"\n  reading pH 5.20\n";
    let right = bench(&format!("{all}{more}"));
    assert_eq!((next(&right).0, told(&right)), ("fill", vec!["note batch-over-reserve".to_string()]), "{right:#}");
    assert_eq!(right["set_right"]["larger_batch_g"], "522.60");
}

const SERUM: &str = "use shelf/all

material our-lactic {
  contains lactic-acid 90 % active, water remainder
  role     exfoliant
  caution  \"Corrosive.\"
}

formula lactic-serum {
  version \"1\"
  product leave-on face
  market eu
  makes 385.64 g
  scale 0.01 g
  pH 3.6 to 4.0
  phase A {
    water q.s. hold back 20 %
    our-lactic 5 % active
    sodium-hydroxide-10 q.s. to pH
  }
  phase B {
    xanthan-gum 0.8 %
    pentylene-glycol 4 %
    phenoxyethanol-ethylhexylglycerin 0.9 %
  }
}
";

fn serum(statements: &str) -> Value {
    bench_of(&format!("{SERUM}\nbatch s-1 {{\n  formula lactic-serum version \"1\"\n{statements}}}\n"))
}

/// 265.10 g of water are planned first, 77.13 g held back; water is 88.744 %. 100 g of base are 22.87 g over, 25.77 g more of
/// the batch; with 50 g more of water 72.87 g over, 82.11 g more of it.
#[test]
fn the_larger_batch_rests_on_what_is_in_the_beaker() {
    for (water, larger) in [("265.10", "411.41"), ("315.10", "467.75")] {
        let json = serum(&format!(
            "  weighed water {water} g\n  weighed our-lactic 21.42 g\n  added sodium-hydroxide-10 100.00 g\n"
        ));
        assert_eq!(json["set_right"]["larger_batch_g"], larger, "{water}");
        assert!(help(&json, "batch-over-reserve").contains(&format!("a right batch of {larger} g")), "{json:#}");
    }
}

/// 24.00 g of acid for 21.42 g, and 90.00 g of base for 77.13 g: 265.10 + 24.00 + 90.00 + 3.09 + 15.43 + 3.47 = 401.09 g, of
/// which the acid is 5.984 %. The batch in which it is 5.5556 % is 432.00 g; of water that has 383.38 − 90.00 g.
#[test]
fn a_line_weighed_too_much_asks_for_its_own_batch() {
    let json = serum("  weighed water 265.10 g\n  weighed our-lactic 24.00 g\n  added sodium-hydroxide-10 90.00 g\n");
    let said = help(&json, "batch-over-reserve");
    assert!(said.contains("`our-lactic` is 5.98 % for 5.56 %"), "{said}");
    assert!(said.contains("a right batch of 432.00 g") && said.contains("28.27 g of `water`"), "{said}");
}

/// The formula is over an opinion's limit itself, and more acid was weighed: the help says so, and what it says to write
/// mends what the batch has beyond the formula.
#[test]
fn what_the_help_of_a_broken_rule_says_mends_it() {
    let folder = folder(&[("serum.still", SERUM.as_bytes())]);
    let at = folder.dir.path();
    let record = |words: &str| run_in(at, &["record", "b.still", words]);
    let begin = ["record", "b.still", "--new", "s-1", "--formula", "lactic-serum", "--from", "serum.still"];
    assert_eq!(run_in(at, &begin).0, 0);
    assert_eq!(record("weighed water 265.10 g").0, 0);
    assert_eq!(record("weighed our-lactic 24.00 g").0, 0);
    let broken = || {
        let (_, out, _) = run_in(at, &["check", "b.still", "--format", "json"]);
        let json: Value = serde_json::from_str(&out).unwrap();
        let all = json["diagnostics"].as_array().unwrap().clone();
        let told = all.into_iter().filter(|one| one["code"] == "rule-broken");
        told.map(|one| one["help"].as_str().unwrap().to_string()).collect::<Vec<_>>()
    };
    let said = broken();
    let help = said.iter().find(|help| help.contains("size 432")).unwrap_or_else(|| panic!("{said:?}"));
    assert!(help.contains("The formula is told of it itself, and no batch of it is within"), "{help}");
    let quoted: Vec<&str> = help.split('`').skip(1).step_by(2).filter(|words| words.contains("size")).collect();
    let [strike, write] = quoted.as_slice() else { panic!("{help}") };
    for words in [strike, write] {
        let (code, _, err) = record(words);
        assert_eq!(code, 0, "{words}: {err}");
    }
    assert!(fs::read_to_string(at.join("b.still")).unwrap().contains("struck"));
    assert_eq!(broken(), Vec::<String>::new());
}

#[test]
fn a_released_batch_with_an_error_open_is_not_done() {
    let all = format!("  weighed water 392.50 g\n{GLYCERIN}{REST}  topped-up water 50.00 g\n  reading pH 5.20\n");
    let lots = "  lot water \"1\"\n  lot glycerin \"2\"\n  lot xanthan-gum \"3\"\n  lot phenoxyethanol-ethylhexylglycerin \
                \"4\"\n";
    let done = bench(&format!("{lots}{all}  filled 5 x 90 g\n  released\n"));
    assert_eq!(next(&done).0, "done", "{done:#}");
    for (then, open) in [
        ("  filled 5 x 110 g\n  released\n", "550 g were filled, and there were 500 g to fill."),
        ("  filled 5 x 90 g\n  released\n  sold 7\n", "7 are retained or sold in all, and 5 were filled."),
    ] {
        let json = bench(&format!("{lots}{all}{then}"));
        assert_eq!((json["stage"].as_str(), next(&json).0), (Some("released"), "stop"));
        assert!(json["next"]["why"].as_str().unwrap().contains(open), "{json:#}");
    }
}

/// Three readings that agree are no slip of the pen, though a digit of one would bring it nearer to what is foreseen.
#[test]
fn readings_that_agree_are_no_slip() {
    let toner = "use shelf/all\n\nformula toner {\n  version \"1\"\n  product leave-on face\n  makes 200 g\n  scale 0.01 g\n  pH \
                 3.6 to 4.0\n  phase A {\n    water q.s. hold back 20 %\n    glycerin 3 %\n    lactic-acid-60 0.1 %\n    \
                 sodium-hydroxide-10 q.s. to pH\n    phenoxyethanol-ethylhexylglycerin 0.9 %\n  }\n}\n\nbatch t-1 {\n  formula \
                 toner version \"1\"\n  weighed water 152.00 g\n  weighed glycerin 6.00 g\n  weighed lactic-acid-60 0.20 g\n";
    let read = "  reading pH 5.35\n  added sodium-hydroxide-10 0.05 g\n  reading pH 5.30\n  reading pH 5.33\n";
    let json = bench_of(&format!("{toner}{read}}}\n"));
    let doubts = json["doubt"].as_array().unwrap();
    assert!(!doubts.iter().any(|doubt| doubt["cause"] == "typed wrong"), "{json:#}");
}
