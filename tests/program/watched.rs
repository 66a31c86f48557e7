//! `check --watch`: what is printed is always what a fresh check would print.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::{Folder, folder};
use serde_json::Value;
use std::fs;
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

const SOUND: &str = "use \"stocks.still\"\n\nformula f {\n  makes 100 g\n  phase A {\n    syrup  q.s.\n  }\n}\n";
const STOCKS: &str = "material syrup {\n  contains water 100 %\n}\n";

/// A watch that goes on; it is ended when it is let go of.
struct Watch {
    child: Child,
    lines: Receiver<String>,
}

impl Drop for Watch {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn lines(stdout: ChildStdout) -> Receiver<String> {
    let (sender, lines) = channel();
    std::thread::spawn(move || {
        for line in BufReader::new(stdout).lines().map_while(Result::ok) {
            if sender.send(line).is_err() {
                break;
            }
        }
    });
    lines
}

fn watch(room: &Folder, words: &[&str]) -> Watch {
    let mut child = Command::new(env!("CARGO_BIN_EXE_stillroom"))
        .args(["check", "--watch"])
        .args(words)
        .current_dir(room.dir.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let lines = lines(child.stdout.take().unwrap());
    Watch { child, lines }
}

impl Watch {
    /// The next document that is the one of a fresh check; what is printed on the way to it is let go.
    fn comes_to(&self, room: &Folder, words: &[&str]) -> Vec<String> {
        let fresh = fresh(room, words);
        for _ in 0..20 {
            let line = self.lines.recv_timeout(Duration::from_secs(30)).unwrap_or_else(|_| panic!("never {fresh:#}"));
            let document: Value = serde_json::from_str(&line).unwrap();
            if document == fresh {
                let told = document["diagnostics"].as_array().unwrap();
                return told.iter().map(|one| one["code"].as_str().unwrap().to_string()).collect();
            }
        }
        panic!("never {fresh:#}")
    }
}

fn fresh(room: &Folder, words: &[&str]) -> Value {
    let output = Command::new(env!("CARGO_BIN_EXE_stillroom"))
        .arg("check")
        .args(words)
        .current_dir(room.dir.path())
        .output()
        .unwrap();
    serde_json::from_slice(&output.stdout).unwrap()
}

fn room() -> Folder {
    folder(&[("mine/a.still", SOUND.as_bytes()), ("mine/stocks.still", STOCKS.as_bytes())])
}

#[test]
fn what_changes_is_checked_again_in_files_that_are_named_used_new_and_gone() {
    let room = room();
    let words = ["mine", "--format", "json"];
    let watch = watch(&room, &words);
    let write = |name: &str, text: &str| fs::write(room.dir.path().join(name), text).unwrap();
    let at_first = watch.comes_to(&room, &words);
    write("mine/a.still", &SOUND.replace("100 g", "100 gramms"));
    assert!(watch.comes_to(&room, &words).contains(&"unknown-unit".to_string()), "a named file");
    write("mine/a.still", SOUND);
    assert_eq!(watch.comes_to(&room, &words), at_first);
    write("mine/stocks.still", "");
    assert!(watch.comes_to(&room, &words).contains(&"name-unknown".to_string()), "a used file");
    write("mine/stocks.still", STOCKS);
    assert_eq!(watch.comes_to(&room, &words), at_first);
    write("mine/new.still", "let a = 1 gramms\n");
    assert!(watch.comes_to(&room, &words).contains(&"unknown-unit".to_string()), "a new file");
    fs::create_dir(room.dir.path().join("mine/winter")).unwrap();
    write("mine/winter/b.still", "let b = 1 gramms\n");
    watch.comes_to(&room, &words);
    fs::remove_dir_all(room.dir.path().join("mine/winter")).unwrap();
    watch.comes_to(&room, &words);
    fs::remove_file(room.dir.path().join("mine/new.still")).unwrap();
    assert_eq!(watch.comes_to(&room, &words), at_first);
}

#[test]
fn a_single_file_is_watched_through_a_save_that_puts_another_in_its_place() {
    let room = room();
    let words = ["mine/a.still", "--format", "json"];
    let watch = watch(&room, &words);
    let at_first = watch.comes_to(&room, &words);
    for (amount, more) in [("100 gramms", true), ("200 g", false)] {
        let beside = room.dir.path().join("mine/a.still.new");
        fs::write(&beside, SOUND.replace("100 g", amount)).unwrap();
        fs::rename(&beside, room.dir.path().join("mine/a.still")).unwrap();
        assert_eq!(watch.comes_to(&room, &words) != at_first, more, "{amount}");
    }
}

#[test]
fn a_used_file_is_seen_when_its_folder_is_made_moved_in_or_made_anew() {
    let room = folder(&[("mine/a.still", SOUND.replace("stocks.still", "deep/er/stocks.still").as_bytes())]);
    let words = ["mine/a.still", "--format", "json"];
    let watch = watch(&room, &words);
    let at = |name: &str| room.dir.path().join(name);
    let is_missed = |codes: Vec<String>| codes.contains(&"use-not-found".to_string());
    assert!(is_missed(watch.comes_to(&room, &words)), "nothing is there yet");
    for round in 0..3 {
        fs::create_dir_all(at("mine/deep/er")).unwrap();
        fs::write(at("mine/deep/er/stocks.still"), STOCKS).unwrap();
        assert!(!is_missed(watch.comes_to(&room, &words)), "made at once, round {round}");
        fs::remove_dir_all(at("mine/deep")).unwrap();
        assert!(is_missed(watch.comes_to(&room, &words)), "gone again, round {round}");
    }
    fs::create_dir_all(at("elsewhere/er")).unwrap();
    fs::write(at("elsewhere/er/stocks.still"), STOCKS).unwrap();
    fs::rename(at("elsewhere"), at("mine/deep")).unwrap();
    assert!(!is_missed(watch.comes_to(&room, &words)), "moved in");
}

#[test]
fn people_are_told_which_file_changed() {
    let room = room();
    let mut watch = watch(&room, &["mine/a.still"]);
    let mut told = BufReader::new(watch.child.stderr.take().unwrap());
    let mut until = |end: &str| {
        let mut text = String::new();
        while !text.contains(end) {
            assert!(told.read_line(&mut text).unwrap() > 0, "{text}");
        }
        text
    };
    assert!(until("Ctrl-C ends.").contains("1 formula checked"));
    fs::write(room.dir.path().join("mine/stocks.still"), STOCKS.replace("syrup", "sirup")).unwrap();
    let text = until("checked:");
    let stocks = Path::new("mine").join("stocks.still");
    assert!(text.contains(&format!("`{}` changed.\n1 formula checked: ", stocks.display())), "{text}");
    let printed = || watch.lines.recv_timeout(Duration::from_secs(10)).expect("the fault of the name");
    while !printed().contains("error [name-unknown]") {}
    drop(watch.child.kill());
    let mut rest = String::new();
    told.read_to_string(&mut rest).unwrap();
    assert!(!rest.contains("changed"), "said once: {rest}");
}

#[test]
fn standard_input_is_not_watched() {
    let output = Command::new(env!("CARGO_BIN_EXE_stillroom")).args(["check", "--watch", "-"]).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(output.stderr, b"`--watch` watches files, and standard input is none.\n");
}
