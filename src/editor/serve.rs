//! The server: one client, from its first message to its last. What changes is taken in until nothing more has come or a
//! request asks for what came of it; then everything is looked at once, told, and asked from until the next change.

use super::capabilities::capabilities;
use super::client::Client;
use super::diagnostics::Published;
use super::documents::Documents;
use super::formatting;
use super::inbox::Inbox;
use super::known::Known;
use super::refusal::Refusal;
use super::requests::answer;
use super::standing::Standing;
use super::workroom::{Surroundings, Workroom};
use crate::sheet::BatchOrder;
use lsp_server::{Connection, Message, Notification, Request, Response};
use lsp_types::notification::{Notification as _, PublishDiagnostics};
use lsp_types::{InitializeParams, InitializeResult, ServerInfo};
use serde_json::Value;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// How a server came to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// It was asked to end, or no more messages come.
    Asked,
    /// It was told to go without having been asked to end.
    Unasked,
}

/// Serves one client until it ends.
#[must_use]
pub fn serve(connection: &Connection, surroundings: &Surroundings<'_>) -> End {
    let mut inbox = Inbox::new(connection);
    let client = match begin(connection, &mut inbox) {
        Ok(client) => client,
        Err(end) => return end,
    };
    let server = Server { connection, inbox, client };
    server.run(surroundings)
}

/// Waits to be asked to begin.
fn begin(connection: &Connection, inbox: &mut Inbox<'_>) -> Result<Client, End> {
    loop {
        match inbox.next().ok_or(End::Asked)? {
            Message::Request(request) if request.method == "initialize" => {
                match serde_json::from_value::<InitializeParams>(request.params.clone()) {
                    Ok(params) => {
                        let client = Client::new(params);
                        let answer = InitializeResult {
                            capabilities: capabilities(&client),
                            server_info: Some(ServerInfo {
                                name: "stillroom".to_string(),
                                version: Some(env!("CARGO_PKG_VERSION").to_string()),
                            }),
                        };
                        reply(connection, &request, serde_json::to_value(answer).map_err(|_| Refusal::fault()));
                        return Ok(client);
                    }
                    Err(error) => reply(connection, &request, Err(Refusal::invalid(error.to_string()))),
                }
            }
            Message::Request(request) => reply(connection, &request, Err(Refusal::too_early())),
            Message::Notification(note) if note.method == "exit" => return Err(End::Unasked),
            Message::Notification(_) | Message::Response(_) => {}
        }
    }
}

/// Answers a request. Where nobody reads any more, the next message will not come.
fn reply(connection: &Connection, request: &Request, answer: Result<Value, Refusal>) {
    let response = match answer {
        Ok(value) => Response { id: request.id.clone(), response_result: Ok(value) },
        Err(refusal) => refusal.to(request),
    };
    let _ = connection.sender.send(response.into());
}

struct Server<'c> {
    connection: &'c Connection,
    inbox: Inbox<'c>,
    client: Client,
}

/// What the server goes by.
struct State<'w> {
    documents: Documents,
    published: Published,
    room: Workroom<'w>,
    known: Known,
}

impl Server<'_> {
    fn run(mut self, surroundings: &Surroundings<'_>) -> End {
        let (documents, published) = (Documents::default(), Published::default());
        let room = Workroom::open(surroundings, &self.client);
        let mut state = State { documents, published, room, known: Known::new(surroundings.shelf) };
        self.watch();
        loop {
            let turn = catch_unwind(AssertUnwindSafe(|| self.turn(&mut state)));
            let end = turn.unwrap_or_else(|_| {
                // Nothing of what was being worked out is gone by any more; the next change is a new beginning.
                state.room.reopen(&state.documents);
                self.change(&mut state, |_| Err(Refusal::fault()))
            });
            if let Some(end) = end {
                return end;
            }
        }
    }

    /// Looks at all that was taken in, tells what came of it, and answers until the next change, which is taken in; gives
    /// the end, where it is that.
    fn turn(&mut self, state: &mut State<'_>) -> Option<End> {
        self.answer_out_of_texts(&state.documents);
        state.room.settle(&state.documents);
        let session = state.room.session();
        let report = session.check(&BatchOrder::default());
        let client = self.client.clone();
        let standing = Standing::new(session, &report, &state.documents, &client, &state.known);
        for news in state.published.news(&standing) {
            let note = Notification::new(PublishDiagnostics::METHOD.to_string(), news);
            let _ = self.connection.sender.send(note.into());
        }
        let next = self.next_change(|request| {
            let asked = AssertUnwindSafe(|| answer(&standing, &request.method, request.params.clone()));
            catch_unwind(asked).unwrap_or_else(|_| Err(Refusal::fault()))
        });
        drop(standing);
        drop(report);
        self.take_in(state, next)
    }

    /// Answers what rests on the text of a document alone, as far as it is asked for next: it need not wait until all is
    /// looked at.
    fn answer_out_of_texts(&mut self, documents: &Documents) {
        while let Some(Message::Request(request)) = self.inbox.peek() {
            let Some(answer) = formatting::out_of_text(documents, &request.method, &request.params) else { return };
            if let Some(Message::Request(request)) = self.inbox.next() {
                reply(self.connection, &request, answer);
            }
        }
    }

    /// Answers until the next change, and takes it in.
    fn change(&mut self, state: &mut State<'_>, by: impl Fn(&Request) -> Result<Value, Refusal>) -> Option<End> {
        let next = self.next_change(by);
        self.take_in(state, next)
    }

    /// Answers until the next change, or the end.
    fn next_change(&mut self, by: impl Fn(&Request) -> Result<Value, Refusal>) -> Result<Notification, End> {
        loop {
            match self.inbox.next() {
                None => return Err(End::Asked),
                Some(Message::Request(request)) if request.method == "shutdown" => {
                    reply(self.connection, &request, Ok(Value::Null));
                    return Err(self.wait_for_exit());
                }
                Some(Message::Request(request)) => reply(self.connection, &request, by(&request)),
                Some(Message::Notification(note)) if note.method == "exit" => return Err(End::Unasked),
                Some(Message::Notification(note)) => return Ok(note),
                Some(Message::Response(_)) => {}
            }
        }
    }

    /// Takes in a change, and all that have come behind it; gives the end, where it is that.
    fn take_in(&mut self, state: &mut State<'_>, next: Result<Notification, End>) -> Option<End> {
        let change = match next {
            Ok(change) => change,
            Err(end) => return Some(end),
        };
        state.room.note(&change, &mut state.documents, &self.client);
        while matches!(self.inbox.peek(), Some(Message::Notification(note)) if note.method != "exit") {
            if let Some(Message::Notification(note)) = self.inbox.next() {
                state.room.note(&note, &mut state.documents, &self.client);
            }
        }
        None
    }

    /// Asks the client to tell of files that change on disk.
    fn watch(&self) {
        if self.client.watches_files() {
            let _ = self.connection.sender.send(super::workroom::watching().into());
        }
    }

    /// After the end was asked for, nothing is done any more.
    fn wait_for_exit(&mut self) -> End {
        loop {
            match self.inbox.next() {
                None => return End::Asked,
                Some(Message::Notification(note)) if note.method == "exit" => return End::Asked,
                Some(Message::Request(request)) => reply(self.connection, &request, Err(Refusal::too_late())),
                Some(_) => {}
            }
        }
    }
}
