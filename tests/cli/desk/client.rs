//! The server of `goodshot desk` and a plain client of it.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::cli::Workspace;

/// The server in a folder of its own, with an empty folder for temporary files.
pub(super) struct Desk {
    pub(super) child: Child,
    /// Such as `127.0.0.1:8080`.
    pub(super) host: String,
    pub(super) token: String,
}

/// What was answered.
pub(super) struct Reply {
    pub(super) status: u16,
    pub(super) head: String,
    pub(super) body: Vec<u8>,
}

impl Reply {
    pub(super) fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("{}", self.text()))
    }

    pub(super) fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// The one line that says why there is no answer.
    #[track_caller]
    pub(super) fn refusal(&self) -> String {
        assert!((400..500).contains(&self.status), "{}: {}", self.status, self.text());
        let why = self.json()["error"].as_str().unwrap().to_owned();
        assert!(why.len() > 8 && why.lines().count() == 1, "{why:?}");
        why
    }
}

impl Desk {
    pub(super) fn open(workspace: &Workspace) -> Self {
        Self::open_with(workspace, &[], "")
    }

    /// The server with `words` more, and `config` as the user's own folder; none where it is
    /// empty.
    pub(super) fn open_with(workspace: &Workspace, words: &[&str], config: &str) -> Self {
        fs::create_dir_all(workspace.path("temporary")).unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_goodshot"))
            .args(["desk", "--no-browser"])
            .args(words)
            .env("GOODSHOT_CONFIG", config)
            .current_dir(workspace.folder.path())
            .env("TMPDIR", workspace.path("temporary"))
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().split("http://").nth(1).unwrap();
        let (host, token) = address.trim_end_matches('/').split_once('/').unwrap();
        assert!(host.starts_with("127.0.0.1:") && token.len() == 32, "{line}");
        Self { host: host.to_owned(), token: token.to_owned(), child }
    }

    /// Sends `head` and `body` as they are and reads all that comes back.
    pub(super) fn raw(&self, head: &str, body: &[u8]) -> Reply {
        let mut stream = TcpStream::connect(&self.host).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(120))).unwrap();
        stream.write_all(head.as_bytes()).unwrap();
        // What is refused early is not read to its end.
        let _ = stream.write_all(body);
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        let end = all.windows(4).position(|four| four == b"\r\n\r\n");
        let end = end.unwrap_or_else(|| panic!("no answer to {head}"));
        let head = String::from_utf8(all[..end].to_vec()).unwrap();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        Reply { status, head: head.to_lowercase(), body: all[end + 4..].to_vec() }
    }

    pub(super) fn get(&self, place: &str, more: &str) -> Reply {
        let Self { host, token, .. } = self;
        let head = format!(
            "GET /{token}/{place} HTTP/1.0\r\nHost: {host}\r\n{more}Connection: close\r\n\r\n"
        );
        self.raw(&head, b"")
    }

    pub(super) fn post(&self, place: &str, body: &[u8]) -> Reply {
        let Self { host, token, .. } = self;
        let head = format!(
            "POST /{token}/{place} HTTP/1.0\r\nHost: {host}\r\nOrigin: http://{host}\r\n\
             Sec-Fetch-Site: same-origin\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
            body.len()
        );
        self.raw(&head, body)
    }

    pub(super) fn add(&self, name: &str, bytes: &[u8]) -> u64 {
        let reply = self.post(&format!("parts?name={name}"), bytes);
        assert_eq!(reply.status, 200, "{}", reply.text());
        reply.json()["part"].as_u64().unwrap()
    }

    /// Runs a check to its end.
    pub(super) fn check(&self, input: &Value) -> (u64, Value) {
        self.run("runs", input)
    }

    /// Runs what begins at `place` to its end.
    pub(super) fn run(&self, place: &str, input: &Value) -> (u64, Value) {
        let begun = self.post(place, input.to_string().as_bytes());
        assert_eq!(begun.status, 200, "{}", begun.text());
        let run = begun.json()["run"].as_u64().unwrap();
        let steps = begun.json()["steps"].as_array().unwrap().len() as u64;
        loop {
            let reported = self.get(&format!("runs/{run}"), "").json();
            if !goes_on(&reported) {
                return (run, reported);
            }
            assert!(reported["step"].as_u64().unwrap_or(0) < steps, "{reported}");
            thread::sleep(Duration::from_millis(50));
        }
    }

    /// Begins a run and gives its number.
    pub(super) fn begin_run(&self, place: &str, input: &Value) -> u64 {
        let begun = self.post(place, input.to_string().as_bytes());
        assert_eq!(begun.status, 200, "{}", begun.text());
        begun.json()["run"].as_u64().unwrap()
    }

    /// Waits until a run is as `is` wants it, for five minutes at the most: a busy machine is slow.
    #[track_caller]
    pub(super) fn wait(&self, run: u64, is: impl Fn(&Value) -> bool) -> Value {
        let began = Instant::now();
        loop {
            let reply = self.get(&format!("runs/{run}"), "").json();
            if is(&reply) {
                return reply;
            }
            assert!(began.elapsed() < Duration::from_secs(300), "{reply}");
            thread::sleep(Duration::from_millis(10));
        }
    }

    /// Sends what begins a request and leaves the connection open.
    pub(super) fn begin(&self, text: &str) -> TcpStream {
        let mut stream = TcpStream::connect(&self.host).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(120))).unwrap();
        stream.write_all(text.as_bytes()).unwrap();
        stream
    }
}

/// Whether a run has not ended.
pub(super) fn goes_on(row: &Value) -> bool {
    ["waiting", "at", "stopping"].iter().any(|state| row["state"] == *state)
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
