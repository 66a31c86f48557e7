//! One target under libFuzzer: that which `TARGET` names. `../run` builds and starts it.

#![no_main]

#[path = "../../../src/cli/mod.rs"]
#[allow(unused_imports, reason = "what only the program itself asks of it")]
mod cli;
#[path = "../targets/mod.rs"]
mod targets;

use clap::Parser as _;
use std::path::Path;
use std::sync::LazyLock;
use targets::words::Ended;

static TARGET: LazyLock<fn(&[u8])> = LazyLock::new(|| match std::env::var("TARGET").as_deref() {
    Ok("text") => targets::text::text,
    Ok("format") => targets::format::format,
    Ok("fixes") => targets::fixes::fixes,
    Ok("records") => targets::records::records,
    Ok("words") => |data| targets::words::words(data, &in_this_process),
    _ => panic!("TARGET is one of text, format, fixes, records and words"),
});

libfuzzer_sys::fuzz_target!(|data: &[u8]| (TARGET)(data));

/// The program without a process of its own, which is faster by far. What it prints goes where `../run` sends it.
fn in_this_process(folder: &Path, words: &[String], _input: &[u8]) -> Ended {
    std::env::set_current_dir(folder).expect("the folder is there");
    let arguments = std::iter::once("stillroom").chain(words.iter().map(String::as_str));
    match cli::Arguments::try_parse_from(arguments) {
        Ok(arguments) => match cli::run(arguments) {
            Ok(outcome) => Ended { code: i32::from(outcome == cli::Outcome::Errors), err: String::new() },
            Err(failure) => Ended { code: 2, err: failure.to_string() },
        },
        Err(refused) => Ended { code: refused.exit_code(), err: refused.to_string() },
    }
}
