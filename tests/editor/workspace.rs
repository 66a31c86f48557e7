//! The files of a workspace: those under its folders, those that others write, what is unsaved in one and used by another.

use crate::client::{Client, Files, address};
use serde_json::{Value, json};

const MATERIALS: &str = "use shelf/all\n\nmaterial our-oil like squalane {\n  use  up to 60 %\n}\n";

fn formula(name: &str, of: &str) -> String {
    format!(
        "use \"materials.still\"\n\nformula {name} {{\n  version \"1\"\n  product leave-on face\n  makes 100 g\n  \
         scale 0.01 g\n  phase a {{\n    jojoba-oil q.s.\n    {of} 50 %\n    tocopherol 0.5 %\n  }}\n}}\n"
    )
}

fn changed(name: &str, kind: u8) -> Value {
    json!({ "changes": [{ "uri": address(name), "type": kind }] })
}

#[test]
fn faults_are_told_of_files_that_nobody_has_open() {
    let files = Files::new([("materials.still", MATERIALS), ("a.still", &formula("a", "unicorn-oil"))]);
    let mut client = Client::open(&files);
    client.settle();
    assert_eq!(client.codes("a.still"), ["name-unknown"]);
    assert_eq!(client.pushed[&address("a.still")].0, None, "what is not open has no version");
    assert!(!client.pushed.contains_key(&address("materials.still")), "nothing is told of what is sound");
    client.close();
}

#[test]
fn unsaved_text_counts_for_the_files_that_use_it_and_only_theirs_are_told_anew() {
    let (one, two) = (formula("a", "our-oil"), formula("b", "jojoba-oil"));
    let two = two.replace("jojoba-oil q.s.", "squalane q.s.");
    let files = Files::new([("materials.still", MATERIALS), ("a.still", &one), ("b.still", &two)]);
    let mut client = Client::open(&files);
    client.open_document("materials.still", MATERIALS);
    client.settle();
    let before = client.pushes;
    client.change_whole("materials.still", 2, &MATERIALS.replace("60 %", "40 %"));
    client.settle();
    assert_eq!(client.codes("a.still"), ["usage-over"]);
    assert_eq!(client.pushes, before + 2, "the document, and the one that uses what changed in it");
    client.tell("textDocument/didClose", json!({ "textDocument": { "uri": address("materials.still") } }));
    client.settle();
    assert_eq!(client.codes("a.still"), Vec::<String>::new(), "what was not saved is given up");
    client.close();
}

#[test]
fn what_others_write_make_and_take_away_is_seen() {
    let files = Files::new([("materials.still", MATERIALS)]);
    let mut client = Client::open(&files);
    client.settle();
    let asks_to_watch = format!("{:?}", client.told);
    assert!(asks_to_watch.contains("client/registerCapability") && asks_to_watch.contains("**/*.still"));
    files.write("a.still", &formula("a", "our-oil").replace("50 %", "70 %"));
    client.tell("workspace/didChangeWatchedFiles", changed("a.still", 1));
    client.settle();
    assert_eq!(client.codes("a.still"), ["usage-over"]);
    files.write("materials.still", &MATERIALS.replace("60 %", "80 %"));
    client.tell("workspace/didChangeWatchedFiles", changed("materials.still", 2));
    client.settle();
    assert_eq!(client.codes("a.still"), Vec::<String>::new());
    files.remove("materials.still");
    client.tell("workspace/didChangeWatchedFiles", changed("materials.still", 3));
    client.settle();
    assert!(client.codes("a.still").contains(&"use-not-found".to_string()));
    files.remove("a.still");
    client.tell("workspace/didChangeWatchedFiles", changed("a.still", 3));
    client.settle();
    assert_eq!(client.codes("a.still"), Vec::<String>::new());
    client.close();
}

#[test]
fn a_text_in_no_file_and_one_outside_the_folders_are_checked_too() {
    let mut client = Client::open(&Files::default());
    let text = formula("a", "unicorn-oil").replace("\"materials.still\"", "shelf/all");
    for uri in ["untitled:Untitled-1", "file:///elsewhere/b%20c.still"] {
        let document = json!({ "uri": uri, "languageId": "stillroom", "version": 4, "text": text });
        client.tell("textDocument/didOpen", json!({ "textDocument": document }));
        client.settle();
        let (version, found) = &client.pushed[uri];
        assert_eq!((*version, found.len(), found[0]["code"].as_str()), (Some(4), 1, Some("name-unknown")));
        client.tell("textDocument/didClose", json!({ "textDocument": { "uri": uri } }));
        client.settle();
        assert!(client.pushed[uri].1.is_empty());
    }
    client.close();
}

#[test]
fn a_diagnostic_says_all_there_is_to_say() {
    let text = formula("a", "our-oil").replace("50 %", "70 %");
    let mut client = Client::open(&Files::new([("materials.still", MATERIALS), ("a.still", &text)]));
    client.settle();
    let found = &client.pushed[&address("a.still")].1[0];
    assert_eq!((found["source"].as_str(), found["severity"].as_u64()), (Some("stillroom"), Some(2)));
    let related = found["relatedInformation"].as_array().unwrap();
    assert_eq!(related[0]["location"]["uri"], address("materials.still"), "{found}");
    assert!(found["message"].as_str().unwrap().lines().count() > 1, "the help stands below: {found}");
    client.close();
    let unused = format!("{text}\nlet spare = 3 %\n");
    let mut client = Client::open(&Files::new([("materials.still", MATERIALS), ("a.still", &unused)]));
    client.settle();
    let found = client.pushed[&address("a.still")].1.iter().find(|one| one["code"] == "let-unused").unwrap();
    assert_eq!(found["tags"], json!([1]));
    client.close();
}
