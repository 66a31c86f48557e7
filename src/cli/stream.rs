//! Standard output and standard error: the one place that writes to each. Nothing of a file goes through it raw, but
//! for what is piped from file to file.
//!
//! A reader that has gone away is no fault, and nothing is told of it. What could not be written for another reason, as
//! on a full disk, does not stop the work: it is kept here, and makes the command fail at its end.

use clap::error::ContextValue;
use std::io::{self, Write};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};
use stillroom::render::{OnScreen, shown};
use stillroom::workspace::unwritten;

/// What could not be written, in sentences; each stream once.
static LOST: Mutex<Vec<String>> = Mutex::new(Vec::new());

fn lost() -> MutexGuard<'static, Vec<String>> {
    LOST.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Writes to standard output, nothing of a file raw.
pub fn print(text: &(impl OnScreen + ?Sized)) {
    pipe(&text.on_screen());
}

/// Writes to standard output byte by byte: a text that goes from file to file, which no one reads on the way.
pub fn pipe(text: &str) {
    pipe_bytes(text.as_bytes());
}

/// Writes bytes to standard output as they are.
pub fn pipe_bytes(bytes: &[u8]) {
    let mut out = io::stdout().lock();
    keep("What was to be printed", out.write_all(bytes).and_then(|()| out.flush()));
}

/// Writes to standard error, nothing of a file raw.
pub fn tell(text: &(impl OnScreen + ?Sized)) {
    let (text, mut err) = (text.on_screen(), io::stderr().lock());
    keep("What was to be told on standard error", err.write_all(text.as_bytes()).and_then(|()| err.flush()));
}

/// Writes a line to standard error.
pub fn tell_line(line: &str) {
    tell(&format!("{line}\n"));
}

/// Whether whoever read standard output has gone away.
static READER_GONE: AtomicBool = AtomicBool::new(false);

/// Whether nobody reads what is printed any more, as far as that was noticed.
pub fn is_reader_gone() -> bool {
    READER_GONE.load(Ordering::Relaxed)
}

fn keep(what: &str, written: io::Result<()>) {
    if written.as_ref().is_err_and(|error| error.kind() == io::ErrorKind::BrokenPipe) {
        READER_GONE.store(true, Ordering::Relaxed);
    }
    if let Err(error) = written.as_ref()
        && error.kind() != io::ErrorKind::BrokenPipe
    {
        let sentence = format!("{what} cannot be written: {}.", unwritten(error));
        let mut lost = lost();
        if !lost.contains(&sentence) {
            lost.push(sentence);
        }
    }
}

/// Whether something could not be written so far.
pub fn is_lost() -> bool {
    !lost().is_empty()
}

/// What could not be written since this was last asked; none where all was.
pub fn taken_lost() -> Option<String> {
    let lost = std::mem::take(&mut *lost());
    (!lost.is_empty()).then(|| lost.join("\n"))
}

/// Standard output for a talk that goes on; what cannot be written is kept as by [`print`].
pub struct Out;

impl Write for Out {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        io::stdout().write(bytes).inspect_err(|error| keep("What was to be printed", Err(error.kind().into())))
    }

    fn flush(&mut self) -> io::Result<()> {
        io::stdout().flush().inspect_err(|error| keep("What was to be printed", Err(error.kind().into())))
    }
}

/// Prints what was asked of the command line itself: its help, its version, or what is wrong with the words.
pub fn answer(answer: &clap::Error) -> ExitCode {
    if let Some(text) = made_visible(answer) {
        tell(&text);
        return ExitCode::from(u8::try_from(answer.exit_code()).unwrap_or(2));
    }
    let what = if answer.use_stderr() { "What was to be told on standard error" } else { "What was to be printed" };
    keep(what, answer.print().and_then(|()| io::stdout().flush()));
    match taken_lost() {
        Some(lost) => {
            tell_line(&lost);
            ExitCode::from(2)
        }
        None => ExitCode::from(u8::try_from(answer.exit_code()).unwrap_or(2)),
    }
}

/// What is wrong with the words, where they have something in them that would not be seen; none where they do not.
fn made_visible(answer: &clap::Error) -> Option<String> {
    let words = answer.context().filter_map(|(_, value)| match value {
        ContextValue::String(word) => Some(shown(word)).filter(|shown| *shown != *word),
        _ => None,
    });
    let words: Vec<String> = words.map(|word| format!("'{word}'")).collect();
    let what = answer.kind().as_str().unwrap_or("the words are not understood");
    (!words.is_empty()).then(|| format!("error: {what}: {}\n\nFor more information, try '--help'.\n", words.join(", ")))
}
