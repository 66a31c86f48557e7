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
