//! Whatever the program prints or writes, of whatever command in whatever format, ends in the end of a line.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::{Folder, folder};
use assert_cmd::Command;
use std::fs;
use std::path::Path;
use stillroom::diagnostic::CATALOGUE;

/// Every command with each of its formats, answered and refused. `{name}` stands for each format in turn.
const TABLE: &[(&str, &[&str])] = &[
    ("", &[]),
    ("--help", &[]),
    ("--version", &[]),
    ("nonsense", &[]),
    ("check acid-gel.still", &["human", "json", "sarif", "github"]),
    ("check wrong.still", &["human", "json", "sarif", "github"]),
    ("check open.still", &["human", "json", "sarif", "github"]),
    ("check gone.still", &["human", "json", "sarif", "github"]),
    ("check slip.still --fix --dry-run", &[]),
    ("check slip.still --fix", &[]),
    ("sheet acid-gel.still", &["markdown", "json", "text", "html"]),
    ("sheet wrong.still", &["markdown", "json", "text", "html"]),
    ("sheet acid-gel-batches.still --record ag-1114", &["markdown", "json"]),
    ("sheet acid-gel-batches.still --record nobody", &["markdown", "json"]),
    ("card acid-gel.still", &["svg"]),
    ("card acid-gel.still --without-figures", &["svg"]),
    ("card wrong.still", &["svg", "png"]),
    ("diff acid-gel.still serum.still --formula acid-gel", &["text", "markdown", "json"]),
    ("diff acid-gel.still acid-gel.still", &["text", "markdown", "json"]),
    ("diff acid-gel.still --since HEAD", &["text"]),
    ("log acid-gel.still", &["text", "markdown", "json"]),
    ("why acid-gel.still water", &["text", "json"]),
    ("why acid-gel.still pH", &["text", "json"]),
    ("why acid-gel.still unicorn", &["text", "json"]),
    ("ph acid-gel.still", &["text", "json", "svg", "csv"]),
    ("ph wrong.still", &["text", "json", "svg", "csv"]),
    ("bench acid-gel-batches.still", &["text", "json"]),
    ("bench record.still", &["text", "json"]),
    ("book acid-gel.still --out book", &[]),
    ("book acid-gel.still --out .", &[]),
    ("book wrong.still --out wrong-book", &[]),
    ("book - --out book", &[]),
    ("trace water acid-gel-batches.still", &["markdown", "json"]),
    ("trace water acid-gel-batches.still --compare", &["markdown", "json"]),
    ("trace unicorn acid-gel-batches.still", &["markdown", "json"]),
    ("record record.still note said", &[]),
    ("record record.still struck note said because twice", &[]),
    ("record record.still struck note unsaid because twice", &[]),
    ("record record.still", &[]),
    ("record gone.still released", &[]),
    ("record new.still --new b --formula acid-gel --from acid-gel.still", &[]),
    ("fmt --check untidy.still", &[]),
    ("fmt --diff untidy.still", &[]),
    ("fmt -", &[]),
    ("fmt open.still", &[]),
    ("shelf", &["text", "json"]),
    ("shelf glycerin", &["text", "json"]),
    ("shelf unicorn", &["text", "json"]),
    ("explain", &[]),
    ("explain nonsense", &[]),
    ("new bench", &[]),
    ("open --no-browser --until-eof", &[]),
    ("open acid-gel.still --no-browser --until-eof", &[]),
    ("open nowhere --no-browser --until-eof", &[]),
    ("lsp nonsense", &[]),
    ("completions bash", &[]),
    ("completions chalk", &[]),
    ("man", &[]),
    ("man check", &[]),
    ("man chek", &[]),
    ("check - --watch", &[]),
    ("new bench", &[]),
    ("new cream --kind cream", &[]),
    ("new brought --from acid-gel.still", &[]),
    ("new brought --from gone.csv", &[]),
];

fn workshop() -> Folder {
    let example = |name: &str| fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)).unwrap();
    folder(&[
        ("acid-gel.still", &example("acid-gel.still")),
        ("acid-gel-batches.still", &example("acid-gel-batches.still")),
        ("serum.still", &example("lactic-serum.still")),
        ("stocks.still", &example("stocks.still")),
        ("materials.still", &example("materials.still")),
        ("untidy.still", b"material  m{contains water 100%}"),
        ("wrong.still", b"formula f {\n  makes 3 gramms\n}"),
        ("slip.still", b"let a = 3 grams"),
        ("open.still", b"formula f {\n  title \"not closed"),
        ("record.still", b"batch b {\n}"),
    ])
}

/// What stands in a stream or a file ends so, where anything does.
fn ends(bytes: &[u8]) -> bool {
    bytes.is_empty() || bytes.ends_with(b"\n")
}

fn run(folder: &Folder, words: &[&str]) -> usize {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output = command.current_dir(folder.dir.path()).args(words).write_stdin("let a  = 3").output().unwrap();
    let shown = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    assert!(ends(&output.stdout), "{words:?}: {}", shown(&output.stdout));
    assert!(ends(&output.stderr), "{words:?}: {}", shown(&output.stderr));
    output.stdout.len() + output.stderr.len()
}

#[test]
fn every_text_ends_in_the_end_of_a_line() {
    let folder = workshop();
    for (words, formats) in TABLE {
        let words: Vec<&str> = words.split(' ').filter(|word| !word.is_empty()).collect();
        let mut printed = 0;
        for format in *formats {
            printed += run(&folder, &[&words[..], &["--format", format]].concat());
        }
        if formats.is_empty() {
            printed += run(&folder, &words);
        }
        // `fmt` lays out a file and says nothing; a check that finds nothing has nothing to say but as data.
        assert!(printed > 0, "{words:?} prints nothing at all");
    }
    for entry in CATALOGUE {
        assert!(run(&folder, &["explain", entry.name]) > 0);
    }
}

#[test]
fn every_file_that_is_written_ends_so() {
    let folder = workshop();
    for (command, format) in [
        ("sheet acid-gel.still", "markdown"),
        ("sheet acid-gel.still", "json"),
        ("sheet acid-gel.still", "text"),
        ("sheet acid-gel-batches.still --record ag-1114", "markdown"),
        ("sheet acid-gel-batches.still --record ag-1114", "json"),
    ] {
        let words: Vec<&str> = command.split(' ').collect();
        run(&folder, &[&words[..], &["--format", format, "--out", "out.txt"]].concat());
        let text = fs::read(folder.dir.path().join("out.txt")).unwrap();
        assert!(!text.is_empty() && ends(&text), "{command} {format}");
        fs::remove_file(folder.dir.path().join("out.txt")).unwrap();
    }
    for words in [
        &["fmt", "untidy.still"][..],
        &["check", "untidy.still", "--fix"],
        &["record", "new.still", "--new", "b", "--formula", "acid-gel", "--from", "acid-gel.still"],
    ] {
        run(&folder, words);
    }
    run(&folder, &["new", "bench"]);
    let mut written = vec![folder.dir.path().join("untidy.still"), folder.dir.path().join("new.still")];
    let made = fs::read_dir(folder.dir.path().join("bench")).unwrap().map(|entry| entry.unwrap().path());
    written.extend(made.filter(|path| path.is_file()));
    for path in written {
        let text = fs::read(&path).unwrap();
        assert!(!text.is_empty() && ends(&text), "{path:?}");
    }
}
