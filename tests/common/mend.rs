//! `check` as JSON, and the edits that its diagnostics carry, carried out as an editor would.

use assert_cmd::Command;
use serde_json::Value;
use std::fs;
use std::path::Path;

/// Runs the program in a folder: the exit code, standard output, standard error.
pub fn run(at: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("stillroom").unwrap().args(arguments).current_dir(at).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// The diagnostics of a text, written to `a.still` in a folder.
pub fn told(at: &Path, text: &str) -> Vec<Value> {
    fs::write(at.join("a.still"), text).unwrap();
    let (_, out, err) = run(at, &["check", "a.still", "--format", "json"]);
    let json: Value = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{out}{err}"));
    json["diagnostics"].as_array().unwrap().clone()
}

/// Those of one code.
pub fn of_code(told: &[Value], code: &str) -> Vec<Value> {
    told.iter().filter(|one| one["code"] == code).cloned().collect()
}

/// What `--fix` makes of a text; `None` where it leaves it as it is.
pub fn fixed(at: &Path, text: &str) -> Option<String> {
    fs::write(at.join("a.still"), text).unwrap();
    run(at, &["check", "a.still", "--fix"]);
    Some(fs::read_to_string(at.join("a.still")).unwrap()).filter(|now| now != text)
}

/// A text with the edit of a diagnostic carried out.
pub fn with_fix(text: &str, diagnostic: &Value) -> String {
    let fix = &diagnostic["fix"];
    let number = |key: &str| usize::try_from(fix[key].as_u64().expect("a fix")).unwrap();
    let at = |line: usize, column: usize| {
        let start: usize = text.split_inclusive('\n').take(line - 1).map(str::len).sum();
        start + text[start..].chars().take(column - 1).map(char::len_utf8).sum::<usize>()
    };
    let (from, to) = (at(number("line"), number("column")), at(number("end_line"), number("end_column")));
    format!("{}{}{}", &text[..from], fix["replacement"].as_str().unwrap(), &text[to..])
}
