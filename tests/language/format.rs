//! The formatter: twice is once, nothing is lost, nothing means anything else, and the command writes with care.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

mod layouts;

use crate::common::{checked, folder, sheet_of};
use assert_cmd::Command;
use layouts::{Choices, layout, pattern};
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::FileId;
use stillroom::render::sheet;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::{format, parse};
use stillroom::workspace::{Disk, load};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The formulas of a folder, by path.
fn stills(folder: &str) -> Vec<(PathBuf, String)> {
    let mut paths: Vec<PathBuf> =
        fs::read_dir(root().join(folder)).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "still"));
    paths.sort();
    assert!(!paths.is_empty(), "{folder} has formulas");
    paths.into_iter().map(|path| (path.clone(), fs::read_to_string(path).unwrap())).collect()
}

/// Every text of the project: examples, shelf, what `new` makes, and the reference plans.
fn all() -> Vec<(PathBuf, String)> {
    ["examples", "src/shelf", "src/cli/new", "tests/data/plans", "tests/data/plans-whole"]
        .into_iter()
        .flat_map(stills)
        .collect()
}

/// Comments without the blanks at their ends, strings, and the rest of the text with no blanks at all and without the
/// sign of degrees: what no layout may touch. Found here by means of its own.
fn substance(text: &str) -> Vec<String> {
    let mut found = vec![String::new()];
    let mut rest = text.strip_prefix('\u{feff}').unwrap_or(text);
    while let Some(first) = rest.chars().next() {
        let length = match first {
            '#' => rest.find('\n').unwrap_or(rest.len()),
            '"' => {
                let bytes = rest.as_bytes();
                let mut end = 1;
                while bytes[end] != b'"' {
                    end += if bytes[end] == b'\\' { 2 } else { 1 };
                }
                end + 1
            }
            first => first.len_utf8(),
        };
        let piece = &rest[..length];
        match first {
            '#' | '"' => found.extend([piece.trim_end().to_string(), String::new()]),
            ' ' | '\t' | '\n' | '\r' | '°' => {}
            _ => found.last_mut().unwrap().push_str(piece),
        }
        rest = &rest[length..];
    }
    found
}

/// The tree with all places taken out.
fn tree(text: &str) -> String {
    let parsed = parse(FileId(0), text.strip_prefix('\u{feff}').unwrap_or(text));
    let faults: Vec<&str> = parsed.faults.iter().map(|fault| fault.message.as_str()).collect();
    assert!(faults.is_empty(), "{text}\n{faults:?}");
    // A place is written as two offsets with two dots between.
    let debug = format!("{:?}", parsed.tree);
    let digits = |c: char| c.is_ascii_digit();
    debug.split("..").map(|part| part.trim_matches(digits)).collect::<Vec<_>>().join("..")
}

/// What holds of every text that parses.
fn holds(text: &str) -> String {
    let once = format(text);
    assert_eq!(format(&once), once, "twice is not once:\n{text}");
    assert_eq!(substance(&once), substance(text), "something was lost or made up:\n{text}");
    assert_eq!(tree(&once), tree(text), "it means something else:\n{text}\n{once}");
    assert!(!once.contains("\n\n\n") && !once.contains("{\n\n"), "{once}");
    let bad_end = |line: &str| line.ends_with([' ', '\t', '\r']);
    assert!(!once.lines().any(bad_end) && (once.is_empty() || once.ends_with('\n')), "{once:?}");
    once
}

#[test]
fn holds_of_every_text_of_the_project() {
    for (_, text) in all() {
        holds(&text);
    }
}

#[test]
fn the_project_s_own_formulas_are_in_the_one_layout() {
    for folder in ["examples", "src/shelf", "src/cli/new"] {
        for (path, text) in stills(folder) {
            assert!(format(&text) == text, "run `stillroom fmt {}`", path.display());
        }
    }
}

/// The digest of each formula of a folder.
fn digests(folder: &Path) -> BTreeMap<String, String> {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let loaded = load(&Disk, &paths, None);
    let order = BatchOrder::default();
    let report = check(&loaded.sources, &order, true);
    let sheets = report.formulas.iter().filter_map(|formula| sheet(&loaded.sources, &report, formula, &order));
    sheets.map(|sheet| (sheet.formula, sheet.digest)).collect()
}

#[test]
fn the_digest_of_every_formula_stays_as_it_is() {
    let examples = stills("examples");
    let dir = tempfile::tempdir().unwrap();
    for (path, text) in &examples {
        fs::write(dir.path().join(path.file_name().unwrap()), ruined(text)).unwrap();
    }
    let before = digests(dir.path());
    assert_eq!(before, digests(&root().join("examples")));
    assert!(before.len() > examples.len() / 2, "{before:?}");
    for (path, text) in &examples {
        fs::write(dir.path().join(path.file_name().unwrap()), format(&ruined(text))).unwrap();
    }
    assert_eq!(digests(dir.path()), before);
    for (_, text) in stills("tests/data/plans").into_iter().chain(stills("tests/data/plans-whole")) {
        let of = |text: &str| {
            let folder = folder(&[("formula.still", text.as_bytes())]);
            digests(folder.dir.path())
        };
        let before = of(&text);
        assert!(!before.is_empty());
        assert_eq!(of(&format(&text)), before);
    }
}

/// A text with its layout spoilt: no columns, no indents, CRLF at every line's end.
fn ruined(text: &str) -> String {
    let mut out = String::new();
    for line in text.lines() {
        let mut quoted = false;
        let mut blank = true;
        let comment = line.trim_start().starts_with('#');
        for character in line.chars() {
            quoted ^= character == '"' && !comment;
            let skipped = character == ' ' && blank && !quoted && !comment;
            if !skipped {
                out.push(character);
            }
            blank = character == ' ';
        }
        out.push_str("\r\n");
    }
    out
}

#[test]
fn a_ruined_layout_is_found_again() {
    for folder in ["examples", "src/shelf", "src/cli/new"] {
        for (path, text) in stills(folder) {
            assert_eq!(format(&ruined(&text)), text, "{}", path.display());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn holds_of_random_files_and_does_not_depend_on_their_blanks(
        drawn in prop::collection::vec(any::<u8>(), 1..200),
        one in prop::collection::vec(any::<u8>(), 1..60),
        other in prop::collection::vec(any::<u8>(), 1..60),
    ) {
        let pattern = pattern(&mut Choices::new(&drawn));
        let one = layout(&pattern, &mut Choices::new(&one));
        let other = layout(&pattern, &mut Choices::new(&other));
        let formatted = holds(&one);
        prop_assert_eq!(holds(&other), formatted);
    }

    #[test]
    fn nothing_makes_it_panic_and_what_does_not_parse_is_left_alone(text in "[ -~\n\r\t°é{}()#\"]{0,200}") {
        let out = format(&text);
        if !parse(FileId(0), text.as_str()).faults.is_empty() {
            prop_assert_eq!(out, text);
        }
    }

    #[test]
    fn a_text_cut_off_anywhere_is_left_alone_or_holds(drawn in prop::collection::vec(any::<u8>(), 1..200), cut in 0usize..2000) {
        let text = layout(&pattern(&mut Choices::new(&drawn)), &mut Choices::new(&[1]));
        let cut = (0..=cut.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap();
        let text = &text[..cut];
        if parse(FileId(0), text).faults.is_empty() {
            holds(text);
        } else {
            prop_assert_eq!(format(text), text);
        }
    }
}

#[test]
fn a_random_formula_weighs_the_same_afterwards() {
    let text = "substance water{inci \"Aqua\"}\nmaterial water{role solvent}\nsubstance s{inci \"S\"}\n\
                material m{contains s 40% active,water remainder}\nformula f{\nproduct stock\nmakes 100g\nscale 0.01g\n\
                phase A{\nwater q.s.\nm (2*1.5%) active because \"so\"\n}\n}\n";
    let order = BatchOrder::default();
    checked(text, |_, report| assert!(!report.formulas.is_empty()));
    assert_eq!(sheet_of(text, "f", &order).digest, sheet_of(&format(text), "f", &order).digest);
}

#[test]
fn line_ends_become_lf_and_a_byte_order_mark_goes() {
    assert_eq!(format("\u{feff}# a  \r\n\r\n\r\n\r\nlet  a=4%\r\n"), "# a\n\nlet a = 4 %\n");
    assert_eq!(format("let a = 4 %\rlet b = 5 %"), "let a = 4 %\nlet b = 5 %\n");
    for empty in ["", "\n", " \r\n\t\n", "\u{feff}"] {
        assert_eq!(format(empty), "", "{empty:?}");
    }
}

#[test]
fn a_wide_block_on_one_line_is_opened_up() {
    let fits = format!("material m like n {{ note \"{}\" }}\n", "x".repeat(71));
    assert_eq!(fits.trim_end().len(), 100);
    assert_eq!(format(&fits), fits);
    let wide = fits.replacen("note", "note   ", 1).replace("xx\"", "xxx\"");
    assert!(format(&wide).starts_with("material m like n {\n  note  \"xxx"), "{}", format(&wide));
}

const UNTIDY: &str = include_str!("format/untidy.still");

#[test]
fn the_one_layout_to_look_at() {
    let out = holds(UNTIDY);
    insta::assert_snapshot!("untidy", format!("{UNTIDY}\n{}\n\n{out}", "-".repeat(100)));
}

fn stillroom() -> Command {
    Command::cargo_bin("stillroom").unwrap()
}

/// Exit code, standard output, standard error.
fn run(folder: &Path, arguments: &[&str], input: &str) -> (i32, String, String) {
    let output =
        stillroom().current_dir(folder).arg("fmt").args(arguments).write_stdin(input.to_string()).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

const GOOD: &str = "let a = 4 %\n";
const BAD: &str = "let   a=4%\r\n";
const BROKEN: &str = "let   a=4%\nformula f {\n  title title\n";

#[test]
fn files_are_written_only_where_they_change_and_broken_ones_are_left_alone() {
    let files: [(&str, &[u8]); 4] = [
        ("bad.still", BAD.as_bytes()),
        ("good.still", GOOD.as_bytes()),
        ("broken.still", BROKEN.as_bytes()),
        ("marked.still", b"\xef\xbb\xbflet a = 4 %\n"),
    ];
    let folder = folder(&files);
    let at = |name: &str| folder.dir.path().join(name);
    let modified = |name: &str| fs::metadata(at(name)).unwrap().modified().unwrap();
    let (good, broken) = (modified("good.still"), modified("broken.still"));
    let (code, out, err) = run(folder.dir.path(), &[".", "bad.still"], "");
    assert_eq!((code, out.as_str()), (1, "./bad.still\n./marked.still\n"), "{err}");
    assert!(err.contains("broken.still:3:9"), "{err}");
    assert!(err.ends_with("2 files laid out anew, 1 file laid out already, 1 file with faults left alone.\n"), "{err}");
    assert_eq!(fs::read_to_string(at("bad.still")).unwrap(), GOOD);
    assert_eq!(fs::read_to_string(at("marked.still")).unwrap(), GOOD);
    assert_eq!(fs::read_to_string(at("broken.still")).unwrap(), BROKEN);
    assert_eq!((modified("good.still"), modified("broken.still")), (good, broken));
    assert_eq!(fs::read_dir(folder.dir.path()).unwrap().count(), 4, "nothing is left beside them");
}

#[test]
fn check_and_diff_write_nothing() {
    let folder = folder(&[("bad.still", BAD.as_bytes()), ("good.still", GOOD.as_bytes())]);
    let (code, out, err) = run(folder.dir.path(), &["--check", "bad.still", "good.still"], "");
    assert_eq!((code, out.as_str()), (1, "bad.still\n"), "{err}");
    assert_eq!(err, "1 file would change, 1 file laid out already.\n");
    assert_eq!(run(folder.dir.path(), &["--check", "good.still"], "").0, 0);
    let (code, out, _) = run(folder.dir.path(), &["--diff"], "");
    let diff = "--- ./bad.still\n+++ ./bad.still\n@@ -1 +1 @@\n-let   a=4%\r\n+let a = 4 %\n";
    assert_eq!((code, out.as_str()), (0, diff));
    let (code, out, _) = run(folder.dir.path(), &["--diff", "--check", "bad.still"], "");
    assert_eq!((code, out.contains("+let a = 4 %")), (1, true));
    assert_eq!(fs::read_to_string(folder.first).unwrap(), BAD);
}

#[test]
fn standard_input_is_printed() {
    let here = tempfile::tempdir().unwrap();
    let run = |arguments: &[&str], input: &str| run(here.path(), arguments, input);
    assert_eq!(run(&["-"], BAD), (0, GOOD.to_string(), String::new()));
    assert_eq!(run(&["-", "--check"], BAD), (1, "-\n".to_string(), String::new()));
    assert_eq!(run(&["-", "--check"], GOOD), (0, String::new(), String::new()));
    assert!(run(&["-", "--diff"], BAD).1.contains("+let a = 4 %"));
    let (code, out, err) = run(&["-"], BROKEN);
    assert_eq!((code, out.as_str()), (1, ""));
    assert!(err.contains("error [syntax]"), "{err}");
    // What is used is not looked at: it may not be there yet.
    assert_eq!(run(&["-"], "use   \"gone.still\"").1, "use \"gone.still\"\n");
}

#[test]
fn a_path_that_is_not_there_is_wrong_use_and_the_others_are_done() {
    let folder = folder(&[("bad.still", BAD.as_bytes())]);
    let (code, _, err) = run(folder.dir.path(), &["gone.still", "bad.still"], "");
    assert_eq!(code, 2);
    assert!(err.contains("`gone.still` cannot be opened: there is no such file."), "{err}");
    assert_eq!(fs::read_to_string(folder.first).unwrap(), GOOD);
}

#[cfg(unix)]
#[test]
fn permissions_and_links_stay() {
    use std::os::unix::fs::{PermissionsExt as _, symlink};
    let folder = folder(&[("bad.still", BAD.as_bytes())]);
    fs::set_permissions(&folder.first, fs::Permissions::from_mode(0o640)).unwrap();
    let link = folder.dir.path().join("link.still");
    symlink(&folder.first, &link).unwrap();
    assert_eq!(run(folder.dir.path(), &["link.still"], "").0, 0);
    assert_eq!(fs::read_to_string(&folder.first).unwrap(), GOOD);
    assert_eq!(fs::metadata(&folder.first).unwrap().permissions().mode() & 0o777, 0o640);
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
}
