//! What a label says beside its ingredients, against cases whose answers were worked out elsewhere
//! (`tests/data/labels/expected.json`): net quantity, how long it keeps, the code of the batch, who answers, statements.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::folder;
use serde_json::Value;
use std::path::Path;
use stillroom::model::Batch;
use stillroom::render::LabelJson;
use stillroom::session::{LabelOrder, Labels, Report, check};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::vocabulary::Market;
use stillroom::workspace::{Disk, load};

/// The labels of one text, of its formula `f` or of a batch of it.
pub fn labels_of(text: &str, batch: Option<&str>, on: &str, ask: &LabelOrder) -> Value {
    with_labels(text, batch, on, ask, |json, _| serde_json::to_value(json).unwrap())
}

/// The same, with what they were made from.
pub fn with_labels<T>(
    text: &str,
    batch: Option<&str>,
    on: &str,
    ask: &LabelOrder,
    look: impl FnOnce(&LabelJson, &Labels) -> T,
) -> T {
    let folder = folder(&[("label.still", text.as_bytes())]);
    let loaded = folder.load();
    let order = BatchOrder { on: Some(on.into()), ..BatchOrder::default() };
    let report = check(&loaded.sources, &order, false);
    let labels = made(&report, batch, &order, ask);
    look(&LabelJson::new(&loaded.sources, &labels), &labels)
}

fn made(report: &Report<'_>, batch: Option<&str>, order: &BatchOrder, ask: &LabelOrder) -> Labels {
    match batch {
        Some(name) => report.labels_of_batch(&record(report, name), order, ask).unwrap(),
        None => {
            let formula = report.formulas.iter().find(|of| of.formula.name == "f").expect("the formula");
            report.labels(formula, order, ask).unwrap()
        }
    }
}

fn record(report: &Report<'_>, name: &str) -> Batch {
    let files = &report.resolver.sources.files;
    let all = files.iter().flat_map(|source| report.resolver.batches_of(source));
    all.into_iter().find(|batch| batch.name == name).expect("the batch")
}

/// Each key of what is wanted, in what there is.
fn holds(case: &str, wanted: &Value, have: &Value) {
    for (key, value) in wanted.as_object().unwrap() {
        assert_eq!(&have[key], value, "{case}: {key} of {have:#}");
    }
}

#[test]
fn the_cases_come_out_as_they_were_worked_out() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/labels");
    let cases: Vec<Value> =
        serde_json::from_str(&std::fs::read_to_string(root.join("expected.json")).unwrap()).unwrap();
    let (mut nets, mut lives, mut items, mut statements) = (0, 0, 0, 0);
    for case in &cases {
        let name = case["case"].as_str().unwrap();
        let path = root.join(name).with_extension("still");
        let loaded = load(&Disk, &[path], None);
        let order = BatchOrder { on: case["on"].as_str().map(Into::into), ..BatchOrder::default() };
        let report = check(&loaded.sources, &order, false);
        let asked = ["net", "durability", "items", "statements", "batch_code"];
        let own = |key: &str| case.get(key).and_then(Value::as_object).cloned().unwrap_or_default();
        if !asked.iter().any(|key| case.get(*key).is_some()) {
            continue;
        }
        let labels = made(&report, case["batch"].as_str(), &order, &LabelOrder::default());
        let json = serde_json::to_value(LabelJson::new(&loaded.sources, &labels)).unwrap();
        let of = |market: &str| {
            json["labels"]
                .as_array()
                .unwrap()
                .iter()
                .find(|label| label["market"] == market)
                .expect("the market")
                .clone()
        };
        for (market, wanted) in own("net") {
            holds(name, &wanted, &of(&market)["net"]);
            nets += 1;
        }
        for (market, wanted) in own("durability") {
            holds(name, &wanted, &of(&market)["durability"]);
            lives += 1;
        }
        for (market, wanted) in own("items") {
            let label = of(&market);
            for (item, text) in wanted.as_object().unwrap() {
                let found = label["items"].as_array().unwrap().iter().find(|one| one["item"] == item.as_str());
                assert_eq!(&found.expect("the item")["text"], text, "{name}: {item}");
                items += 1;
            }
        }
        for (market, wanted) in own("statements") {
            assert_eq!(of(&market)["statements"], wanted, "{name}");
            statements += 1;
        }
        if let Some(code) = case.get("batch_code") {
            assert_eq!(&json["batch_code"], code, "{name}");
        }
    }
    assert_eq!((nets, lives, items, statements), (6, 1, 7, 1));
}

/// A formula for skin in some markets, with a head and lines of its own.
pub fn formula(market: &str, head: &str, lines: &str) -> String {
    format!(
        "use shelf/all\nmaker {{\n  name \"Mill Lane Soaps\"\n  address \"1 Mill Lane, Hillham\"\n  contact \
         \"post@mill-lane.example\"\n  country \"Ireland\"\n}}\nformula f {{\n  title \"Balm\"\n  version \"1\"\n  product \
         leave-on body\n  market {market}\n  makes 12 x 30 g\n  scale 0.01 g\n  {head}\n  phase A {{\n    {lines}\n  }}\n}}\n"
    )
}

fn market(market: Market) -> LabelOrder {
    LabelOrder { market: Some(market), ..LabelOrder::default() }
}

const DAY: &str = "2026-11-25";
const OIL: &str = "sunflower-oil q.s.";

#[test]
fn w1_each_item_stands_where_its_law_has_it() {
    let stands = |of: Market| -> Vec<(String, bool, bool)> {
        let labels = labels_of(&formula("eu", "", OIL), None, DAY, &market(of));
        let items = labels["labels"][0]["items"].as_array().unwrap().clone();
        let word = |item: &Value| item["item"].as_str().unwrap().to_string();
        items.iter().map(|item| (word(item), item["container"] == true, item["outer"] == true)).collect()
    };
    let eu = stands(Market::Eu);
    for item in ["responsible person", "nominal content", "durability", "batch number", "function"] {
        assert!(eu.contains(&(item.to_string(), true, true)), "{item}: {eu:?}");
    }
    assert!(eu.contains(&("ingredients".to_string(), false, true)));
    assert!(eu.contains(&("country of origin".to_string(), false, false)), "made in the Union");
    assert!(eu.contains(&("precautions".to_string(), false, false)), "there are none");
    let us = stands(Market::Us);
    assert!(us.contains(&("contact for adverse events".to_string(), true, true)));
    assert!(us.contains(&("country of origin".to_string(), true, true)));
    assert!(!us.iter().any(|(item, ..)| item == "durability"));
    let uk = stands(Market::Uk);
    assert_eq!(uk.len(), eu.len());
}

#[test]
fn what_is_not_known_is_a_blank_and_never_left_out() {
    let text = formula("eu, us", "", OIL);
    let bare = text.split("formula f").nth(1).map(|rest| format!("use shelf/all\nformula f{rest}")).unwrap();
    let labels = labels_of(&bare.replace("makes 12 x 30 g", "makes 500 g"), None, DAY, &LabelOrder::default());
    let jar = |at: usize| labels["labels"][at]["jar"].to_string();
    for blank in ["____ responsible person", "____ durability", "Batch ____", "____ nominal content"] {
        assert!(jar(0).contains(blank), "{blank}: {}", jar(0));
    }
    for blank in ["____ name and place of business", "____ contact for adverse events", "____ net quantity"] {
        assert!(jar(1).contains(blank), "{blank}: {}", jar(1));
    }
    let codes: Vec<&str> =
        labels["diagnostics"].as_array().unwrap().iter().map(|fault| fault["code"].as_str().unwrap()).collect();
    let codes: Vec<&str> = codes.into_iter().filter(|code| code.starts_with("label-")).collect();
    assert_eq!(codes, ["label-life-missing", "label-maker-missing"]);
}

#[test]
fn l1_an_acid_that_works_asks_for_the_alert_and_one_that_sets_the_ph_does_not() {
    let states = |lines: &str| -> Vec<String> {
        let text = formula("us", "pH 3.6 to 4.0", lines);
        let labels = labels_of(&text, None, DAY, &LabelOrder::default());
        let all = labels["labels"][0]["statements"].as_array().unwrap();
        all.iter().map(|one| format!("{}: {}", one["from"].as_str().unwrap(), one["text"].as_str().unwrap())).collect()
    };
    let said = states("water q.s.\n    glycolic-acid-70 5 % active\n    phenoxyethanol-ethylhexylglycerin 0.9 %");
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].starts_with("rule us-aha-label: Sunburn Alert: This product contains"), "{said:?}");
    let set = "water q.s. hold back 5 %\n    citric-acid-50 q.s. to pH\n    phenoxyethanol-ethylhexylglycerin 0.9 %";
    assert_eq!(states(set), Vec::<String>::new());
}

/// L: in a batch the adjuster is declared, as it went in, and is still no reason for the alert.
#[test]
fn l1_in_a_batch_the_adjuster_is_declared_and_asks_for_no_alert() {
    let lines = "water q.s. hold back 5 %\n    glycerin 3 %\n    phenoxyethanol-ethylhexylglycerin 0.9 %\n    citric-acid-50 q.s. \
                 to pH";
    let record = "batch b-1 {\n  formula f version \"1\"\n  started 2026-11-20\n  size 360 g\n  weighed water 327.96 g\n  weighed \
                  glycerin 10.8 g\n  weighed phenoxyethanol-ethylhexylglycerin 3.24 g\n  added citric-acid-50 0.9 g\n  reading pH \
                  5.3\n  topped-up water 17.1 g\n  filled 12 x 30 g as \"BC-7\"\n}\n";
    let text = formula("us", "pH 5.0 to 5.6", lines) + record;
    let labels = labels_of(&text, Some("b-1"), DAY, &LabelOrder::default());
    let label = &labels["labels"][0];
    assert!(label["text"].as_str().unwrap().contains("Citric Acid"), "{label:#}");
    assert_eq!(label["statements"], serde_json::json!([]));
}

const HOUSE: &str = "rule house {\n  when helianthus-annuus-seed-oil above 1 %\n  print \"Keep away from the eyes.\"\n  source \"house rule 4\"\n}\n";

/// L: a formula's own statement that says what a rule asks is the statement, once, and clears the note of the check.
#[test]
fn l2_a_statement_of_its_own_that_says_it_clears_the_rule() {
    let text = |head: &str| format!("{}{HOUSE}", formula("eu", head, OIL));
    let states = |head: &str| {
        let labels = labels_of(&text(head), None, DAY, &LabelOrder::default());
        let all = labels["labels"][0]["statements"].as_array().unwrap().clone();
        all.iter()
            .map(|one| (one["text"].as_str().unwrap().to_string(), one["from"].as_str().unwrap().to_string()))
            .collect::<Vec<_>>()
    };
    let notes = |head: &str| {
        let codes = crate::common::codes(&text(head));
        codes.iter().filter(|code| *code == "rule-needs-statement").count()
    };
    assert_eq!(states(""), [("Keep away from the eyes.".to_string(), "rule house".to_string())]);
    assert_eq!(notes(""), 1);
    let own = "warning \"For the body.  KEEP away\tfrom the eyes\"".replace("\\t", " ");
    assert_eq!(states(&own).len(), 1, "{:?}", states(&own));
    assert!(states(&own)[0].0.starts_with("For the body."));
    assert_eq!(notes(&own), 0);
    let other = "warning \"Keep away from children.\"\n  directions \"Massage in.\"";
    let said = states(other);
    assert_eq!(said.iter().map(|(_, from)| from.as_str()).collect::<Vec<_>>(), ["rule house", "formula", "formula"]);
    assert_eq!(notes(other), 1);
}

#[test]
fn l3_a_claim_that_makes_a_drug_of_it_stops_the_label_of_the_us_alone() {
    let text = formula("eu, us", "function \"Against acne\"", OIL);
    let (markets, drugs) = with_labels(&text, None, DAY, &LabelOrder::default(), |json, labels| {
        let markets: Vec<String> = json.labels.iter().map(|label| label.market.clone()).collect();
        (markets, labels.drugs.iter().map(|(market, _)| *market).collect::<Vec<_>>())
    });
    assert_eq!((markets, drugs), (vec!["eu".to_string()], vec![Market::Us]));
    let allowed =
        text.replace("Against acne\"", "Against acne\"\n  allow claim-medicinal because \"registered as a drug\"");
    with_labels(&allowed, None, DAY, &LabelOrder::default(), |_, labels| assert!(labels.drugs.is_empty()));
}

const RECORD: &str = "batch b-1 {\n  formula f version \"1\"\n  started 2026-11-20\n  size 360 g\n  weighed sunflower-oil 360 g\n  \
                      filled 12 x 30 g as \"BC-7\"\n}\n";

#[test]
fn a_batch_has_its_code_its_date_and_whether_it_may_be_sold() {
    let text = |more: &str| {
        let head = "lasts 12 months because \"trial 3\"";
        format!("{}{}", formula("eu", head, OIL), RECORD.replace("as \"BC-7\"\n", &format!("as \"BC-7\"\n{more}")))
    };
    let of = |more: &str| labels_of(&text(more), Some("b-1"), DAY, &LabelOrder::default());
    let waiting = of("");
    assert_eq!((&waiting["batch"], &waiting["batch_code"]), (&"b-1".into(), &"BC-7".into()));
    assert_eq!(waiting["labels"][0]["durability"]["text"], "10/2027");
    assert!(waiting["cautions"].to_string().contains("NOT RELEASED"));
    let released = of("  released\n");
    assert!(!released["cautions"].to_string().contains("NOT RELEASED"), "{released:#}");
}

#[test]
fn a_code_follows_from_the_makers_pattern_where_none_stands_on_the_jars() {
    let text = format!("{}{}", formula("eu", "", OIL), RECORD.replace(" as \"BC-7\"", ""));
    let text = text.replace("  country \"Ireland\"\n", "  country \"Ireland\"\n  code \"ML-{yy}{mm}{dd}\"\n");
    let labels = labels_of(&text, Some("b-1"), DAY, &LabelOrder::default());
    assert_eq!(labels["batch_code"], "ML-261120");
}

/// Q10: the overfill is no part of the label.
#[test]
fn q10_the_label_says_what_the_container_holds_and_nothing_of_the_overfill() {
    let jar = "container jar-50 {\n  holds 50 mL\n  overfill 5 %\n}\n";
    let text = format!("{jar}{}", formula("eu", "density 0.92 g/mL\n  packed in jar-50", OIL))
        .replace("makes 12 x 30 g", "makes 1000 g");
    let text = text.replacen("use shelf/all\n", "", 1);
    let labels = labels_of(&format!("use shelf/all\n{text}"), None, DAY, &LabelOrder::default());
    assert_eq!(labels["labels"][0]["net"]["text"], "50 mL");
}

/// W3: somebody in the Union is enough in Great Britain until the end of 2027, which is told.
#[test]
fn w3_who_answers_in_great_britain() {
    let on = |day: &str| labels_of(&formula("uk", "", OIL), None, day, &LabelOrder::default());
    let item = |labels: &Value| labels["labels"][0]["items"][0]["text"].clone();
    assert_eq!(item(&on("2027-12-31")), "Mill Lane Soaps, 1 Mill Lane, Hillham");
    assert!(on("2027-12-31")["cautions"].to_string().contains("31 December 2027"));
    assert_eq!(item(&on("2028-01-01")), Value::Null);
}
