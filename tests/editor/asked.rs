//! The requests about a place over the protocol: for clients that count in different units, and texts outside ASCII.

use crate::client::{Client, Files, SHELF, address};
use serde_json::{Value, json};

const MATERIALS: &str = "use shelf/all\n# Υλικά 🧴\nmaterial ours like glycerin { note \"🧴🧴 Γλυκερίνη\" }\n";
const GEL: &str = "use \"materials.still\" # 🧪 πρώτα\nformula gel {\n  makes 50 g\n  phase A \"Νερό 🧴\" {\n    water  q.s.\n    ours   3 %  because \"🧴\"  allow usage-over because \"x\"\n  }\n  steps { \"🧴 Stir {ours}.\" }\n}\n";

/// Where some words stand, counted so.
fn position(text: &str, words: &str, nth: usize, units: fn(&str) -> usize) -> Value {
    let at = text.match_indices(words).nth(nth).unwrap().0;
    let line_start = text[..at].rfind('\n').map_or(0, |end| end + 1);
    json!({ "line": text[..at].matches('\n').count(), "character": units(&text[line_start..at]) })
}

fn utf8(text: &str) -> usize {
    text.len()
}

fn utf16(text: &str) -> usize {
    text.encode_utf16().count()
}

fn client(encoding: &str) -> (Client, fn(&str) -> usize) {
    let files = Files::new([("materials.still", MATERIALS), ("gel.still", GEL)]);
    let client = Client::with(
        &files,
        &json!({
            "general": { "positionEncodings": [encoding] },
            "textDocument": { "definition": { "linkSupport": true }, "rename": { "prepareSupport": true } },
            "workspace": { "workspaceEdit": { "documentChanges": true } },
        }),
    );
    (client, if encoding == "utf-8" { utf8 } else { utf16 })
}

fn at(name: &str, position: Value) -> Value {
    json!({ "textDocument": { "uri": address(name) }, "position": position })
}

#[test]
fn places_are_right_in_every_unit() {
    for encoding in ["utf-8", "utf-16"] {
        let (mut client, units) = client(encoding);
        assert_eq!(client.capabilities["positionEncoding"], encoding);
        let declared = position(MATERIALS, "ours", 0, units);
        for (nth, words) in [(0, "ours"), (1, "ours")] {
            let from = position(GEL, words, nth, units);
            let found = client.ask("textDocument/definition", at("gel.still", from.clone())).unwrap();
            assert_eq!(found[0]["targetUri"], address("materials.still"), "{encoding}");
            assert_eq!(found[0]["targetSelectionRange"]["start"], declared);
            assert_eq!(found[0]["originSelectionRange"]["start"], from);
        }
        let mut asked = at("gel.still", position(GEL, "ours", 1, units));
        asked["context"] = json!({ "includeDeclaration": true });
        let found = client.ask("textDocument/references", asked).unwrap();
        let mut starts: Vec<Value> =
            found.as_array().unwrap().iter().map(|one| one["range"]["start"].clone()).collect();
        let mut expected = vec![declared, position(GEL, "ours", 0, units), position(GEL, "ours", 1, units)];
        starts.sort_by_key(ToString::to_string);
        expected.sort_by_key(ToString::to_string);
        assert_eq!(starts, expected);

        let hints = client
            .ask(
                "textDocument/inlayHint",
                json!({ "textDocument": { "uri": address("gel.still") },
                    "range": { "start": { "line": 0, "character": 0 }, "end": { "line": 99, "character": 0 } } }),
            )
            .unwrap();
        let hints = hints.as_array().unwrap();
        assert_eq!(hints.len(), 2, "{hints:?}");
        assert_eq!(hints[0]["label"], "= 97 %, 48.50 g");
        assert_eq!(hints[1]["label"], "= 1.50 g");
        assert_eq!(hints[1]["position"], position(GEL, "  because", 0, units));

        let tokens = client
            .ask("textDocument/semanticTokens/full", json!({ "textDocument": { "uri": address("gel.still") } }))
            .unwrap();
        let data: Vec<u64> = tokens["data"].as_array().unwrap().iter().map(|one| one.as_u64().unwrap()).collect();
        let (mut line, mut column) = (0, 0);
        let mut starts = Vec::new();
        for token in data.chunks(5) {
            (line, column) = if token[0] == 0 { (line, column + token[1]) } else { (line + token[0], token[1]) };
            starts.push(json!({ "line": line, "character": column }));
        }
        for (words, nth) in [("ours", 0), ("ours", 1), ("allow", 0), ("usage-over", 0), ("# 🧪", 0)] {
            assert!(starts.contains(&position(GEL, words, nth, units)), "{encoding}: {words}");
        }
        let id = tokens["resultId"].clone();
        let delta = client
            .ask(
                "textDocument/semanticTokens/full/delta",
                json!({ "textDocument": { "uri": address("gel.still") }, "previousResultId": id }),
            )
            .unwrap();
        assert_eq!(delta["edits"], json!([]));
        client.close();
    }
}

#[test]
fn a_rename_reaches_every_file_and_is_refused_with_a_sentence() {
    let (mut client, units) = client("utf-16");
    let place = at("gel.still", position(GEL, "ours", 1, units));
    let prepared = client.ask("textDocument/prepareRename", place.clone()).unwrap();
    assert_eq!(prepared["placeholder"], "ours");
    let mut asked = place;
    asked["newName"] = json!("theirs");
    let edit = client.ask("textDocument/rename", asked.clone()).unwrap();
    let changes = edit["documentChanges"].as_array().unwrap();
    let edits: usize = changes.iter().map(|change| change["edits"].as_array().unwrap().len()).sum();
    assert_eq!((changes.len(), edits), (2, 3), "{edit}");
    for (name, why) in
        [("glycerin", "is taken"), ("Ours", "is no name"), ("gel", "is taken"), ("heat", "opens a statement")]
    {
        asked["newName"] = json!(name);
        let told = client.ask("textDocument/rename", asked.clone()).unwrap_err();
        assert!(told.message.contains(why), "{name}: {}", told.message);
    }
    let told = client.ask("textDocument/prepareRename", at("gel.still", position(GEL, "water", 0, units))).unwrap_err();
    assert!(told.message.contains("the shelf's"), "{}", told.message);
    client.close();
}

#[test]
fn a_name_of_the_shelf_opens_its_source() {
    let (mut client, units) = client("utf-16");
    let found = client.ask("textDocument/definition", at("gel.still", position(GEL, "water", 0, units))).unwrap();
    let target = found[0]["targetUri"].as_str().unwrap().to_string();
    assert_eq!(target, format!("file://{SHELF}/waters.still"));
    // The source is open now, and is asked of in its turn: it is the shelf's, and nothing is told of it.
    let text = stillroom::shelf::FILES.iter().find(|file| file.name == "waters").unwrap().text;
    let document = json!({ "uri": target, "languageId": "stillroom", "version": 1, "text": text });
    client.tell("textDocument/didOpen", json!({ "textDocument": document }));
    let range = &found[0]["targetSelectionRange"]["start"];
    let hover =
        client.ask("textDocument/hover", json!({ "textDocument": { "uri": target }, "position": range })).unwrap();
    assert!(hover["contents"]["value"].as_str().unwrap().contains("`water`"), "{hover}");
    let links = client.ask("textDocument/documentLink", json!({ "textDocument": { "uri": target } })).unwrap();
    assert!(
        links.as_array().unwrap().iter().all(|link| link["target"].as_str().unwrap().starts_with("file:///shelf/"))
    );
    assert!(!client.pushed.contains_key(&target), "nothing is told of the shelf");
    client.close();
}

#[test]
fn what_is_written_is_completed_and_told_of() {
    let (mut client, units) = client("utf-16");
    client.open_document("gel.still", &GEL.replace("    ours   3 %", "    ou"));
    let text = GEL.replace("    ours   3 %", "    ou");
    let mut place = position(&text, "    ou", 0, units);
    place["character"] = json!(6);
    let found = client.ask("textDocument/completion", at("gel.still", place)).unwrap();
    let items = found["items"].as_array().unwrap();
    let ours = items.iter().find(|item| item["label"] == "ours").expect("it is proposed").clone();
    assert_eq!(ours["textEdit"]["range"]["start"]["character"], 4);
    assert_eq!(ours["detail"], "glycerin 99.5 % to 99.7 % (its active), water for the rest");
    let told = client.ask("completionItem/resolve", ours).unwrap();
    assert!(told["documentation"]["value"].as_str().unwrap().contains("a material"), "{told}");
    let help = client.ask("textDocument/signatureHelp", at("gel.still", json!({ "line": 2, "character": 2 }))).unwrap();
    assert!(help["signatures"][0]["label"].as_str().unwrap().contains("makes✓"), "{help}");
    client.close();
}

#[test]
fn the_other_requests_are_answered_as_the_protocol_has_them() {
    let (mut client, units) = client("utf-16");
    let document = json!({ "textDocument": { "uri": address("gel.still") } });
    let symbols = client.ask("textDocument/documentSymbol", document.clone()).unwrap();
    assert_eq!(symbols[0]["name"], "gel");
    assert_eq!(symbols[0]["children"][0]["name"], "A");
    let found = client.ask("workspace/symbol", json!({ "query": "our" })).unwrap();
    assert_eq!(found[0]["name"], "ours");
    let folds = client.ask("textDocument/foldingRange", document.clone()).unwrap();
    assert_eq!(folds[0]["startLine"], 1);
    let links = client.ask("textDocument/documentLink", document).unwrap();
    assert_eq!(links[0]["target"], address("materials.still"));
    let marked =
        client.ask("textDocument/documentHighlight", at("gel.still", position(GEL, "ours", 0, units))).unwrap();
    assert_eq!(marked.as_array().unwrap().len(), 2);
    let asked =
        json!({ "textDocument": { "uri": address("gel.still") }, "positions": [position(GEL, "3 %", 0, units)] });
    let around = client.ask("textDocument/selectionRange", asked).unwrap();
    assert!(around[0]["parent"]["parent"]["range"].is_object(), "{around}");
    let items =
        client.ask("textDocument/prepareCallHierarchy", at("gel.still", position(GEL, "gel", 0, units))).unwrap();
    assert_eq!(items[0]["name"], "gel");
    for method in ["callHierarchy/incomingCalls", "callHierarchy/outgoingCalls"] {
        assert_eq!(client.ask(method, json!({ "item": items[0] })).unwrap(), json!([]));
    }
    client.close();
}
