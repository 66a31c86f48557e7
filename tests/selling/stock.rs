//! What is on hand: against a heap kept by hand over random happenings in random files, and what is pinned to the door.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::{folder, valid_by};
use assert_cmd::Command;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::path::Path;

fn run(folder: &Path, arguments: &[&str]) -> (String, String, i32) {
    let run =
        Command::cargo_bin("stillroom").unwrap().current_dir(folder).arg("stock").args(arguments).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(run.stdout), text(run.stderr), run.status.code().unwrap())
}

fn stock(text: &str, arguments: &[&str]) -> Value {
    let folder = folder(&[("room.still", text.as_bytes())]);
    let (out, told, code) = run(folder.dir.path(), &[&["--format", "json"], arguments].concat());
    assert_eq!((code, told.as_str()), (0, ""));
    let found = serde_json::from_str(&out).unwrap();
    valid_by("docs/schema/stock.json", &found);
    found
}

fn thing<'s>(stock: &'s Value, name: &str) -> &'s Value {
    stock["things"].as_array().unwrap().iter().find(|thing| thing["name"] == name).unwrap()
}

const ROOM: &str = "\
use shelf/all
material our-oil like sunflower-oil { supplier \"the farm shop\" }
container jar { holds 30 mL }
formula butter {
  title    \"Butter\"
  product  stock
  makes    100 g
  scale    0.01 g
  phase A {
    our-oil      60 %
    shea-butter  40 %
  }
}
";

#[test]
fn what_was_struck_out_or_spilled_counts_as_it_should() {
    let found = stock(
        &format!(
            "{ROOM}stock {{\n  counted our-oil 1 kg on 2026-11-01\n}}\n\
             batch b-1 {{\n  formula butter\n  started 2026-11-05\n  weighed our-oil 40 g\n  \
             struck weighed our-oil 60 g because \"the wrong bottle\"\n  removed 20 g because \"spilled\"\n  \
             added our-oil 5 g because \"too thick\"\n  topped-up our-oil 2 g\n  yield 25 g\n}}\n"
        ),
        &[],
    );
    assert_eq!(found["stock"]["our-oil"]["exact"], "953");
    assert_eq!(found["stock"]["butter"]["exact"], "25");
}

#[test]
fn what_was_filled_has_left_the_store_room() {
    let room = ROOM.replace(
        "container jar { holds 30 mL }",
        "container jar { holds 30 mL }\ncontainer tin { holds 600 g }\ncontainer sticker { price 9 EUR per 100 }",
    );
    let balm = |head: &str| {
        format!(
            "{room}formula balm {{\n  title \"Balm\"\n  version \"1\"\n  product leave-on body\n  makes 2000 g\n  \
             scale 0.01 g\n{head}  phase A {{\n    our-oil 100 %\n  }}\n}}\n\
             stock {{\n  counted tin 10 on 2026-11-01\n  counted jar 10 on 2026-11-01\n  counted sticker 50 on 2026-11-01\n}}\n\
             batch b-1 {{\n  formula balm version \"1\"\n  started 2026-11-05\n  weighed our-oil 2000 g\n  \
             filled 3 x 600 g\n  struck filled 2 x 600 g because \"counted twice\"\n  filled 2 x 30 mL on 2026-11-06\n}}\n"
        )
    };
    let left = |head: &str, arguments: &[&str]| {
        let found = stock(&balm(head), arguments);
        ["tin", "jar", "sticker"].map(|name| found["stock"][name]["exact"].as_str().unwrap().to_string())
    };
    // By what it holds; with what it is packed in, a sticker each; and as it was the day before.
    assert_eq!(left("", &[]), ["7", "8", "50"]);
    assert_eq!(left("  packed in tin, sticker\n", &[]), ["7", "8", "45"]);
    assert_eq!(left("  packed in tin, sticker\n", &["--on", "2026-11-05"]), ["7", "10", "47"]);
    // Two that hold as much: it is asked, and none is counted.
    let twice = balm("").replace("container jar", "container pot { holds 600 g }\ncontainer jar");
    let found = stock(&twice, &[]);
    assert_eq!(found["stock"]["tin"]["exact"], "10");
    assert!(found["notes"][0].as_str().unwrap().contains("`pot`, `tin`"), "{found:#}");
}

#[test]
fn what_was_spent_below_nothing_is_told_and_paid_for_by_nothing_that_comes() {
    let text = format!(
        "{ROOM}stock {{\n  counted our-oil 0 g on 2026-11-01\n  spent our-oil 50 g on 2026-11-02 because \"a gift\"\n  \
         bought our-oil 500 g on 2026-11-03\n}}\n"
    );
    let found = stock(&text, &[]);
    assert_eq!(found["stock"]["our-oil"]["exact"], "500");
    let told = "50 g more of `our-oil` went than came before 2026-11-03, and counts as none then";
    assert!(found["notes"][0].as_str().unwrap().starts_with(told), "{found:#}");
    // What it says to do mends it.
    let counted = text.replace("bought our-oil", "counted our-oil 120 g on 2026-11-02\n  bought our-oil");
    let found = stock(&counted, &[]);
    assert_eq!((&found["stock"]["our-oil"]["exact"], &found["notes"]), (&json!("620"), &json!([])));
}

/// The bottle whose last day the store room knows is no better for being named in a record of another file.
#[test]
fn a_lot_past_the_day_it_was_bought_with_is_told_where_it_is_used() {
    let balm = "formula balm {\n  title \"Balm\"\n  version \"1\"\n  product leave-on body\n  makes 10 g\n  scale 0.01 g\n  \
                phase A {\n    our-oil 100 %\n  }\n}\n";
    let room = format!("{ROOM}{balm}");
    let bought = |until: &str| {
        format!("use \"room.still\"\nstock {{\n  bought our-oil 1 kg lot \"la-1\" on 2026-01-05 expires {until}\n}}\n")
    };
    let batch = "use \"room.still\"\nbatch b-1 {\n  formula balm version \"1\"\n  started 2026-11-20\n  \
                 lot our-oil \"LA-1\"\n  weighed our-oil 10 g\n}\n";
    let told = |until: &str| {
        let bought = bought(until);
        let folder = folder(&[
            ("room.still", room.as_bytes()),
            ("bought.still", bought.as_bytes()),
            ("batch.still", batch.as_bytes()),
        ]);
        let run = Command::cargo_bin("stillroom").unwrap().current_dir(folder.dir.path()).args(["check", "."]).output();
        let run = run.unwrap();
        String::from_utf8([run.stdout, run.stderr].concat()).unwrap()
    };
    let past = told("2026-11-19");
    let said = "Lot LA-1 of `our-oil` was used on 2026-11-20, and by the store room it expired on 2026-11-19.";
    assert!(past.contains(said), "{past}");
    assert!(!told("2026-11-20").contains("lot-expired"));
}

#[test]
fn before_anything_happened_nothing_was_used() {
    let text = format!(
        "{ROOM}batch b-1 {{\n  formula butter\n  started 2026-11-05\n  weighed our-oil 60 g\n  yield 60 g\n}}\n"
    );
    let folder = folder(&[("room.still", text.as_bytes())]);
    assert!(run(folder.dir.path(), &["."]).0.contains("Used, and never counted or bought: `our-oil`."));
    let (out, ..) = run(folder.dir.path(), &[".", "--on", "2020-01-01"]);
    assert!(!out.contains("Used"), "{out}");
}

#[test]
fn an_event_without_a_stamp_is_of_the_day_of_the_one_before_it() {
    let found = |count: &str| {
        let text = format!(
            "{ROOM}stock {{\n  counted our-oil 1 kg on {count}\n}}\n\
             batch b-1 {{\n  formula butter\n  started 2026-11-05\n  weighed our-oil 10 g\n  \
             weighed our-oil 20 g on 2026-11-07\n  weighed our-oil 30 g\n}}\n"
        );
        stock(&text, &[])["stock"]["our-oil"]["exact"].clone()
    };
    assert_eq!(
        [found("2026-11-04"), found("2026-11-05"), found("2026-11-06"), found("2026-11-07")],
        ["940", "950", "950", "1000"]
    );
}

#[test]
fn a_rejected_batch_and_one_without_a_yield_put_nothing_in() {
    let batch = |rest: &str| {
        format!("{ROOM}batch b-1 {{\n  formula butter\n  started 2026-11-05\n  weighed our-oil 60 g\n  {rest}\n}}\n")
    };
    for rest in ["yield 59 g\n  rejected because \"rancid\"", "note \"not done\""] {
        let found = stock(&batch(rest), &[]);
        assert_eq!(found["stock"].get("butter"), None);
        assert!(found["notes"][0].as_str().unwrap().contains("`b-1`"), "{found:#}");
    }
    // A yield that is weighed again takes the place of the first.
    assert_eq!(stock(&batch("yield 59 g\n  yield 58.5 g"), &[])["stock"]["butter"]["exact"], "117/2");
}

/// A premix is a lot of what it goes into, by the code on it and by the name of its batch.
#[test]
fn lots_are_drawn_by_their_codes() {
    let text = format!(
        "{ROOM}stock {{\n  bought our-oil 1 kg lot \"O-1\" on 2026-11-01 expires 2027-01-31\n  \
         bought our-oil 1 kg lot \"O-2\" on 2026-11-02 for 6 EUR from \"the market\"\n}}\n\
         batch b-1 {{\n  formula butter\n  started 2026-11-05\n  lot our-oil \"o-2\"\n  weighed our-oil 60 g\n  yield 50 g\n}}\n\
         batch b-2 {{\n  formula butter\n  started 2026-11-06\n  lot butter \"b-1\"\n  weighed our-oil 10 g\n  \
         weighed butter 20 g\n  yield 30 g\n  filled 1 x 30 g as \"B2\"\n}}\n"
    );
    let found = stock(&text, &[]);
    let lots = |name: &str| -> Vec<(Value, Value)> {
        let lots = thing(&found, name)["lots"].as_array().unwrap();
        lots.iter().map(|lot| (lot["lot"].clone(), lot["exact"].clone())).collect()
    };
    assert_eq!(lots("our-oil"), [(json!("O-1"), json!("990")), (json!("O-2"), json!("940"))]);
    assert_eq!(lots("butter"), [(json!("b-1"), json!("30")), (json!("B2"), json!("30"))]);
}

#[test]
fn the_door_says_first_what_is_past_its_day() {
    let text = format!(
        "{ROOM}stock {{\n  counted our-oil 120 g on 2026-10-01\n  \
         bought our-oil 1 kg lot \"O-1\" on 2026-11-01 for 6 EUR from \"the | market\" expires 2026-11-20\n  \
         counted jar 12 on 2026-11-03\n  spent shea-butter 5 g on 2026-11-04 because \"a gift\"\n  \
         bought beeswax 10 g on 2026-11-04\n  spent beeswax 12 g on 2026-11-05 because \"a candle\"\n}}\n"
    );
    let folder = folder(&[("room.still", text.as_bytes())]);
    let (door, told, code) = run(folder.dir.path(), &["room.still", "--on", "2026-11-25"]);
    assert_eq!((told.as_str(), code), ("", 0));
    insta::assert_snapshot!("door", door);
    insta::assert_snapshot!(
        "door_in_markdown",
        run(folder.dir.path(), &["--on", "2026-11-25", "--format", "markdown", "--verbose"]).0
    );
    // Only what a formula is made of.
    let (out, ..) = run(folder.dir.path(), &["--formula", "butter", "--format", "json"]);
    let found: Value = serde_json::from_str(&out).unwrap();
    let names: Vec<&str> =
        found["things"].as_array().unwrap().iter().filter_map(|thing| thing["name"].as_str()).collect();
    assert_eq!(names, ["our-oil", "shea-butter"]);
}

#[test]
fn what_cannot_be_read_is_named_and_the_rest_counted() {
    let text = format!(
        "{ROOM}stock {{\n  counted our-oil 1 kg on 2026-11-01\n  counted our-oil on\n  spent our-oil 3 g on 2026-11-02\n}}\n"
    );
    let folder = folder(&[("room.still", text.as_bytes())]);
    let (out, told, code) = run(folder.dir.path(), &["room.still", "--format", "json"]);
    let found: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(code, 1, "{told}");
    assert_eq!(found["not_read"].as_array().unwrap().len(), 2, "{found:#}");
    assert!(told.contains("line 16") && told.contains("line 17") && told.contains("may be missing"), "{told}");
}

/// What happened on a day: a word, a day of the month, tens of grams.
#[derive(Clone, Debug)]
enum Did {
    Counted,
    Bought,
    Spent,
    /// Weighed in a batch.
    Used,
    /// A batch of the premix gave so much.
    Made,
}

fn did() -> impl Strategy<Value = (Did, u32, u32, usize)> {
    let what = prop_oneof![Just(Did::Counted), Just(Did::Bought), Just(Did::Spent), Just(Did::Used), Just(Did::Made)];
    (what, 1u32..20, 1u32..100, 0usize..3)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever happened, in whatever file it stands and in whatever order, nothing is counted twice: the heap by hand is
    /// what is on hand.
    #[test]
    fn a_heap_kept_by_hand_is_what_is_on_hand(all in proptest::collection::vec(did(), 0..16)) {
        let mut files = vec![String::new(); 3];
        // Counts of one day are one count: who counts twice has corrected the first, and the checker tells of it.
        let mut counted = Vec::new();
        let all: Vec<_> = all.into_iter().filter(|(what, day, ..)| {
            let is_new = !matches!(what, Did::Counted) || !counted.contains(day);
            if matches!(what, Did::Counted) {
                counted.push(*day);
            }
            is_new
        }).collect();
        for (number, (what, day, grams, file)) in all.iter().enumerate() {
            let on = format!("2026-11-{day:02}");
            let batch = |formula: &str, what: &str| format!(
                "batch b-{number} {{\n  formula {formula}\n  started {on}\n  {what}\n}}\n"
            );
            files[*file].push_str(&match what {
                Did::Counted => format!("stock {{\n  counted butter {grams} g on {on}\n}}\n"),
                Did::Bought => format!("stock {{\n  bought butter {grams} g on {on}\n}}\n"),
                Did::Spent => format!("stock {{\n  spent butter {grams} g on {on} because \"a gift\"\n}}\n"),
                Did::Used => batch("balm", &format!("weighed butter {grams} g")),
                Did::Made => batch("butter", &format!("weighed our-oil 1 g\n  yield {grams} g")),
            });
        }
        let (mut heap, mut oil) = (0i64, 0i64);
        for day in 1..20 {
            let today: Vec<_> = all.iter().filter(|(_, on, ..)| *on == day).collect();
            for (what, _, grams, _) in &today {
                match what {
                    // What is gone is no debt of what comes.
                    Did::Bought | Did::Made => heap = heap.max(0) + i64::from(*grams),
                    Did::Spent | Did::Used | Did::Counted => {}
                }
                oil -= i64::from(matches!(what, Did::Made));
            }
            let gone = today.iter().filter(|(what, ..)| matches!(what, Did::Spent | Did::Used));
            heap -= gone.map(|(_, _, grams, _)| i64::from(*grams)).sum::<i64>();
            for (_, _, grams, _) in today.iter().filter(|(what, ..)| matches!(what, Did::Counted)) {
                heap = i64::from(*grams);
            }
        }
        let balm = "formula balm {\n  title \"Balm\"\n  version \"1\"\n  product leave-on body\n  makes 10 g\n  scale 0.01 g\n  \
                    phase A {\n    butter 100 %\n  }\n}\n";
        let room = format!("{ROOM}{balm}");
        let with_use = |text: &str| format!("use \"room.still\"\n{text}");
        let folder = folder(&[
            ("room.still", room.as_bytes()),
            ("one.still", with_use(&files[0]).as_bytes()),
            ("two.still", format!("use \"one.still\"\n{}", with_use(&files[1])).as_bytes()),
            ("three.still", with_use(&files[2]).as_bytes()),
        ]);
        let (out, told, code) = run(folder.dir.path(), &[".", "two.still", "--format", "json"]);
        prop_assert_eq!((code, told.as_str()), (0, ""));
        let found: Value = serde_json::from_str(&out).unwrap();
        let exact = |name: &str| found["stock"].get(name).map_or("0".to_string(), |of| of["exact"].as_str().unwrap().to_string());
        prop_assert_eq!((exact("butter"), exact("our-oil")), (heap.to_string(), oil.to_string()));
    }
}

#[test]
fn a_day_that_no_calendar_has_is_told_apart_from_one_written_otherwise() {
    let folder = folder(&[("room.still", ROOM.as_bytes())]);
    let told = |day: &str| run(folder.dir.path(), &["room.still", "--on", day]).1;
    assert!(
        told("2026-02-30").contains("`--on 2026-02-30`: the calendar does not have that day."),
        "{}",
        told("2026-02-30")
    );
    assert!(told("2026-2-3").contains("a day is written as year, month, day: `2026-11-25`."), "{}", told("2026-2-3"));
}
