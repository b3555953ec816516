//! Requests to the desk, as its page sends them and as others might.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Shutdown, TcpStream};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use goodshot::mold::milling::CutterList;
use goodshot::process::plastic::library::Plastics;
use goodshot::process::press::Press;

use crate::campaign::Campaign;
use crate::shapes;

const WORDS: [&str; 30] = [
    "\"part\"",
    "\"press\"",
    "\"chosen\"",
    "\"plastics\"",
    "\"cutters\"",
    "null",
    "true",
    "[]",
    "{}",
    "[[\"no-fill\",\"on\"]]",
    "[\"pull\",\"+z\"]",
    "-1",
    "1e99",
    "18446744073709551616",
    "\"\\u0000\"",
    "\"\\ud800\"",
    "Content-Length: 5\r\n",
    "Transfer-Encoding: chunked\r\n",
    "Host: a\r\n",
    "Origin: null\r\n",
    "Expect: 100-continue\r\n",
    "\r\n\r\n",
    "?name=..%2Fa",
    "%00",
    "/runs/1",
    "/stop",
    "/report.html",
    "OPTIONS",
    "HEAD",
    "HTTP/1.0",
];

/// A place, a line break, and what is sent to it.
fn seeds() -> Vec<Vec<u8>> {
    let chosen = "{\"part\":null,\"press\":null,\"chosen\":[[\"plastic\",\"abs\"],[\"melt\",\"240 C\"],[\"no-fill\",\"on\"]]}";
    let form = "{\"values\":[[\"drive\",\"air\"],[\"bore\",\"63 mm\"],[\"air\",\"7 bar\"],[\"diameter\",\"25 mm\"],[\"stroke\",\"110 mm\"]]}";
    let texts = [
        format!("choices\n{chosen}"),
        format!("runs\n{chosen}"),
        format!("molds\n{chosen}"),
        "comparisons\n{\"old\":1,\"new\":2}".to_owned(),
        "runs/1/stop\n".to_owned(),
        format!("press-forms\n{form}"),
        format!("press-files\n{}", Press::template()),
        format!("presses?name=ours.toml\n{}", Press::template()),
        format!("plastics?name=ours.toml\n{}", Plastics::template()),
        format!("cutters?name=ours.toml\n{}", CutterList::template()),
    ];
    let part = [&b"parts?name=a.stl\n"[..], &shapes::files()[2][..]].concat();
    texts.into_iter().map(String::into_bytes).chain([part]).collect()
}

fn first_line(stream: TcpStream) -> String {
    stream.set_read_timeout(Some(Duration::from_secs(8))).unwrap();
    let mut all = Vec::new();
    let _ = stream.take(1 << 20).read_to_end(&mut all);
    let text = String::from_utf8_lossy(&all);
    text.lines().next().unwrap_or_default().to_owned()
}

struct Desk {
    child: Child,
    host: String,
    token: String,
    _folder: tempfile::TempDir,
}

impl Desk {
    fn open() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_goodshot"))
            .args(["desk", "--no-browser"])
            .current_dir(folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().split("http://").nth(1).unwrap();
        let (host, token) = address.trim_end_matches('/').split_once('/').unwrap();
        Self { host: host.to_owned(), token: token.to_owned(), child, _folder: folder }
    }

    /// The first line of the answer to what is sent, and nothing behind it; nothing where there is
    /// none.
    fn send_alone(&self, request: &[u8]) -> String {
        let stream = TcpStream::connect(&self.host).unwrap();
        // What is refused early is not read to its end.
        let _ = (&stream).write_all(request);
        let _ = stream.shutdown(Shutdown::Write);
        first_line(stream)
    }

    /// The first line of the answer; nothing where there is none.
    fn send(&self, request: &[u8]) -> String {
        let mut stream = TcpStream::connect(&self.host).unwrap();
        let _ = stream.write_all(request);
        first_line(stream)
    }

    fn post(&self, place: &str, body: &[u8]) -> String {
        let Self { host, token, .. } = self;
        let head = format!(
            "POST /{token}/{place} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n\
             Content-Length: {}\r\nConnection: close\r\n\r\n",
            body.len()
        );
        self.send(&[head.as_bytes(), body].concat())
    }

    /// Ends it, and says what it complained of.
    fn close(mut self) -> String {
        let _ = self.child.kill();
        let _ = self.child.wait();
        let mut said = String::new();
        let _ = self.child.stderr.take().unwrap().read_to_string(&mut said);
        said
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Bodies to places that the page uses, mostly; every fifth request is raw.
#[test]
fn requests() {
    let desk = Desk::open();
    let words = WORDS.to_vec();
    let campaign = Campaign { name: "desk", times: 3_000, seeds: seeds(), words };
    campaign.run(|bytes| {
        let end = bytes.iter().position(|&it| it == b'\n').unwrap_or(bytes.len());
        let (place, body) = bytes.split_at(end);
        let is_plain = |it: &u8| it.is_ascii_graphic();
        if bytes.len() % 5 == 0 || !place.iter().all(is_plain) {
            let head = format!("POST /{}/", desk.token);
            return format!(
                "raw {}",
                desk.send_alone(&[head.as_bytes(), bytes].concat())
            );
        }
        let place = String::from_utf8_lossy(place);
        let status = desk.post(&place, body.get(1..).unwrap_or_default());
        assert!(!status.is_empty() && !status.contains(" 500 "), "{place}: {status:?}");
        format!("{} {status}", place.split(['?', '/']).next().unwrap_or_default())
    });
    assert!(
        desk.post("choices", b"{\"part\":null,\"chosen\":[]}").contains("200"),
        "it is gone"
    );
    let said = desk.close();
    assert!(!said.contains("panicked"), "{said}");
}
