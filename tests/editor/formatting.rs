//! Formatting: the whole is what `fmt` makes of it, and a stretch changes nothing that the whole would not.

use crate::client::{Client, Files, address};
use crate::texts::applied;
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use serde_json::{Value, json};
use std::cell::RefCell;
use std::path::Path;
use stillroom::syntax::format;

/// The examples, as they are and untidy: laid out otherwise in every way that blanks can be.
fn texts() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut texts = Vec::new();
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths.iter().filter(|path| path.extension().is_some_and(|extension| extension == "still")) {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let text = std::fs::read_to_string(path).unwrap();
        texts.push((format!("{name}-untidy.still"), untidy(&text)));
        texts.push((format!("{name}-crlf.still"), untidy(&text).replace('\n', "\r\n")));
        texts.push((format!("{name}.still"), text));
    }
    assert!(texts.len() > 20);
    texts
}

/// A text with its lines put in and out, and its columns pushed together.
fn untidy(text: &str) -> String {
    let mut out = String::new();
    for (number, line) in text.lines().enumerate() {
        let indent = line.len() - line.trim_start().len();
        let (code, comment) =
            line.trim_start().split_at(line.trim_start().find(['#', '"']).unwrap_or(line.trim_start().len()));
        let words: Vec<&str> = code.split(' ').filter(|word| !word.is_empty()).collect();
        let gap = if code.ends_with(' ') { " " } else { "" };
        out.push_str(&" ".repeat((indent + number * 7) % 11));
        out.push_str(&words.join(&" ".repeat(1 + number % 3)));
        out.push_str(gap);
        out.push_str(comment);
        out.push_str(&" ".repeat(number % 2));
        out.push_str(if number % 5 == 4 { "\n\n\n" } else { "\n" });
    }
    out
}

const OPTIONS: &str = r#"{ "tabSize": 2, "insertSpaces": true }"#;

fn whole(client: &mut Client, name: &str) -> Value {
    let options: Value = serde_json::from_str(OPTIONS).unwrap();
    let params = json!({ "textDocument": { "uri": address(name) }, "options": options });
    client.ask("textDocument/formatting", params).unwrap()
}

fn stretch(client: &mut Client, name: &str, range: &Value) -> Value {
    let options: Value = serde_json::from_str(OPTIONS).unwrap();
    let params = json!({ "textDocument": { "uri": address(name) }, "range": range, "options": options });
    client.ask("textDocument/rangeFormatting", params).unwrap()
}

/// A text with the line ends of another.
fn ends_as(other: &str, text: &str) -> String {
    if other.contains("\r\n") { text.replace('\n', "\r\n") } else { text.to_string() }
}

#[test]
fn the_whole_is_as_fmt_lays_it_out_and_only_what_changes_is_edited() {
    let texts = texts();
    let mut client = Client::open(&Files::new(texts.iter().map(|(name, text)| (name.as_str(), text.as_str()))));
    for (name, text) in &texts {
        let edits = whole(&mut client, name);
        assert_eq!(applied(text, &edits), ends_as(text, &format(text)), "{name}");
        for edit in edits.as_array().unwrap() {
            assert!(edit["newText"].as_str().unwrap().trim().is_empty(), "{name}: {edit}");
            assert_ne!(edit["range"]["start"], json!({ "line": 0, "character": 0 }), "{name}: the whole file at once");
        }
        if *text == format(text) {
            assert_eq!(edits, json!([]), "{name}");
        }
    }
    client.close();
}

#[test]
fn a_stretch_changes_nothing_that_the_whole_would_not() {
    let texts = texts();
    let client = Client::open(&Files::new(texts.iter().map(|(name, text)| (name.as_str(), text.as_str()))));
    let client = RefCell::new(client);
    let cases = std::env::var("STILLROOM_FUZZ").ok().and_then(|count| count.parse().ok()).unwrap_or(300);
    let mut runner = TestRunner::new(Config { cases, failure_persistence: None, ..Config::default() });
    let case = (0..texts.len(), any::<[u16; 2]>(), any::<[u8; 2]>());
    let run = runner.run(&case, |(which, lines, columns)| {
        let (name, text) = &texts[which];
        let count = text.lines().count() + 2;
        let at = |end: usize| json!({ "line": usize::from(lines[end]) % count, "character": columns[end] % 60 });
        let range = json!({ "start": at(0), "end": at(1) });
        let mut client = client.borrow_mut();
        let all = whole(&mut client, name);
        let some = stretch(&mut client, name, &range);
        let all = all.as_array().unwrap();
        prop_assert!(some.as_array().unwrap().iter().all(|edit| all.contains(edit)), "{name} {range}");
        // What was laid out in part means what it meant, and is laid out to the same end.
        let laid_out = applied(text, &some);
        prop_assert_eq!(format(&laid_out), format(text));
        Ok(())
    });
    run.unwrap();
    client.into_inner().close();
}
