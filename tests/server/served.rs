//! `stillroom open` as a process, and requests to it byte by byte: a test says itself what a browser would not send.

use assert_cmd::cargo::CommandCargoExt as _;
use serde_json::Value;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::time::Duration;

/// A formula that nothing is wrong with, and a batch of it that is open.
pub const GEL: &str = "use shelf/all

formula gel {
  title    \"Water gel\"
  version  \"1\"
  product  stock
  makes    100 g
  scale    0.01 g
  phase A {
    water     q.s.
    glycerin  10 %
  }
}

batch b {
  formula  gel
}
";

/// A running `stillroom open`.
pub struct Served {
    pub child: Child,
    pub host: String,
    pub token: String,
    pub cookie: String,
    input: Option<ChildStdin>,
}

/// What it answered.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Answer {
    /// A field of its head, by its name in small letters.
    pub fn field(&self, name: &str) -> Option<&str> {
        let lines = self.head.lines().filter_map(|line| line.split_once(": "));
        lines.filter(|(key, _)| key.eq_ignore_ascii_case(name)).map(|(_, value)| value).next()
    }

    pub fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|_| panic!("{self:?}"))
    }
}

impl Served {
    /// Opens a folder and comes in by the token.
    pub fn on(folder: &Path) -> Served {
        Served::with(folder, &[], &[], Stdio::null())
    }

    /// The same with more options, in another environment, and with what it tells beside its address.
    pub fn with(folder: &Path, words: &[&str], environment: &[(&str, &str)], told: Stdio) -> Served {
        let mut command = Command::cargo_bin("stillroom").unwrap();
        command.arg("open").arg(folder).args(["--no-browser", "--until-eof"]).args(words);
        command.envs(environment.iter().copied());
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(told);
        let mut child = command.spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
        let (host, token) = line
            .trim()
            .strip_prefix("Open http://")
            .and_then(|rest| rest.split_once("/?token="))
            .unwrap_or_else(|| panic!("{line}"));
        let (host, token) = (host.to_string(), token.to_string());
        let input = child.stdin.take();
        let mut served = Served { child, host, token, cookie: String::new(), input };
        let first =
            served.raw(&format!("GET /?token={} HTTP/1.1\r\nHost: {}\r\n", served.token, served.host), b"").unwrap();
        assert_eq!((first.status, first.field("location")), (303, Some("/")), "{first:?}");
        let cookie = first.field("set-cookie").unwrap();
        assert!(cookie.contains("; HttpOnly") && cookie.contains("; SameSite=Strict"), "{cookie}");
        served.cookie = cookie.split(';').next().unwrap().to_string();
        served
    }

    /// Sends a head without its end, and a body; none where the connection is broken off.
    pub fn raw(&self, head: &str, body: &[u8]) -> Option<Answer> {
        let (head, body) = self.bytes(head, body)?;
        Some(Answer { body: String::from_utf8_lossy(&body).into_owned(), ..head })
    }

    /// The same, and the bytes of the body as they came.
    pub fn bytes(&self, head: &str, body: &[u8]) -> Option<(Answer, Vec<u8>)> {
        let mut stream = TcpStream::connect(&self.host).ok()?;
        stream.set_read_timeout(Some(Duration::from_secs(90))).unwrap();
        stream.write_all(format!("{head}Connection: close\r\n\r\n").as_bytes()).ok()?;
        // A server that refuses a body need not read it to its end.
        let _ = stream.write_all(body);
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        let end = bytes.windows(4).position(|four| four == b"\r\n\r\n")?;
        let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
        let status = head.split(' ').nth(1)?.parse().ok()?;
        Some((Answer { status, head, body: String::new() }, bytes[end + 4..].to_vec()))
    }

    /// A file that is taken away: its head, and its bytes.
    pub fn file(&self, path: &str) -> (Answer, Vec<u8>) {
        self.bytes(&format!("GET {path} HTTP/1.1\r\nHost: {}\r\nCookie: {}\r\n", self.host, self.cookie), b"").unwrap()
    }

    /// A form of a page, sent as a browser does.
    pub fn form(&self, path: &str, typed: &[(&str, &str)]) -> Answer {
        let pairs: Vec<String> = typed.iter().map(|(key, value)| format!("{key}={}", encoded(value))).collect();
        let body = pairs.join("&");
        let head = format!(
            "POST {path} HTTP/1.1\r\nHost: {0}\r\nOrigin: http://{0}\r\nCookie: {1}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {2}\r\n",
            self.host,
            self.cookie,
            body.len()
        );
        self.raw(&head, body.as_bytes()).unwrap()
    }

    /// A page, asked for as its own pages do.
    pub fn get(&self, path: &str) -> Answer {
        let head = format!("GET {path} HTTP/1.1\r\nHost: {}\r\nCookie: {}\r\n", self.host, self.cookie);
        self.raw(&head, b"").unwrap()
    }

    /// An act, as its own pages do it.
    pub fn post(&self, path: &str, version: Option<&str>, body: &Value) -> Answer {
        let body = body.to_string();
        let version = version.map(|version| format!("If-Match: \"{version}\"\r\n")).unwrap_or_default();
        let head = format!(
            "POST {path} HTTP/1.1\r\nHost: {0}\r\nOrigin: http://{0}\r\nCookie: {1}\r\nContent-Type: application/json\r\n{version}Content-Length: {2}\r\n",
            self.host,
            self.cookie,
            body.len()
        );
        self.raw(&head, body.as_bytes()).unwrap()
    }

    /// The text of a file and its version.
    pub fn text(&self, file: &str) -> (String, String) {
        let json = self.get(&format!("/text?file={file}")).json();
        (json["text"].as_str().unwrap().to_string(), json["version"].as_str().unwrap().to_string())
    }

    /// Saves a text over a version.
    pub fn save(&self, file: &str, version: &str, text: &str) -> Answer {
        self.post("/keep", Some(version), &serde_json::json!({ "file": file, "name": "gel", "text": text }))
    }

    /// Whether it goes on: its workroom is shown.
    pub fn goes_on(&mut self) {
        assert!(self.child.try_wait().unwrap().is_none(), "it has ended");
        // After a flood there is room again within a second or two.
        for _ in 0..20 {
            let answer = self.get("/");
            if answer.status != 429 {
                assert_eq!(answer.status, 200, "{answer:?}");
                assert!(answer.body.contains("<h1 dir=\"auto\">Workroom</h1>"), "{answer:?}");
                return;
            }
            std::thread::sleep(Duration::from_millis(250));
        }
        panic!("it answers nobody any more");
    }

    /// Ends it by the end of its input.
    pub fn ends(mut self) -> Option<i32> {
        drop(self.input.take());
        self.child.wait().unwrap().code()
    }
}

/// A value of a form.
pub fn encoded(value: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._".contains(&byte);
    value.bytes().map(|byte| if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") }).collect()
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
