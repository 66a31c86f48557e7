//! `stillroom record`.

mod ask;
mod clock;
mod draw;
mod on_hand;
mod talk;

use super::arguments::RecordArguments;
use super::input::day;
use super::locked_folder::keeper;
use super::stream::{Out, is_lost, print, tell, tell_line};
use super::{Failure, Outcome, sheet};
use ask::{Asked, converse};
use clock::Moment;
pub use clock::now;
use draw::Drawn;
use std::io::IsTerminal as _;
use stillroom::batch::writing::{quoted, says_something, statement};
use stillroom::keeping::{Begin, NewEntry, Written, write_down};
use stillroom::render::{shown, shown_path};
use talk::Talk;

/// Writes a statement into a batch record, or begins one; asks where nothing is said and someone is there.
///
/// # Errors
/// Wrong arguments, a record that there is not, and a file that cannot be read or written.
pub fn run(arguments: &RecordArguments) -> Result<Outcome, Failure> {
    let spoken = !arguments.statement.iter().all(|word| word.trim().is_empty());
    let said = spoken && says_something(&statement(&arguments.statement));
    if !said && (spoken || arguments.new.is_none()) {
        if !spoken && std::io::stdin().is_terminal() {
            return asked(arguments);
        }
        return Err(Failure("Say what happened, as in `stillroom record FILE weighed water 221.94 g`.".to_string()));
    }
    let entry = NewEntry {
        path: &arguments.path,
        batch: arguments.batch.as_deref(),
        begin: begin(arguments, said)?,
        statement: if said { Some(stamped(statement(&arguments.statement), arguments)?) } else { None },
        asked_back: false,
        version: None,
    };
    let mut drawn = Drawn::default();
    Ok(match write_down(&keeper(), &entry, &mut drawn)? {
        Written::Recorded(recorded) => {
            tell(&drawn.all);
            print(&recorded.lines());
            if is_lost() {
                tell_line(&format!("It stands in `{}` all the same.", shown_path(&arguments.path)));
            }
            Outcome::Clean
        }
        Written::Refused => {
            tell(&drawn.all);
            tell_line("Nothing was written.");
            Outcome::Errors
        }
    })
}

/// Asks at the terminal until she is done.
fn asked(arguments: &RecordArguments) -> Result<Outcome, Failure> {
    let (mut input, mut out) = (std::io::stdin().lock(), Out);
    let mut talk = Talk { input: &mut input, out: &mut out };
    let stamp = |text: String| stamped(text, arguments);
    // Who says the day or the hour with the command has said it.
    let is_said = arguments.on.is_some() || arguments.at.is_some();
    let clock: &dyn Fn() -> Option<Moment> = if is_said { &|| None } else { &|| Some(now()) };
    let who = Asked { path: &arguments.path, batch: arguments.batch.as_deref(), stamp: &stamp, clock };
    converse(&mut talk, &who)?;
    Ok(Outcome::Clean)
}

/// The batch that is begun, where one is. The hour and the initials are of what is said with it, else of its beginning.
fn begin(arguments: &RecordArguments, said: bool) -> Result<Option<Begin<'_>>, Failure> {
    let (Some(name), Some(formula)) = (&arguments.new, &arguments.formula) else { return Ok(None) };
    Ok(Some(Begin {
        name,
        formula,
        from: arguments.from.as_deref(),
        makes: arguments.size.as_deref().map(|size| sheet::size("--size", size)).transpose()?,
        started: arguments.on.as_deref().map(day).transpose()?,
        stamps: if said { String::new() } else { stamped(String::new(), arguments)? },
    }))
}

/// The statement with the day, the time and the initials of the command line.
fn stamped(mut text: String, arguments: &RecordArguments) -> Result<String, Failure> {
    // The day that a batch begins on is its own statement.
    if let Some(on) = arguments.on.as_deref().filter(|_| arguments.new.is_none()) {
        text.push_str(&format!(" on {}", day(on)?));
    }
    if let Some(at) = &arguments.at {
        text.push_str(&format!(" at {}", time(at)?));
    }
    if let Some(by) = &arguments.by {
        text.push_str(&format!(" by {}", quoted(by)));
    }
    Ok(text)
}

/// A time of day as the command line has it.
pub fn time(text: &str) -> Result<&str, Failure> {
    let parts = text.split_once(':').filter(|(hours, minutes)| hours.len() == 2 && minutes.len() == 2);
    let read = |(hours, minutes): (&str, &str)| Some((hours.parse::<u8>().ok()?, minutes.parse::<u8>().ok()?));
    match parts.and_then(read) {
        Some((0..=23, 0..=59)) if text.bytes().all(|byte| byte == b':' || byte.is_ascii_digit()) => Ok(text),
        _ => Err(Failure(format!("`--at {}`: a time is written as hours and minutes: `14:05`.", shown(text)))),
    }
}
