//! The program on a free port with an empty folder, and a client that sends exactly what it is told.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::Value;
use tempfile::TempDir;

/// The program while it serves; ended when dropped.
pub(crate) struct Serving {
    pub(crate) child: Child,
    pub(crate) port: u16,
    pub(crate) token: String,
    _folder: TempDir,
}

/// The program with these arguments, its output kept.
pub(crate) fn program(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_dishwright"));
    command
        .args(arguments)
        .env_remove("DISHWRIGHT_DATA")
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

impl Serving {
    /// On a folder that holds no logbook.
    pub(crate) fn start() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let data = folder.path().join("site");
        let mut child = program(&["serve", "--data", data.to_str().unwrap()]).spawn().unwrap();
        let mut first = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut first).unwrap();
        let address = first.trim_end().strip_prefix("http://127.0.0.1:").unwrap();
        let (port, token) = address.split_once("/enter/").unwrap();
        Self { child, port: port.parse().unwrap(), token: token.to_owned(), _folder: folder }
    }

    /// Its address as a browser states it.
    pub(crate) fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    pub(crate) fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        // Far more than an answer takes; a test that waits for ever says nothing.
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        stream
    }

    /// Sends these bytes as they are and reads the answer.
    pub(crate) fn raw(&self, bytes: &[u8]) -> Answer {
        let mut stream = self.connect();
        stream.write_all(bytes).unwrap();
        Answer::read(stream)
    }

    /// Asks for a page, with more header lines.
    pub(crate) fn get(&self, path: &str, more: &[&str]) -> Answer {
        self.ask("GET", path, &self.host(), more, b"")
    }

    /// Sends a command as the screens do.
    pub(crate) fn command(&self, name: &str, args: &str, cookie: &str) -> Answer {
        let more = [JSON, cookie];
        self.ask("POST", &format!("/api/{name}"), &self.host(), &more, args.as_bytes())
    }

    pub(crate) fn ask(
        &self,
        method: &str,
        path: &str,
        host: &str,
        more: &[&str],
        body: &[u8],
    ) -> Answer {
        let mut lines = vec![
            format!("{method} {path} HTTP/1.1"),
            format!("host: {host}"),
            "connection: close".to_owned(),
        ];
        lines.extend(more.iter().filter(|line| !line.is_empty()).map(|&line| line.to_owned()));
        if method == "POST" {
            lines.push(format!("content-length: {}", body.len()));
        }
        let mut bytes = format!("{}\r\n\r\n", lines.join("\r\n")).into_bytes();
        bytes.extend_from_slice(body);
        self.raw(&bytes)
    }

    /// Opens the one-time address and gives the line that the browser sends ever after.
    pub(crate) fn enter(&self) -> String {
        let answer = self.get(&format!("/enter/{}", self.token), &[]);
        assert_eq!(answer.status, 303, "{answer:?}");
        let cookie = answer.header("set-cookie").unwrap();
        format!("cookie: {}", cookie.split(';').next().unwrap())
    }
}

impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The line that the screens send with a command.
pub(crate) const JSON: &str = "content-type: application/json";

/// What came back.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) headers: Vec<(String, String)>,
    pub(crate) body: String,
}

impl Answer {
    pub(crate) fn read(mut stream: TcpStream) -> Self {
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes).unwrap();
        let text = String::from_utf8_lossy(&bytes);
        let Some((head, body)) = text.split_once("\r\n\r\n") else { panic!("no answer: {text}") };
        let mut lines = head.lines();
        let status = lines.next().unwrap().split(' ').nth(1).unwrap().parse().unwrap();
        let headers = lines
            .filter_map(|line| line.split_once(": "))
            .map(|(name, value)| (name.to_lowercase(), value.to_owned()))
            .collect();
        Self { status, headers, body: body.to_owned() }
    }

    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(given, _)| given == name).map(|(_, value)| value.as_str())
    }

    #[track_caller]
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|fault| panic!("{fault}: {self:?}"))
    }

    /// Refused with this status and code, and with words: a sentence and what to do next.
    #[track_caller]
    pub(crate) fn refused(&self, status: u16, code: &str) {
        assert_eq!(self.status, status, "{self:?}");
        if self.header("content-type").is_some_and(|media| media.starts_with("text/html")) {
            assert!(self.body.contains(&format!("<code>{code}</code>")), "{self:?}");
            assert!(self.body.contains("<h1>") && self.body.contains("<p>"), "{self:?}");
        } else {
            let error = self.json();
            assert_eq!(error["code"], code);
            for part in ["sentence", "next_step"] {
                let words = error[part].as_str().unwrap();
                assert!(words.len() > 10 && words.ends_with('.'), "{words}");
            }
        }
        assert_eq!(self.header("set-cookie"), None, "nobody was let in: {self:?}");
    }
}
