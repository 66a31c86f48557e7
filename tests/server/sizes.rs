//! The size of a batch as a hand writes it: the page and the command understand the same.

use crate::common::{Folder, folder, mend::run};
use crate::served::{GEL, Served};
use serde_json::{Value, json};

fn gel() -> String {
    GEL.replace("makes    100 g", "makes    100 g\n  density  1.02 g/mL")
}

/// The weight of the batch as the page has it, and as the command has it.
fn weighed(served: &Served, room: &Folder, size: &str) -> (String, String) {
    let asked = json!({ "file": "gel.still", "name": "gel", "text": gel(), "batch": size });
    let check = served.post("/check", None, &asked).json();
    assert!(check["refused"].is_null(), "{size}: {check}");
    let sheet = served.post("/results", None, &asked).json()["sheet"].as_str().unwrap().to_string();
    let on_page = sheet.split_once("Batch of <strong>").and_then(|(_, rest)| rest.split_once(" g</strong>"));
    let (code, out, err) = run(room.dir.path(), &["sheet", "gel.still", "--format", "json", "--batch", size]);
    assert_eq!(code, 0, "{size}: {err}");
    let printed: Value = serde_json::from_str(&out).unwrap();
    (on_page.unwrap_or_else(|| panic!("{sheet}")).0.to_string(), printed["batch_g"].as_str().unwrap().to_string())
}

#[test]
fn page_and_command_understand_the_same_sizes() {
    let room = folder(&[("gel.still", gel().as_bytes())]);
    let served = Served::on(room.dir.path());
    // 12 x 30 mL of 1.02 g/mL are 367.2 g, and with 4 % more 381.888 g.
    for (sizes, grams) in [
        (&["30.5g", "30,5g", "30.5 g", " 30,5 G "][..], "30.50"),
        (&["1kg", "1 KG", "1,0 kg", "1000 g"], "1000.00"),
        (&["12x30mL", "12×30mL", "12 × 30 ml", "12X30ML"], "367.20"),
        (&["12x30mL plus 4%", "12 x 30 ml plus 4 %", "12×30 ml + 4,0 %"], "381.89"),
    ] {
        for size in sizes {
            assert_eq!(weighed(&served, &room, size), (grams.to_string(), grams.to_string()), "{size}");
        }
    }
}

#[test]
fn what_is_no_size_is_told_by_both_with_what_would_be_one() {
    let room = folder(&[("gel.still", gel().as_bytes())]);
    let served = Served::on(room.dir.path());
    for (size, help) in [("a lot", "12 x 30 mL plus 4 %"), ("12x", "12 x 30 mL"), ("1,000 g", "1000 g")] {
        let asked = json!({ "file": "gel.still", "name": "gel", "text": gel(), "batch": size });
        let refused = served.post("/check", None, &asked).json()["refused"].as_str().unwrap().to_string();
        let (code, _, err) = run(room.dir.path(), &["sheet", "gel.still", "--batch", size]);
        assert!(code == 2 && refused.contains(help) && err.contains(help), "{size}: {refused}\n{err}");
    }
}
