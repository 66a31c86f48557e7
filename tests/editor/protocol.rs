//! Beginning, changing, ending: the order of messages, and what is no message.

use crate::client::{Client, Files, address};
use serde_json::{Value, json};
use stillroom::editor::End;

const OIL: &str = "use shelf/all\n\nformula oil {\n  version \"1\"\n  product leave-on face\n  makes 100 g\n  scale 0.01 g\n  \
    phase a {\n    squalane q.s.\n    tocopherol 0.5 %\n  }\n}\n";

#[test]
fn faults_are_pushed_with_the_version_of_the_text() {
    let mut client = Client::open(&Files::new([("oil.still", OIL)]));
    client.open_document("oil.still", OIL);
    client.settle();
    assert_eq!(client.pushed[&address("oil.still")], (Some(1), vec![]));
    let line = 8;
    let at = json!({ "start": { "line": line, "character": 4 }, "end": { "line": line, "character": 12 } });
    client.change("oil.still", 2, json!([{ "range": at, "text": "sqalane" }]));
    client.settle();
    let (version, found) = &client.pushed[&address("oil.still")];
    assert_eq!((*version, found.len()), (Some(2), 1), "{found:?}");
    assert_eq!(
        (found[0]["code"].as_str(), found[0]["range"]["start"]["line"].as_u64()),
        (Some("name-unknown"), Some(8))
    );
    assert_eq!(client.close(), End::Asked);
}

#[test]
fn nothing_is_answered_before_the_beginning_and_after_the_end() {
    let mut client = Client::unasked(&Files::default());
    assert_eq!(client.ask("textDocument/hover", json!({})).unwrap_err().code, -32002);
    client.tell("textDocument/didOpen", json!({ "nonsense": 1 }));
    assert_eq!(client.ask("initialize", json!([1, 2])).unwrap_err().code, -32602);
    client.ask("initialize", json!({ "capabilities": {} })).unwrap();
    client.ask("shutdown", Value::Null).unwrap();
    assert_eq!(client.ask("shutdown", Value::Null).unwrap_err().code, -32600);
    client.tell("textDocument/didChange", json!(17));
    assert_eq!(client.hang_up(), End::Asked);
}

#[test]
fn it_ends_with_its_messages_and_says_when_it_was_not_asked() {
    assert_eq!(Client::unasked(&Files::default()).hang_up(), End::Asked);
    assert_eq!(Client::unasked(&Files::default()).leave(), End::Unasked);
    assert_eq!(Client::open(&Files::default()).hang_up(), End::Asked);
    assert_eq!(Client::open(&Files::default()).leave(), End::Unasked);
}

#[test]
fn what_is_wrong_is_refused_or_passed_over_and_the_server_goes_on() {
    let mut client = Client::open(&Files::new([("oil.still", OIL)]));
    client.open_document("oil.still", OIL);
    for nonsense in
        [Value::Null, json!(3), json!([]), json!({ "textDocument": 4 }), json!({ "textDocument": { "uri": 4 } })]
    {
        for method in ["didOpen", "didChange", "didClose", "didSave", "nothing"] {
            client.tell(&format!("textDocument/{method}"), nonsense.clone());
        }
        for method in ["didChangeWatchedFiles", "didChangeWorkspaceFolders", "didChangeConfiguration"] {
            client.tell(&format!("workspace/{method}"), nonsense.clone());
        }
        for method in ["formatting", "rangeFormatting", "codeAction", "codeLens"] {
            assert_eq!(client.ask(&format!("textDocument/{method}"), nonsense.clone()).unwrap_err().code, -32602);
        }
        assert!(client.ask("workspace/executeCommand", nonsense.clone()).is_err());
        assert_eq!(client.ask("no/such\u{1b}request", nonsense).unwrap_err().code, -32601);
    }
    let far = json!({ "start": { "line": 4_000_000_000u32, "character": 9 }, "end": { "line": 0, "character": 3 } });
    client.change("oil.still", 2, json!([{ "range": far, "text": "" }]));
    client.change("gone.still", 2, json!([{ "text": "formula" }]));
    client.settle();
    assert_eq!(client.pushed[&address("oil.still")].0, Some(2));
    assert_eq!(client.codes("oil.still"), ["syntax"], "what is left is `use`");
    assert_eq!(client.close(), End::Asked);
}

#[test]
fn a_request_that_is_cancelled_or_overtaken_is_not_carried_out() {
    let mut client = Client::unasked(&Files::new([("oil.still", OIL)]));
    // All of it lies there before the server begins with the first.
    let begin = client.send("initialize", json!({ "capabilities": {} }));
    let text = stillroom::syntax::format(OIL);
    client.open_document("oil.still", &text);
    let asked =
        json!({ "textDocument": { "uri": address("oil.still") }, "options": { "tabSize": 2, "insertSpaces": true } });
    let cancelled = client.send("textDocument/formatting", asked.clone());
    let overtaken = client.send("textDocument/formatting", asked.clone());
    client.tell("$/cancelRequest", json!({ "id": serde_json::to_value(&cancelled).unwrap() }));
    client.tell("$/cancelRequest", json!({ "id": "nobody" }));
    client.tell("$/cancelRequest", json!(null));
    for version in 2..40 {
        client.change_whole("oil.still", version, &text);
    }
    let last = client.send("textDocument/formatting", asked);
    let first = client.wait_for(&begin);
    assert!(first.is_ok());
    let outcome = |answer: Result<Value, lsp_server::ResponseError>| answer.map_err(|error| error.code);
    let (cancelled, overtaken) = (outcome(client.wait_for(&cancelled)), outcome(client.wait_for(&overtaken)));
    assert!([Ok(json!([])), Err(-32800)].contains(&cancelled), "{cancelled:?}");
    assert!([Ok(json!([])), Err(-32801)].contains(&overtaken), "{overtaken:?}");
    assert_eq!(client.wait_for(&last).unwrap(), json!([]));
    // A layout rests on the text alone and does not wait for the faults.
    client.settle();
    assert_eq!(client.pushed[&address("oil.still")].0, Some(39));
    assert!(client.pushes < 38, "a burst is looked at once or a few times, and not {} times", client.pushes);
    client.close();
}
