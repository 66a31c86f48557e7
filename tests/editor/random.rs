//! Edits at random over the protocol: after each, what the server has pushed equals a fresh check of the same texts, and
//! it goes on. More than a hundred rounds of up to four in an ordinary run; `STILLROOM_FUZZ=20000` makes as many. With `STILLROOM_MEMORY` set, the
//! memory that the process holds is printed on the way.

use crate::client::{Client, Files, ROOM, address};
use crate::texts::offset;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use stillroom::diagnostic::{Level, Span};
use stillroom::editor::End;
use stillroom::render::shown;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::workspace::load;

const NAMES: [&str; 6] = [
    "acid-gel.still",
    "lactic-serum.still",
    "lactic-serum-batches.still",
    "sensitive.still",
    "materials.still",
    "stocks.still",
];

/// What is put in at random.
const PIECES: [&str; 26] = [
    "}",
    "{",
    "\"",
    "#",
    "\n",
    " ",
    "9",
    "0.5 %",
    "q.s.",
    "water",
    "use \"stocks.still\"\n",
    "use \"gone.still\"\n",
    "é",
    "🧴",
    "\r\n",
    "phase z {\n",
    "hold back 5 %",
    "allow usage-over because \"…\"\n",
    "variant v of lactic-serum { version \"9\" }\n",
    "formula f { makes 10 g phase a { water q.s. } }\n",
    "let x = 3 %\n",
    "(",
    "1e999",
    "\u{202e}",
    "\t",
    "rule r { }\n",
];

/// Numbers at random, the same in every run.
struct Random(u64);

impl Random {
    fn below(&mut self, limit: usize) -> usize {
        // xorshift64, as Marsaglia gives it in "Xorshift RNGs", Journal of Statistical Software 8 (2003).
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 11).unwrap() % limit.max(1)
    }
}

/// A diagnostic as far as both sides say it alike: code, severity, range, message.
type Told = BTreeSet<(String, u64, String, String)>;

/// The position of an offset, in units of 16 bits.
fn position(text: &str, offset: u32) -> Value {
    let before = &text[..offset as usize];
    let line = before.rfind('\n').map_or(0, |at| at + 1);
    json!({ "line": before.matches('\n').count(), "character": before[line..].encode_utf16().count() })
}

/// What a fresh check of the same texts tells, by address.
fn fresh(texts: &BTreeMap<PathBuf, String>) -> BTreeMap<String, Told> {
    let world = Files::default();
    texts.iter().for_each(|(path, text)| world.write(path.to_str().unwrap(), text));
    let paths: Vec<PathBuf> = texts.keys().cloned().collect();
    let loaded = load(&world, &paths, None);
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let mut told: BTreeMap<String, Told> = BTreeMap::new();
    for fault in &report.diagnostics {
        let place = fault.primary.place;
        let Some(source) = loaded.sources.home(place.file) else { continue };
        let Span { start, end } = place.span;
        let range = json!({ "start": position(&source.text, start), "end": position(&source.text, end) });
        let severity = match fault.level {
            Level::Error => 1,
            Level::Warning => 2,
            Level::Note => 3,
        };
        let address = format!("file://{}", source.absolute.to_str().unwrap());
        let message = shown(&fault.message).into_owned();
        told.entry(address).or_default().insert((fault.code.to_string(), severity, range.to_string(), message));
    }
    told
}

/// What the server has pushed, by address.
fn pushed(client: &Client) -> BTreeMap<String, Told> {
    let one = |one: &Value| {
        let message = one["message"].as_str().unwrap().split('\n').next().unwrap().to_string();
        let code = one["code"].as_str().unwrap().to_string();
        (code, one["severity"].as_u64().unwrap(), one["range"].to_string(), message)
    };
    let told = client.pushed.iter().map(|(address, (_, found))| (address.clone(), found.iter().map(one).collect()));
    told.filter(|(_, told): &(String, Told)| !told.is_empty()).collect()
}

struct Bench {
    client: Client,
    files: Files,
    saved: BTreeMap<PathBuf, String>,
    open: BTreeMap<String, (i32, String)>,
    random: Random,
}

impl Bench {
    fn path(name: &str) -> PathBuf {
        Path::new(ROOM).join(name)
    }

    /// Every text as it counts: the open one before the saved one.
    fn texts(&self) -> BTreeMap<PathBuf, String> {
        let mut texts = self.saved.clone();
        texts.extend(self.open.iter().map(|(name, (_, text))| (Bench::path(name), text.clone())));
        texts
    }

    fn some_offset(&mut self, text: &str) -> usize {
        let mut at = self.random.below(text.len() + 1);
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    }

    /// One edit of an open document, sent as the stretch that changed.
    fn edit(&mut self, name: &str, original: &str) {
        let (version, text) = self.open[name].clone();
        if self.random.below(12) == 0 || text.len() > original.len() * 2 + 200 {
            self.client.change_whole(name, version + 1, original);
            self.open.insert(name.to_string(), (version + 1, original.to_string()));
            return;
        }
        let start = self.some_offset(&text);
        let mut end = start;
        if self.random.below(3) == 0 {
            let most = self.random.below(40);
            end = text[start..].char_indices().map(|(at, _)| start + at).take(most + 1).last().unwrap_or(start);
        }
        let put = match self.random.below(4) {
            0 => String::new(),
            1 => {
                let from = self.some_offset(&text);
                text[from..].chars().take(1 + self.random.below(30)).collect()
            }
            _ => PIECES[self.random.below(PIECES.len())].to_string(),
        };
        let position = |offset: usize| position(&text, u32::try_from(offset).unwrap());
        let range = json!({ "start": position(start), "end": position(end) });
        // Between the two halves of a line end there is no position: the client's own reading is what both go by.
        let (start, end) = (offset(&text, &range["start"]), offset(&text, &range["end"]));
        let (start, end) = (before_line_end(&text, start), before_line_end(&text, end));
        let mut now = text.clone();
        now.replace_range(start..end.max(start), &put);
        self.client.change(name, version + 1, json!([{ "range": range, "text": put }]));
        self.open.insert(name.to_string(), (version + 1, now));
    }

    /// Something that happens to a file beside an edit.
    fn happen(&mut self, originals: &BTreeMap<&str, String>) {
        let name = NAMES[self.random.below(NAMES.len())];
        let changed = |typ: u8| json!({ "changes": [{ "uri": address(name), "type": typ }] });
        match self.random.below(4) {
            0 if self.open.contains_key(name) => {
                self.client.tell("textDocument/didClose", json!({ "textDocument": { "uri": address(name) } }));
                self.open.remove(name);
            }
            0 => {
                let text = self.saved.get(&Bench::path(name)).cloned().unwrap_or_default();
                self.client.open_document(name, &text);
                self.open.insert(name.to_string(), (1, text));
            }
            1 if self.saved.contains_key(&Bench::path(name)) => {
                self.files.remove(name);
                self.saved.remove(&Bench::path(name));
                self.client.tell("workspace/didChangeWatchedFiles", changed(3));
            }
            _ => {
                let is_new = !self.saved.contains_key(&Bench::path(name));
                let text = originals[name].replace("5 %", &format!("{} %", 1 + self.random.below(9)));
                self.files.write(name, &text);
                self.saved.insert(Bench::path(name), text);
                self.client.tell("workspace/didChangeWatchedFiles", changed(if is_new { 1 } else { 2 }));
            }
        }
    }
}

/// An offset within a line end of two letters is that line end.
fn before_line_end(text: &str, offset: usize) -> usize {
    if text[..offset].ends_with('\r') && text[offset..].starts_with('\n') { offset - 1 } else { offset }
}

/// The memory that this process holds, in MB; none where the system does not tell.
fn resident() -> Option<usize> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmRSS"))?;
    line.split_whitespace().nth(1)?.parse::<usize>().ok().map(|kilobytes| kilobytes / 1024)
}

#[test]
fn what_is_pushed_is_what_a_fresh_check_tells() {
    let edits = std::env::var("STILLROOM_FUZZ").ok().and_then(|count| count.parse().ok()).unwrap_or(120usize);
    let tells_memory = std::env::var_os("STILLROOM_MEMORY").is_some();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let originals: BTreeMap<&str, String> =
        NAMES.iter().map(|name| (*name, std::fs::read_to_string(folder.join(name)).unwrap())).collect();
    let files = Files::new(originals.iter().map(|(name, text)| (*name, text.as_str())));
    let saved = originals.iter().map(|(name, text)| (Bench::path(name), text.clone())).collect();
    let client = Client::open(&files);
    let mut bench = Bench { client, files, saved, open: BTreeMap::new(), random: Random(0x5711_1200) };
    for (name, text) in originals.iter().take(3) {
        bench.client.open_document(name, text);
        bench.open.insert((*name).to_string(), (1, text.clone()));
    }
    for round in 0..edits {
        // Several at once, as a burst of keys is.
        for _ in 0..=bench.random.below(3) {
            let open: Vec<String> = bench.open.keys().cloned().collect();
            if open.is_empty() || bench.random.below(12) == 0 {
                bench.happen(&originals);
            } else {
                let name = open[bench.random.below(open.len())].clone();
                bench.edit(&name, &originals[name.as_str()]);
            }
        }
        bench.client.settle();
        let texts = bench.texts();
        assert_eq!(pushed(&bench.client), fresh(&texts), "round {round}: {texts:#?}");
        for (name, (version, _)) in &bench.open {
            let told = bench.client.pushed[&address(name)].0;
            assert_eq!(told, Some(i64::from(*version)), "round {round}: {name}");
        }
        bench.client.told.clear();
        if tells_memory && (round % 1000 == 0 || round + 1 == edits) {
            eprintln!("after {round} rounds the process holds {:?} MB", resident());
        }
    }
    assert_eq!(bench.client.close(), End::Asked);
}
