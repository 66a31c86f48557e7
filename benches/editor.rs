//! From a keystroke to its diagnostics: a client types into a file of two thousand lines, in a workspace of a thousand
//! formulas, and waits for what is pushed of it; the median and the 99th percentile, beside a whole check of the same
//! workspace in the same run. Then the same where each formula has a file of its own, and, as a bound, keys in the file of
//! materials that all of them use. `cargo bench --bench editor`. Nothing is asserted about time; the aim is 16 ms at the
//! 99th percentile, a picture of a screen that shows sixty in a second.

#![allow(clippy::disallowed_methods, reason = "a benchmark reads files of its own")]

mod generate;

use lsp_server::{Connection, Message, Notification, Request};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use stillroom::editor::complete::{Within, place_of};
use stillroom::editor::{Surroundings, serve};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::survey::{Expectations, lexemes};
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
        let end = json!({ "line": line, "character": column + taken });
        self.put(json!({ "line": line, "character": column }), end, put)
    }

    /// Puts a text in the place of a range, and waits for what is pushed.
    fn put(&mut self, start: Value, end: Value, put: &str) -> Duration {
        self.version += 1;
        let range = json!({ "start": start, "end": end });
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

/// Where the figures of materials stand.
fn figures(text: &str) -> Vec<(usize, usize)> {
    let lines = text.lines().enumerate().filter(|(_, line)| line.starts_with("  "));
    lines.filter_map(|(number, line)| Some((number, line.rfind(|c: char| ('1'..='8').contains(&c))?))).collect()
}

/// A workroom in which keys are struck in one file.
struct Room {
    name: &'static str,
    files: Vec<PathBuf>,
    /// The file that is typed into.
    typed: PathBuf,
    places: fn(&str) -> Vec<(usize, usize)>,
    keys: usize,
}

/// The same formulas with a file for each: what those of one file share stays in the file that they come from.
fn one_by_one(files: &[PathBuf]) -> std::io::Result<Vec<PathBuf>> {
    let mut all = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(file)?;
        let (Some(folder), Some(stem)) = (file.parent(), file.file_stem()) else { continue };
        let stem = stem.to_string_lossy();
        let mut blocks = text.split_inclusive("\n}\n");
        // What the file uses, its figures, and its stock.
        let shared = folder.join(format!("shared-{stem}.still"));
        std::fs::write(&shared, blocks.next().unwrap_or_default())?;
        let mut homes: Vec<(String, String)> = Vec::new();
        for (number, block) in blocks.enumerate() {
            let name = format!("{stem}-{number:02}.still");
            let opening = block.lines().find(|line| line.starts_with("formula ") || line.starts_with("variant "));
            let mut words = opening.unwrap_or_default().split_whitespace().skip(1);
            let (own, base) = (words.next().unwrap_or_default(), words.nth(1).unwrap_or_default());
            let of = homes.iter().find(|(formula, _)| formula == base).map(|(_, home)| format!("use \"{home}\"\n"));
            let text = format!("use \"shared-{stem}.still\"\n{}\n{}", of.unwrap_or_default(), block.trim_start());
            std::fs::write(folder.join(&name), text)?;
            all.push(folder.join(&name));
            homes.push((own.to_string(), name));
        }
        all.push(shared);
    }
    Ok(all)
}

fn main() -> std::io::Result<()> {
    first_completions()?;
    let workspace = generate::workspace(FORMULA_FILES + MORE_FILES, 0)?;
    let (ranges, others): (Vec<PathBuf>, Vec<PathBuf>) =
        workspace.files.iter().cloned().partition(|path| path.to_string_lossy().contains("range-"));
    let (kept, spare) = ranges.split_at(FORMULA_FILES);
    let folder = kept.first().and_then(|path| path.parent()).unwrap_or(Path::new("."));
    let long = folder.join("long.still");
    std::fs::write(&long, long_text(spare)?)?;
    let with_long =
        |files: &[PathBuf]| -> Vec<PathBuf> { others.iter().chain(files).chain([&long]).cloned().collect() };
    let room = |name, files, typed: &Path, places, keys| Room { name, files, typed: typed.to_path_buf(), places, keys };
    strike_in(&room("files of twenty formulas", with_long(kept), &long, places, KEYS))?;
    strike_in(&room("a file for each formula", with_long(&one_by_one(kept)?), &long, places, KEYS))?;
    let materials = folder.join("materials.still");
    strike_in(&room(
        "files of twenty formulas, keys among the materials",
        with_long(kept),
        &materials,
        figures,
        KEYS / 10,
    ))
}

/// How long it takes at most to find out what may follow, at places of a kind that nobody has asked about before: before
/// each word of the examples.
fn first_completions() -> std::io::Result<()> {
    let expectations = Expectations::default();
    let mut slowest: Vec<(Duration, String)> = Vec::new();
    for entry in std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("examples"))? {
        let path = entry?.path();
        if path.extension().is_none_or(|extension| extension != "still") {
            continue;
        }
        let text = std::fs::read_to_string(&path)?;
        let starts = lexemes(&text).into_iter().map(|lexeme| lexeme.start);
        for place in starts.map(|start| place_of(&text, start)).filter(|place| place.within == Within::Statement) {
            let start = Instant::now();
            black_box(expectations.after(place.context, place.before));
            slowest.push((start.elapsed(), format!("{:?}: `{}`", place.context, place.before)));
        }
    }
    slowest.sort_by(|one, other| other.cmp(one));
    println!("\nWhat may follow, asked for the first time at a kind of place:");
    for (time, place) in slowest.iter().take(5) {
        println!("{:.1} ms at {place}", time.as_secs_f64() * 1e3);
    }
    Ok(())
}

fn strike_in(room: &Room) -> std::io::Result<()> {
    let files = &room.files;
    let text = std::fs::read_to_string(&room.typed)?;
    let order = BatchOrder::default();
    let mut whole = Duration::MAX;
    let mut formulas = 0;
    for _ in 0..ROUNDS {
        let start = Instant::now();
        let loaded = load(&Disk, files, None);
        let report = check(&loaded.sources, &order, false);
        black_box(report.diagnostics.len());
        whole = whole.min(start.elapsed());
        formulas = report.formulas.len();
    }
    let (connection, server) = Connection::memory();
    let times = std::thread::scope(|scope| {
        let serving = move || {
            let files_under = |_: &Path| files.clone();
            serve(&server, &Surroundings { world: &Disk, files_under: &files_under, shelf: None })
        };
        scope.spawn(serving);
        let address = format!("file://{}", room.typed.to_string_lossy());
        let mut client = Client { connection, address, version: 1 };
        let root = json!([{ "uri": "file:///", "name": "room" }]);
        let params = json!({ "capabilities": {}, "workspaceFolders": root });
        let begin = Request::new(1.into(), "initialize".to_string(), params);
        client.connection.sender.send(begin.into()).expect("it listens");
        let document = json!({ "uri": client.address, "languageId": "stillroom", "version": 1, "text": text });
        client.tell("textDocument/didOpen", json!({ "textDocument": document }));
        client.wait_for_diagnostics();
        let times = keys(&mut client, &(room.places)(&text), room.keys);
        drop(client);
        times
    });
    println!("\n{}: {} files", room.name, files.len());
    report(formulas, &text, whole, times);
    Ok(())
}

/// How long the diagnostics of a key took, and which kind of key it was.
type Struck = (Duration, &'static str);

/// What is struck: something more, a slip, a line end and a brace; two keys of each, and both taken back.
const STROKES: [([&str; 2], &str); 4] =
    [(["3", "7"], "a figure"), (["x", "y"], "a letter"), (["\n", " "], "a line end"), (["}", "{"], "a brace")];

/// Strikes so many keys at some places, and gives how long the diagnostics of each took.
fn keys(client: &mut Client, places: &[(usize, usize)], keys: usize) -> Vec<Struck> {
    let mut times = Vec::new();
    let mut held = Vec::new();
    for round in 0..keys / 4 {
        if round % (keys / 16) == 0 {
            held.extend(resident());
        }
        let at = places[(round * 7919) % places.len()];
        // Formulas that are sound, at fault, and open.
        let ([first, second], kind) = STROKES[round % STROKES.len()];
        times.push((client.strike(at, 0, first), kind));
        times.push((client.strike(at, 0, second), kind));
        times.push((client.strike(at, 1, ""), kind));
        let (line, column) = at;
        let back = if first == "\n" {
            let (start, end) =
                (json!({ "line": line, "character": column }), json!({ "line": line + 1, "character": 0 }));
            client.put(start, end, "")
        } else {
            client.strike(at, 1, "")
        };
        times.push((back, kind));
    }
    held.extend(resident());
    println!("The process holds {held:?} MB, from the first key to the last.");
    times
}

fn at(percent: usize, times: &[Duration]) -> Duration {
    times.get(times.len() * percent / 100).copied().unwrap_or_default()
}

fn report(formulas: usize, text: &str, whole: Duration, struck: Vec<Struck>) {
    let milliseconds = |time: Duration| time.as_secs_f64() * 1e3;
    for (_, kind) in STROKES {
        let mut times: Vec<Duration> = struck.iter().filter(|(_, one)| *one == kind).map(|(time, _)| *time).collect();
        times.sort();
        let [half, most] = [50, 99].map(|percent| milliseconds(at(percent, &times)));
        println!("{kind}, and back: median {half:.2} ms, 99 of 100 within {most:.2} ms");
    }
    let mut times: Vec<Duration> = struck.into_iter().map(|(time, _)| time).collect();
    times.sort();
    println!(
        "{formulas} formulas, {} keys in a file of {} lines: a whole check {:.1} ms",
        times.len(),
        text.lines().count(),
        milliseconds(whole)
    );
    for percent in [50, 90, 99] {
        let time = at(percent, &times);
        println!(
            "{percent} of 100 keys have their diagnostics within {:.2} ms: {:.1} % of a whole check",
            milliseconds(time),
            100.0 * time.as_secs_f64() / whole.as_secs_f64()
        );
    }
}
