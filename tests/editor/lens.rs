//! Lenses above formulas and records, and the sheet beside the text.

use crate::client::{Client, Files, address};
use serde_json::{Value, json};
use std::path::Path;

fn examples() -> Vec<(String, String)> {
    let names = ["acid-gel.still", "acid-gel-batches.still", "lactic-serum.still", "materials.still", "stocks.still"];
    let read = |name: &str| {
        std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)).unwrap()
    };
    names.iter().map(|name| ((*name).to_string(), read(name))).collect()
}

fn client() -> Client {
    let files = examples();
    Client::open(&Files::new(files.iter().map(|(name, text)| (name.as_str(), text.as_str()))))
}

fn titles(client: &mut Client, name: &str) -> Vec<String> {
    let asked = client.ask("textDocument/codeLens", json!({ "textDocument": { "uri": address(name) } })).unwrap();
    let mut titles = Vec::new();
    for lens in asked.as_array().unwrap() {
        let lens = client.ask("codeLens/resolve", lens.clone()).unwrap();
        assert_eq!(lens["command"]["command"], "stillroom.showSheet");
        let shown = json!({ "command": "stillroom.showSheet", "arguments": lens["command"]["arguments"] });
        let sheet = client.ask("workspace/executeCommand", shown).unwrap();
        assert!(sheet["markdown"].as_str().unwrap().starts_with('#'), "{sheet}");
        titles.push(lens["command"]["title"].as_str().unwrap().to_string());
    }
    titles
}

#[test]
fn a_formula_shows_its_ph_its_cost_and_its_batches() {
    let mut client = client();
    let gel = titles(&mut client, "acid-gel.still");
    assert_eq!(gel.len(), 3, "{gel:?}");
    assert!(gel[0].contains("pH"), "{gel:?}");
    assert!(gel[2].contains("under way"), "{gel:?}");
    let batches = titles(&mut client, "acid-gel-batches.still");
    assert!(!batches.is_empty() && batches.iter().all(|title| title.starts_with("Next: ")), "{batches:?}");
    client.close();
}

#[test]
fn a_lens_of_another_version_is_stale() {
    let mut client = client();
    let (name, text) = &examples()[0];
    client.open_document(name, text);
    let asked = client.ask("textDocument/codeLens", json!({ "textDocument": { "uri": address(name) } })).unwrap();
    client.change_whole(name, 2, text);
    client.settle();
    assert_eq!(client.ask("codeLens/resolve", asked[0].clone()).unwrap_err().code, -32801);
    assert_eq!(client.ask("codeLens/resolve", json!({ "range": asked[0]["range"] })).unwrap_err().code, -32602);
    client.close();
}

#[test]
fn the_sheet_is_asked_for_by_name_by_place_or_by_file() {
    let mut client = client();
    let mut ask = |which: Value| {
        client.ask("workspace/executeCommand", json!({ "command": "stillroom.showSheet", "arguments": [which] }))
    };
    let uri = address("acid-gel.still");
    let by_name = ask(json!({ "uri": uri, "formula": "acid-gel" })).unwrap();
    assert_eq!(by_name, ask(json!({ "uri": uri })).unwrap());
    assert_eq!(by_name, ask(json!({ "uri": uri, "position": { "line": 12, "character": 2 } })).unwrap());
    assert!(ask(json!({ "uri": uri, "formula": "nobody" })).unwrap_err().message.contains("no `nobody`"));
    assert_eq!(ask(json!({ "formula": "acid-gel" })).unwrap_err().code, -32602);
    assert!(ask(json!({ "uri": address("gone.still") })).is_err());
    client.close();
}
