//! What a change makes of the jar: price, cost, declaration, statements, content and durability, each following from what
//! was edited.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::folder;
use crate::common::repository::{Repository, run_in};
use serde_json::Value;

const SHOP: &str = r#"use shelf/all

container jar-50 {
  holds  50 mL
  price  0.60 EUR
}

material our-oil like jojoba-oil { price 20 EUR per 1 kg }
material our-wax like beeswax { price 15 EUR per 1 kg }

formula balm {
  title    "Balm"
  version  "1"
  product  leave-on body
  market   eu
  makes    10 x 50 mL
  density  0.90 g/mL
  scale    0.01 g
  lasts    12 months
  labour   1 h at 18 EUR per h
  margin   50 %
  vat      20 %
  phase A {
    heat to 75 °C
    our-oil  q.s.
    our-wax  40 %
  }
}
"#;

/// The changes from one text to another: kind, of what, which side of it, what was, what is, whether it follows.
fn changes(new: &str) -> Vec<(String, String, String, String, String, bool)> {
    let bench = folder(&[("a.still", SHOP.as_bytes()), ("b.still", new.as_bytes())]);
    let (_, out, err) = run_in(bench.dir.path(), &["diff", "a.still", "b.still", "--format", "json"]);
    let json: Value = serde_json::from_str(&out).unwrap_or_else(|error| panic!("{error}: {out}{err}"));
    rows(&json["formulas"][0]["changes"])
}

fn rows(changes: &Value) -> Vec<(String, String, String, String, String, bool)> {
    let text = |change: &Value, key: &str| change[key].as_str().unwrap_or_default().to_string();
    let one = |change: &Value| {
        let follows = change["follows"].as_bool().unwrap();
        let [kind, what, about, old, new] = ["kind", "what", "about", "old", "new"].map(|key| text(change, key));
        (kind, what, about, old, new, follows)
    };
    changes.as_array().unwrap().iter().map(one).collect()
}

type Row<'r> = (&'r str, &'r str, &'r str, &'r str, &'r str, bool);

fn has(all: &[(String, String, String, String, String, bool)], row: Row<'_>) {
    let found = all.iter().any(|(kind, what, about, old, new, follows)| {
        (kind.as_str(), what.as_str(), about.as_str(), old.as_str(), new.as_str(), *follows) == row
    });
    assert!(found, "{row:?} is not in {all:#?}");
}

/// Oil 270 g at 0.02, wax 180 g at 0.015: 8.10; with 18 of work 26.10, a tenth 2.61, with its jar 3.21; half of the net
/// price is to be left, so 6.42 net and 7.704 paid, brought up to 7.71.
#[test]
fn a_price_of_a_material_moves_cost_and_price() {
    let all = changes(&SHOP.replace("20 EUR per 1 kg", "30 EUR per 1 kg"));
    has(&all, ("material", "our-oil", "price", "20 EUR per 1000 g", "30 EUR per 1000 g", false));
    has(&all, ("cost", "materials for 100 g", "", "1.80 EUR", "2.40 EUR", true));
    has(&all, ("cost", "one container", "", "3.21 EUR", "3.48 EUR", true));
    has(&all, ("cost", "price", "", "7.71 EUR", "8.36 EUR", true));
    assert_eq!(all.len(), 4, "{all:#?}");
}

#[test]
fn a_line_of_the_header_or_a_container_moves_the_price_alone() {
    let all = changes(&SHOP.replace("margin   50 %", "margin   60 %"));
    has(&all, ("cost", "margin", "", "50 %", "60 %", false));
    has(&all, ("cost", "price", "", "7.71 EUR", "9.63 EUR", true));
    assert_eq!(all.len(), 2, "{all:#?}");
    let all = changes(&SHOP.replace("price  0.60 EUR", "price  0.80 EUR, 7 EUR per 10"));
    has(&all, ("cost", "jar-50", "price", "0.6 EUR per 1", "0.8 EUR per 1, 7 EUR per 10", false));
    assert!(all.iter().any(|row| row.1 == "price" && row.5), "{all:#?}");
}

#[test]
fn an_amount_moves_the_declaration() {
    let all = changes(&SHOP.replace("our-wax  40 %", "our-wax  60 %"));
    let order = all.iter().find(|row| row.0 == "declaration").expect("another order");
    assert_eq!((order.1.as_str(), order.2.as_str(), order.5), ("eu", "order", true));
    assert!(
        order.3.starts_with("Ingredients: Simmondsia") && order.4.starts_with("Ingredients: Cera Alba"),
        "{order:?}"
    );
    assert!(
        all.iter().any(|row| row.0 == "amount" && !row.5) && all.iter().any(|row| row.0 == "cost" && row.5),
        "{all:#?}"
    );
}

#[test]
fn what_stands_on_the_jar_follows() {
    let all =
        changes(&SHOP.replace("makes    10 x 50 mL", "makes    10 x 30 mL").replace("lasts    12", "lasts    18"));
    has(&all, ("statement", "eu", "net content", "50 mL", "30 mL", true));
    let durability = all.iter().find(|row| row.2 == "durability").expect("another durability");
    assert!(durability.0 == "statement" && durability.3.contains("12 months") && durability.4.contains("18 months"));
    let all = changes(&SHOP.replace("  labour ", "  warning  \"Not for the eyes.\"\n  labour "));
    has(&all, ("statement", "eu", "statement", "", "Not for the eyes.", true));
    has(&all, ("statement", "warning", "", "", "Not for the eyes.", false));
}

/// What it costs is no new version; and a commit that changed it is one of the formula all the same.
#[test]
fn the_log_has_them_and_asks_for_no_version() {
    let repository = Repository::new();
    repository.write("shop.still", SHOP);
    repository.commit("Begin");
    repository.write("shop.still", &SHOP.replace("margin   50 %", "margin   60 %"));
    repository.commit("Ask for more");
    let log = repository.json(&["log", "shop.still", "--format", "json"]);
    let latest = &log["formulas"][0]["versions"][0];
    let all = rows(&latest["changes"]);
    has(&all, ("cost", "margin", "", "50 %", "60 %", false));
    has(&all, ("cost", "price", "", "7.71 EUR", "9.63 EUR", true));
    assert_eq!(
        repository.codes(&["check", "shop.still", "--since", "HEAD~1", "--format", "json"]),
        Vec::<String>::new()
    );
}

/// What a scent brings is on the label and under the limits: another version, and what was told before is not told anew.
#[test]
fn what_a_material_brings_is_a_change_that_asks_for_a_version() {
    let scented = SHOP
        .replace(
            "formula balm",
            "material our-scent like lavender-oil {\n  brings  limonene 5 %, linalool 1 % to 2 %\n}\n\nformula balm",
        )
        .replace("    our-wax  40 %", "    our-wax  40 %\n    our-scent  0.5 %");
    let edited = scented.replace("limonene 5 %, linalool 1 % to 2 %", "citral 2 %, limonene 5 %, linalool 1 % to 3 %");
    assert_ne!(scented, edited);
    let repository = Repository::new();
    repository.write("shop.still", &scented);
    repository.commit("Begin");
    repository.write("shop.still", &edited);
    let diff = repository.json(&["diff", "shop.still", "--since", "HEAD", "--format", "json"]);
    let all = rows(&diff["formulas"][0]["changes"]);
    has(&all, ("strength", "our-scent", "brings citral", "", "2", false));
    has(&all, ("strength", "our-scent", "brings linalool", "1 to 2", "1 to 3", false));
    let told: Vec<_> = all.iter().filter(|row| row.0.starts_with("diagnostic")).collect();
    assert!(
        !told.is_empty() && told.iter().all(|row| row.0 == "diagnostic-added" && row.4.contains("citral")),
        "{told:#?}"
    );
    let since = repository.codes(&["check", "shop.still", "--since", "HEAD", "--format", "json"]);
    assert!(since.contains(&"version-not-bumped".to_string()), "{since:?}");
    let log = repository.json(&["log", "shop.still", "--format", "json"]);
    let all = rows(&log["formulas"][0]["versions"][0]["changes"]);
    has(&all, ("strength", "our-scent", "brings citral", "", "2", false));
}
