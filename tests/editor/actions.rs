//! Code actions: over the wrong example of every page of the catalogue, each does away with the fault it is for.

use crate::client::{Client, Files, address};
use crate::pages::wrong;
use crate::texts::applied;
use serde_json::{Value, json};
use stillroom::diagnostic::CATALOGUE;

/// The actions offered for a diagnostic.
fn actions(client: &mut Client, name: &str, fault: &Value) -> Vec<Value> {
    let context = json!({ "diagnostics": [fault] });
    let params = json!({ "textDocument": { "uri": address(name) }, "range": fault["range"], "context": context });
    client.ask("textDocument/codeAction", params).unwrap().as_array().unwrap().clone()
}

/// The same fault: the code, and what is said of it.
fn is_same(one: &Value, other: &Value) -> bool {
    one["code"] == other["code"] && one["message"] == other["message"]
}

/// The pushed faults of a file.
fn faults(client: &Client, name: &str) -> Vec<Value> {
    client.pushed.get(&address(name)).map(|(_, found)| found.clone()).unwrap_or_default()
}

#[test]
fn each_action_does_away_with_its_fault() {
    let (mut mends, mut allows) = (0, 0);
    for entry in CATALOGUE {
        let files = wrong(entry);
        let world = Files::new(files.iter().map(|(name, text)| (name.as_str(), text.as_str())));
        let mut client = Client::open(&world);
        client.settle();
        let mut version = 1;
        for (name, text) in &files {
            client.open_document(name, text);
            client.settle();
            for fault in faults(&client, name) {
                for action in actions(&mut client, name, &fault) {
                    if action["kind"] == "source.fixAll" || !is_same(&action["diagnostics"][0], &fault) {
                        continue;
                    }
                    for (changed, edits) in action["edit"]["changes"].as_object().unwrap() {
                        let (changed, whole) =
                            files.iter().find(|(name, _)| address(name) == *changed).expect("a file of the example");
                        if changed != name {
                            client.open_document(changed, whole);
                        }
                        version += 1;
                        client.change_whole(changed, version, &applied(whole, edits));
                        client.settle();
                        let after = faults(&client, name);
                        assert!(
                            !after.iter().any(|one| is_same(one, &fault)),
                            "{}: {} leaves {fault}\n{}",
                            entry.name,
                            action["title"],
                            applied(whole, edits)
                        );
                        if action["title"].as_str().unwrap().starts_with("Allow") {
                            allows += 1;
                            // What is left is that the reason is missing; once it is written, nothing is.
                            assert!(
                                after.iter().any(|one| one["code"] == "allow-no-reason"),
                                "{}: {after:?}",
                                entry.name
                            );
                            let reasoned = applied(whole, edits).replace("\"…\"", "\"a trial, for the feel only\"");
                            version += 1;
                            client.change_whole(changed, version, &reasoned);
                            client.settle();
                            let after = faults(&client, name);
                            assert!(after.is_empty(), "{}: {after:?}\n{reasoned}", entry.name);
                        } else {
                            mends += 1;
                        }
                        version += 1;
                        client.change_whole(changed, version, whole);
                        client.settle();
                    }
                }
            }
        }
        client.close();
    }
    assert!(mends >= 8 && allows >= 20, "{mends} mends and {allows} allowances were tried");
}

#[test]
fn an_allowable_fault_of_a_formula_is_offered_an_allowance() {
    let mut without = Vec::new();
    for entry in CATALOGUE.iter().filter(|entry| entry.allowable) {
        let files = wrong(entry);
        let world = Files::new(files.iter().map(|(name, text)| (name.as_str(), text.as_str())));
        let mut client = Client::open(&world);
        client.settle();
        for (name, _) in &files {
            for fault in faults(&client, name).iter().filter(|fault| fault["code"] == entry.name) {
                let offered = actions(&mut client, name, fault);
                if !offered.iter().any(|action| action["title"].as_str().unwrap().starts_with("Allow")) {
                    without.push(entry.name);
                }
            }
        }
        client.close();
    }
    assert_eq!(without, Vec::<&str>::new());
}

#[test]
fn an_allowance_of_a_line_quiets_that_line_alone_and_one_of_the_formula_says_so() {
    let text = "use shelf/all\nformula f {\n  version \"1\"\n  product stock\n  makes 100 g\n  scale 0.01 g\n  phase A {\n    water q.s.\n    glycerin 3 %\n    betaine 3 %\n  }\n  steps { \"Weigh {water}.\" }\n}\nvariant v of f { makes 200 g }\n";
    let mut client = Client::open(&Files::new([("a.still", text)]));
    client.open_document("a.still", text);
    client.settle();
    let unnamed = |client: &Client| {
        let told = faults(client, "a.still").into_iter().filter(|fault| fault["code"] == "step-missing-line");
        told.map(|fault| fault["message"].as_str().unwrap().to_string()).collect::<Vec<_>>()
    };
    assert_eq!(unnamed(&client).len(), 2);
    let fault = faults(&client, "a.still").into_iter().find(|fault| fault["code"] == "step-missing-line").unwrap();
    let allow = actions(&mut client, "a.still", &fault)
        .into_iter()
        .find(|action| action["title"].as_str().unwrap().starts_with("Allow"))
        .unwrap();
    assert_eq!(allow["title"], "Allow `step-missing-line` for `glycerin` alone, and write why");
    let allowed = applied(text, &allow["edit"]["changes"][address("a.still")]).replace("…", "it is added last");
    assert!(allowed.contains("    glycerin 3 %\n    allow step-missing-line because"), "{allowed}");
    client.change_whole("a.still", 2, &allowed);
    client.settle();
    let left = unnamed(&client);
    assert!(left.len() == 1 && left[0].starts_with("No step says what to do with `betaine`."), "{left:?}");
    // What no line is told of stands in the formula, and the title says of which.
    let bare = text.replace("  version \"1\"\n  product stock\n", "  version \"1\"\n  market eu\n");
    client.change_whole("a.still", 3, &bare);
    client.settle();
    let whole = faults(&client, "a.still").into_iter().find(|fault| fault["code"] == "product-kind-missing").unwrap();
    let titles: Vec<String> = actions(&mut client, "a.still", &whole)
        .iter()
        .map(|action| action["title"].as_str().unwrap().to_string())
        .collect();
    assert!(
        titles.contains(&"Allow `product-kind-missing` in the whole of `f`, and write why".to_string()),
        "{titles:?}"
    );
    client.close();
}

#[test]
fn all_that_is_sure_is_mended_at_once() {
    let text =
        "substance water { inci \"Aqua\" }\nmaterial water { role solvent }\n\nlet a = 3 grams\nlet b = 4 grams\n";
    let mut client = Client::open(&Files::new([("a.still", text)]));
    client.open_document("a.still", text);
    client.settle();
    let nowhere = json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 0, "character": 0 } });
    let params = json!({
        "textDocument": { "uri": address("a.still") },
        "range": nowhere,
        "context": { "diagnostics": [], "only": ["source.fixAll"] },
    });
    let offered = client.ask("textDocument/codeAction", params).unwrap();
    let offered = offered.as_array().unwrap();
    assert_eq!(offered.len(), 1, "{offered:?}");
    let mended = applied(text, &offered[0]["edit"]["changes"][address("a.still")]);
    assert_eq!(mended, text.replace("grams", "g"));
    client.close();
}
