//! What it costs to ask a long history: `log` of a folder, `log` of one formula and `diff --since` beside `check` of the
//! same folder, turn by turn. `cargo bench --bench versions`. It needs the git program, which makes the repository.
//!
//! A thousand commits over two hundred formulas that share their materials; every hundredth commit edits the materials,
//! every other one formula. Nothing is asserted about time: the figures are for a person to read, as multiples of the
//! check. What is asserted is that every change is found.

#![allow(clippy::disallowed_methods, reason = "a benchmark writes files of its own")]

use std::fmt::Write as _;
use std::io::{self, Write as _};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const FORMULAS: usize = 200;
const COMMITS: usize = 1_000;

/// How often everything is run; the least of each counts.
const ROUNDS: usize = 5;

/// A formula as the history has it so far.
#[derive(Clone)]
struct Serum {
    version: usize,
    glycerin: usize,
}

fn main() -> io::Result<()> {
    let folder = tempfile::tempdir()?;
    let changes = repository(folder.path())?;
    let half = format!("HEAD~{}", COMMITS / 2);
    let asked: [(&str, Vec<&str>); 5] = [
        ("check of the folder", vec!["check", "."]),
        ("diff of the folder since the last commit", vec!["diff", ".", "--since", "HEAD~1"]),
        ("diff of the folder since half-way", vec!["diff", ".", "--since", &half]),
        ("log of one formula", vec!["log", "serum-007.still"]),
        ("log of the folder", vec!["log", "."]),
    ];
    let mut least = [Duration::MAX; 5];
    for _ in 0..ROUNDS {
        for (time, (_, arguments)) in least.iter_mut().zip(&asked) {
            let start = Instant::now();
            let out = run(folder.path(), arguments)?;
            *time = start.elapsed().min(*time);
            if arguments == &["log", "."] {
                let entries = out.lines().filter(|line| line.starts_with("  ")).count();
                assert_eq!(entries, changes, "every change of every formula is found");
            }
        }
    }
    println!("{COMMITS} commits, {FORMULAS} formulas, {changes} changes of a formula's meaning");
    for (time, (what, _)) in least.iter().zip(&asked) {
        let ratio = time.as_secs_f64() / least[0].as_secs_f64();
        println!("{what:<42} {:>8.3} s  {ratio:>6.2} of the check", time.as_secs_f64());
    }
    Ok(())
}

/// Runs the program in a folder and gives what it prints.
fn run(folder: &Path, arguments: &[&str]) -> io::Result<String> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stillroom"));
    let output = command.args(arguments).current_dir(folder).stdin(Stdio::null()).output()?;
    if !output.status.success() {
        return Err(io::Error::other(format!("{arguments:?}: {}", String::from_utf8_lossy(&output.stderr))));
    }
    String::from_utf8(output.stdout).map_err(io::Error::other)
}

/// Makes the repository and says how many changes of a formula's meaning it holds.
fn repository(folder: &Path) -> io::Result<usize> {
    git(folder, &["init", "-q", "-b", "main"])?;
    let mut import = Command::new("git");
    let import = import.args(["fast-import", "--quiet"]).current_dir(folder).stdin(Stdio::piped());
    let mut import = import.spawn()?;
    let (text, changes) = history();
    if let Some(mut input) = import.stdin.take() {
        input.write_all(text.as_bytes())?;
    }
    import.wait()?;
    git(folder, &["checkout", "-q", "-f", "main"])?;
    Ok(changes)
}

fn git(folder: &Path, arguments: &[&str]) -> io::Result<()> {
    let status = Command::new("git").args(arguments).current_dir(folder).status()?;
    if status.success() { Ok(()) } else { Err(io::Error::other(format!("git {arguments:?}"))) }
}

/// The history as `git fast-import` reads it.
fn history() -> (String, usize) {
    let mut serums = vec![Serum { version: 1, glycerin: 300 }; FORMULAS];
    let mut strength = 80;
    let mut changes = 0;
    let mut out = String::new();
    for commit in 0..COMMITS {
        let when = 1_700_000_000 + 3600 * commit;
        let message = format!("change {commit}");
        writeln!(out, "commit refs/heads/main\ncommitter Bench <bench@example.org> {when} +0000").unwrap();
        writeln!(out, "data {}\n{message}", message.len()).unwrap();
        match commit {
            0 => {
                file(&mut out, "materials.still", &materials(strength));
                for (number, serum) in serums.iter().enumerate() {
                    file(&mut out, &format!("serum-{number:03}.still"), &serum_text(number, serum));
                }
                changes += FORMULAS;
            }
            _ if commit % 100 == 50 => {
                strength = if strength == 80 { 85 } else { 80 };
                file(&mut out, "materials.still", &materials(strength));
                changes += FORMULAS;
            }
            _ => {
                // A stride without a common factor with their number visits all of them.
                let number = commit * 37 % FORMULAS;
                let serum = &mut serums[number];
                serum.version += 1;
                serum.glycerin = 100 + serum.glycerin % 500 + 7;
                file(&mut out, &format!("serum-{number:03}.still"), &serum_text(number, serum));
                changes += 1;
            }
        }
    }
    out.push_str("done\n");
    (out, changes)
}

fn file(out: &mut String, name: &str, text: &str) {
    writeln!(out, "M 100644 inline {name}\ndata {}\n{text}", text.len()).unwrap();
}

fn materials(strength: usize) -> String {
    format!(
        "use shelf/all\nmaterial our-acid {{\n  contains lactic-acid {strength} % active, water remainder\n  caution \"Corrosive: gloves.\"\n}}\n"
    )
}

fn serum_text(number: usize, serum: &Serum) -> String {
    format!(
        "use \"materials.still\"\n\nformula serum-{number:03} {{\n  title \"Serum {number}\"\n  version \"{}\"\n  \
         product leave-on face\n  makes 500 g\n  scale 0.01 g\n  pH 3.6 to 4.0\n  phase A \"Water\" {{\n    \
         water q.s. hold back 25 %\n    our-acid 5 % active\n    glycerin {}.{:02} %\n    propanediol 2 %\n    \
         sodium-hydroxide-10 q.s. to pH\n  }}\n  phase B {{\n    phenoxyethanol-ethylhexylglycerin 1 %\n  }}\n  \
         steps {{\n    \"Mix {{glycerin}} and {{propanediol}} into {{water}}; stir in {{our-acid}}.\"\n    \
         \"Bring to {{pH}} with {{sodium-hydroxide-10}}.\"\n    \"Stir in {{phenoxyethanol-ethylhexylglycerin}}.\"\n  }}\n}}\n",
        serum.version,
        serum.glycerin / 100,
        serum.glycerin % 100,
    )
}
