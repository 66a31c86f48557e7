//! Nothing of a file, a path or an argument reaches a terminal raw, and nothing of it is Markdown, HTML or a link:
//! every text of a formula, its materials and its batches holds everything that could do harm, and goes through every
//! command in every format.
//!
//! Controls of direction: Unicode Standard Annex 9; HTML, links and pictures: CommonMark 0.31.2, by `pulldown-cmark`.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common;
use crate::common::repository::{Repository, run_in};
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};
use serde_json::Value;

/// Every control character but the line feed, which the language writes as `\n`; every control of direction; separators
/// and characters of no width.
fn unseen() -> Vec<char> {
    // A nought is left to the tests of the function: no argument can hold one.
    let controls = (1..=0x1f).chain(0x7f..=0x9f).map(|code| char::from_u32(code).unwrap());
    let more = "\u{61c}\u{200e}\u{200f}\u{202a}\u{202b}\u{202c}\u{202d}\u{202e}\u{2066}\u{2067}\u{2068}\u{2069}\
                \u{2028}\u{2029}\u{200b}\u{2060}\u{feff}\u{ad}\u{e0041}";
    controls.chain(more.chars()).collect()
}

/// A text with all of that, and with what Markdown and HTML would take for their own.
fn hostile() -> String {
    let unseen: String = unseen().into_iter().collect();
    format!(
        "+ {unseen}a|b\\|c <script>alert(1)</script> [x](javascript:alert(2)) ![p](https://p.example) [y][z] \
         <https://l.example> `code` **bold** __bold__ ~~gone~~ &lt; <!-- hidden --> \"said\" \\"
    )
}

/// The same as a text of the language.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', "\\n"))
}

/// The same as it is shown within a line.
fn visible(text: &str) -> String {
    let show = |letter: char| match letter {
        '\n' => "\\n".to_string(),
        '\t' => "\\t".to_string(),
        letter if unseen().contains(&letter) => format!("\\u{{{:x}}}", u32::from(letter)),
        letter => letter.to_string(),
    };
    text.chars().map(show).collect()
}

const NAME: &str = "f\u{1b}[31m\u{202e}\n|<b>_x_.still";
const OTHER: &str = "g\u{9b}2J\u{2066}\r`.still";
const BROKEN: &str = "h\u{8}.still";

fn formula(text: &str) -> String {
    let text = quoted(text);
    format!(
        "use shelf/all\n\nmaterial goo {{\n  name {text}\n  contains glycerin 50 %, water remainder\n  \
         role humectant\n  use up to 3 %\n  supplier {text}\n  note {text}\n  caution {text}\n  source {text}\n}}\n\n\
         rule house {{\n  limit glycerin to 1 %\n  level warning\n  because {text}\n  source {text}\n}}\n\n\
         formula gel {{\n  title {text}\n  version {text}\n  product leave-on face\n  makes 100 g\n  scale 0.01 g\n  \
         pH 5.0 to 5.6\n  function {text}\n  directions {text}\n  warning {text}\n  phase A {text} {{\n    \
         water q.s. hold back 5 %\n    goo 6 % because {text}\n    citric-acid-10 q.s. to pH\n    \
         phenoxyethanol-ethylhexylglycerin 1 %\n    sodium-lactate-60 3 %\n  }}\n  steps {{\n    \"Stir {{goo}} in.\"\n    {text}\n  }}\n  \
         allow usage-over because {text}\n}}\n\n\
         variant gel-two of gel {{\n  title {text}\n  version {text}\n  set goo 2 % because {text}\n}}\n"
    )
}

fn batches(text: &str) -> String {
    let text = quoted(text);
    let batch = |name: &str, end: &str| {
        format!(
            "\nbatch {name} {{\n  formula gel version {text}\n  started 2026-11-14\n  size 100 g\n  \
             lot water {text}\n  lot goo {text}\n  weighed water 80 g by {text}\n  weighed goo 6.5 g by {text}\n  \
             reading pH 6.2\n  added citric-acid-10 1 g because {text} by {text}\n  removed 1 g because {text}\n  reading pH 5.3\n  \
             weighed phenoxyethanol-ethylhexylglycerin 1 g\n  note {text}\n  yield 80 g\n  filled 2 x 40 g as {text}\n  \
             observed {text}\n{end}}}\n"
        )
    };
    batch("b-1", &format!("  sold 1 to {text}\n  complaint {text}\n  rejected because {text}\n"))
        + &batch("b-2", "").replace("  lot goo ", "  lot glycerin ")
}

/// A history of two versions, both on disk, and a file that does not parse.
fn workshop() -> Repository {
    let folder = Repository::new();
    folder.write(NAME, &(formula(&format!("{} before", hostile())) + &batches(&hostile())));
    folder.commit(&format!("first {}", hostile()));
    folder.write(NAME, &(formula(&hostile()) + &batches(&hostile())));
    folder.write(OTHER, &formula(&format!("{} after", hostile())));
    folder.commit("second");
    let unseen: String = unseen().into_iter().collect();
    folder.write(
        BROKEN,
        &format!(
            "use \"no{unseen}.still\"\nformula x {{\n  title {}\n  wat{unseen}er 5 %\n  phase A {{\n    \
             unknown-thing 5,0 %  because {}\n  }}\n}}\n",
            quoted(&hostile()),
            quoted(&hostile())
        ),
    );
    folder
}

/// What must be in no output.
fn nothing_raw(arguments: &[&str], out: &str) {
    for line in out.split('\n') {
        let raw = line.chars().find(|letter| *letter != '\t' && unseen().contains(letter));
        assert!(raw.is_none(), "{arguments:?}: {raw:?} in {line:?}");
    }
}

/// The text of a document, which must have no HTML, link or picture in it, and whole rows in every table.
fn read_markdown(arguments: &[&str], out: &str) -> String {
    let mut text = String::new();
    let mut cells = 0;
    let parser =
        Parser::new_ext(out, Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH | Options::ENABLE_TASKLISTS);
    for (event, range) in parser.into_offset_iter() {
        match event {
            Event::Html(html) | Event::InlineHtml(html) => panic!("{arguments:?}: HTML {html:?}"),
            Event::Start(Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. }) => {
                panic!("{arguments:?}: a link to {dest_url:?}")
            }
            Event::Start(Tag::Strikethrough | Tag::Emphasis | Tag::CodeBlock(_) | Tag::BlockQuote(_)) => {
                panic!("{arguments:?}: {event:?} at {:?}", &out[range])
            }
            Event::Start(Tag::TableHead) => cells = pipes(&out[range]),
            Event::Start(Tag::TableRow) => {
                assert_eq!(pipes(&out[range.clone()]), cells, "{arguments:?}: {:?}", &out[range])
            }
            Event::Text(words) | Event::Code(words) => text.push_str(&words),
            Event::SoftBreak | Event::HardBreak | Event::End(TagEnd::Paragraph | TagEnd::Item | TagEnd::TableCell) => {
                text.push('\n');
            }
            _ => {}
        }
    }
    text
}

/// The pipes of a row that end cells: those without a backslash that is not itself escaped.
fn pipes(row: &str) -> usize {
    let mut escaped = false;
    let mut count = 0;
    for letter in row.trim_end().chars() {
        count += usize::from(letter == '|' && !escaped);
        escaped = letter == '\\' && !escaped;
    }
    count
}

/// Whether a text stands somewhere in JSON, as that very text.
fn holds(value: &Value, wanted: &str) -> bool {
    match value {
        Value::String(text) => text.contains(wanted),
        Value::Array(all) => all.iter().any(|one| holds(one, wanted)),
        Value::Object(all) => all.values().any(|one| holds(one, wanted)),
        _ => false,
    }
}

/// Every command in every format, on files that are full of it.
#[test]
fn no_command_lets_a_text_of_a_file_through() {
    let folder = workshop();
    let hostile = hostile();
    let mut runs: Vec<(Vec<&str>, &str, bool)> = Vec::new();
    for format in ["human", "json", "sarif", "github"] {
        for file in [NAME, OTHER, BROKEN, "."] {
            runs.push((vec!["check", file, "--format", format], format, format != "human"));
        }
    }
    runs.push((vec!["check", NAME, "--strict", "--since", "HEAD~1"], "human", false));
    for format in ["markdown", "json", "text"] {
        runs.push((vec!["sheet", NAME, "--format", format], format, true));
        runs.push((vec!["diff", NAME, OTHER, "--format", format], format, true));
        runs.push((vec!["diff", NAME, "--since", "HEAD~1", "--format", format], format, true));
        runs.push((vec!["diff", NAME, "--to", "gel-two", "--format", format], format, true));
        runs.push((vec!["diff", NAME, "--to", "b-1", "--format", format], format, false));
        runs.push((vec!["log", NAME, "--format", format], format, true));
        for name in ["goo", "water", "glycerin", "pH", "batch"] {
            runs.push((vec!["why", NAME, name, "--format", format], format, false));
        }
    }
    for format in ["markdown", "json"] {
        runs.push((vec!["sheet", NAME, "--record", "b-1", "--format", format], format, true));
        runs.push((vec!["trace", "goo", NAME, "--format", format], format, true));
        runs.push((vec!["trace", hostile.as_str(), NAME, "--format", format], format, true));
        runs.push((vec!["trace", "--compare", NAME, "--format", format], format, true));
    }
    for format in ["text", "json"] {
        runs.push((vec!["bench", NAME, "--format", format], format, format == "json"));
    }
    for format in ["text", "json", "svg", "csv"] {
        runs.push((vec!["ph", NAME, "--formula", "gel", "--format", format], format, false));
    }
    for arguments in [
        &["fmt", "--check", NAME, OTHER, BROKEN][..],
        &["fmt", "--diff", NAME, OTHER, BROKEN],
        &["check", BROKEN, "--fix", "--dry-run"],
        &["check", NAME, "--fix", "--dry-run"],
    ] {
        runs.push((arguments.to_vec(), "lines", false));
    }
    for (arguments, format, speaks) in &runs {
        let (code, out, err) = run_in(&folder.path(), arguments);
        assert!(code == 0 || code == 1, "{arguments:?}: {code} {err}");
        nothing_raw(arguments, &out);
        nothing_raw(arguments, &err);
        match *format {
            "json" | "sarif" => {
                let json: Value = serde_json::from_str(&out).unwrap_or_else(|error| panic!("{arguments:?}: {error}"));
                assert!(!speaks || *format == "sarif" || holds(&json, &hostile) || arguments[0] == "check", "{out}");
            }
            "markdown" => {
                let text = read_markdown(arguments, &out);
                assert!(!speaks || text.contains(&visible(&hostile)), "{arguments:?}: {text}");
            }
            "github" => assert!(out.lines().all(|line| line.starts_with("::")), "{out}"),
            "text" => assert!(!speaks || out.contains(&visible(&hostile)) || out.contains("\\u{202e}"), "{out}"),
            _ => {}
        }
    }
}

/// What is shown of a file that does not parse, and where: columns are those of the file.
#[test]
fn a_message_points_at_the_place_in_the_text_that_is_shown() {
    let folder = common::folder(&[("a.still", "formula x {\n  \u{202e}\u{1b}[2Jtitle 5\n}\n".as_bytes())]);
    for (arguments, place) in [(&["check", "a.still"][..], " a.still:2:"), (&["check", "-v", "a.still"], "[a.still:2:")]
    {
        let (_, out, _) = run_in(folder.dir.path(), arguments);
        nothing_raw(&["check"], &out);
        assert!(out.contains("\\u{202e}\\u{1b}[2Jtitle 5"), "{out}");
        assert!(out.contains(place), "{out}");
    }
}

/// On a terminal the drawing library colours its own signs; of the file, nothing comes through all the same.
#[test]
fn colours_are_the_drawing_librarys_alone() {
    let folder = common::folder(&[("a.still", "formula x {\n  ti\u{1b}[31mtle \u{202e} 5\n}\n".as_bytes())]);
    let loaded = folder.load();
    let report = stillroom::session::check(&loaded.sources, &stillroom::sheet::BatchOrder::default(), false);
    let look = stillroom::render::Style { colour: true, width: 100 };
    let drawn = stillroom::render::human(&loaded.sources, &report.diagnostics, look);
    assert!(drawn.as_str().contains("\u{1b}[") && drawn.as_str().contains("\\u{1b}[31m"), "{drawn:?}");
    let mut plain = String::new();
    for (number, part) in drawn.as_str().split("\u{1b}[").enumerate() {
        plain.push_str(if number == 0 { part } else { part.split_once('m').expect("a colour").1 });
    }
    nothing_raw(&["human"], &plain);
}

/// Files that are written are read by people too; a text that is piped through is not.
#[test]
fn a_file_written_is_fit_to_be_read_and_a_pipe_is_true() {
    let folder = workshop();
    for (format, name) in [("markdown", "sheet.md"), ("text", "sheet.txt"), ("json", "sheet.json")] {
        let arguments = ["sheet", NAME, "--formula", "gel", "--format", format, "--out", name];
        let (code, _, err) = run_in(&folder.path(), &arguments);
        assert_eq!(code, 0, "{err}");
        nothing_raw(&arguments, &std::fs::read_to_string(folder.path().join(name)).unwrap());
    }
    let laid_out = stillroom::syntax::format(&formula(&hostile()));
    let (out, _) = common::gel::fed(&formula(&hostile()), &["fmt", "-"]);
    assert_eq!(out, laid_out);
    assert!(out.contains(&quoted(&hostile())), "{out:?}");
}

/// The writing commands, which confirm what was done in words of the file.
#[test]
fn what_is_confirmed_is_shown_too() {
    let folder = workshop();
    let said = hostile();
    let note = format!("note {}", quoted(&said));
    for arguments in [
        &["record", NAME, "--batch", "b-2", "note", said.as_str()][..],
        &["record", NAME, "--batch", "b-2", "--by", said.as_str(), note.as_str()],
        &["record", NAME, "--batch", "b-2", "lot", said.as_str(), said.as_str()],
        &["record", "new\u{202e}.still", "--new", "b-3", "--formula", "gel", "--from", NAME, "--on", "2026-11-25"],
        &["fmt", NAME, OTHER, BROKEN],
        &["check", NAME, BROKEN, "--fix"],
        &["new", "made\u{1b}[2J\u{202e}\n"],
    ] {
        let (_, out, err) = run_in(&folder.path(), arguments);
        assert!(!out.is_empty() || !err.is_empty());
        nothing_raw(arguments, &out);
        nothing_raw(arguments, &err);
    }
    let text = std::fs::read_to_string(folder.path().join(NAME)).unwrap();
    assert!(text.contains(&quoted(&said.replace('\r', "\n"))), "the record keeps what was said");
}

/// Arguments and paths that lead nowhere are told of without being let through, each failure in a line.
#[test]
fn a_failure_shows_what_it_was_given() {
    let folder = workshop();
    let evil = "no\u{1b}[2J\u{202e}\u{9b}\nForged: all is well.\r";
    for arguments in [
        &["check", evil][..],
        &["sheet", evil],
        &["sheet", NAME, "--formula", evil],
        &["sheet", NAME, "--batch", evil],
        &["sheet", NAME, "--scale", evil],
        &["sheet", NAME, "--on", evil],
        &["sheet", NAME, "--record", evil],
        &["sheet", NAME, "--formula", "gel", "--out", "nowhere\n\u{202e}/x"],
        &["ph", evil],
        &["ph", NAME, "--formula", evil],
        &["why", NAME, evil],
        &["why", evil, "water"],
        &["bench", evil],
        &["bench", NAME, "--batch", evil],
        &["bench", NAME, "--back-with", evil],
        &["trace", evil],
        &["trace", "goo", evil],
        &["trace", "--compare", evil],
        &["diff", evil, NAME],
        &["diff", NAME, "--since", evil],
        &["diff", evil, "--since", "HEAD"],
        &["diff", NAME, "--to", evil],
        &["diff", NAME, OTHER, "--formula", evil],
        &["diff", NAME, OTHER, "--batch", evil],
        &["log", evil],
        &["log", NAME, "--formula", evil],
        &["fmt", evil],
        &["shelf", evil],
        &["shelf", evil, "x"],
        &["explain", evil],
        &["new", NAME],
        &["record", evil, "note", "x"],
        &["record", NAME, "note", "x"],
        &["record", NAME, "--batch", evil, "note", "x"],
        &["record", NAME, "--batch", "b-2", evil],
        &["record", NAME, "--batch", "b-2", "--at", evil, "released"],
        &["record", NAME, "--new", evil, "--formula", "gel"],
        &["record", NAME, "--new", "b-9", "--formula", evil],
        &["record", NAME, "--new", "b-9", "--formula", "gel", "--from", evil],
        &["record", NAME, "--new", "b-9", "--formula", "gel", "--size", evil],
        &["check", "--format", evil],
        &[evil],
    ] {
        let (code, out, err) = run_in(&folder.path(), arguments);
        // What leads nothing back is said, and is no failure.
        assert!(code != 0 || arguments.contains(&"--back-with"), "{arguments:?}");
        nothing_raw(arguments, &out);
        nothing_raw(arguments, &err);
        assert!(!err.lines().chain(out.lines()).any(|line| line.starts_with("Forged")), "{arguments:?}: {err}");
    }
}
