//! Batch records written on: only the new line is new, what is wrong is refused, and nothing is lost to a crash, a full
//! disk or a second writer.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::{Folder, folder};
use assert_cmd::Command;
use assert_cmd::cargo::CommandCargoExt as _;
use std::fs;
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};
use stillroom::diagnostic::FileId;
use stillroom::syntax::tree::{Batch, BatchEntry, Item};
use stillroom::syntax::{format, parse};

fn example(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)).unwrap()
}

/// A folder with the formula of the records, and a record of this text.
fn bench(record: &str) -> Folder {
    let (gel, stocks, materials) = (example("acid-gel.still"), example("stocks.still"), example("materials.still"));
    folder(&[
        ("record.still", record.as_bytes()),
        ("acid-gel.still", gel.as_bytes()),
        ("stocks.still", stocks.as_bytes()),
        ("materials.still", materials.as_bytes()),
    ])
}

/// Exit code, standard output, standard error.
fn run(folder: &Folder, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output = command.current_dir(folder.dir.path()).arg("record").args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// Records, and expects it to go well.
fn record(folder: &Folder, arguments: &[&str]) -> String {
    let (code, out, err) = run(folder, arguments);
    assert_eq!(code, 0, "{arguments:?}: {out}{err}");
    out
}

fn text(folder: &Folder) -> String {
    fs::read_to_string(&folder.first).unwrap()
}

/// Everything in a folder, hidden files too.
fn names(folder: &Folder) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder.dir.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

fn batch(text: &str) -> Batch {
    let parsed = parse(FileId(0), text);
    assert!(parsed.faults.is_empty(), "{text}\n{:?}", parsed.faults);
    let mut batches = parsed.tree.items.into_iter().filter_map(|item| match item {
        Item::Batch(batch) => Some(batch),
        _ => None,
    });
    batches.next().expect("a batch")
}

/// The statements of a batch, each as it stands, the plan left out.
fn statements(text: &str) -> Vec<String> {
    let all = batch(text).entries;
    let kept = all.iter().filter(|entry| !matches!(entry.entry, BatchEntry::Plan(_)));
    kept.map(|entry| entry.span.of(text).to_string()).collect()
}

/// The statements as one batch in the one layout.
fn together(statements: &[String]) -> String {
    format(&format!("batch b {{\n{}\n}}\n", statements.join("\n")))
}

/// The tree of a batch with all places taken out.
fn tree(text: &str) -> String {
    let debug = format!("{:?}", batch(text));
    let digits = |c: char| c.is_ascii_digit();
    debug.split("..").map(|part| part.trim_matches(digits)).collect::<Vec<_>>().join("..")
}

/// The words that a shell makes of a line: it takes the quotation marks off.
fn shell(line: &str) -> Vec<String> {
    let pieces = line.split('"').enumerate();
    let words = pieces.flat_map(|(number, piece)| match number % 2 {
        0 => piece.split_whitespace().map(str::to_string).collect(),
        _ => vec![piece.to_string()],
    });
    words.collect()
}

const EMPTY: &str = "use \"acid-gel.still\"\n\nbatch b {\n}\n";

#[test]
fn statement_by_statement_is_the_same_record_as_the_finished_file() {
    let finished = together(&statements(&example("acid-gel-batches.still")));
    let bench = bench(EMPTY);
    for statement in statements(&finished) {
        let words = shell(&statement);
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        record(&bench, &[&["record.still"], words.as_slice()].concat());
    }
    let recorded = text(&bench);
    assert!(matches!(batch(&recorded).entries[3].entry, BatchEntry::Plan(_)), "frozen before the first thing happened");
    let without_plan = together(&statements(&recorded));
    assert_eq!(without_plan, finished);
    assert_eq!(tree(&without_plan), tree(&finished));
}

#[test]
fn only_the_new_line_is_new() {
    let odd = "\u{feff}# before\r\nuse   \"acid-gel.still\"\r\n\r\nbatch   b{\r\n\tformula acid-gel version \"1.2\"  # odd\r\n \
               size 20g\r\nplan {\r\nwater 71.15% q.s.\r\n}\r\n\r\n# a comment at the end\r\n   }  # after\r\n# last";
    let bench = bench(odd);
    let before = fs::read(&bench.first).unwrap();
    let out = record(&bench, &["record.still", "weighed", "water", "8.83", "g", "--at", "10:05", "--by", "M."]);
    let line = "  weighed  water 8.83 g  at 10:05  by \"M.\"";
    assert_eq!(out, format!("{line}\n"));
    let at = odd.find("   }  # after").unwrap();
    let wanted = [&before[..at], line.as_bytes(), b"\r\n", &before[at..]].concat();
    assert_eq!(fs::read(&bench.first).unwrap(), wanted);
}

#[test]
fn what_is_wrong_is_refused_and_the_file_stays_as_it_is() {
    let bench = bench("use \"acid-gel.still\"\n\nbatch b {\n  formula acid-gel version \"1.2\"\n  yield 19 g\n}\n");
    let before = text(&bench);
    for (statement, code) in [
        ("weighed watter 3 g", "name-unknown"),
        ("weighed water 3 mL", "unit-mismatch"),
        ("weighed water 3 gramms", "unknown-unit"),
        ("weighed water", "syntax"),
        ("weihged water 3 g", "syntax"),
        ("weighed water 3,500 g", "decimal-comma"),
        ("reading 3.5", "syntax"),
        ("heated 3 g", "unit-mismatch"),
        ("yield 18 g", "header-twice"),
        ("started 2026-13-01", "syntax"),
        ("weighed water 3 g } batch c { yield 1 g", "syntax"),
        ("}", "syntax"),
        ("plan {", "syntax"),
        ("note \"\"", "syntax"),
        ("observed \" \"", "syntax"),
        ("complaint \"\u{200b}\"", "syntax"),
        ("removed 1 g because \"\"", "syntax"),
        ("struck yield 19 g because \" \"", "syntax"),
    ] {
        let (exit, out, err) = run(&bench, &["record.still", statement]);
        assert_eq!((exit, out.as_str()), (1, ""), "{statement}: {err}");
        assert!(err.contains(&format!("[{code}]")), "{statement}: {err}");
        assert!(err.ends_with("Nothing was written.\n"), "{statement}: {err}");
        assert_eq!(text(&bench), before, "{statement}");
    }
    assert_eq!(names(&bench).len(), 4, "{:?}", names(&bench));
}

#[test]
fn wrong_use_is_told_in_a_sentence() {
    let bench = bench("batch one {\n}\nbatch two {\n}\n");
    let before = text(&bench);
    for (arguments, wanted) in [
        (&["record.still"][..], "Say what happened"),
        (
            &["record.still", "released"],
            "`record.still` has several batches: `one`, `two`. Say which one with `--batch NAME`.",
        ),
        (&["record.still", "released", "--batch", "twi"], "Did you mean `two`?"),
        (&["gone.still", "released"], "`gone.still` cannot be opened: there is no such file."),
        (&["acid-gel.still", "released"], "`acid-gel.still` has no batch. Begin one with"),
        (&["record.still", "released", "--batch", "one", "--on", "tomorrow"], "a day is written as"),
        (&["record.still", "released", "--batch", "one", "--at", "25:00"], "a time is written as"),
        (&["record.still", "--new", "one", "--formula", "acid-gel"], "has a batch `one` already."),
        (&["record.still", "--new", "three", "--formula", "acid-gle"], "knows no formula `acid-gle`."),
        (
            &["record.still", "--new", "three", "--formula", "acid-gel", "--from", "gone.still"],
            "`gone.still` cannot be opened",
        ),
    ] {
        let (code, out, err) = run(&bench, arguments);
        assert_eq!((code, out.as_str()), (2, ""), "{arguments:?}: {err}");
        assert!(err.contains(wanted), "{arguments:?}: {err}");
    }
    assert_eq!(text(&bench), before);
    record(&bench, &["record.still", "--batch", "two", "released"]);
    assert_eq!(text(&bench), "batch one {\n}\nbatch two {\n  released\n}\n");
    assert_eq!(names(&bench).len(), 4, "{:?}", names(&bench));
}

#[test]
fn a_batch_is_begun_with_the_plan_of_its_formula() {
    let bench = bench("# Records of November.\n");
    let new = ["record.still", "--new", "ag-7", "--formula", "acid-gel", "--from", "acid-gel.still", "--size", "40g"];
    record(&bench, &[&new[..], &["--on", "2026-11-20", "lot", "water", "still", "41"]].concat());
    let begun = text(&bench);
    assert_eq!(format(&begun), begun, "a record that is begun is in the one layout");
    insta::assert_snapshot!("begun", begun);
    // A second one needs no `--from` any more, and takes the size of the formula.
    record(&bench, &["record.still", "--new", "ag-8", "--formula", "acid-gel"]);
    assert!(text(&bench).starts_with(&begun));
    assert!(
        text(&bench).contains("\n\nbatch ag-8 {\n  formula  acid-gel version \"1.2\"\n  size     20.00 g\n  plan {")
    );
    // A file that is not there is made.
    record(&bench, &["other.still", "--new", "ag-9", "--formula", "acid-gel", "--from", "acid-gel.still"]);
    let other = fs::read_to_string(bench.dir.path().join("other.still")).unwrap();
    assert!(other.starts_with("use \"acid-gel.still\"\n\nbatch ag-9 {\n"), "{other}");
}

#[test]
fn a_frozen_plan_says_exact_figures_without_the_names_of_the_file() {
    let formula = "use shelf/all\nlet acid = 6 %\nmaterial half {\n  contains lactic-acid 70 % active, water remainder\n  as supplied pH 1.2 to 1.6 at 10 % capacity 0.1 to 0.2 mmol/g\n}\n\
                   formula f {\n  version \"1\"\n  product stock\n  makes 300 g\n  scale 0.1 g up to 600 g\n  scale 1 g\n  pH at least 3.5\n\
                   phase A {\n water q.s. hold back 30 g\n half acid active\n glycerin (acid / 7)\n betaine acid\n \
                   sodium-hydroxide-10 q.s. to pH from water titrated 50 g: 0.40 g to pH 3.1, 0.525 g to pH 3.6\n }\n}\n";
    let folder = folder(&[("record.still", formula.as_bytes())]);
    record(&folder, &["record.still", "--new", "b", "--formula", "f"]);
    let all = text(&folder);
    insta::assert_snapshot!("frozen", all.strip_prefix(formula).expect("nothing before it changed"));
}

#[test]
fn a_formula_with_errors_begins_no_batch() {
    let formula = "use shelf/all\nformula f {\n  product stock\n  makes 300 g\n  phase A {\n    water 30 %\n  }\n}\n";
    let folder = folder(&[("record.still", formula.as_bytes())]);
    let (code, _, err) = run(&folder, &["record.still", "--new", "b", "--formula", "f"]);
    assert_eq!(code, 1);
    assert!(err.contains("[total-under-100]") && err.contains("`f` cannot be weighed: 1 error"), "{err}");
    assert_eq!(text(&folder), formula);
}

#[test]
fn a_record_stands_alone_once_its_plan_is_frozen() {
    let bench = bench("use \"acid-gel.still\"\n\nbatch b {\n  formula  acid-gel version \"1.2\"\n}\n");
    record(&bench, &["record.still", "weighed", "propanediol", "0.80", "g"]);
    let frozen = text(&bench);
    assert!(frozen.contains("digest \"sha256:") && frozen.contains("  size     20.00 g\n"), "{frozen}");
    // The formula moves on, and then it is gone; there is no git here either way.
    let gel = bench.dir.path().join("acid-gel.still");
    fs::write(
        &gel,
        example("acid-gel.still").replace("\"1.2\"", "\"1.3\"").replace("betaine        2 %", "betaine 3 %"),
    )
    .unwrap();
    record(&bench, &["record.still", "weighed", "betaine", "0.40", "g"]);
    fs::remove_file(&gel).unwrap();
    record(&bench, &["record.still", "added", "soda-2", "3.20", "g"]);
    record(&bench, &["record.still", "lot", "hydroxyethylcellulose", "HC 4"]);
    let (code, _, err) = run(&bench, &["record.still", "weighed", "betane", "0.40", "g"]);
    assert!(code == 1 && err.contains("Did you mean `betaine`?"), "{err}");
    let after = text(&bench);
    assert_eq!(after.matches("plan {").count(), 1);
    let closing = frozen.trim_end().strip_suffix('}').unwrap();
    let lines = "  weighed  betaine 0.40 g\n  added    soda-2 3.20 g\n  lot      hydroxyethylcellulose \"HC 4\"\n";
    assert_eq!(after, format!("{closing}{lines}}}\n"));
}

/// What metals, solid bases and solvents of the maker's own say goes into the plan, with all that they lead to.
#[test]
fn a_plan_says_what_holds_metals_and_what_moves_a_pka() {
    let formula = "use shelf/all
substance strontium {; ion +2; precipitates as hydroxide pKsp 3.5 to 4; precipitates with carbonic pKsp 9.3; }
substance carbonic {; molar-mass 62.02 g/mol; acid pKa 6.4, 10.3; }
substance holding {; molar-mass 192.12 g/mol; acid pKa 3.1, 4.8; binds strontium log K 4.9, 2.9; }
substance strontia {; molar-mass 103.62 g/mol; oxide of strontium; }
substance spirit {; neutral; moves pKa of acids by 0.4 to 0.7, of bases by -0.3 at 25 %; }
material holding {; role active; }
material strontia {; role active; }
material spirit {; role solvent; }
formula f {; version \"1\"; product stock; makes 300 g; pH 4 to 5
  phase A {; water q.s. hold back 5 %; holding 4 %; strontia 1 %; spirit 20 %; sodium-hydroxide-10 q.s. to pH; }
}
"
    .replace(';', "\n");
    let batch = "use \"f.still\"\n\nbatch b {\n  formula  f version \"1\"\n}\n";
    let bench = folder(&[("record.still", batch.as_bytes()), ("f.still", formula.as_bytes())]);
    record(&bench, &["record.still", "weighed", "holding", "12", "g"]);
    fs::remove_file(bench.dir.path().join("f.still")).unwrap();
    record(&bench, &["record.still", "weighed", "spirit", "60", "g"]);
    let frozen = text(&bench);
    for said in [
        "acid pKa 3.1, 4.8, binds strontium log K 4.9, 2.9\n",
        "substance strontia molar-mass 103.62 g/mol, oxide of strontium\n",
        "ion +2, precipitates as hydroxide pKsp 3.5 to 4, precipitates with carbonic pKsp 9.3\n",
        "substance carbonic molar-mass",
        "neutral, moves pKa of acids by 0.4 to 0.7, of bases by -0.3 at 25 %\n",
    ] {
        assert!(frozen.contains(said), "{said} in {frozen}");
    }
}

/// Found by the fuzz target `records`: a block left open took the new statement in, and `record` confirmed what no batch
/// had.
#[test]
fn a_statement_that_a_broken_one_would_swallow_is_refused() {
    let broken = "batch one {\n  note {\n  yield 3 g\n}\n";
    let bench = bench(broken);
    let (code, out, err) = run(&bench, &["record.still", "note", "hallo"]);
    assert_eq!((code, out.as_str()), (1, ""), "{err}");
    assert!(err.contains("The block that opens here is not closed.") && err.contains("Nothing was written."), "{err}");
    assert_eq!(text(&bench), broken);
}

/// Found by the fuzz target `records`: the statement before the comment was written a second time.
#[test]
fn a_comment_is_no_statement() {
    let before = "batch one {\n  note \"so\"\n}\n";
    let bench = bench(before);
    let (code, out, err) = run(&bench, &["record.still", "# hallo"]);
    assert_eq!((code, out.as_str()), (2, ""), "{err}");
    assert!(err.contains("Say what happened"), "{err}");
    assert_eq!(text(&bench), before);
    record(&bench, &["record.still", "note", "hallo"]);
    assert!(text(&bench).contains("  note  \"hallo\"\n"), "{}", text(&bench));
}

#[test]
fn a_formula_that_moved_on_is_not_frozen_into_a_record_of_an_older_version() {
    let bench = bench("use \"acid-gel.still\"\n\nbatch b {\n  formula  acid-gel version \"1.1\"\n}\n");
    let (code, _, err) = run(&bench, &["record.still", "weighed", "propanediol", "0.80", "g"]);
    assert_eq!(code, 0);
    assert!(err.contains("`acid-gel` is at version \"1.2\" now, and this is a batch of \"1.1\"."), "{err}");
    assert!(!text(&bench).contains("plan"), "{}", text(&bench));
}

/// A record with a plan, so that each statement is one line.
fn planned() -> String {
    "use \"acid-gel.still\"\n\nbatch b {\n  formula  acid-gel version \"1.2\"\n  size     20 g\n  plan {\n    \
     water  71.15 %  q.s.\n  }\n}\n"
        .to_string()
}

fn spawn(folder: &Folder, arguments: &[&str]) -> std::process::Child {
    let mut command = std::process::Command::cargo_bin("stillroom").unwrap();
    command.current_dir(folder.dir.path()).arg("record").args(arguments);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command.spawn().unwrap()
}

#[test]
fn several_writers_at_once_lose_nothing() {
    let bench = bench(&planned());
    let notes: Vec<String> = (0..40).map(|number| format!("writer-{number:02}")).collect();
    for eight in notes.chunks(8) {
        let writers: Vec<_> = eight.iter().map(|note| spawn(&bench, &["record.still", "note", note])).collect();
        for mut writer in writers {
            assert!(writer.wait().unwrap().success());
        }
    }
    let after = text(&bench);
    for note in &notes {
        assert_eq!(after.matches(&format!("  note     \"{note}\"\n")).count(), 1, "{note}\n{after}");
    }
    assert_eq!(after.len(), planned().len() + notes.len() * "  note     \"writer-00\"\n".len());
    assert_eq!(names(&bench).len(), 4, "{:?}", names(&bench));
}

#[test]
fn killed_at_any_moment_the_file_is_the_old_one_or_the_new_one() {
    // Long enough that writing it takes a while.
    let long = format!("{}{}", "# A comment that is there to be kept.\n".repeat(4000), planned());
    let bench = bench(&long);
    let whole = {
        let start = Instant::now();
        assert!(spawn(&bench, &["record.still", "note", "first"]).wait().unwrap().success());
        start.elapsed()
    };
    let (mut old, mut new) = (0, 0);
    let mut expected = text(&bench);
    let mut number: u32 = 12345;
    for round in 0..240 {
        // The same sequence each time, over a little more than the time a whole run takes.
        number = number.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let delay = whole.mul_f64(f64::from(number >> 16) / 65536.0 * 1.3);
        let mut writer = spawn(&bench, &["record.still", "note", &format!("round {round}")]);
        std::thread::sleep(delay.min(Duration::from_secs(2)));
        let _ = writer.kill();
        writer.wait().unwrap();
        let after = text(&bench);
        if after == expected {
            old += 1;
            continue;
        }
        let line = format!("  note     \"round {round}\"\n");
        let closing = expected.strip_suffix("}\n").unwrap();
        assert_eq!(after.len(), expected.len() + line.len(), "round {round}");
        assert_eq!(after, format!("{closing}{line}}}\n"), "round {round}");
        expected = after;
        new += 1;
    }
    assert_eq!(old + new, 240);
    // What a killed one left behind is taken over, and gone afterwards.
    record(&bench, &["record.still", "note", "last"]);
    assert_eq!(names(&bench).len(), 4, "{:?}", names(&bench));
    println!("{old} times the old file, {new} times the new one");
}

#[cfg(unix)]
mod unwritable {
    use super::{bench, names, planned, run, text};
    use std::fs;
    use std::os::unix::fs::PermissionsExt as _;

    #[test]
    fn a_full_disk_leaves_the_old_file() {
        let bench = bench(&planned());
        // No file may grow past nothing: what a full disk does, without one.
        let program = assert_cmd::cargo::cargo_bin("stillroom");
        let script = format!("trap '' XFSZ; ulimit -f 0; exec {} record record.still note full", program.display());
        let output =
            std::process::Command::new("sh").current_dir(bench.dir.path()).args(["-c", &script]).output().unwrap();
        let err = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{err}");
        assert!(err.contains("cannot be written"), "{err}");
        assert_eq!(text(&bench), planned());
        assert_eq!(names(&bench).len(), 4, "nothing is left beside it: {:?}", names(&bench));
    }

    #[test]
    fn a_folder_or_file_that_may_only_be_read_leaves_the_old_file() {
        let bench = bench(&planned());
        let unwritten = || {
            let (code, _, err) = run(&bench, &["record.still", "note", "no"]);
            assert_eq!(code, 2, "{err}");
            assert!(err.contains("cannot be written"), "{err}");
            assert_eq!(text(&bench), planned());
        };
        let mode =
            |path: &std::path::Path, mode: u32| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
        mode(&bench.first, 0o444);
        unwritten();
        mode(&bench.first, 0o640);
        mode(bench.dir.path(), 0o555);
        // Who may do anything may write there too.
        if fs::write(bench.dir.path().join("probe"), "").is_err() {
            unwritten();
        } else {
            fs::remove_file(bench.dir.path().join("probe")).unwrap();
        }
        mode(bench.dir.path(), 0o755);
        fs::create_dir(bench.dir.path().join(".record.still.part")).unwrap();
        unwritten();
        fs::remove_dir(bench.dir.path().join(".record.still.part")).unwrap();
        super::record(&bench, &["record.still", "note", "yes"]);
        assert_eq!(fs::metadata(&bench.first).unwrap().permissions().mode() & 0o777, 0o640);
    }

    #[test]
    fn a_link_stays_one() {
        let bench = bench(&planned());
        let link = bench.dir.path().join("link.still");
        std::os::unix::fs::symlink(&bench.first, &link).unwrap();
        super::record(&bench, &["link.still", "note", "through it"]);
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert!(text(&bench).contains("through it"));
    }
}

const SLIPS: &str = "use \"acid-gel.still\"\n\nbatch b {\n  formula  acid-gel # mine\n  size     372.00 g\n  reading  \
                     pH 3.10\n  reading  pH 38.60  at 14:05  by \"M.\"   # slip\n  waited   30 min\n\n  # done\n}\n";

#[test]
fn a_slip_is_struck_where_it_stands_and_nothing_else_changes() {
    for (words, from, to) in [
        (
            &["struck", "reading", "pH", "38.6", "because", "typed", "wrong"][..],
            "reading  pH 38.60  at 14:05  by \"M.\"   #",
            "struck   reading pH 38.60  at 14:05  by \"M.\" because \"typed wrong\"   #",
        ),
        (
            &["struck reading pH 3,1 because \"not stirred\"", "--by", "M.", "--on", "2026-11-28"],
            "reading  pH 3.10",
            "struck   reading pH 3.10 because \"not stirred\"  on 2026-11-28  by \"M.\"",
        ),
        (
            &["struck", "waited", "30min", "because", "I was", "early"],
            "waited   30 min",
            "struck   waited 30 min because \"I was early\"",
        ),
    ] {
        let folder = bench(SLIPS);
        let out = record(&folder, &[&["record.still"], words].concat());
        assert_eq!(text(&folder), SLIPS.replacen(from, to, 1), "{words:?}");
        assert!(out.starts_with("struck "), "{out}");
    }
}

#[test]
fn the_last_statement_like_it_is_struck_and_one_that_is_struck_is_like_none() {
    let folder = bench(&SLIPS.replace("38.60", "3.1"));
    let strike = ["record.still", "struck", "reading", "pH", "3.1", "because", "typed", "twice"];
    record(&folder, &strike);
    assert!(statements(&text(&folder))[3].starts_with("struck   reading pH 3.1 "), "{}", text(&folder));
    record(&folder, &strike);
    assert!(statements(&text(&folder))[2].starts_with("struck   reading pH 3.10 "), "{}", text(&folder));
    let before = text(&folder);
    let (code, out, err) = run(&folder, &strike);
    assert_eq!((code, out.as_str(), text(&folder)), (1, "", before));
    assert!(
        err.contains("No statement of `b` says `reading pH 3.1`.\nThe nearest:\n  line 8: waited 30 min\n"),
        "{err}"
    );
    assert!(err.ends_with("Nothing was written.\n"), "{err}");
}

#[test]
fn what_is_to_be_struck_needs_a_reason() {
    let folder = bench(SLIPS);
    let (code, _, err) = run(&folder, &["record.still", "struck", "reading", "pH", "38.6"]);
    assert_eq!((code, text(&folder).as_str()), (1, SLIPS));
    assert!(err.contains("What is struck out says why, and this does not."), "{err}");
}

#[test]
fn a_decimal_comma_is_written_down_as_a_point() {
    let folder = bench(SLIPS);
    record(&folder, &["record.still", "reading", "pH", "3,86"]);
    record(&folder, &["record.still", "weighed water 14,72 g"]);
    let all = statements(&text(&folder));
    assert!(
        all.iter().any(|one| one.ends_with("pH 3.86")) && all.iter().any(|one| one.ends_with("14.72 g")),
        "{all:?}"
    );
    // A thousand and a half, or one and a half: that is asked.
    let (code, _, err) = run(&folder, &["record.still", "weighed", "water", "1,500", "g"]);
    assert_eq!(code, 1);
    assert!(err.contains("decimal-comma"), "{err}");
}

#[test]
fn a_reading_that_no_meter_shows_is_refused() {
    for wrong in ["38.6", "14.01", "3 to 15 by strip"] {
        let folder = bench(SLIPS);
        let (code, out, err) = run(&folder, &["record.still", &format!("reading pH {wrong}")]);
        assert_eq!((code, out.as_str(), text(&folder).as_str()), (1, "", SLIPS), "{wrong}");
        assert!(err.contains("between pH 0 and 14") && err.ends_with("Nothing was written.\n"), "{err}");
    }
}

#[test]
fn without_git_a_record_may_lie_in_a_folder_beside_its_formula() {
    let folder = bench("");
    fs::create_dir(folder.dir.path().join("batches")).unwrap();
    let new = ["batches/a.still", "--new", "b", "--formula", "acid-gel", "--from", "acid-gel.still", "--by", "M."];
    record(&folder, &new);
    let path = folder.dir.path().join("batches/a.still");
    let text = fs::read_to_string(&path).unwrap();
    assert!(
        text.starts_with("use \"../acid-gel.still\"\n\nbatch b {\n  formula  acid-gel version \"1.2\"  by \"M.\"\n"),
        "{text}"
    );
    record(&folder, &["batches/a.still", "weighed", "water", "8.83", "g"]);
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output = command.current_dir(folder.dir.path().join("batches")).args(["bench", "a.still"]).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{output:?}");
}

#[test]
fn who_begins_a_record_and_when_is_kept() {
    for (more, wanted) in [
        (&["--on", "2026-11-24", "--at", "09:10", "--by", "M."][..], "started  2026-11-24  at 09:10  by \"M.\""),
        (&["--at", "09:10", "--by", "M."], "formula  acid-gel version \"1.2\"  at 09:10  by \"M.\""),
        (&["--by", "M.", "note", "begun"], "note     \"begun\"  by \"M.\""),
    ] {
        let folder = bench("use \"acid-gel.still\"\n");
        record(&folder, &[&["record.still", "--new", "b", "--formula", "acid-gel"], more].concat());
        assert!(text(&folder).contains(wanted), "{}", text(&folder));
        assert_eq!(text(&folder).matches("by \"M.\"").count(), 1, "{}", text(&folder));
    }
}

#[test]
fn a_reading_and_a_time_stay_as_they_were_typed() {
    let folder = bench("use \"acid-gel.still\"\n");
    record(&folder, &["record.still", "--new", "b", "--formula", "acid-gel"]);
    for said in ["reading pH 3.40", "reading pH 3.0 to 3.50 by strip", "waited 120 min"] {
        record(&folder, &["record.still", said]);
    }
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output =
        command.current_dir(folder.dir.path()).args(["sheet", "record.still", "--record", "b"]).output().unwrap();
    let out = String::from_utf8(output.stdout).unwrap();
    for wanted in ["| read pH 3.40 |", "| read pH 3.0 to 3.50 by strip |", "| waited 120 min |"] {
        assert!(out.contains(wanted), "{wanted}: {out}");
    }
}

/// A slip of an addition or of the top-up is told where nobody can be asked, with the words that strike it out; a portion
/// of what is asked for, or somewhat more, is not.
#[test]
fn an_addition_and_a_top_up_far_off_are_told() {
    let start = format!(
        "{}  weighed water 222.23 g\n  weighed glycerin 11.57 g\n  weighed glycolic-acid-70 33.05 g\n  reading pH 2.02\n  \
         added sodium-hydroxide-10 57.00 g\n",
        crate::common::gel::NIGHT_GEL
    );
    let told = |more: &str, statement: &str| {
        let folder = folder(&[("record.still", format!("{start}{more}}}\n").as_bytes())]);
        let words: Vec<&str> = [&["record.still"][..], &statement.split(' ').collect::<Vec<_>>()[..]].concat();
        let (code, out, err) = run(&folder, &words);
        assert_eq!(code, 0, "{out}{err}");
        assert_eq!(text(&folder).matches("plan {").count(), 1, "it is written all the same: {out}{err}");
        format!("{out}{err}")
    };
    let is_told = |told: &str| told.contains("A slip is struck out");
    let short = "  reading pH 3.45\n";
    let far = told(short, "added sodium-hydroxide-10 247.7 g");
    assert!(far.contains("`struck added sodium-hydroxide-10 247.70 g because \"typed wrong\"`"), "{far}");
    for grams in ["5", "24.77", "30"] {
        let near = told(short, &format!("added sodium-hydroxide-10 {grams} g"));
        assert!(!is_told(&near), "{grams}: {near}");
    }
    // Nothing is asked for before the pH is read again: all that is left of the water then is the measure.
    let far = told("", "added sodium-hydroxide-10 100 g");
    assert!(far.contains("100.00 g of `sodium-hydroxide-10`, and 39.41 g is left of what is held back."), "{far}");
    assert!(!is_told(&told("", "added sodium-hydroxide-10 39 g")));

    let inside = "  added sodium-hydroxide-10 10.00 g\n  reading pH 3.80\n  weighed xanthan-gum 3.09 g\n  \
                  weighed pentylene-glycol 15.43 g\n  weighed phenoxyethanol-ethylhexylglycerin 3.86 g\n";
    let far = told(inside, "topped-up water 294.1 g");
    assert!(far.contains("294.10 g of `water` for 29.41 g."), "{far}");
    assert!(far.contains("`struck topped-up water 294.10 g because \"typed wrong\"`"), "{far}");
    for grams in ["10", "29.41", "31"] {
        let near = told(inside, &format!("topped-up water {grams} g"));
        assert!(!is_told(&near), "{grams}: {near}");
    }
    // After heat more of the water goes in than was held back, and the scale says what the whole weighs.
    let heated = format!("{inside}  heated 60 °C\n");
    for (statement, wanted) in [
        ("topped-up water 40 g to 385.64 g", false),
        ("topped-up water 294.1 g", true),
        ("topped-up water to 3856.4 g", true),
        ("topped-up water to 385.6 g", false),
    ] {
        let said = told(&heated, statement);
        assert_eq!(is_told(&said), wanted, "{statement}: {said}");
    }
}
