//! Completions and manual pages, both made of the one definition of the commands: nothing of it is missing in them.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use assert_cmd::Command;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

fn told(words: &[&str]) -> String {
    let output = Command::cargo_bin("stillroom").unwrap().args(words).output().unwrap();
    assert!(output.status.success(), "{words:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// The commands by the program's own help.
fn commands() -> Vec<String> {
    let help = told(&["--help"]);
    let (_, after) = help.split_once("Commands:\n").unwrap();
    let lines = after.lines().take_while(|line| !line.is_empty());
    let named = lines.filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    named.filter_map(|line| line.split_whitespace().next().map(String::from)).collect()
}

/// The long options of a command by its help.
fn options(command: &str) -> BTreeSet<String> {
    let help = told(&[command, "--help"]);
    let lines = help.lines().map(str::trim_start).filter(|line| line.starts_with('-'));
    let words =
        lines.flat_map(|line| line.split([' ', ',', '=', '[', ']']).take(3).map(String::from).collect::<Vec<_>>());
    words.filter(|word| word.starts_with("--")).collect()
}

#[test]
fn every_command_and_option_is_in_every_completion() {
    let commands = commands();
    assert!(commands.len() > 18 && commands.contains(&"completions".to_string()), "{commands:?}");
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let made = told(&["completions", shell]);
        for command in &commands {
            assert!(made.contains(command.as_str()), "{shell}: {command}");
            for option in options(command) {
                // fish names a long option without its hyphens.
                let written = if shell == "fish" { format!("-l {}", &option[2..]) } else { option.clone() };
                assert!(made.contains(&written), "{shell}: {command} {option}");
            }
        }
    }
}

/// What bash would complete, by the script that it is told to read.
fn completed(words: &[&str]) -> BTreeSet<String> {
    let script = told(&["completions", "bash"]);
    let (last, before) = words.split_last().unwrap();
    let previous = before.last().unwrap();
    let ask = format!(
        "{script}\nCOMP_WORDS=({})\nCOMP_CWORD={}\n_stillroom stillroom '{last}' '{previous}'\nprintf '%s\\n' \"${{COMPREPLY[@]}}\"\n",
        words.iter().map(|word| format!("'{word}'")).collect::<Vec<_>>().join(" "),
        words.len() - 1,
    );
    let output = std::process::Command::new("bash").args(["--norc", "-c", &ask]).output().unwrap();
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap().split_whitespace().map(String::from).collect()
}

#[test]
fn bash_completes_commands_options_and_values() {
    let found = completed(&["stillroom", ""]);
    assert!(commands().iter().all(|command| found.contains(command)), "{found:?}");
    assert_eq!(completed(&["stillroom", "lab"]), BTreeSet::from(["label".to_string()]));
    assert!(options("check").is_subset(&completed(&["stillroom", "check", "--"])));
    let formats = completed(&["stillroom", "check", "--format", ""]);
    assert_eq!(formats, ["human", "json", "sarif", "github"].map(String::from).into());
}

#[test]
fn every_command_has_its_page_with_every_option() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    assert_eq!(told(&["man", "--out", out]), "");
    let page = |name: &str| fs::read_to_string(Path::new(out).join(name)).unwrap();
    let whole = page("stillroom.1");
    assert_eq!(whole, told(&["man"]));
    let commands = commands();
    for command in &commands {
        // A hyphen that is one is written with a stroke before it.
        let plain = |text: String| text.replace("\\-", "-");
        assert!(
            plain(whole.clone()).contains(&format!("stillroom-{command}(1)")),
            "{command} is not in the page of all"
        );
        let own = page(&format!("stillroom-{command}.1"));
        assert_eq!(own, told(&["man", command]), "{command}");
        let own = plain(own);
        assert!(own.contains(".TH stillroom-") || own.contains(".TH \"stillroom-"), "{own}");
        for option in options(command) {
            assert!(own.contains(&option), "{command}: {option} is not in its page");
        }
    }
    // One for each and one for all, and nothing that was only on the way.
    assert_eq!(fs::read_dir(out).unwrap().count(), commands.len() + 1);
}

#[test]
fn a_page_of_no_command_and_a_folder_that_is_not_there_are_refused() {
    let refused = |words: &[&str]| {
        let output = Command::cargo_bin("stillroom").unwrap().args(words).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{words:?}");
        String::from_utf8(output.stderr).unwrap()
    };
    assert_eq!(refused(&["man", "chek"]), "There is no command `chek`. Did you mean `check`?\n");
    assert_eq!(refused(&["man", "--out", "nowhere"]), "`nowhere` is no folder: make it first.\n");
    assert!(refused(&["completions", "chalk"]).contains("possible values"));
}
