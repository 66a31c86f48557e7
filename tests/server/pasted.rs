//! A table that is pasted into the page gives what the command gives, beside materials of her own too.

use crate::common::{folder, mend::run};
use crate::served::Served;
use serde_json::json;
use std::fs;

#[test]
fn a_pasted_table_gives_what_the_command_gives() {
    let materials = include_bytes!("../bring/own/materials.still");
    let table = include_str!("../bring/own/toner.csv");
    let files: [(&str, &[u8]); 2] = [("stores/materials.still", materials), ("toner.csv", table.as_bytes())];
    let (pasted, commanded) = (folder(&files), folder(&files));
    let served = Served::on(pasted.dir.path());
    let answer = served.post("/new", None, &json!({ "how": "table", "name": "toner", "table": table }));
    assert_eq!(answer.status, 200, "{answer:?}");
    let (code, _, err) = run(commanded.dir.path(), &["new", "toner", "--from", "toner.csv"]);
    assert_eq!(code, 0, "{err}");
    let text = |room: &crate::common::Folder| fs::read_to_string(room.dir.path().join("toner.still")).unwrap();
    assert_eq!(text(&pasted), text(&commanded));
    assert!(text(&pasted).contains("use \"stores/materials.still\"\n"), "{}", text(&pasted));
    // What was not sure is said by both.
    let said = answer.json();
    for unsure in said["brought"]["unsure"].as_array().unwrap() {
        assert!(err.contains(unsure["says"].as_str().unwrap()), "{unsure}\n{err}");
    }
}
