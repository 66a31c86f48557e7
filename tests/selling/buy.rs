//! What to buy: the reference cases, worked out outside this project in exact fractions, and what those do not touch.
//! Source: the project's reference costs (`tests/data/costs`: a file for each case, and `expected.json`, in which `why` says
//! what the case is about).

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::{folder, valid_by};
use assert_cmd::Command;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};

fn data() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/costs")
}

/// What `buy` says of files, as data, with what it tells beside it and its exit code.
fn bought(folder: &Path, arguments: &[&str]) -> (Value, String, i32) {
    let run = Command::cargo_bin("stillroom")
        .unwrap()
        .current_dir(folder)
        .args(["buy", "--format", "json"])
        .args(arguments)
        .output()
        .unwrap();
    let told = String::from_utf8(run.stderr).unwrap();
    let found = serde_json::from_slice(&run.stdout).unwrap_or(Value::Null);
    (found, told, run.status.code().unwrap())
}

/// The list of one text.
fn list(text: &str, arguments: &[&str]) -> Value {
    let folder = folder(&[("room.still", text.as_bytes())]);
    let (found, told, code) = bought(folder.dir.path(), arguments);
    assert_eq!((code, told.as_str()), (0, ""), "{found}");
    valid_by("docs/schema/buy.json", &found);
    found
}

#[test]
fn every_reference_case_comes_out_exactly() {
    let expected: Value = serde_json::from_str(&fs::read_to_string(data().join("expected.json")).unwrap()).unwrap();
    let cases: Vec<&Value> = expected.as_array().unwrap().iter().filter(|case| case["command"] == "buy").collect();
    assert_eq!(cases.len(), 9);
    for case in cases {
        let name = case["case"].as_str().unwrap();
        let mut arguments = vec![format!("{name}.still")];
        arguments.extend(case["args"].as_array().unwrap().iter().map(|word| word.as_str().unwrap().to_string()));
        let (found, told, code) = bought(&data(), &arguments.iter().map(String::as_str).collect::<Vec<_>>());
        assert_eq!((code, told.as_str()), (0, ""), "{name}");
        for (key, wanted) in case["buy"].as_object().unwrap() {
            assert_eq!(&found[key], wanted, "{name}: {key}");
        }
        valid_by("docs/schema/buy.json", &found);
    }
}

/// Three materials, with what is to be put in place of the prices of each.
fn room(prices: [&str; 3], rest: &str) -> String {
    let [oil, wax, butter] = prices;
    format!(
        "use shelf/all\n\
         material our-oil like sunflower-oil {{\n{oil}\n}}\n\
         material our-wax like beeswax {{\n{wax}\n}}\n\
         material our-shea like shea-butter {{\n{butter}\n}}\n\
         formula balm {{\n  title \"Balm\"\n  version \"1\"\n  product leave-on body\n  makes 1000 g\n  scale 0.01 g\n  \
         density 0.95 g/mL\n  phase A {{\n    heat to 75 °C\n    our-oil q.s.\n    our-wax 20 %\n    our-shea 30 %\n  }}\n}}\n\
         {rest}\n"
    )
}

const PRICES: [&str; 3] = ["price 6 EUR per 1 kg", "price 10 EUR per 500 g", "price 9 EUR per 500 g"];

fn row<'l>(list: &'l Value, what: &str) -> &'l Value {
    list["rows"]
        .as_array()
        .unwrap()
        .iter()
        .find(|row| row["what"] == what)
        .unwrap_or_else(|| panic!("{what}: {list:#}"))
}

#[test]
fn packs_of_several_currencies_are_not_compared_without_a_rate() {
    let prices = [PRICES[0], PRICES[1], "price 9 EUR per 500 g, 8 USD per 500 g"];
    let none = list(&room(prices, "planned balm 1000 g"), &[]);
    assert_eq!(row(&none, "our-shea")["buy"], Value::Null);
    assert_eq!(row(&none, "our-shea")["why"], "no rate from USD");
    assert_eq!((&none["complete"], &none["total_exact"]), (&json!(false), &json!("16")));
    // With a rate, either way, the cheaper one is bought.
    for rate in ["rate 1 USD = 0.9 EUR on 2026-11-02", "rate 9 EUR = 10 USD on 2026-11-02"] {
        let with = list(&room(prices, &format!("{rate}\nplanned balm 1000 g")), &[]);
        assert_eq!(
            (&row(&with, "our-shea")["cost_exact"], &with["complete"]),
            (&json!("36/5"), &json!(true)),
            "{rate}"
        );
        assert_eq!(with["currency"], "EUR");
    }
    // The latest rate that is not of a day to come.
    let later = "rate 1 USD = 0.9 EUR on 2026-11-02\nrate 1 USD = 2 EUR on 2026-12-24\nplanned balm 1000 g";
    assert_eq!(row(&list(&room(prices, later), &["--on", "2026-12-01"]), "our-shea")["cost_exact"], "36/5");
    assert_eq!(row(&list(&room(prices, later), &["--on", "2026-12-24"]), "our-shea")["cost_exact"], "9");
}

#[test]
fn what_is_sold_in_other_money_alone_is_bought_and_stands_beside_the_total() {
    let prices = [PRICES[0], PRICES[1], "price 8 USD per 500 g, 14 USD per 1 kg"];
    let found = list(&room(prices, "planned balm 1000 g"), &[]);
    assert_eq!(row(&found, "our-shea")["buy"], json!([{ "pack": "500 g", "count": 1 }]));
    assert_eq!(row(&found, "our-shea")["cost_exact"], Value::Null);
    assert_eq!(found["other_currencies"], json!({ "USD": "8" }));
    assert_eq!((&found["total"], &found["complete"]), (&json!("16.00"), &json!(false)));
    // Asked for in dollars, it is the others that stand beside.
    let found = list(&room(prices, "planned balm 1000 g"), &["--in", "USD"]);
    assert_eq!((&found["total_exact"], &found["other_currencies"]), (&json!("8"), &json!({ "EUR": "16" })));
}

#[test]
fn a_price_by_volume_is_one_by_weight_through_the_density_alone() {
    let prices = [PRICES[0], PRICES[1], "price 9 EUR per 500 mL\ndensity 0.5 g/mL"];
    let found = list(&room(prices, "planned balm 1000 g"), &[]);
    assert_eq!(row(&found, "our-shea")["buy"], json!([{ "pack": "500 mL", "count": 2 }]));
    assert_eq!(row(&found, "our-shea")["left_exact"], "200");
    let unknown = "substance mystery { inci \"Mystery\" }\nmaterial mystery { role emollient\nprice 9 EUR per 500 mL }\n\
         formula f { title \"F\"\nversion \"1\"\nproduct leave-on body\nmakes 10 g\nscale 0.01 g\nphase A { mystery 100 % } }\n\
         planned f 10 g\n";
    assert_eq!(row(&list(unknown, &[]), "mystery")["why"], "no density");
}

#[test]
fn what_is_past_its_day_is_on_hand_and_bought_anew() {
    let stock = "planned balm 1000 g\nstock {\n  bought our-shea 500 g lot \"S-1\" on 2026-11-03 expires 2026-11-20\n}";
    let fresh = list(&room(PRICES, stock), &["--on", "2026-11-20"]);
    assert_eq!(row(&fresh, "our-shea")["on_hand_exact"], "500");
    let past = list(&room(PRICES, stock), &["--on", "2026-11-21"]);
    assert_eq!(
        (&row(&past, "our-shea")["on_hand_exact"], &past["stock"]["our-shea"]["exact"]),
        (&json!("0"), &json!("500"))
    );
    let figures = past["figures"].as_array().unwrap().iter().find(|row| row["what"] == "our-shea").unwrap();
    assert_eq!(figures["past"], "500 g");
}

#[test]
fn more_gone_than_came_is_none_on_hand_and_is_told() {
    let text = room(
        PRICES,
        "planned balm 1000 g\nstock {\n  counted our-shea 100 g on 2026-11-01\n}\n\
         batch b-1 {\n  formula balm version \"1\"\n  started 2026-11-05\n  weighed our-shea 300 g\n}",
    );
    let found = list(&text, &[]);
    assert_eq!(found["stock"]["our-shea"], json!({ "exact": "-200", "counted": true, "below_nothing": true }));
    assert_eq!(
        (&row(&found, "our-shea")["on_hand_exact"], &row(&found, "our-shea")["short_exact"]),
        (&json!("0"), &json!("300"))
    );
    assert!(
        found["notes"].as_array().unwrap().iter().any(|note| note.as_str().unwrap().contains("`our-shea`")),
        "{found:#}"
    );
}

/// A premix in a premix: what is on hand of each is taken first, once, and what is missing is made of the parts.
#[test]
fn premixes_are_taken_from_what_is_on_hand_and_then_made_of_their_parts() {
    let premixes = |stock: &str| {
        let head = "product stock\n  makes 100 g\n  scale 0.01 g";
        format!(
            "{}\nformula inner {{\n  title \"Inner\"\n  {head}\n  phase A {{\n    heat to 75 °C\n    our-wax 50 %\n    our-oil 50 %\n  }}\n}}\n\
             formula outer {{\n  title \"Outer\"\n  {head}\n  phase A {{\n    heat to 75 °C\n    inner 60 %\n    our-oil 40 %\n  }}\n}}\n\
             formula f {{\n  title \"F\"\n  version \"1\"\n  product leave-on body\n  makes 1000 g\n  scale 0.01 g\n  \
             phase A {{\n    heat to 75 °C\n    outer 50 %\n    inner 10 %\n    our-oil q.s.\n  }}\n}}\n\
             planned f 1000 g\nplanned f 500 g\n{stock}",
            room(PRICES, "")
        )
    };
    // 750 g of outer: 450 g of inner and 300 g of oil. 150 g of inner more. 600 g of oil more.
    let none = list(&premixes(""), &[]);
    assert_eq!(none["make_first"], json!({ "inner": "600", "outer": "750" }));
    let oil = |list: &Value| row(list, "our-oil")["need_exact"].clone();
    assert_eq!((&row(&none, "our-wax")["need_exact"], oil(&none)), (&json!("300"), json!("1200")));
    let some =
        list(&premixes("stock {\n  counted outer 250 g on 2026-11-01\n  counted inner 100 g on 2026-11-01\n}"), &[]);
    assert_eq!(some["make_first"], json!({ "inner": "350", "outer": "500" }));
    assert_eq!((&row(&some, "our-wax")["need_exact"], oil(&some)), (&json!("175"), json!("975")));
}

#[test]
fn an_adjuster_is_needed_up_to_what_is_held_back() {
    let text = "use shelf/all\nformula f {\n  title \"F\"\n  version \"1\"\n  product leave-on face\n  makes 200 g\n  \
         scale 0.01 g\n  pH 3.6 to 4.0\n  phase A \"All\" {\n    water q.s. hold back 10 %\n    \
         glycolic-acid-70 5 % active\n    sodium-hydroxide-10 q.s. to pH\n    \
         phenoxyethanol-ethylhexylglycerin 0.9 %\n  }\n}\nplanned f 400 g\n";
    let found = list(text, &[]);
    assert_eq!(row(&found, "sodium-hydroxide-10")["need_exact"], "40");
    assert!(
        found["notes"][0].as_str().unwrap().starts_with("Of `sodium-hydroxide-10` at most 40 g are counted for `f`")
    );

    // With room for more than it takes, the most that is foreseen is enough.
    let roomy = text.replace("hold back 10 %", "hold back 40 %");
    let found = list(&roomy, &[]);
    let exact = row(&found, "sodium-hydroxide-10")["need_exact"].as_str().unwrap().to_string();
    let (over, under) = exact.split_once('/').unwrap_or((&exact, "1"));
    let need = over.parse::<f64>().unwrap() / under.parse::<f64>().unwrap();
    let folder = folder(&[("room.still", roomy.as_bytes())]);
    let mut ph = Command::cargo_bin("stillroom").unwrap();
    let run = ph.current_dir(folder.dir.path());
    let out = run.args(["ph", "room.still", "--batch", "400g", "--format", "json"]).output().unwrap().stdout;
    let foreseen: Value = serde_json::from_slice(&out).unwrap();
    let most: f64 = foreseen["ph"]["adjusters"][0]["grams_far_range"][1].as_f64().unwrap();
    assert!((need - most).abs() <= 0.011 && need < 160.0, "{need} {most}");
    assert_eq!(found["notes"], json!([]));
}

/// Nothing in it holds the pH, so that no dose is foreseen: all that is held back is counted, and that is said.
#[test]
fn all_that_is_held_back_is_not_counted_in_silence() {
    let text = "use shelf/all\nformula gel {\n  title \"Gel\"\n  version \"1\"\n  product leave-on hand\n  makes 500 g\n  \
         scale 0.01 g\n  pH 5.0 to 5.5\n  phase A {\n    water q.s. hold back 10 %\n    glycerin 10 %\n    \
         citric-acid-10 q.s. to pH\n    xanthan-gum 0.6 %\n    phenoxyethanol-ethylhexylglycerin 0.9 %\n  }\n}\n\
         planned gel 2 kg\n";
    let found = list(text, &[]);
    assert_eq!(row(&found, "citric-acid-10")["need_exact"], "200");
    assert_eq!(
        found["notes"],
        json!([
            "Of `citric-acid-10` at most 200 g are counted for `gel`, the whole of what is held back; a beaker test tells how \
             much it takes."
        ])
    );
}

#[test]
fn containers_are_those_it_is_packed_in_or_the_one_that_holds_just_that() {
    let containers = "container jar { holds 30 mL\n price 0.60 EUR\n }\ncontainer lid { price 1 EUR per 8\n }\n";
    let packed = room(PRICES, containers).replace("  phase A", "  packed in jar, lid\n  phase A");
    let found =
        list(&format!("{packed}planned balm 24 x 30 mL plus 4 %\nstock {{\n  counted jar 20 on 2026-11-01\n}}"), &[]);
    assert_eq!((&row(&found, "jar")["short_exact"], &row(&found, "jar")["cost_exact"]), (&json!("4"), &json!("12/5")));
    assert_eq!(row(&found, "lid")["buy"], json!([{ "pack": "8", "count": 3 }]));
    let fitting = list(&format!("{}planned balm 24 x 30 mL", room(PRICES, containers)), &[]);
    assert!(fitting["rows"].as_array().unwrap().iter().all(|row| row["what"] != "lid"));
    assert_eq!(row(&fitting, "jar")["need_exact"], "24");
    // Two that hold the same: it is asked, and not guessed.
    let twice = format!("{containers}container pot {{ holds 30 mL\n }}\nplanned balm 24 x 30 mL");
    let asked = list(&room(PRICES, &twice), &[]);
    assert!(asked["notes"][0].as_str().unwrap().contains("`jar`, `pot`"), "{asked:#}");
    assert_eq!(asked["complete"], false);
}

#[test]
fn what_has_errors_is_told_and_left_out() {
    let text = room(PRICES, "planned balm 1000 g\nplanned broken 10 g\nplanned unheard-of 10 g")
        + "formula broken {\n  title \"B\"\n  version \"1\"\n  product leave-on body\n  makes 10 g\n  scale 0.01 g\n  \
           phase A {\n    our-oil 60 %\n  }\n}\n";
    let folder = folder(&[("room.still", text.as_bytes())]);
    let (found, told, code) = bought(folder.dir.path(), &["."]);
    assert_eq!((code, &found["complete"]), (1, &json!(false)));
    assert_eq!(row(&found, "our-oil")["need_exact"], "500");
    assert!(told.contains("`broken` has errors") && told.contains("unheard-of"), "{told}");
    let (found, told, code) = bought(folder.dir.path(), &["--formula", "balm2"]);
    assert_eq!((code, found), (2, Value::Null));
    assert!(told.contains("Did you mean `balm`?"), "{told}");
}

/// What is planned in one file of formulas in others, for a store room in a third: each file counts once, however often it
/// is named and used.
#[test]
fn a_folder_is_one_store_room() {
    let (formulas, plans) = (room(PRICES, ""), "use \"balm.still\"\nplanned balm 1000 g\n");
    let store = "use \"balm.still\"\nstock {\n  counted our-wax 150 g on 2026-11-01\n}\n";
    let folder = folder(&[
        ("plans.still", plans.as_bytes()),
        ("balm.still", formulas.as_bytes()),
        ("rooms/store.still", store.replace("balm.still", "../balm.still").as_bytes()),
    ]);
    let (whole, told, code) = bought(folder.dir.path(), &["."]);
    assert_eq!((code, told.as_str()), (0, ""));
    assert_eq!(row(&whole, "our-wax")["short_exact"], "50");
    let (again, ..) = bought(folder.dir.path(), &["plans.still", ".", "rooms/store.still", "rooms", "./plans.still"]);
    assert_eq!((&again["rows"], &again["stock"]), (&whole["rows"], &whole["stock"]));
    // A plan alone brings the formula that it uses, and no store room.
    let (alone, told, code) = bought(folder.dir.path(), &["plans.still"]);
    assert_eq!((code, told.as_str()), (0, ""));
    assert_eq!(row(&alone, "our-wax")["short_exact"], "200");
}

#[test]
fn in_print_it_is_grouped_by_who_sells_it() {
    let prices = [
        "price 6 EUR per 1 kg\nsupplier \"the farm shop\"",
        "price 10 EUR per 150 g\nsupplier \"A bee keeper | and sons\"",
        "price 9 EUR per 500 g\nsupplier \"the farm shop\"",
    ];
    let stock = "planned balm 1000 g\nstock {\n  counted our-oil 600 g on 2026-11-01\n}\n";
    let folder = folder(&[("room.still", room(prices, stock).as_bytes())]);
    let text = |format: &str| {
        let run = Command::cargo_bin("stillroom")
            .unwrap()
            .current_dir(folder.dir.path())
            .args(["buy", "room.still", "--format", format])
            .output()
            .unwrap();
        String::from_utf8(run.stdout).unwrap()
    };
    insta::assert_snapshot!("buy_text", text("text"));
    insta::assert_snapshot!("buy_markdown", text("markdown"));
}

#[test]
fn several_packs_of_one_thing_are_for_all_that_is_short_and_nothing_priced_has_no_sum() {
    let text = |prices: [&str; 3], rest: &str| {
        let folder = folder(&[("room.still", room(prices, rest).as_bytes())]);
        let run = Command::cargo_bin("stillroom")
            .unwrap()
            .current_dir(folder.dir.path())
            .args(["buy", "room.still"])
            .output();
        String::from_utf8(run.unwrap().stdout).unwrap()
    };
    let oil = "price 6 EUR per 400 g\nprice 2 EUR per 100 g";
    let out = text([oil, PRICES[1], PRICES[2]], "planned balm 1000 g");
    let of_oil: Vec<&str> = out.lines().filter(|line| line.contains("our-oil")).collect();
    assert!(of_oil.len() == 2 && of_oil.iter().all(|line| line.ends_with("for 500 g in all")), "{out}");
    assert!(out.lines().any(|line| line.contains("our-wax") && line.ends_with("for 200 g")), "{out}");
    // All that has a price is there; what is short has none.
    let there = "planned balm 1000 g\nstock {\n  counted our-oil 1 kg on 2026-11-01\n}";
    let out = text([PRICES[0], "", ""], there);
    assert!(out.contains("Nothing that is short has a price.") && !out.contains("0.00 EUR"), "{out}");
}
