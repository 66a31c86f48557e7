//! Messages over a pair of streams. What is no message is told to the client, and the next one is read.

use lsp_server::{Connection, Message, Notification};
use lsp_types::notification::{LogMessage, Notification as _};
use lsp_types::{LogMessageParams, MessageType};
use std::io::{self, BufRead, Read as _, Write};
use std::thread::JoinHandle;

/// The longest message that is read, in bytes: past the largest file, written as JSON with every letter escaped.
const LONGEST: u64 = 128 << 20;

/// The longest line of a header that is read.
const LONGEST_HEADER: u64 = 4_096;

/// What a stream gives next.
enum Read {
    Message(Message),
    Unreadable(String),
    End,
}

/// A connection over two streams, each on a thread of its own, and the thread that writes: it ends when all is written
/// and the connection is dropped.
///
/// # Errors
/// A system that has no thread left.
pub fn over(
    input: impl BufRead + Send + 'static,
    output: impl Write + Send + 'static,
) -> io::Result<(Connection, JoinHandle<()>)> {
    let (ours, theirs) = Connection::memory();
    let Connection { sender, receiver } = theirs;
    let (mut input, mut output) = (input, output);
    let writer = std::thread::Builder::new().name("writer".to_string()).spawn(move || {
        for message in receiver {
            if message.write(&mut output).is_err() {
                return;
            }
        }
    })?;
    let answers = ours.sender.clone();
    std::thread::Builder::new().name("reader".to_string()).spawn(move || {
        loop {
            match read(&mut input) {
                Ok(Read::Message(message)) => {
                    let is_exit = matches!(&message, Message::Notification(note) if note.method == "exit");
                    if sender.send(message).is_err() || is_exit {
                        return;
                    }
                }
                Ok(Read::Unreadable(why)) => {
                    let params = LogMessageParams { typ: MessageType::ERROR, message: why };
                    let told = Notification::new(LogMessage::METHOD.to_string(), params);
                    if answers.send(told.into()).is_err() {
                        return;
                    }
                }
                Ok(Read::End) | Err(_) => return,
            }
        }
    })?;
    Ok((ours, writer))
}

/// Reads one message.
fn read(input: &mut impl BufRead) -> io::Result<Read> {
    let mut length = None;
    loop {
        let mut line = Vec::new();
        if input.by_ref().take(LONGEST_HEADER).read_until(b'\n', &mut line)? == 0 {
            return Ok(Read::End);
        }
        let line = String::from_utf8_lossy(&line);
        let line = line.trim();
        if line.is_empty() {
            break;
        }
        if let Some((name, value)) = line.split_once(':')
            && name.trim().eq_ignore_ascii_case("Content-Length")
        {
            length = value.trim().parse::<u64>().ok();
        }
    }
    let Some(length) = length else {
        return Ok(Read::Unreadable("A message came without its length, and was passed over.".to_string()));
    };
    let mut body = input.by_ref().take(length);
    if length > LONGEST {
        io::copy(&mut body, &mut io::sink())?;
        return Ok(Read::Unreadable(format!("A message of {length} bytes is too long, and was passed over.")));
    }
    let mut bytes = Vec::new();
    if body.read_to_end(&mut bytes)? as u64 != length {
        return Ok(Read::End);
    }
    Ok(match serde_json::from_slice(&bytes) {
        Ok(message) => Read::Message(message),
        Err(_) => Read::Unreadable("What came is no message of the protocol, and was passed over.".to_string()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(bytes: &[u8]) -> Vec<&'static str> {
        let mut input = io::BufReader::new(bytes);
        let mut found = Vec::new();
        loop {
            match read(&mut input).expect("bytes in memory are read") {
                Read::Message(_) => found.push("message"),
                Read::Unreadable(_) => found.push("unreadable"),
                Read::End => return found,
            }
        }
    }

    #[test]
    fn what_is_no_message_is_passed_over() {
        let note = r#"{"jsonrpc":"2.0","method":"x"}"#;
        let good = format!("Content-Length: {}\r\n\r\n{note}", note.len());
        assert_eq!(all(good.as_bytes()), ["message"]);
        assert_eq!(all(format!("nonsense\r\n\r\n{good}").as_bytes()), ["unreadable", "message"]);
        assert_eq!(all(format!("Content-Length: 3\r\n\r\n{{x}}{good}").as_bytes()), ["unreadable", "message"]);
        assert_eq!(all(format!("content-length:2\r\n\r\n[]{good}").as_bytes()), ["unreadable", "message"]);
        assert_eq!(all(b"Content-Length: 99999999999999999\r\n\r\nshort"), ["unreadable"]);
        assert_eq!(all(b"Content-Length: 9999\r\n\r\nshort"), Vec::<&str>::new());
        assert_eq!(all(b"Content-Length: 3\r\n\r\n\xff\xfe\xfd"), ["unreadable"]);
    }
}
