//! What has come and is not yet looked at. What is cancelled or overtaken by a change is answered here, unlooked at.

use super::refusal::Refusal;
use lsp_server::{Connection, Message, Notification, Request};
use std::collections::VecDeque;

/// The messages of one connection, in their order.
pub struct Inbox<'c> {
    connection: &'c Connection,
    waiting: VecDeque<Message>,
}

impl<'c> Inbox<'c> {
    /// The messages of a connection.
    #[must_use]
    pub fn new(connection: &'c Connection) -> Inbox<'c> {
        Inbox { connection, waiting: VecDeque::new() }
    }

    /// The next message, waited for; none where no more will come.
    pub fn next(&mut self) -> Option<Message> {
        self.take_in();
        loop {
            if let Some(message) = self.waiting.pop_front() {
                return Some(message);
            }
            let message = self.connection.receiver.recv().ok()?;
            self.put(message);
            self.take_in();
        }
    }

    /// The next message, where one has come.
    pub fn peek(&mut self) -> Option<&Message> {
        self.take_in();
        self.waiting.front()
    }

    fn take_in(&mut self) {
        while let Ok(message) = self.connection.receiver.try_recv() {
            self.put(message);
        }
    }

    fn put(&mut self, message: Message) {
        match &message {
            Message::Notification(note) if note.method == "$/cancelRequest" => {
                let id = note.params.get("id").cloned();
                self.refuse(&Refusal::cancelled(), |request| serde_json::to_value(&request.id).ok() == id);
            }
            Message::Notification(note) if changes_text(note) => {
                let address = address(&note.params).map(str::to_string);
                if address.is_some() {
                    self.refuse(&Refusal::stale(), |request| self::address(&request.params) == address.as_deref());
                }
                self.waiting.push_back(message);
            }
            _ => self.waiting.push_back(message),
        }
    }

    /// Answers the requests that nobody waits for any more.
    fn refuse(&mut self, why: &Refusal, is_meant: impl Fn(&Request) -> bool) {
        let connection = self.connection;
        self.waiting.retain(|message| match message {
            Message::Request(request) if is_meant(request) => {
                // Where nobody reads any more, the next message will not come.
                let _ = connection.sender.send(why.clone().to(request).into());
                false
            }
            _ => true,
        });
    }
}

fn changes_text(note: &Notification) -> bool {
    note.method == "textDocument/didChange"
}

/// The document that a message is about.
fn address(params: &serde_json::Value) -> Option<&str> {
    params.get("textDocument")?.get("uri")?.as_str()
}

#[cfg(test)]
mod tests {
    use super::*;
    use lsp_server::{RequestId, Response};
    use serde_json::json;

    #[test]
    fn what_is_cancelled_or_overtaken_is_refused_unlooked_at() {
        let (client, server) = Connection::memory();
        let about = |name: &str| json!({ "textDocument": { "uri": name } });
        let request = |id: i32, name: &str| Request::new(RequestId::from(id), "ask".to_string(), about(name)).into();
        let note = |method: &str, params| Notification::new(method.to_string(), params).into();
        let sent: [Message; 8] = [
            request(1, "a"),
            request(2, "a"),
            request(3, "b"),
            note("$/cancelRequest", json!({ "id": 1 })),
            note("textDocument/didChange", about("a")),
            request(4, "a"),
            note("$/cancelRequest", json!({ "id": 9 })),
            note("$/cancelRequest", json!(null)),
        ];
        sent.into_iter().for_each(|message| client.sender.send(message).expect("it is taken"));
        let Connection { sender, receiver } = client;
        drop(sender);
        let mut inbox = Inbox::new(&server);
        let mut left = Vec::new();
        while let Some(message) = inbox.next() {
            left.push(match message {
                Message::Request(request) => request.id.to_string(),
                Message::Notification(note) => note.method,
                Message::Response(_) => String::new(),
            });
        }
        assert_eq!(left, ["3", "textDocument/didChange", "4"]);
        drop(server);
        let refused: Vec<(String, i32)> = receiver
            .into_iter()
            .filter_map(|message| match message {
                Message::Response(Response { id, response_result: Err(error) }) => Some((id.to_string(), error.code)),
                _ => None,
            })
            .collect();
        assert_eq!(refused, [("1".to_string(), -32800), ("2".to_string(), -32801)]);
    }
}
