//! The published schemas let keys be added: what a newer program prints is valid by the schema of today, and a program
//! that reads it by today's types passes over what it does not know. What today's schema asks for is still asked for.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::repository::{Repository, run_in};
use jsonschema::Validator;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use stillroom::render;

/// A formula that has all that a sheet can say something of, and a batch of it that went wrong.
const SERUM: &str = r#"use shelf/all

formula serum {
  title    "Serum with panthenol 2 %"
  version  "1"
  product  leave-on face
  makes    2 x 50 g
  scale    0.01 g
  lasts    12 months
  pH       3.6 to 4.0
  allow    ph-window-partial because "a trial"

  phase A "All" {
    water                              q.s.  hold back 25 %
    glycolic-acid-70                   5 % active
    glycerin                           3 %
    panthenol-75                       2 %
    tranexamic-acid                    2 %
    gum-base                           10 %
    sodium-hydroxide-10                q.s. to pH
    phenoxyethanol-ethylhexylglycerin  0.9 %
  }
  ensure limit glycerin to 20 %
}
formula dry {
  version  "1"
  product  leave-on face
  makes    100 g
  scale    0.01 g
  pH       3.6 to 4.0
  phase A "All" {
    water                              q.s.  hold back 4 %  allow reserve-short because "a trial"
    glycolic-acid-70                   5 % active
    sodium-hydroxide-10                q.s. to pH
    phenoxyethanol-ethylhexylglycerin  0.9 %
  }
}
formula gum-base {
  product  stock
  makes    100 g
  scale    0.01 g
  phase A {
    water        q.s.
    bentonite  2 %
    phenoxyethanol-ethylhexylglycerin  1 %
  }
}
"#;

/// A product of which the label has all that can be said of one.
const LABEL: &str = r#"use shelf/all

material rose-in-oil {
  contains  glycolic-acid 30 % to 50 %, water remainder
  role      active
  caution   "Irritates."
}
material sage-in-oil {
  contains  glycerin 40 %, water remainder
  role      active
}
formula mist {
  title    "Mist"
  version  "1"
  product  leave-on face
  market   us, eu
  makes    12 x 30 g
  scale    0.01 g
  lasts    30 months because "trial 3"
  phase A {
    water                              q.s.
    rose-in-oil                        5 %
    sage-in-oil                        5 %
    phenoxyethanol-ethylhexylglycerin  0.9 %
    panthenol-75                       2 %
    xanthan-gum                        1 %
  }
}
"#;

/// A store room with all that a shopping list can say something of, and a product that an assessor's file has much to say of.
const ROOM: &str = r#"use shelf/all

container jar { holds 30 g }
material our-oil like sunflower-oil {
  price     6.40 EUR per 1 kg
  supplier  "the market"
}
material our-wax like beeswax { price 9 USD per 500 g }
formula butter {
  product  stock
  makes    100 g
  scale    0.01 g
  phase A {
    heat to 75 °C
    our-oil  60 %
    our-wax  40 %
  }
}
formula salve {
  title    "Salve"
  version  "1"
  product  leave-on body
  makes    10 x 30 g
  scale    0.01 g
  phase A {
    heat to 75 °C
    our-oil     q.s.
    butter      30 %
    tocopherol  0.5 %
  }
}
formula gel {
  title     "Gel"
  version   "1"
  product   leave-on face
  market    eu, uk
  makes     100 g
  scale     0.01 g
  pH        3.6 to 4.0
  lasts     12 months because "a trial"
  allow     ph-window-partial because "a trial"
  phase A "All" {
    water                              q.s.  hold back 25 %
    glycolic-acid-70                   5 % active
    sodium-phytate                     0.1 %
    retinol-10                         0.1 %
    sodium-hydroxide-10                q.s. to pH
    phenoxyethanol-ethylhexylglycerin  0.9 %
  }
}
planned salve 10 x 30 g
stock {
  bought  our-oil 500 g lot "O-1" on 2026-10-01 for 4 EUR from "the market" expires 2026-10-31
  spent   our-wax 3 g on 2026-10-02 because "a gift"
}
batch gel-1 {
  formula    gel version "1"
  started    2026-11-01
  lot        glycolic-acid-70 "GA-1" assay 70 %
  weighed    water 60.00 g
  weighed    glycolic-acid-70 7.14 g
  reading    pH 3.8
  complaint  "stings"
}
"#;

const BATCHES: &str = r#"
batch serum-a {
  formula    serum version "1"
  started    2026-10-20
  size       100 g
  lot        gum-base "GB-1"
  lot        glycerin "GL-2" assay 99 %
  weighed    water 49.00 g
  weighed    glycolic-acid-70 7.14 g
  weighed    gum-base 10.00 g
  added      sodium-hydroxide-10 40.00 g
  reading    pH 4.2
  added      citric-acid 2.00 g because "past its window"
  reading    pH 4.1
  filled     3 x 30 g as "SA-A"
  sold       2 to "the market"
  complaint  "specks after a week"
}
batch serum-b {
  formula  serum version "1"
  started  2026-10-21
  size     100 g
  lot      gum-base "GB-2"
  lot      glycerin "GL-2"
  waited   2 h
  reading  pH 3.8
  filled   3 x 30 g as "SA-B"
  sold     2 to "the market"
  released
}
batch serum-c {
  formula   serum version "1"
  started   2026-10-22
  size      100 g
  weighed   water 51.96 g
  weighed   glycolic-acid-70 7.14 g
  weighed   gum-base 10.00 g
  weighed   glycerin 3,00 g
  reading   pH 2.0
  added     sodium-hydroxide-10 5.00 g
  reading   pH 3.08
}
batch serum-d {
  formula   serum version "1"
  started   2026-10-23
  size      100 g
  weighed   water 37.36 g
  weighed   glycolic-acid-70 7.14 g
  weighed   gum-base 10.00 g
  reading   pH 2.0
  added     sodium-hydroxide-10 20.00 g
  reading   pH 4.4
}
batch serum-e {
  formula   dry version "1"
  started   2026-10-24
  size      100 g
  weighed   water 87.96 g
  weighed   glycolic-acid-70 7.14 g
  struck    reading pH 20.5 because "typed wrong"
  reading   pH 2.0
  added     sodium-hydroxide-10 2.00 g
  reading   pH 2.6
}
batch serum-f {
  formula   dry version "1"
  started   2026-10-25
  size      100 g
  weighed   water 87.96 g
  weighed   glycolic-acid-70 7.14 g
  reading   pH 2.0
  added     sodium-hydroxide-10 4.00 g
  reading   pH 3.0
}
"#;

/// A formula with all that a cost can say something of.
const PRICED: &str = r#"use shelf/all
material our-oil like sunflower-oil { price 6.40 EUR per 1 kg }
material our-wax like beeswax { price 15 USD per 500 g }
material our-butter like shea-butter { price 9 GBP per 500 g }
rate 1 EUR = 1.08 USD on 2026-11-02
container jar { holds 50 g }
container lid { price 9 EUR per 100 }
formula wax-oil {
  product  stock
  makes    100 g
  scale    0.01 g
  phase A { our-wax 40 %
    our-oil 60 % }
}
formula balm {
  title    "Plain balm"
  version  "1"
  product  leave-on body
  makes    12 x 50 g plus 4 %
  scale    0.01 g
  packed   in jar, lid
  labour   1.5 h at 18 EUR per h
  fee      0.35 EUR each
  margin   60 %
  vat      21 %
  phase A {
    our-oil     q.s.
    wax-oil     30 %
    our-butter  15 %
    beeswax     0.001 %
  }
}
"#;

/// Where an object stands in a document, and what its schema says of it.
struct Place<'s> {
    at: String,
    /// The name that the schema has for its like.
    like: String,
    schema: &'s Value,
}

/// Follows references and the branch that is no null.
fn resolved<'s>(root: &'s Value, schema: &'s Value) -> (Option<&'s str>, &'s Value) {
    if let Some(name) = schema["$ref"].as_str() {
        let name = name.strip_prefix("#/$defs/").unwrap();
        return (Some(name), &root["$defs"][name]);
    }
    match schema["anyOf"].as_array() {
        Some(branches) => resolved(root, branches.iter().find(|branch| branch["type"] != "null").unwrap()),
        None => (None, schema),
    }
}

/// Every object of a document with its schema.
fn places<'s>(root: &'s Value, schema: &'s Value, value: &Value, at: &str, like: &str, found: &mut Vec<Place<'s>>) {
    let (name, schema) = resolved(root, schema);
    let like = name.unwrap_or(like);
    match value {
        Value::Object(keys) => {
            // What is listed by name, as sums by currency are, has any key, and each of them one form.
            let by_name = &schema["additionalProperties"];
            if by_name.is_object() {
                for (key, value) in keys {
                    places(root, by_name, value, &format!("{at}/{key}"), &format!("{like}/*"), found);
                }
                return;
            }
            found.push(Place { at: at.to_string(), like: like.to_string(), schema });
            for (key, value) in keys {
                let of = &schema["properties"][key];
                assert!(of.is_object(), "{at}/{key} is printed, and the schema does not tell of it");
                places(root, of, value, &format!("{at}/{key}"), &format!("{like}/{key}"), found);
            }
        }
        Value::Array(items) => {
            for (number, item) in items.iter().enumerate() {
                places(root, &schema["items"], item, &format!("{at}/{number}"), like, found);
            }
        }
        _ => {}
    }
}

/// A value of a type that a schema does not allow.
fn of_another_type(root: &Value, schema: &Value) -> Value {
    let mut types = BTreeSet::new();
    let mut open = vec![schema];
    while let Some(schema) = open.pop() {
        let (_, inner) = resolved(root, schema);
        match &inner["type"] {
            Value::String(one) => types.extend([one.as_str()]),
            Value::Array(several) => types.extend(several.iter().map(|one| one.as_str().unwrap())),
            other => panic!("{other} is no type: {inner}"),
        }
        if let Some(branches) = schema["anyOf"].as_array() {
            types.extend(branches.iter().filter_map(|branch| branch["type"].as_str()));
        }
    }
    let all = [("string", json!("a word")), ("boolean", json!(true)), ("object", json!({})), ("array", json!([]))];
    all.into_iter().find(|(name, _)| !types.contains(name)).unwrap().1
}

fn object<'v>(document: &'v mut Value, at: &str) -> &'v mut Map<String, Value> {
    document.pointer_mut(at).unwrap().as_object_mut().unwrap()
}

/// A schema, how a program reads what it describes, and documents in which every kind of object occurs.
struct Published {
    name: &'static str,
    reads: fn(&Value) -> bool,
    documents: Vec<Value>,
}

fn reads<T: DeserializeOwned>(value: &Value) -> bool {
    serde_json::from_value::<T>(value.clone()).is_ok()
}

/// What a command prints as JSON, whatever its exit code.
fn printed(at: &Path, arguments: &str) -> Value {
    let words: Vec<&str> = arguments.split(' ').chain(["--format", "json"]).collect();
    let (_, out, err) = run_in(at, &words);
    serde_json::from_str(&out).unwrap_or_else(|error| panic!("{arguments}: {error}\n{out}{err}"))
}

/// A workshop in git, with a formula in two versions and batches of it, one of which cannot be read.
fn workshop() -> Repository {
    let made = Repository::new();
    made.write("own.still", "use shelf/all\nmaterial our-water like water { note \"ours\" }\n");
    made.write("serum.still", SERUM);
    made.write("mist.still", LABEL);
    made.commit("Write the serum");
    made.write("own.still", "use shelf/all\nmaterial our-water like water { density 1.1 g/mL }\n");
    made.write("serum.still", &(SERUM.replace("glycerin                           3 %", "glycerin  4 %")));
    made.commit("More glycerin");
    made.write("priced.still", PRICED);
    made.write("room/room.still", ROOM);
    made.write("room/torn.still", "stock {\n  counted our-oil on\n}\n");
    made.write("batches.still", &format!("use \"serum.still\"\n{BATCHES}"));
    made.write(
        "faulty.still",
        &SERUM.replace("formula serum", "formula serum-2").replace("    glycerin", "    glycerine"),
    );
    made.write(
        "torn/torn.still",
        &format!("use \"../serum.still\"\n{BATCHES}").replace("sold       2 to", "sold       2 of them to"),
    );
    made
}

fn published(workshop: &Repository) -> Vec<Published> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let shop = |arguments: &str| printed(&workshop.path(), arguments);
    let ours = |arguments: &str| printed(root, arguments);
    let one = |name, reads, documents| Published { name, reads, documents };
    vec![
        one("check", reads::<render::CheckJson>, vec![shop("check faulty.still"), shop("check serum.still")]),
        one(
            "label",
            reads::<render::LabelJson>,
            vec![shop("label mist.still"), shop("label serum.still --formula serum --market us")],
        ),
        one("labels", reads::<render::LabelsJson>, vec![shop("label . --market us")]),
        one("sheet", reads::<render::Sheet>, vec![shop("sheet serum.still --formula serum")]),
        one("sheets", reads::<render::Sheets>, vec![shop("sheet serum.still")]),
        one(
            "cost",
            reads::<render::BatchCostJson>,
            vec![shop("cost priced.still --formula balm --in EUR"), shop("cost serum.still --formula serum")],
        ),
        one("costs", reads::<render::BatchCostsJson>, vec![shop("cost priced.still"), shop("cost serum.still")]),
        one("why", reads::<render::WhyJson>, vec![ours("why examples/acid-gel.still gum-stock")]),
        one("whys", reads::<render::Whys>, vec![ours("why examples water")]),
        one(
            "bench",
            reads::<render::BenchJson>,
            ["serum-a", "serum-c", "serum-d", "serum-e", "serum-f"]
                .map(|name| shop(&format!("bench batches.still --batch {name}")))
                .to_vec(),
        ),
        one("benches", reads::<render::BenchesJson>, vec![shop("bench batches.still")]),
        one(
            "record",
            reads::<render::RecordJson>,
            ["serum-a", "serum-c", "serum-e"]
                .map(|name| shop(&format!("sheet batches.still --record {name}")))
                .to_vec(),
        ),
        one("trace", reads::<render::TraceJson>, vec![shop("trace GL-2 torn"), shop("trace GL-2 batches.still")]),
        one("comparison", reads::<render::ComparisonJson>, vec![shop("trace --compare torn")]),
        one("ph", reads::<render::PhJson>, vec![shop("ph serum.still --formula serum")]),
        one("phs", reads::<render::PhsJson>, vec![shop("ph serum.still")]),
        one(
            "shelf",
            reads::<render::ShelfJson>,
            vec![ours("shelf"), ours("shelf glycerin"), ours("shelf lactic acid")],
        ),
        one(
            "swaps",
            reads::<render::SwapsJson>,
            vec![
                shop("shelf glycolic-acid-70 --in serum.still"),
                ours("shelf preservative-blend --in examples/cream.still"),
            ],
        ),
        one("buy", reads::<render::BuyJson>, vec![shop("buy room/room.still"), shop("buy room/room.still --in USD")]),
        one(
            "stock",
            reads::<render::StockJson>,
            vec![shop("stock room"), shop("stock room/room.still --on 2026-10-20")],
        ),
        one(
            "assessor",
            reads::<render::AssessorJson>,
            vec![
                shop("sheet room/room.still --for assessor --formula gel"),
                shop("sheet room/room.still --for assessor --batch gel-1"),
                shop("sheet mist.still --for assessor"),
                shop("sheet serum.still --for assessor --formula serum"),
                shop("sheet serum.still --for assessor --formula dry"),
            ],
        ),
        one("diff", reads::<render::DiffJson>, vec![shop("diff . --since HEAD~1")]),
        one("log", reads::<render::LogJson>, vec![shop("log serum.still")]),
    ]
}

/// What a schema still has to refuse in a document: a key that is missing, and a value of another type.
fn must_refuse(root: &Value, valid: &Validator, document: &Value, place: &Place<'_>) {
    let whole = object(&mut document.clone(), &place.at).clone();
    let changed = |key: &str, value: Option<Value>| {
        let mut changed = document.clone();
        let keys = object(&mut changed, &place.at);
        match value {
            Some(value) => keys.insert(key.to_string(), value),
            None => keys.remove(key),
        };
        changed
    };
    for key in place.schema["required"].as_array().into_iter().flatten() {
        let key = key.as_str().unwrap();
        assert!(whole.contains_key(key), "{}: {key}", place.like);
        assert!(!valid.is_valid(&changed(key, None)), "{} without `{key}` is taken", place.like);
    }
    for (key, schema) in place.schema["properties"].as_object().unwrap() {
        let wrong = of_another_type(root, schema);
        assert!(!valid.is_valid(&changed(key, Some(wrong.clone()))), "{} with {key}: {wrong} is taken", place.like);
    }
}

#[test]
fn a_key_may_be_added_at_every_level_and_none_may_be_missing_or_of_another_type() {
    let workshop = workshop();
    let all = published(&workshop);
    let files = std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/schema")).unwrap();
    let named: BTreeSet<String> = all.iter().map(|one| format!("{}.json", one.name)).collect();
    assert_eq!(named, files.map(|file| file.unwrap().file_name().into_string().unwrap()).collect(), "docs/schema");
    let mut problems = Vec::new();
    for Published { name, reads, documents } in &all {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("docs/schema/{name}.json"));
        let root: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
        let valid = jsonschema::validator_for(&root).unwrap();
        let mut seen: BTreeMap<String, usize> = BTreeMap::new();
        for document in documents {
            assert!(valid.is_valid(document) && reads(document), "{name}: {document:#}");
            let mut found = Vec::new();
            places(&root, &root, document, "", "", &mut found);
            let mut newer = document.clone();
            for place in &found {
                object(&mut newer, &place.at).insert("added_later".to_string(), json!({ "by": ["a", 1] }));
                let times = seen.entry(place.like.clone()).or_default();
                *times += 1;
                if *times == 1 {
                    must_refuse(&root, &valid, document, place);
                }
            }
            assert!(valid.is_valid(&newer), "{name}: {:?}", valid.iter_errors(&newer).next());
            assert!(reads(&newer), "{name} is read with a key that it does not know");
        }
        let like = root["$defs"].as_object().into_iter().flatten().map(|(like, _)| like);
        let unseen: Vec<&String> = like.filter(|like| !seen.contains_key(*like)).collect();
        problems.extend(unseen.iter().map(|like| format!("{name}: no document here has {like}")));
    }
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}
