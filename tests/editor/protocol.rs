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
