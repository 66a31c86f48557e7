//! From a keystroke to its diagnostics: a client types into a file of two thousand lines, in a workspace of a thousand
//! formulas, and waits for what is pushed of it; the median and the 99th percentile, beside a whole check of the same
//! workspace in the same run. `cargo bench --bench editor`. Nothing is asserted about time; the aim is 16 ms at the
//! 99th percentile, a picture of a screen that shows sixty in a second.

#![allow(clippy::disallowed_methods, reason = "a benchmark reads files of its own")]

mod generate;

use lsp_server::{Connection, Message, Notification, Request};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use stillroom::editor::{Surroundings, serve};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Disk, load};

/// Files of formulas, of 20 each; those of the long file are taken out of further ones.
const FORMULA_FILES: usize = 46;
const MORE_FILES: usize = 8;
const LINES: usize = 2_000;

/// How many keys are struck, where nothing else is asked for.
const KEYS: usize = 1_000;
/// How often the whole is checked.
const ROUNDS: usize = 9;

/// The text of a file, and a long file of the formulas of others.
fn long_text(files: &[PathBuf]) -> std::io::Result<String> {
    let mut text = String::new();
    let mut lines = 0;
    for (number, file) in files.iter().enumerate() {
        let one = std::fs::read_to_string(file)?;
        for block in one.split_inclusive("\n}\n") {
            // What a file uses stands before its first formula, and is the same in all of them.
            let block = if number > 0 { block.split_once("formula ").map_or(block, |(_, rest)| rest) } else { block };
            let head = if number > 0 { "\nformula " } else { "" };
            let more = block.lines().count() + 1;
            if lines + more > LINES {
                return Ok(text);
            }
            let _ = write!(text, "{head}{block}");
            lines += more;
        }
    }
    Ok(text)
}

/// The memory that this process holds, in MB; none where the system does not tell.
fn resident() -> Option<usize> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmRSS"))?;
    line.split_whitespace().nth(1)?.parse::<usize>().ok().map(|kilobytes| kilobytes / 1024)
}

struct Client {
    connection: Connection,
    address: String,
    version: i64,
}

impl Client {
    fn tell(&self, method: &str, params: Value) {
        self.connection.sender.send(Notification::new(method.to_string(), params).into()).expect("it listens");
    }

    /// Strikes a key, and waits for what is pushed.
    fn strike(&mut self, (line, column): (usize, usize), taken: usize, put: &str) -> Duration {
        self.version += 1;
        let range = json!({
            "start": { "line": line, "character": column }, "end": { "line": line, "character": column + taken },
        });
        let start = Instant::now();
        let document = json!({ "uri": self.address, "version": self.version });
        let changes = json!([{ "range": range, "text": put }]);
        self.tell("textDocument/didChange", json!({ "textDocument": document, "contentChanges": changes }));
        self.wait_for_diagnostics();
        start.elapsed()
    }

    fn wait_for_diagnostics(&self) {
        for message in &self.connection.receiver {
            if let Message::Notification(note) = message
                && note.params.get("version").and_then(Value::as_i64) == Some(self.version)
            {
                return;
            }
        }
    }
}

/// Where figures and names of lines stand, all over the text: line, column.
fn places(text: &str) -> Vec<(usize, usize)> {
    let mut places = Vec::new();
    for (number, line) in text.lines().enumerate().filter(|(_, line)| line.starts_with("    ")) {
        places.extend(line.rfind(|c: char| ('1'..='8').contains(&c)).map(|column| (number, column)));
        places.push((number, 6));
    }
    places
}

fn main() -> std::io::Result<()> {
    let workspace = generate::workspace(FORMULA_FILES + MORE_FILES, 0)?;
    let (ranges, others): (Vec<PathBuf>, Vec<PathBuf>) =
        workspace.files.iter().cloned().partition(|path| path.to_string_lossy().contains("range-"));
    let (kept, spare) = ranges.split_at(FORMULA_FILES);
    let long = kept.first().and_then(|path| path.parent()).unwrap_or(Path::new(".")).join("long.still");
    let text = long_text(spare)?;
    std::fs::write(&long, &text)?;
    let files: Vec<PathBuf> = others.iter().chain(kept).chain([&long]).cloned().collect();
    let order = BatchOrder::default();
    let mut whole = Duration::MAX;
    let mut formulas = 0;
    for _ in 0..ROUNDS {
        let start = Instant::now();
        let loaded = load(&Disk, &files, None);
        let report = check(&loaded.sources, &order, false);
        black_box(report.diagnostics.len());
        whole = whole.min(start.elapsed());
        formulas = report.formulas.len();
    }
    let (connection, server) = Connection::memory();
    let times = std::thread::scope(|scope| {
        let listed = &files;
        let serving = move || {
            let files_under = |_: &Path| listed.clone();
            serve(&server, &Surroundings { world: &Disk, files_under: &files_under, shelf: None })
        };
        scope.spawn(serving);
        let address = format!("file://{}", long.to_string_lossy());
        let mut client = Client { connection, address, version: 1 };
        let root = json!([{ "uri": "file:///", "name": "room" }]);
        let params = json!({ "capabilities": {}, "workspaceFolders": root });
        let begin = Request::new(1.into(), "initialize".to_string(), params);
        client.connection.sender.send(begin.into()).expect("it listens");
        let document = json!({ "uri": client.address, "languageId": "stillroom", "version": 1, "text": text });
        client.tell("textDocument/didOpen", json!({ "textDocument": document }));
        client.wait_for_diagnostics();
        let places = places(&text);
        let mut times = Vec::new();
        let mut strike = |client: &mut Client, at, taken, put: &str| times.push(client.strike(at, taken, put));
        let mut held = Vec::new();
        for round in 0..KEYS / 4 {
            if round % (KEYS / 16) == 0 {
                held.extend(resident());
            }
            let at = places[(round * 7919) % places.len()];
            // Something more, a slip, and both taken back: formulas that are sound, at fault, and open.
            strike(&mut client, at, 0, ["3", "x", "\n", "}"][round % 4]);
            strike(&mut client, at, 0, ["7", "y", " ", "{"][round % 4]);
            strike(&mut client, at, 1, "");
            match round % 4 {
                2 => {
                    let (line, column) = at;
                    client.version += 1;
                    let end = json!({ "line": line + 1, "character": 0 });
                    let range = json!({ "start": { "line": line, "character": column }, "end": end });
                    let document = json!({ "uri": client.address, "version": client.version });
                    let changes = json!([{ "range": range, "text": "" }]);
                    let change = json!({ "textDocument": document, "contentChanges": changes });
                    client.tell("textDocument/didChange", change);
                    client.wait_for_diagnostics();
                }
                _ => strike(&mut client, at, 1, ""),
            }
        }
        held.extend(resident());
        println!("The process holds {held:?} MB, from the first key to the last.");
        drop(client);
        times
    });
    report(formulas, &text, whole, times);
    Ok(())
}

fn report(formulas: usize, text: &str, whole: Duration, mut times: Vec<Duration>) {
    times.sort();
    let milliseconds = |time: Duration| time.as_secs_f64() * 1e3;
    let at = |percent: usize| times.get(times.len() * percent / 100).copied().unwrap_or_default();
    println!(
        "{formulas} formulas, {} keys in a file of {} lines: a whole check {:.1} ms",
        times.len(),
        text.lines().count(),
        milliseconds(whole)
    );
    for percent in [50, 90, 99] {
        let time = at(percent);
        println!(
            "{percent} of 100 keys have their diagnostics within {:.2} ms: {:.1} % of a whole check",
            milliseconds(time),
            100.0 * time.as_secs_f64() / whole.as_secs_f64()
        );
    }
}
