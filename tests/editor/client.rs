//! A client in memory, over files in memory: what it sends, and what it was told.

use lsp_server::{Connection, Message, Notification, Request, RequestId, Response, ResponseError};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard};
use std::thread::JoinHandle;
use std::time::Duration;
use stillroom::editor::{End, Surroundings, serve};
use stillroom::workspace::World;

/// The folder that the files of a test lie in.
pub const ROOM: &str = "/room";

/// The folder in which the shelf can be read.
pub const SHELF: &str = "/shelf";

/// Files in memory, which a test may change while a server reads them.
#[derive(Clone, Debug, Default)]
pub struct Files(Arc<Mutex<BTreeMap<PathBuf, Vec<u8>>>>);

impl Files {
    /// Files of the folder of the test.
    pub fn new<'f>(files: impl IntoIterator<Item = (&'f str, &'f str)>) -> Files {
        let made = Files::default();
        files.into_iter().for_each(|(name, text)| made.write(name, text));
        made
    }

    pub fn write(&self, name: &str, text: &str) {
        self.held().insert(Path::new(ROOM).join(name), text.as_bytes().to_vec());
    }

    pub fn remove(&self, name: &str) {
        self.held().remove(&Path::new(ROOM).join(name));
    }

    /// Every file of formulas.
    pub fn paths(&self) -> Vec<PathBuf> {
        self.held().keys().cloned().collect()
    }

    fn held(&self) -> MutexGuard<'_, BTreeMap<PathBuf, Vec<u8>>> {
        self.0.lock().unwrap()
    }
}

impl World for Files {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.held().get(path).cloned().ok_or_else(|| io::ErrorKind::NotFound.into())
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        self.read(path).map(|bytes| bytes.len() as u64)
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        let is_folder = self.held().keys().any(|file| file.parent() == Some(path));
        if is_folder { Ok(path.to_path_buf()) } else { self.read(path).map(|_| path.to_path_buf()) }
    }

    fn exists(&self, path: &Path) -> bool {
        self.canonical(path).is_ok()
    }
}

/// The address of a file of the folder of the test.
pub fn address(name: &str) -> String {
    format!("file://{ROOM}/{name}")
}

/// A client of a server that runs on a thread of its own.
pub struct Client {
    connection: Option<Connection>,
    server: Option<JoinHandle<End>>,
    last: i32,
    answers: BTreeMap<RequestId, Result<Value, ResponseError>>,
    /// The capabilities that the server named.
    pub capabilities: Value,
    /// What was pushed of each address last: the version, and the diagnostics.
    pub pushed: BTreeMap<String, (Option<i64>, Vec<Value>)>,
    /// Every message that was pushed and is no diagnostics.
    pub told: Vec<Message>,
    /// How often diagnostics were pushed.
    pub pushes: usize,
}

impl Client {
    /// A client that knows what clients know today, and has the folder of the test open.
    pub fn open(files: &Files) -> Client {
        Client::with(files, &json!({}))
    }

    /// The same, with more capabilities laid over the usual ones.
    pub fn with(files: &Files, more: &Value) -> Client {
        let mut capabilities = json!({
            "workspace": { "didChangeWatchedFiles": { "dynamicRegistration": true } },
            "textDocument": { "publishDiagnostics": { "relatedInformation": true } },
        });
        lay_over(&mut capabilities, more);
        let mut client = Client::unasked(files);
        let folders = json!([{ "uri": format!("file://{ROOM}"), "name": "room" }]);
        let params = json!({ "processId": null, "capabilities": capabilities, "workspaceFolders": folders });
        client.capabilities = client.ask("initialize", params).unwrap()["capabilities"].clone();
        client.tell("initialized", json!({}));
        client
    }

    /// A client that has not said anything yet.
    pub fn unasked(files: &Files) -> Client {
        let (ours, theirs) = Connection::memory();
        let files = files.clone();
        let server = std::thread::spawn(move || {
            let under = |folder: &Path| files.paths().into_iter().filter(|path| path.starts_with(folder)).collect();
            serve(&theirs, &Surroundings { world: &files, files_under: &under, shelf: Some(Path::new(SHELF)) })
        });
        let (pushed, told) = (BTreeMap::new(), Vec::new());
        Client {
            connection: Some(ours),
            server: Some(server),
            last: 0,
            answers: BTreeMap::new(),
            capabilities: Value::Null,
            pushed,
            told,
            pushes: 0,
        }
    }

    fn connection(&self) -> &Connection {
        self.connection.as_ref().unwrap()
    }

    /// Tells the server something.
    pub fn tell(&self, method: &str, params: Value) {
        self.connection().sender.send(Notification::new(method.to_string(), params).into()).unwrap();
    }

    /// Sends a request and does not wait.
    pub fn send(&mut self, method: &str, params: Value) -> RequestId {
        self.last += 1;
        let id = RequestId::from(self.last);
        self.connection().sender.send(Request::new(id.clone(), method.to_string(), params).into()).unwrap();
        id
    }

    /// Waits for the answer to a request, and takes in what is pushed before it.
    pub fn wait_for(&mut self, id: &RequestId) -> Result<Value, ResponseError> {
        if let Some(answer) = self.answers.remove(id) {
            return answer;
        }
        loop {
            let message = self.connection().receiver.recv_timeout(Duration::from_secs(60)).expect("the server answers");
            match message {
                Message::Response(Response { id: answered, response_result }) if answered == *id => {
                    return response_result;
                }
                message => self.take(message),
            }
        }
    }

    /// Sends a request and waits for its answer.
    pub fn ask(&mut self, method: &str, params: Value) -> Result<Value, ResponseError> {
        let id = self.send(method, params);
        self.wait_for(&id)
    }

    /// Opens a document.
    pub fn open_document(&self, name: &str, text: &str) {
        let document = json!({ "uri": address(name), "languageId": "stillroom", "version": 1, "text": text });
        self.tell("textDocument/didOpen", json!({ "textDocument": document }));
    }

    /// Puts another text in the place of a document's.
    pub fn change_whole(&self, name: &str, version: i32, text: &str) {
        self.change(name, version, json!([{ "text": text }]));
    }

    /// Changes a document.
    pub fn change(&self, name: &str, version: i32, changes: Value) {
        let document = json!({ "uri": address(name), "version": version });
        self.tell("textDocument/didChange", json!({ "textDocument": document, "contentChanges": changes }));
    }

    /// Waits until the server has looked at all that it was told: it answers in order, and pushes before it answers.
    pub fn settle(&mut self) {
        let answer = self.ask("stillroom/nothing", Value::Null);
        assert_eq!(answer.unwrap_err().code, -32601);
    }

    /// The codes pushed of a file last.
    pub fn codes(&self, name: &str) -> Vec<String> {
        let found = self.pushed.get(&address(name)).map(|(_, found)| found.as_slice()).unwrap_or_default();
        found.iter().map(|one| one["code"].as_str().unwrap().to_string()).collect()
    }

    /// Ends the server as it should be ended.
    pub fn close(mut self) -> End {
        self.ask("shutdown", Value::Null).unwrap();
        self.tell("exit", Value::Null);
        self.server.take().unwrap().join().unwrap()
    }

    /// Says nothing more.
    pub fn hang_up(mut self) -> End {
        self.connection = None;
        self.server.take().unwrap().join().unwrap()
    }

    /// Tells the server to go at once.
    pub fn leave(mut self) -> End {
        self.tell("exit", Value::Null);
        self.server.take().unwrap().join().unwrap()
    }

    fn take(&mut self, message: Message) {
        match message {
            Message::Notification(note) if note.method == "textDocument/publishDiagnostics" => {
                let address = note.params["uri"].as_str().unwrap().to_string();
                let found = note.params["diagnostics"].as_array().unwrap().clone();
                self.pushed.insert(address, (note.params["version"].as_i64(), found));
                self.pushes += 1;
            }
            // Answers may come in another order than they were asked for.
            Message::Response(Response { id, response_result }) => {
                self.answers.insert(id, response_result);
            }
            message => self.told.push(message),
        }
    }
}

fn lay_over(below: &mut Value, above: &Value) {
    match (below, above) {
        (Value::Object(below), Value::Object(above)) => {
            for (key, value) in above {
                lay_over(below.entry(key.clone()).or_insert(Value::Null), value);
            }
        }
        (below, above) => *below = above.clone(),
    }
}
