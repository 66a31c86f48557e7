//! One writer for `fmt`, `check --fix`, `record`, `new` and `--out`: beside one another, killed, on a full disk, by
//! another user, and where someone has put a link in the way.

#![cfg(unix)]
#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::{Folder, folder};
use assert_cmd::cargo::CommandCargoExt as _;
use std::fs;
use std::os::unix::fs::{FileTypeExt as _, MetadataExt as _, PermissionsExt as _, symlink};
use std::os::unix::process::CommandExt as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

/// A formula that `check --fix` mends and `fmt` lays out anew, and a batch beside it.
const UNTIDY: &str = "use shelf/all\nformula   f {\n  title \"F\"\n  version \"1\"\n  product stock\n  makes 100 g\n  \
                      scale 0.01 g\n  phase A {\n    water q.s.\n    glycerin 10 %\n  }\n  steps {\n    \"Mix {Water} and {glycerin}.\"\n  }\n}\n\nbatch b {\n  formula f\n}\n";

/// What `check --fix` makes of it.
fn mended() -> String {
    UNTIDY.replace("{Water}", "{water}")
}

/// What `fmt` makes of it.
fn laid_out() -> String {
    stillroom::syntax::format(UNTIDY)
}

fn shop() -> Folder {
    folder(&[("f.still", UNTIDY.as_bytes())])
}

fn program(folder: &Folder, words: &str) -> Command {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    command.current_dir(folder.dir.path()).args(words.split(' ')).stdin(Stdio::null());
    command
}

/// Exit code and standard error.
fn run(folder: &Folder, words: &str) -> (i32, String) {
    outcome(&program(folder, words).output().unwrap())
}

fn outcome(output: &Output) -> (i32, String) {
    (output.status.code().unwrap(), String::from_utf8(output.stderr.clone()).unwrap())
}

fn start(folder: &Folder, words: &str) -> Child {
    program(folder, words).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
}

fn text(folder: &Folder) -> String {
    fs::read_to_string(&folder.first).unwrap()
}

fn at(folder: &Folder, name: &str) -> PathBuf {
    folder.dir.path().join(name)
}

/// Everything in a folder, hidden files too.
fn names(folder: &Folder) -> Vec<String> {
    let entries = fs::read_dir(folder.dir.path()).unwrap();
    let mut names: Vec<String> = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// Every command that writes, with the name of what it writes.
const WRITING: &[(&str, &str)] = &[
    ("fmt f.still", "f.still"),
    ("check --fix f.still", "f.still"),
    ("record f.still note said", "f.still"),
    ("record new.still --new n --formula g --from g.still", "new.still"),
    ("sheet g.still --out g.md", "g.md"),
    ("new bench", "bench"),
];

/// The folder, with a formula that is sound too.
fn two() -> Folder {
    let folder = shop();
    fs::write(at(&folder, "g.still"), mended().replace(" f {", " g {").replace("batch b {\n  formula f\n}\n", ""))
        .unwrap();
    folder
}

#[test]
fn a_link_in_the_way_is_not_followed() {
    for (words, name) in WRITING {
        for part in [format!(".{name}.part"), ".stillroom.lock".to_string()] {
            let folder = two();
            let precious = at(&folder, "precious.txt");
            fs::write(&precious, "kept for years").unwrap();
            symlink(&precious, at(&folder, &part)).unwrap();
            let before = fs::metadata(&precious).unwrap();
            let (code, told) = run(&folder, words);
            assert_eq!(code, 0, "{words}: {told}");
            assert_eq!(fs::read_to_string(&precious).unwrap(), "kept for years", "{words}");
            let after = fs::metadata(&precious).unwrap();
            assert_eq!((after.ino(), after.mode()), (before.ino(), before.mode()), "{words}");
            assert!(!fs::symlink_metadata(at(&folder, name)).unwrap().is_symlink(), "{words}");
        }
        // One that leads to nothing would be made by whoever follows it.
        let folder = two();
        symlink(at(&folder, "made-by-it.txt"), at(&folder, &format!(".{name}.part"))).unwrap();
        let (code, told) = run(&folder, words);
        assert_eq!(code, 0, "{words}: {told}");
        assert!(!at(&folder, "made-by-it.txt").exists(), "{words}");
        assert!(fs::symlink_metadata(at(&folder, &format!(".{name}.part"))).is_err(), "{words}: it is cleared");
    }
}

#[test]
fn what_a_killed_program_left_is_cleared_by_the_next_though_it_has_nothing_to_write() {
    for words in ["fmt f.still", "fmt .", "check --fix f.still", "record f.still note said", "record f.still nonsense"]
    {
        let folder = shop();
        fs::write(&folder.first, stillroom::syntax::format(&mended())).unwrap();
        fs::write(at(&folder, ".f.still.part"), "half a te").unwrap();
        run(&folder, words);
        assert_eq!(names(&folder), ["f.still"], "{words}");
    }
    let folder = shop();
    fs::create_dir(at(&folder, ".bench.part")).unwrap();
    fs::write(at(&folder, ".bench.part/README.md"), "half a te").unwrap();
    assert_eq!(run(&folder, "new bench").0, 0);
    assert_eq!(names(&folder), ["bench", "f.still"]);
}

#[test]
fn beside_one_another_a_thousand_times_no_confirmed_statement_is_lost() {
    let folder = shop();
    let (mut runs, mut confirmed) = (0, 0);
    for round in 0..200 {
        fs::write(&folder.first, UNTIDY).unwrap();
        let notes: Vec<String> = (0..3).map(|number| format!("round-{round}-{number}")).collect();
        let words = |number: usize| format!("record f.still note {}", notes[number]);
        let writers = match round % 3 {
            0 => [words(0), "fmt f.still".to_string(), words(1), "check --fix f.still".to_string(), words(2)],
            1 => ["check --fix f.still".to_string(), words(0), "fmt f.still".to_string(), words(1), words(2)],
            _ => [words(0), words(1), "check --fix .".to_string(), words(2), "fmt .".to_string()],
        };
        let children: Vec<(&String, Child)> = writers.iter().map(|words| (words, start(&folder, words))).collect();
        for (words, mut child) in children {
            assert!(child.wait().unwrap().success(), "round {round}: {words}\n{}", text(&folder));
            runs += 1;
        }
        let after = text(&folder);
        for note in &notes {
            assert_eq!(after.matches(&format!("\"{note}\"")).count(), 1, "round {round}: {note}\n{after}");
            confirmed += 1;
        }
        assert!(after.contains("{water}") && after.contains("formula f {"), "round {round}\n{after}");
        assert_eq!(names(&folder), ["f.still"], "round {round}");
    }
    assert_eq!((runs, confirmed), (1000, 600));
}

#[test]
fn two_that_begin_a_file_both_stand_in_it() {
    for round in 0..20 {
        let folder = two();
        let begun: Vec<Child> = (0..4)
            .map(|number| start(&folder, &format!("record new.still --new n{number} --formula g --from g.still")))
            .collect();
        for mut child in begun {
            assert!(child.wait().unwrap().success());
        }
        let made = fs::read_to_string(at(&folder, "new.still")).unwrap();
        for number in 0..4 {
            assert_eq!(made.matches(&format!("batch n{number} {{")).count(), 1, "round {round}\n{made}");
        }
    }
}

#[test]
fn of_those_that_make_a_folder_one_does() {
    for round in 0..20 {
        let folder = shop();
        let children: Vec<Child> = (0..4).map(|_| start(&folder, "new bench")).collect();
        let codes: Vec<Option<i32>> = children.into_iter().map(|mut child| child.wait().unwrap().code()).collect();
        assert_eq!(codes.iter().filter(|code| **code == Some(0)).count(), 1, "round {round}: {codes:?}");
        assert_eq!(codes.iter().filter(|code| **code == Some(2)).count(), 3, "round {round}: {codes:?}");
        assert_eq!(fs::read_dir(at(&folder, "bench")).unwrap().count(), 3);
        assert_eq!(names(&folder), ["bench", "f.still"]);
    }
}

/// Kills a command at a moment of its run, each time another; the same moments each time.
fn killed(folder: &Folder, words: &str, times: u32, mut look: impl FnMut(u32)) {
    let whole = {
        let start_of_it = Instant::now();
        start(folder, words).wait().unwrap();
        start_of_it.elapsed()
    };
    look(0);
    let mut number: u32 = 4711;
    for round in 1..=times {
        number = number.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let delay = whole.mul_f64(f64::from(number >> 16) / 65536.0 * 1.3);
        let mut child = start(folder, words);
        std::thread::sleep(delay.min(Duration::from_secs(2)));
        let _ = child.kill();
        child.wait().unwrap();
        look(round);
    }
}

#[test]
fn killed_at_any_moment_a_file_is_the_old_one_or_the_new_one() {
    // Long enough that writing it takes a while.
    let comments = "# A comment that is there to be kept.\n".repeat(8000);
    let old = format!("{comments}{UNTIDY}");
    for (words, new) in [
        ("fmt f.still", format!("{comments}{}", laid_out())),
        ("check --fix f.still", format!("{comments}{}", mended())),
    ] {
        let folder = folder(&[("f.still", old.as_bytes())]);
        let (mut olds, mut news) = (0, 0);
        killed(&folder, words, 120, |round| {
            let after = text(&folder);
            assert!(after == old || after == new, "{words}, round {round}: {} bytes", after.len());
            if after == new {
                news += 1;
                fs::write(&folder.first, &old).unwrap();
            } else {
                olds += 1;
            }
        });
        assert!(olds > 0 && news > 0, "{words}: {olds} old, {news} new");
        assert_eq!(run(&folder, words).0, 0);
        assert_eq!(text(&folder), new);
        assert_eq!(names(&folder), ["f.still"], "{words}");
    }
}

#[test]
fn killed_at_any_moment_a_sheet_or_a_folder_is_there_whole_or_not_at_all() {
    let folder = two();
    assert_eq!(run(&folder, "sheet g.still --out g.md").0, 0);
    let whole = fs::read_to_string(at(&folder, "g.md")).unwrap();
    killed(&folder, "sheet g.still --out g.md", 80, |round| {
        match fs::read_to_string(at(&folder, "g.md")) {
            Ok(sheet) => assert_eq!(sheet, whole, "round {round}"),
            Err(error) => assert_eq!(error.kind(), std::io::ErrorKind::NotFound),
        }
        let _ = fs::remove_file(at(&folder, "g.md"));
    });
    assert_eq!(run(&folder, "sheet g.still --out g.md").0, 0);
    killed(&folder, "new bench", 80, |round| {
        if let Ok(entries) = fs::read_dir(at(&folder, "bench")) {
            assert_eq!(entries.count(), 3, "round {round}");
            fs::remove_dir_all(at(&folder, "bench")).unwrap();
        }
    });
    assert_eq!(run(&folder, "new bench").0, 0);
    assert_eq!(names(&folder), ["bench", "f.still", "g.md", "g.still"]);
}

#[test]
fn a_full_disk_leaves_everything_as_it_was_and_nothing_is_counted_as_written() {
    for (words, name) in WRITING {
        let folder = two();
        fs::write(at(&folder, "g.md"), "an older sheet").unwrap();
        let before = (names(&folder), text(&folder));
        // No file may grow past nothing: what a full disk does, without one.
        let program = assert_cmd::cargo::cargo_bin("stillroom");
        let script = format!("trap '' XFSZ; ulimit -f 0; exec '{}' {words}", program.display());
        let output = Command::new("sh").current_dir(folder.dir.path()).args(["-c", &script]).output().unwrap();
        let (code, told) = outcome(&output);
        assert_eq!((code, output.stdout.as_slice()), (2, &b""[..]), "{words}: {told}");
        let verb = if *name == "bench" { "made" } else { "written" };
        let sentence = format!("`{name}` cannot be {verb}: it would be larger than a file may be here.\n");
        assert!(told.ends_with(&sentence), "{words}: {told}");
        assert!(!told.contains("laid out anew") && !told.contains("is now"), "{words}: {told}");
        assert!(!told.contains("os error") && !told.contains(".part"), "{words}: {told}");
        assert_eq!((names(&folder), text(&folder)), before, "{words}");
        assert_eq!(fs::read_to_string(at(&folder, "g.md")).unwrap(), "an older sheet");
    }
}

#[test]
fn what_can_be_written_is_though_something_else_cannot() {
    for words in ["fmt .", "check --fix ."] {
        let folder = folder(&[("a/f.still", UNTIDY.as_bytes()), ("b/f.still", UNTIDY.as_bytes())]);
        fs::set_permissions(&folder.first, fs::Permissions::from_mode(0o444)).unwrap();
        let (code, told) = run(&folder, words);
        assert_eq!(code, 2, "{words}: {told}");
        assert!(told.contains("f.still` cannot be written: it may only be read.\n"), "{words}: {told}");
        assert_eq!(text(&folder), UNTIDY);
        let other = fs::read_to_string(at(&folder, "b/f.still")).unwrap();
        assert!(other == laid_out() || other == mended(), "{words}: {other}");
        if words == "fmt ." {
            assert!(told.contains("1 file laid out anew."), "{told}");
        }
    }
}

/// A folder that another user may read, with the program in it: who may do anything is refused nothing.
struct Foreign {
    folder: Folder,
    program: PathBuf,
}

impl Foreign {
    fn new(folder: Folder) -> Foreign {
        let program = at(&folder, "stillroom");
        // By another program: a file that this one has open for writing may be handed on to what is started just then.
        let from = assert_cmd::cargo::cargo_bin("stillroom");
        assert!(Command::new("cp").args([&from, &program]).status().unwrap().success());
        fs::set_permissions(&program, fs::Permissions::from_mode(0o755)).unwrap();
        fs::set_permissions(folder.dir.path(), fs::Permissions::from_mode(0o755)).unwrap();
        Foreign { folder, program }
    }

    /// Runs it as a user who owns nothing here, or as whoever runs the tests where that is not the one who may do
    /// anything.
    fn run(&self, words: &str) -> (i32, String) {
        let mut command = Command::new(&self.program);
        command.current_dir(self.folder.dir.path()).args(words.split(' ')).stdin(Stdio::null());
        if fs::metadata("/proc/self").unwrap().uid() == 0 {
            command.uid(65534).gid(65534);
        }
        outcome(&command.output().unwrap())
    }
}

fn mode(path: &Path, mode: u32) {
    fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
}

#[test]
fn who_may_not_write_here_is_told_so_and_nothing_changes() {
    let shop = Foreign::new(two());
    let folder = &shop.folder;
    fs::write(at(folder, "g.md"), "an older sheet").unwrap();
    let before = (names(folder), text(folder));
    mode(folder.dir.path(), 0o555);
    for (words, name) in WRITING {
        let (code, told) = shop.run(words);
        assert_eq!(code, 2, "{words}: {told}");
        let verb = if *name == "bench" { "made" } else { "written" };
        let sentences = ["you may not write there", "it may only be read"]
            .map(|why| format!("`{name}` cannot be {verb}: {why}.\n"));
        assert!(sentences.iter().any(|sentence| told.ends_with(sentence)), "{words}: {told}");
        assert!(!told.contains("os error") && !told.contains(".part"), "{words}: {told}");
        assert_eq!((names(folder), text(folder)), before, "{words}");
    }
    // A folder in which she may write does not make every file in it hers to write.
    mode(folder.dir.path(), 0o777);
    for name in ["f.still", "g.md"] {
        mode(&at(folder, name), 0o444);
    }
    for (words, name) in WRITING.iter().filter(|(_, name)| ["f.still", "g.md"].contains(name)) {
        let (code, told) = shop.run(words);
        assert_eq!(code, 2, "{words}: {told}");
        assert!(told.contains(&format!("`{name}` cannot be written: it may only be read.")), "{words}: {told}");
        assert_eq!((names(folder), text(folder)), before, "{words}");
    }
    if fs::metadata("/proc/self").unwrap().uid() == 0 {
        for name in ["f.still", "g.md"] {
            mode(&at(folder, name), 0o644);
        }
        for (words, name) in WRITING.iter().filter(|(_, name)| ["f.still", "g.md"].contains(name)) {
            let (code, told) = shop.run(words);
            assert_eq!(code, 2, "{words}: {told}");
            assert!(told.contains(&format!("`{name}` cannot be written: it may only be read.")), "{words}: {told}");
            assert_eq!((names(folder), text(folder)), before, "{words}");
        }
    }
    // What may only be read is checked and looked at all the same.
    mode(folder.dir.path(), 0o555);
    assert_eq!(shop.run("fmt --check f.still").0, 1);
    assert_eq!(shop.run("check --fix g.still").0, 0);
    mode(folder.dir.path(), 0o755);
}

#[test]
fn a_sheet_is_written_over_no_file_of_the_language() {
    let folder = two();
    fs::write(at(&folder, "plain.txt"), mended()).unwrap();
    symlink("f.still", at(&folder, "link.md")).unwrap();
    symlink("gone.still", at(&folder, "gone.md")).unwrap();
    let before = (names(&folder), text(&folder));
    for out in ["f.still", "g.still", "none.still", "none.STILL", "link.md", "gone.md", "./f.still"] {
        for what in ["g.still", "g.still --format json"] {
            let (code, told) = run(&folder, &format!("sheet {what} --out {out}"));
            let sentence = format!("`{out}` is a file of formulas or records, and `--out` writes over none: ");
            assert!(code == 2 && told.starts_with(&sentence), "{out}: {told}");
        }
    }
    let (code, told) = run(&folder, "sheet plain.txt --out plain.txt");
    assert_eq!((code, told.as_str()), (2, "`plain.txt` is what the sheet is made of: give the sheet another name.\n"));
    assert_eq!(fs::read_to_string(at(&folder, "plain.txt")).unwrap(), mended());
    assert_eq!((names(&folder), text(&folder)), before);
    fs::write(&folder.first, mended() + "\nbatch c { formula f }\n").unwrap();
    let (code, told) = run(&folder, "sheet f.still --record c --out f.still");
    assert!(code == 2 && told.contains("writes over none"), "{told}");
}

#[test]
fn a_sheet_goes_where_a_link_leads_and_keeps_what_may_be_done_with_a_file() {
    let folder = two();
    fs::create_dir(at(&folder, "sheets")).unwrap();
    fs::write(at(&folder, "sheets/there.md"), "an older sheet").unwrap();
    mode(&at(&folder, "sheets/there.md"), 0o640);
    symlink("sheets/there.md", at(&folder, "first.md")).unwrap();
    symlink("first.md", at(&folder, "link.md")).unwrap();
    symlink("sheets/not-yet.md", at(&folder, "not-yet.md")).unwrap();
    for (out, lands) in [("link.md", "sheets/there.md"), ("not-yet.md", "sheets/not-yet.md")] {
        let (code, told) = run(&folder, &format!("sheet g.still --out {out}"));
        assert_eq!(code, 0, "{out}: {told}");
        assert!(fs::symlink_metadata(at(&folder, out)).unwrap().is_symlink(), "{out}");
        assert!(fs::read_to_string(at(&folder, lands)).unwrap().contains("g"), "{out}");
        assert!(fs::symlink_metadata(at(&folder, lands)).unwrap().is_file(), "{out}");
    }
    assert_eq!(fs::metadata(at(&folder, "sheets/there.md")).unwrap().mode() & 0o777, 0o640);
    symlink("round.md", at(&folder, "round.md")).unwrap();
    let (code, told) = run(&folder, "sheet g.still --out round.md");
    assert_eq!((code, told.as_str()), (2, "`round.md` cannot be written: its links lead round in a ring.\n"));
    let (code, told) = run(&folder, "sheet g.still --out sheets");
    assert_eq!((code, told.as_str()), (2, "`sheets` is a folder.\n"));
    let (code, told) = run(&folder, "sheet g.still --out nowhere/sheet.md");
    assert_eq!((code, told.as_str()), (2, "`nowhere/sheet.md` cannot be written: there is no such folder.\n"));
}

#[test]
fn a_sheet_goes_into_a_pipe_or_a_device_and_leaves_it_there() {
    let folder = two();
    let plain = program(&folder, "sheet g.still").output().unwrap().stdout;
    let pipe = at(&folder, "pipe");
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let mut writer = start(&folder, "sheet g.still --out pipe");
    // A program that puts a file in place of the pipe leaves nobody to read from.
    let deadline = Instant::now() + Duration::from_secs(20);
    let reader = std::thread::spawn({
        let pipe = pipe.clone();
        move || fs::read(pipe).unwrap()
    });
    assert!(writer.wait().unwrap().success());
    while !reader.is_finished() && Instant::now() < deadline {
        std::thread::sleep(Duration::from_millis(5));
    }
    assert!(reader.is_finished(), "nothing came through the pipe");
    assert_eq!(reader.join().unwrap(), plain);
    assert!(fs::symlink_metadata(&pipe).unwrap().file_type().is_fifo());
    // A name for standard output: the pipe of this test, and a file that a shell opened.
    let output = program(&folder, "sheet g.still --out /dev/stdout").output().unwrap();
    assert_eq!((output.status.code(), output.stdout), (Some(0), plain.clone()));
    let shell = format!("'{}' sheet g.still --out /dev/stdout", assert_cmd::cargo::cargo_bin("stillroom").display());
    let script = format!("echo before > kept.txt; {shell} >> kept.txt");
    assert!(Command::new("sh").current_dir(folder.dir.path()).args(["-c", &script]).status().unwrap().success());
    assert_eq!(fs::read(at(&folder, "kept.txt")).unwrap(), [b"before\n", plain.as_slice()].concat());
    // As another user, so that a fault of the program does no harm to the device.
    let foreign = Foreign::new(two());
    let (code, told) = foreign.run("sheet g.still --out /dev/full");
    assert_eq!((code, told.as_str()), (2, "`/dev/full` cannot be written: the disk is full.\n"));
    assert_eq!(foreign.run("sheet g.still --out /dev/null"), (0, String::new()));
    for device in ["/dev/full", "/dev/null"] {
        assert!(fs::symlink_metadata(device).unwrap().file_type().is_char_device());
    }
}

#[test]
fn a_long_name_is_written_like_any_other() {
    let name = format!("{}.still", "n".repeat(249));
    let folder = folder(&[(&name, UNTIDY.as_bytes())]);
    for words in ["fmt", "check --fix", "record"] {
        let rest = if words == "record" { " note said" } else { "" };
        assert_eq!(run(&folder, &format!("{words} {name}{rest}")).0, 0, "{words}");
    }
    let after = text(&folder);
    assert!(after.contains("{water}") && after.contains("\"said\"") && after.contains("formula f {"), "{after}");
    assert_eq!(names(&folder), [name]);
}
