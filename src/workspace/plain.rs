//! Why something could not be read or written, in words for whoever sits there: no number of the operating system.

use std::io::{Error, ErrorKind};

/// Why something could not be read.
#[must_use]
pub fn unread(error: &Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "there is no such file".to_string(),
        ErrorKind::PermissionDenied => "it may not be read".to_string(),
        _ => either(error),
    }
}

/// Why something could not be written.
#[must_use]
pub fn unwritten(error: &Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "there is no such folder".to_string(),
        ErrorKind::PermissionDenied => "you may not write there".to_string(),
        _ => either(error),
    }
}

/// What reads the same whichever was tried.
fn either(error: &Error) -> String {
    let words = match error.kind() {
        ErrorKind::IsADirectory => "it is a folder",
        ErrorKind::NotADirectory => "a part of its path is a file and no folder",
        ErrorKind::StorageFull => "the disk is full",
        ErrorKind::QuotaExceeded => "all the room that is yours on this disk is used up",
        ErrorKind::FileTooLarge => "it would be larger than a file may be here",
        ErrorKind::ReadOnlyFilesystem => "this disk may only be read",
        ErrorKind::InvalidFilename => "this disk does not take such a name",
        ErrorKind::AlreadyExists => "there is something of its name already",
        ErrorKind::BrokenPipe => "nobody reads it any more",
        ErrorKind::TimedOut => "it took too long",
        ErrorKind::StaleNetworkFileHandle => "the folder on the network is gone",
        ErrorKind::OutOfMemory => "there is no memory left",
        ErrorKind::Unsupported => "that cannot be done on this disk",
        ErrorKind::InvalidData => "it is not UTF-8",
        _ => return own_words(error),
    };
    words.to_string()
}

/// What the system or we ourselves say, without the number that systems put after it.
fn own_words(error: &Error) -> String {
    let words = error.to_string();
    let words = words.split_once(" (os error ").map_or(words.as_str(), |(words, _)| words);
    let words = words.trim_end_matches('.');
    // What comes from the system begins a sentence, and here it stands in one.
    match (error.raw_os_error(), words.chars().next()) {
        (Some(_), Some(first)) => first.to_lowercase().chain(words.chars().skip(1)).collect(),
        _ => words.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::{unread, unwritten};
    use std::io::{Error, ErrorKind};

    #[test]
    fn no_number_of_the_system_is_told() {
        for number in 1..134 {
            let error = Error::from_raw_os_error(number);
            for words in [unread(&error), unwritten(&error)] {
                assert!(!words.contains("os error") && !words.ends_with('.') && !words.is_empty(), "{number}: {words}");
            }
        }
        assert_eq!(unread(&Error::from(ErrorKind::NotFound)), "there is no such file");
        assert_eq!(unwritten(&Error::from(ErrorKind::StorageFull)), "the disk is full");
        assert_eq!(unread(&Error::other("`a.still` is not in this copy.")), "`a.still` is not in this copy");
    }
}
