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
fn a_figure_that_nothing_has_is_told_once_and_at_its_place() {
    for (what, instead, at) in [
        ("molar-mass  90.08 g/mol", "molar-mass  0.9 g/mol", "0.9 g/mol"),
        ("molar-mass  90.08 g/mol", "molar-mass  90080000000 g/mol", "90080000000 g/mol"),
        ("pKa 3.86", "pKa 386", "386"),
        ("pKa 3.86", "pKa -386", "-386"),
        ("pKa 2.35, 9.78", "pKa 9.78, 2.35", "2.35"),
        ("water       1 %", "water       101 %", "101 %"),
        ("from 0.1 % free", "from 110 % free", "110 %"),
        ("in water up to 50 %", "in water up to 5000 %", "5000 %"),
        ("ion         +1", "ion         +11", "+11"),
        ("ion         +1", "ion         0.5", "0.5"),
        ("charge +1", "charge +99", "+99"),
        ("use           up to 10 %", "use           up to 110 %", "110 %"),
        ("works         in pH 3 to 6", "works         in pH 3 to 60", "60"),
        ("stays         below 60 °C", "stays         below 6000 °C", "6000 °C"),
        ("stays         below 60 °C", "stays         below -300 °C", "-300 °C"),
        ("needs         20 °C", "needs         2000 °C", "2000 °C"),
        ("hydrates      1 h", "hydrates      1000 d", "1000 d"),
        ("hlb           12", "hlb           120", "120"),
        ("required-hlb  11", "required-hlb  110", "110"),
        ("keeps         12 months", "keeps         1200 months", "1200 months"),
        ("keeps         12 months", "keeps         90000 d", "90000 d"),
        ("density       1.1 g/mL", "density       110 g/mL", "110 g/mL"),
        ("density       1.1 g/mL", "density       1.1 g/L", "1.1 g/L"),
        ("density       1.1 g/mL", "density       (1 g/mL - 2 g/mL)", "(1 g/mL - 2 g/mL)"),
        ("supplied pH 2.2", "supplied pH 22", "22"),
        ("at 10 %\n", "at 110 %\n", "110 %"),
        ("retinol above 1 %", "retinol above 101 %", "101 %"),
        ("outside pH 3 to 6", "outside pH 3 to 16", "16"),
        ("when     mild above 0 %", "when     mild above 100.5 %", "100.5 %"),
        ("when     pH 3 to 6", "when     pH 3 to 61", "61"),
        ("  limit    mild to 20 %", "  limit    mild to 200 %", "200 %"),
        ("  require  pH 3 to 6", "  require  pH at least 36", "36"),
        ("declare  mild above 50 %", "declare  mild above 500 %", "500 %"),
        ("makes           200 g plus 4 %", "makes           200 g plus 400 %", "400 %"),
        ("density         1.01 g/mL", "density         101 g/mL", "101 g/mL"),
        ("up to 600 g", "up to 0.006 g", "scale           0.01 g up to 0.006 g"),
        ("meter           0.05", "meter           5", "5"),
        ("water-activity  0.6", "water-activity  6", "6"),
        ("lasts           24 months", "lasts           2400 months", "2400 months"),
        ("opened          6 months", "opened          6000 months", "6000 months"),
        ("heat to 40 °C", "heat to 4000 °C", "4000 °C"),
        ("let chill = 5 °C", "let chill = (5 °C - 400 °C)", "chill"),
        ("  ensure limit mild to 20 %", "  ensure limit mild to 200 %", "200 %"),
        ("  ensure require pH 3 to 6", "  ensure require pH 3 to 16", "16"),
        ("assay 50 %", "assay 500 %", "500 %"),
        ("pH 4.01 reads 4.02", "pH 401 reads 4.02", "401"),
        ("pH 4.01 reads 4.02", "pH 4.01 reads 402", "402"),
        ("reading     pH 4.1 at 21 °C", "reading     pH 41 at 21 °C", "41"),
        ("reading     pH 4.1 at 21 °C", "reading     pH 4.1 at 2100 °C", "2100 °C"),
        ("diluted 1 in 10", "diluted 10 in 1", "10 in 1"),
        ("waited      1 h", "waited      1000 d", "1000 d"),
        ("heated      40 °C", "heated      4000 °C", "4000 °C"),
        ("cooled      20 °C", "cooled      -274 °C", "-274 °C"),
    ] {
        let (code, faults) = found(&otherwise(what, instead));
        let of_figure: Vec<&str> =
            faults.iter().filter(|(code, _)| code == "figure-impossible").map(|(_, at)| at.as_str()).collect();
        assert_eq!((code, of_figure.as_slice()), (1, &[at][..]), "{instead}: {faults:?}");
    }
}

#[test]
fn a_window_outside_the_scale_is_told_at_both_ends_and_nothing_is_made_of_it() {
    let (code, faults) = found(&otherwise("pH              3.8 to 4.4", "pH              38 to 44"));
    let told =
        |code: &str| faults.iter().filter(|(told, _)| told == code).map(|(_, at)| at.clone()).collect::<Vec<_>>();
    assert_eq!((code, told("figure-impossible")), (1, vec!["38".to_string(), "44".to_string()]));
    assert!(faults.iter().all(|(code, _)| !code.starts_with("ph-window")), "{faults:?}");
}

#[test]
fn what_comes_to_nothing_or_is_in_pieces_is_told() {
    for (what, instead, code, at) in [
        ("ion         +1", "ion         0", "amount-zero", "0"),
        ("with 1 mild-ion", "with 0 mild-ion", "amount-zero", "0"),
        ("per 1 kg", "per 0 kg", "amount-zero", "0 kg"),
        ("rate 1 USD", "rate 0 USD", "amount-zero", "0 USD"),
        ("rate 1 USD", "rate 1 EUR", "unit-mismatch", "0.92 EUR"),
        ("holds  50 mL", "holds  0 mL", "amount-zero", "0 mL"),
        ("size        208.00 g", "size        0 g", "amount-zero", "0 g"),
        ("filled      4 x 50 g", "filled      4 x 0 g", "amount-zero", "0 g"),
        ("filled      4 x 50 g", "filled      4.5 x 50 g", "unit-mismatch", "4.5"),
        ("retained    1", "retained    0.5", "unit-mismatch", "0.5"),
        ("sold        3 to", "sold        0 to", "amount-zero", "0"),
        ("keeps         12 months", "keeps         0 months", "amount-zero", "0 months"),
        ("lasts           24 months", "lasts           0 d", "amount-zero", "0 d"),
    ] {
        let (exit, faults) = found(&otherwise(what, instead));
        assert_eq!((exit, faults.first()), (1, Some(&(code.to_string(), at.to_string()))), "{instead}: {faults:?}");
        assert_eq!(faults.len(), 1, "{instead}: {faults:?}");
    }
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
fn times_and_days_that_are_none_are_told() {
    for (what, instead, at) in [
        ("at 14:05", "at 23:60", "23:60"),
        ("at 14:05", "at 24:00", "24:00"),
        ("started     2026-11-20", "started     0206-11-20", "0206-11-20"),
        ("date            2026-11-20", "date            9026-11-20", "9026-11-20"),
        ("until    2030-01-01", "until    2010-01-01", "until    2010-01-01"),
        ("works         in pH 3 to 6", "works         in pH 6 to 3", "in pH 6 to 3"),
        ("reading     pH 4.1 at 21 °C", "reading     pH 5 to 3 by strip", "5 to 3"),
    ] {
        let (code, faults) = found(&otherwise(what, instead));
        assert_eq!(code, 1, "{instead}");
        assert!(faults.iter().any(|(code, place)| code == "syntax" && at.ends_with(place.as_str())), "{faults:?}");
    }
    assert_eq!(found(&otherwise("at 14:05", "at 00:00")), (0, vec![]));
    assert_eq!(found(&otherwise("at 14:05", "at 23:59")), (0, vec![]));
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
fn more_out_than_in_is_told_at_the_statement() {
    let told = |what: &str, instead: &str| found(&otherwise(what, instead));
    let fault = |at: &str| (1, vec![("batch-more-out-than-in".to_string(), at.to_string())]);
    let removed = "removed     1.00 g because \"a sample\"";
    // 147.68 + 8.32 + 10.40 + 11.70 + 29.90 g went in: 208.00 g.
    let (code, faults) = told(removed, "removed     208.01 g because \"a sample\"");
    assert_eq!((code, faults[0].0.as_str()), (1, "batch-more-out-than-in"), "{faults:?}");
    // All of it may go, and then nothing comes out.
    let all = otherwise(removed, "removed     208.00 g because \"all of it\"").replace("  yield       205.00 g\n", "");
    assert_eq!(found(&all), (0, vec![]));
    assert_eq!(
        told("sold        3 to \"the market\"", "sold        4 to \"the market\""),
        fault("sold        4 to \"the market\"")
    );
    assert_eq!(told("retained    1", "retained    5"), fault("retained    5"));
    // 207.00 g are in it once 1.00 g was taken out: 1 % more may be the scale.
    assert_eq!(told("yield       205.00 g", "yield       209.00 g"), (0, vec![]));
    assert_eq!(told("yield       205.00 g", "yield       2050 g"), fault("yield       2050 g"));
    let unfilled = otherwise("  filled      4 x 50 g as \"W-01\"\n", "");
    assert!(found(&unfilled).1.contains(&("batch-more-out-than-in".to_string(), "retained    1".to_string())));
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
fn a_substance_is_no_salt_of_itself() {
    for (what, instead, at) in [
        ("of mild-acid with", "of mild-salt with", "salt        of mild-salt with 1 mild-ion"),
        ("ion         +1", "ion         +1\n  hydrolyses  to mild-ion", "hydrolyses  to mild-ion"),
    ] {
        let (code, faults) = found(&otherwise(what, instead));
        assert!(code == 1 && faults.contains(&("name-unknown".to_string(), at.to_string())), "{instead}: {faults:?}");
    }
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
    assert!(code == 1 && faults.iter().any(|(code, _)| code == "heat-clash"), "{faults:?}");
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
fn an_allow_is_not_called_unused_where_another_fault_hides_what_it_is_for() {
    let codes = |text: &str| found(text).1.into_iter().map(|(code, _)| code).collect::<Vec<_>>();
    // 1 % of 10 g is 0.1 g: one step of the scale is 10 % of it.
    assert_eq!(codes(&light("q.s.", "", "makes 10 g")), Vec::<String>::new());
    for (what, text, code) in [
        ("the total is over", light("100 %", "", "makes 10 g"), "total-over-100"),
        ("a name is unknown", light("q.s.", "glycerol-x 1 %", "makes 10 g"), "name-unknown"),
        ("a line is broken", light("q.s.", "glycerin one %", "makes 10 g"), "syntax"),
        ("the density is missing", light("q.s.", "", "makes 10 mL"), "density-missing"),
        ("a figure is at fault", light("q.s.", "", "makes 10 apples"), "unknown-unit"),
    ] {
        assert_eq!(codes(&text), [code], "{what}");
    }
    // Without a batch nothing is weighed, and a check asks for none.
    assert_eq!(codes(&light("q.s.", "", "")), Vec::<String>::new());
    // Where all could be asked and nothing was found it is told still, beside faults of judgement too.
    assert_eq!(codes(&light("q.s.", "", "makes 500 g")), ["allow-unused"]);
    let sweet = light("q.s.", "xanthan-gum 30 %", "makes 5000 g").replace("product stock", "product leave-on body");
    assert!(codes(&sweet).contains(&"allow-unused".to_string()) && codes(&sweet).contains(&"usage-over".to_string()));
    // A code that there is not is told whatever else is wrong.
    let unknown = light("100 %", "", "makes 10 g").replace("below-scale", "below-scales");
    assert!(codes(&unknown).contains(&"allow-unused".to_string()));
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
fn nothing_is_said_of_an_active_off_its_target_where_the_total_is_wrong() {
    let text = |glycerin: &str| {
        format!(
            "use shelf/all\n\nformula soak {{\n  title \"Soak\"\n  version \"1\"\n  product stock\n  makes 100 g\n  \
             scale 0.01 g\n  phase A \"All\" {{\n    water 50 %\n    glycerin {glycerin}\n    lactic-acid-80 8 % \
             active\n  }}\n}}\n"
        )
    };
    assert_eq!(found(&text("60 %")).1.iter().map(|(code, _)| code.as_str()).collect::<Vec<_>>(), ["total-over-100"]);
    assert_eq!(found(&text("30 %")).1.iter().map(|(code, _)| code.as_str()).collect::<Vec<_>>(), ["total-under-100"]);
    assert_eq!(found(&text("40 %")).1, []);
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
