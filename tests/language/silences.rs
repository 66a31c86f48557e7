//! Silences: what a file may say that cannot be, and what one fault hides, through the real command line. The bounds
//! are those of `src/resolve/bounds.rs`, with their sources there.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::folder;
use assert_cmd::Command;
use std::fs;
use std::path::Path;

/// A file that has every field there is, and no fault.
const SOUND: &str = r#"use shelf/all

let chill = 5 °C

substance mild-acid {
  inci        "Mild Acid"
  molar-mass  90.08 g/mol
  acid        pKa 3.86
  water       1 %
  preserves   from 0.1 % free
  dissolves   in water up to 50 %
}

substance mild-salt {
  inci        "Mild Salt"
  molar-mass  112.06 g/mol
  salt        of mild-acid with 1 mild-ion
}

substance mild-ion {
  molar-mass  22.99 g/mol
  ion         +1
}

substance mild-zwitter {
  inci        "Mild Zwitter"
  molar-mass  75.07 g/mol
  ampholyte   pKa 2.35, 9.78 charge +1
}

group mild = mild-acid, mild-salt

material mild-mix {
  contains      mild-acid 50 % active, mild-zwitter 1 %, water remainder
  role          humectant
  phase         water
  use           up to 10 %
  works         in pH 3 to 6
  stays         below 60 °C
  needs         20 °C
  hydrates      1 h
  hlb           12
  required-hlb  11
  keeps         12 months
  density       1.1 g/mL
  price         6.20 EUR per 1 kg
  as            supplied pH 2.2 at 10 %
  avoid         with retinol above 1 % outside pH 3 to 6 because "both irritate"
  caution       "Irritates the eyes: wear eye protection."
}

material mild-spirit {
  contains  ethanol 70 % v/v, water remainder
  role      solvent
  phase     water
}

rate 1 USD = 0.92 EUR on 2026-11-02

container jar {
  holds  50 mL
  price  0.80 EUR
}

rule house {
  when     mild above 0 %
  when     pH 3 to 6
  limit    mild to 20 %
  require  pH 3 to 6
  declare  mild above 50 %
  from     2020-01-01
  until    2030-01-01
}

formula wash {
  title           "Wash"
  version         "1"
  product         rinse-off body
  makes           200 g plus 4 %
  density         1.01 g/mL
  scale           0.01 g up to 600 g
  meter           0.05
  pH              3.8 to 4.4
  date            2026-11-20
  water-activity  0.6
  lasts           24 months
  opened          6 months

  phase A "Water" {
    heat to 40 °C
    water                q.s.  hold back 20 %
    mild-mix             4 %
    mild-spirit          5 %
    sodium-hydroxide-10  q.s. to pH
  }
  phase B "Cool" {
    cool to chill
  }
  ensure limit mild to 20 %
  ensure require pH 3 to 6
}

batch w-01 {
  formula     wash version "1"
  started     2026-11-20
  size        208.00 g
  lot         water "still 7"
  lot         mild-mix "M-1" assay 50 % opened 2026-10-20 expires 2027-10-31
  lot         mild-spirit "S-1"
  lot         sodium-hydroxide-10 "SH-8" opened 2026-10-02
  calibrated  pH 4.01 reads 4.02
  weighed     water 147.68 g  at 14:05
  weighed     mild-mix 8.32 g
  weighed     mild-spirit 10.40 g
  added       sodium-hydroxide-10 11.70 g
  reading     pH 4.1 diluted 1 in 10
  topped-up   water 29.90 g
  waited      1 h
  heated      40 °C
  cooled      20 °C
  reading     pH 4.1 at 21 °C
  removed     1.00 g because "a sample"
  yield       205.00 g
  filled      4 x 50 g as "W-01"
  retained    1
  released
  sold        3 to "the market"
}
"#;

/// What is found wrong in one file: exit code, and of each fault its code and the text it stands at.
fn found(text: &str) -> (i32, Vec<(String, String)>) {
    let folder = folder(&[("a.still", text.as_bytes())]);
    let output = run(folder.dir.path(), &["check", "a.still", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let faults = json["diagnostics"].as_array().unwrap().iter().map(|fault| {
        let number = |key: &str| usize::try_from(fault[key].as_u64().unwrap()).unwrap();
        let line = text.lines().nth(number("line") - 1).unwrap();
        let length = match number("end_line") == number("line") {
            true => number("end_column") - number("column"),
            false => usize::MAX,
        };
        let place: String = line.chars().skip(number("column") - 1).take(length).collect();
        (fault["code"].as_str().unwrap().to_string(), place)
    });
    (output.status.code().unwrap(), faults.collect())
}

fn run(at: &Path, arguments: &[&str]) -> std::process::Output {
    Command::cargo_bin("stillroom").unwrap().args(arguments).current_dir(at).output().unwrap()
}

/// The sound file with one thing written otherwise.
fn otherwise(what: &str, instead: &str) -> String {
    assert_eq!(SOUND.matches(what).count(), 1, "{what}");
    SOUND.replace(what, instead)
}

#[test]
fn the_sound_file_has_no_fault() {
    assert_eq!(found(SOUND), (0, vec![]));
}

#[test]
fn a_part_of_a_month_is_told_in_every_field_of_time_and_its_days_are_taken() {
    for (what, field) in
        [("keeps         12", "keeps"), ("lasts           24", "lasts"), ("opened          6 months", "opened")]
    {
        let written = what.trim_end_matches(" months");
        let number = written.rsplit(' ').next().unwrap();
        let half = otherwise(&format!("{written} months"), &format!("{field} {number}.5 months"));
        let at = format!("{number}.5 months");
        assert_eq!(found(&half), (1, vec![("unit-mismatch".to_string(), at)]), "{field}");
        // What the help offers mends it.
        assert_eq!(found(&otherwise(&format!("{written} months"), &format!("{field} 45 d"))), (0, vec![]), "{field}");
    }
    let folder = folder(&[("a.still", otherwise("12 months", "1.5 months").as_bytes())]);
    let told = String::from_utf8(run(folder.dir.path(), &["check", "a.still"]).stderr).unwrap()
        + &String::from_utf8(run(folder.dir.path(), &["check", "a.still"]).stdout).unwrap();
    assert!(told.contains("`45 d`"), "{told}");
}

#[test]
fn a_strength_by_volume_over_100_is_an_error_wherever_one_can_stand() {
    for (instead, at) in [
        ("ethanol 120 % v/v", "120 % v/v"),
        ("ethanol 90 to 120 % v/v", "120 % v/v"),
        ("ethanol (60 % v/v + 60 % v/v)", "(60 % v/v + 60 % v/v)"),
        ("ethanol 90 % to 120 %", "ethanol 90 % to 120 %"),
    ] {
        let (code, faults) = found(&otherwise("ethanol 70 % v/v", instead));
        assert_eq!((code, faults), (1, vec![("strength-over-100".to_string(), at.to_string())]), "{instead}");
    }
    let named =
        otherwise("ethanol 70 % v/v", "ethanol spirit").replace("let chill", "let spirit = 120 % v/v\nlet chill");
    assert_eq!(found(&named), (1, vec![("strength-over-100".to_string(), "spirit".to_string())]));
    let plan = "  plan {\n    water  95 %  q.s.\n    spirit  5 %  5 %\n    contains  spirit ethanol 120 % v/v, water \
                remainder\n  }\n}\n";
    let record = format!("{}{plan}", SOUND.trim_end().trim_end_matches('}'));
    let (code, faults) = found(&record);
    assert!(code == 1 && faults.contains(&("strength-over-100".to_string(), "120 % v/v".to_string())), "{faults:?}");
}

#[test]
fn a_substance_twice_in_one_contains_or_group_is_told_with_both_places() {
    for (what, instead, at) in [
        ("mild-zwitter 1 %,", "mild-zwitter 1 %, mild-acid 2 %,", "mild-acid 2 %"),
        ("mild = mild-acid,", "mild = mild-acid, mild-acid,", "mild-acid"),
    ] {
        let text = otherwise(what, instead);
        assert_eq!(found(&text), (1, vec![("header-twice".to_string(), at.to_string())]), "{instead}");
        let folder = folder(&[("a.still", text.as_bytes())]);
        let output = run(folder.dir.path(), &["check", "a.still", "--format", "json"]);
        let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(json["diagnostics"][0]["related"].as_array().map(Vec::len), Some(1), "{json:#}");
    }
}

#[test]
fn what_cannot_be_is_refused_by_record_and_what_happened_is_written() {
    let folder = folder(&[("a.still", SOUND.as_bytes())]);
    let at = folder.dir.path();
    for statement in [&["reading", "pH", "55"][..], &["cooled", "4000 °C"], &["waited", "1", "h", "at", "23:60"]] {
        let output = run(at, &[&["record", "a.still"], statement].concat());
        assert_eq!(output.status.code(), Some(1), "{statement:?}: {output:?}");
    }
    assert_eq!(fs::read_to_string(at.join("a.still")).unwrap(), SOUND);
    // A shelf in a freezer. More sold than was filled happened, or was written down wrong before: it is told of.
    for statement in [&["cooled", "-20", "°C"][..], &["cooled -18 °C"], &["sold", "9"]] {
        let output = run(at, &[&["record", "a.still"], statement].concat());
        assert_eq!(output.status.code(), Some(0), "{statement:?}: {output:?}");
    }
    let written = fs::read_to_string(at.join("a.still")).unwrap();
    assert!(written.contains("cooled      -20 °C") && written.contains("cooled      -18 °C"), "{written}");
}

#[test]
fn a_temperature_below_nought_stands_wherever_a_temperature_does() {
    let frozen = SOUND
        .replace("let chill = 5 °C", "let chill = -5 °C")
        .replace("needs         20 °C", "needs         (-10 °C + 30 °C)")
        .replace("cooled      20 °C", "cooled      -20 °C\n  cooled      -4 °F\n  cooled      20 °C")
        .replace("pH 4.1 at 21 °C", "pH 4.1 at -1 °C");
    assert_eq!(found(&frozen), (0, vec![]));
    assert_eq!(laid_out(&frozen), laid_out(&laid_out(&frozen)));
    assert!(laid_out(&frozen).contains("cooled      -20 °C"), "{}", laid_out(&frozen));
    assert_eq!(found(&laid_out(&frozen)), (0, vec![]));
    // `stays below -10 °C`, heated to 40 °C.
    let (code, faults) = found(&otherwise("stays         below 60 °C", "stays         below -10 °C"));
    assert!(code == 0 && faults.iter().any(|(code, _)| code == "heat-clash"), "{faults:?}");
    // Nothing else may be below nought.
    for (what, instead) in [("mild-mix             4 %", "mild-mix             -4 %"), ("200 g plus", "-200 g plus")] {
        let (code, faults) = found(&otherwise(what, instead));
        assert!(code == 1 && faults.iter().any(|(code, _)| code == "amount-negative"), "{instead}: {faults:?}");
    }
}

#[test]
fn a_pka_may_be_below_nought() {
    // p-Toluenesulfonic acid, pKa −2.8; from memory. The readings of the batch are those of a weaker acid.
    let (code, faults) = found(&otherwise("pKa 3.86", "pKa -2.8").replace("  preserves   from 0.1 % free\n", ""));
    assert!(code == 0 && faults.iter().all(|(code, _)| code == "batch-ph-doubtful"), "{faults:?}");
}

fn laid_out(text: &str) -> String {
    let folder = folder(&[("a.still", text.as_bytes())]);
    assert_eq!(run(folder.dir.path(), &["fmt", "a.still"]).status.code(), Some(0));
    fs::read_to_string(&folder.first).unwrap()
}

/// Names that open like a small word of the language, and figures beside such words.
const NAMES: &str = r#"use shelf/all

let x1 = 2 %
let to5 = 3 %
let of2 = 0.5 %
let up9-a = 1 %

formula at-4 {
  title    "Names"
  version  "1"
  product  stock
  makes    6 x 50 g
  scale    0.01 g

  phase x1 "All" {
    water        q.s.
    glycerin     x1
    propanediol  (to5 + up9-a * 2)
    panthenol    of2 active
  }
  ensure propanediol + to5 - x1 up to 9 %
  ensure glycerin x1 to to5
}
"#;

#[test]
fn names_that_open_like_a_small_word_can_be_used_and_the_words_are_still_words() {
    assert_eq!(found(&NAMES.replace("ensure glycerin x1", "ensure glycerin 1 %")), (0, vec![]));
    let folder = folder(&[("a.still", NAMES.replace("glycerin x1 to", "glycerin 1 % to").as_bytes())]);
    let sheet = String::from_utf8(run(folder.dir.path(), &["sheet", "a.still", "--format", "text"]).stdout).unwrap();
    // 2 % and 3 % + 2 × 1 % = 5 % of 300 g.
    assert!(sheet.contains("6.00 g") && sheet.contains("15.00 g"), "{sheet}");
    for (written, other) in [("6 x 50 g", "6x50 g"), ("6 x 50 g", "6 x50g"), ("6 x 50 g", "6x 50g")] {
        let text = NAMES.replace("ensure glycerin x1", "ensure glycerin 1 %").replace(written, other);
        assert_eq!(found(&text), (0, vec![]), "{other}");
        assert_eq!(laid_out(&text), laid_out(&laid_out(&text)));
        assert!(laid_out(&text).contains("makes    6 x 50 g"), "{}", laid_out(&text));
    }
}

/// A formula with a line that is too light for the scale, and an `allow` of it.
fn light(water: &str, extra: &str, makes: &str) -> String {
    format!(
        "use shelf/all\n\nformula trial {{\n  title \"Trial\"\n  version \"1\"\n  product stock\n  {makes}\n  scale 0.01 \
         g\n  allow below-scale because \"a trial, for the feel only\"\n  phase A \"All\" {{\n    water {water}\n    \
         glycerin 1 %\n    {extra}\n  }}\n}}\n"
    )
}

#[test]
fn an_allow_of_a_base_waits_for_its_variants_too() {
    let variant = "\nvariant other of trial {\n  version \"2\"\n  makes 10 g\n  set glycerin 101 %\n}\n";
    let text = light("q.s.", "", "makes 500 g") + variant;
    let codes: Vec<String> = found(&text).1.into_iter().map(|(code, _)| code).collect();
    assert!(
        !codes.contains(&"allow-unused".to_string()) && codes.contains(&"amount-over-100".to_string()),
        "{codes:?}"
    );
}

#[test]
fn a_line_that_fills_up_and_is_eaten_by_rounding_is_told_as_that_and_the_help_mends_it() {
    // Of 10 g: five lines of 1.96 g round to 2 g each on a scale of 1 g, and 0.2 g of water are left in truth; of 12 g
    // 0.6 g would be water, which rounds to 1 g, and the others come to 12 g.
    let text = |makes: &str, scale: &str, share: &str| {
        let names = ["glycerin", "propanediol", "butylene-glycol", "sorbitol-70", "pentylene-glycol"];
        let lines: String = names.iter().map(|name| format!("    {name}  {share}\n")).collect();
        format!(
            "use shelf/all\n\nformula thick {{\n  title \"Thick\"\n  version \"1\"\n  product stock\n  makes {makes}\n  \
             scale {scale}\n  phase A \"All\" {{\n    water  q.s.\n{lines}  }}\n}}\n"
        )
    };
    let told = |text: &str| -> Vec<(String, String, String)> {
        let folder = folder(&[("a.still", text.as_bytes())]);
        let output = run(folder.dir.path(), &["check", "a.still", "--format", "json"]);
        let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let said = |fault: &serde_json::Value, key: &str| fault[key].as_str().unwrap_or_default().to_string();
        let all = json["diagnostics"].as_array().unwrap().iter();
        all.filter(|fault| fault["code"] == "batch-too-small")
            .map(|fault| (said(fault, "code"), said(fault, "message"), said(fault, "help")))
            .collect()
    };
    // 19 % of 14 g is 2.66 g, 3 g on the scale: five of them are 15 g, and 0.7 g of water are wanted.
    let eaten = told(&text("14 g", "1 g", "19 %"));
    let [(_, message, help)] = eaten.as_slice() else { panic!("{eaten:?}") };
    assert!(message.contains("15 g of the 14 g") && message.contains("0.7 g of `water`"), "{message}");
    // 20 steps and five halves of one are 22.5 g, 5 % of 450 g; 0.7 g is 22.5 steps of 0.01 g, and not of 0.1 g.
    assert!(help.contains("450 g") && help.contains("0.01 g"), "{help}");
    assert_eq!(told(&text("450 g", "1 g", "19 %")), []);
    assert_eq!(told(&text("14 g", "0.01 g", "19 %")), []);
    // A line that is too light by itself is told of as that.
    let light = told(&text("10 g", "1 g", "19.99 %"));
    assert!(matches!(light.as_slice(), [(_, message, _)] if message.contains("shows as nothing")), "{light:?}");
}
