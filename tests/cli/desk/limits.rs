//! What is too slow or too much is given up, and keeps nobody else waiting: asked over plain TCP.

use std::io::Read;
use std::net::TcpStream;
use std::time::{Duration, Instant};

use super::client::Desk;
use super::{Workspace, plug};

/// The page gives up after 10 s; a busy machine may take somewhat longer.
const GIVEN_UP: Duration = Duration::from_secs(30);

/// What comes until the other end closes, and how long that took.
fn rest(mut stream: TcpStream) -> (String, Duration) {
    let began = Instant::now();
    let mut all = Vec::new();
    // A reset is an end too.
    let _ = stream.read_to_end(&mut all);
    (String::from_utf8_lossy(&all).into_owned(), began.elapsed())
}

#[test]
fn stalled_uploads_block_nobody_and_are_given_up() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let (host, token) = (&desk.host, &desk.token);
    let head = format!(
        "POST /{token}/parts?name=slow.stl HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n\
         Content-Length: 150000000\r\n\r\nsolid slow"
    );
    let began = Instant::now();
    let stalled: Vec<TcpStream> = (0..4).map(|_| desk.begin(&head)).collect();
    desk.add("plug.stl", &plug());
    let answered = began.elapsed();
    for stream in stalled {
        let (said, _) = rest(stream);
        assert!(said.starts_with("HTTP/1.1 408"), "{said}");
        assert!(said.contains("stopped arriving"), "{said}");
    }
    let closed = began.elapsed();
    assert!(answered < closed && closed < GIVEN_UP, "{answered:?} {closed:?}");
}

/// Heads that are never whole, and connections that ask for nothing more.
#[test]
fn half_open_connections_are_closed() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let (host, token) = (&desk.host, &desk.token);
    let half = format!("GET /{token}/ HTTP/1.1\r\nHost: {host}\r\nX-More: ");
    let whole = format!("GET /{token}/desk.css HTTP/1.1\r\nHost: {host}\r\n\r\n");
    let began = Instant::now();
    let mut open: Vec<TcpStream> = (0..300).map(|_| desk.begin(&half)).collect();
    open.extend((0..50).map(|_| desk.begin("")));
    open.extend((0..50).map(|_| desk.begin(&whole)));
    // Meanwhile the page answers.
    assert_eq!(desk.get("", "").status, 200);
    for stream in open {
        rest(stream);
    }
    assert!(began.elapsed() < GIVEN_UP, "{:?}", began.elapsed());
    assert_eq!(desk.get("", "").status, 200);
}

/// More connections than there is room for: the next ones wait for those that are given up.
#[test]
fn more_connections_than_there_is_room_for_wait() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let began = Instant::now();
    let open: Vec<TcpStream> = (0..600).map(|_| desk.begin("GET ")).collect();
    assert_eq!(desk.get("", "").status, 200);
    assert!(began.elapsed() < GIVEN_UP, "{:?}", began.elapsed());
    drop(open);
}
