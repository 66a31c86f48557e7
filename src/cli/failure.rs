//! Wrong use, and input that cannot be read.

use std::fmt;

/// Why a command could not do its work: exit code 2.
#[derive(Debug)]
pub struct Failure(pub String);

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl From<std::io::Error> for Failure {
    fn from(error: std::io::Error) -> Failure {
        Failure(format!("Something could not be read: {}.", stillroom::workspace::unread(&error)))
    }
}

impl From<stillroom::keeping::NotKept> for Failure {
    fn from(why: stillroom::keeping::NotKept) -> Failure {
        let blank = if why.at_terminal.is_empty() { "" } else { " " };
        Failure(format!("{}{blank}{}", why.sentence, why.at_terminal))
    }
}
