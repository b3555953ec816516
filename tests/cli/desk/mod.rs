//! `goodshot desk`: the page's server, asked over plain TCP as a browser asks it, and as
//! others might.

mod client;
mod folder;
mod limits;
mod molds;
#[cfg(target_os = "linux")]
mod processes;

use std::fs;
use std::io::Read;
use std::path::Path;
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

use goodshot::mesh::shapes;
use serde_json::{Value, json};

use super::{Workspace, binary, model, triangles};
use crate::common::Noise;
use client::Desk;

/// A stop is done within this time anywhere.
const AT_ONCE: Duration = Duration::from_secs(2);

pub(super) fn plug() -> Vec<u8> {
    binary(&triangles(&shapes::cup(12.0, 15.0, 3.0, 3.0, 48)))
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn a_part_goes_in_and_the_report_of_the_command_line_comes_out() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let part = desk.add("cable_clip.stl", &fs::read(model("cable_clip")).unwrap());
    let chosen = json!([["plastic", "abs"], ["pull", "+z"], ["no-fill", "on"]]);
    let (run, reported) =
        desk.check(&json!({ "part": part, "press": null, "chosen": chosen }));
    assert_eq!(reported["state"], "done", "{reported}");
    let words = [
        "check",
        &model("cable_clip"),
        "--plastic",
        "abs",
        "--pull",
        "+z",
        "--no-fill",
        "--quiet",
    ];
    workspace.run(&words);
    // Every file is the same to the byte.
    for name in reported["files"].as_array().unwrap() {
        let name = name.as_str().unwrap();
        let file = desk.get(&format!("runs/{run}/{name}"), "");
        let written =
            fs::read(workspace.path(&format!("goodshot-report/cable_clip/{name}")))
                .unwrap();
        assert!(file.status == 200 && file.body == written, "{name}");
    }
    // The report in the page is kept apart from the page.
    let report = desk.get(&format!("runs/{run}/report.html"), "");
    assert!(
        report.head.contains("content-security-policy: sandbox allow-scripts"),
        "{}",
        report.head
    );
    // Another plastic: what changed is reported.
    let chosen = json!([["plastic", "pp"], ["pull", "+z"], ["no-fill", "on"]]);
    let (_, reported) =
        desk.check(&json!({ "part": part, "press": null, "chosen": chosen }));
    let answer = reported["answer"].as_str().unwrap();
    assert!(
        answer.contains("What changed") && answer.contains("Before and now"),
        "{answer}"
    );
    assert!(answer.contains("<td class=\"short\">Plastic</td>"), "{answer}");
}

/// Two hundred uploads that are no part: each is refused in one line, nothing is left
/// behind, and the next good part is read.
#[test]
fn two_hundred_bad_uploads_leave_nothing_behind() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let before = names(workspace.folder.path());
    let whole = plug();
    let mut noise = Noise(5);
    let tricks = [
        "..%2F..%2Fetc%2Fpasswd",
        "%2Ftmp%2Fevil.stl",
        "C%3A%5Cpart.stl",
        "%00.stl",
        "a%0d%0aSet-Cookie%3A%20x",
        "..",
        "%3Cscript%3Ealert(1)%3C%2Fscript%3E.stl",
        "",
        "con.stl",
        "%F0%9F%94%A7.stl",
    ];
    for round in 0..200 {
        let name = tricks[round % tricks.len()];
        let body = match round % 8 {
            0 => whole[..noise.below(whole.len() - 60)].to_vec(),
            // A header that promises four thousand million facets.
            1 => [&whole[..80], &u32::MAX.to_le_bytes()[..], &whole[84..160]].concat(),
            // Coordinates that are no numbers.
            2 => {
                let mut bytes = whole.clone();
                for facet in bytes[84..].chunks_mut(50) {
                    facet[12..48].copy_from_slice(&[0xff; 36]);
                }
                bytes
            }
            3 => (0..noise.below(4000)).map(|_| (noise.unit() * 256.0) as u8).collect(),
            4 => b"\x89PNG\r\n\x1a\n and so on".to_vec(),
            5 => Vec::new(),
            6 => b"solid a\nfacet normal 0 0 1\nouter loop\nvertex nan inf 1e999\n"
                .to_vec(),
            _ => {
                format!("<html>{}</html>", "part ".repeat(noise.below(500))).into_bytes()
            }
        };
        let why = desk.post(&format!("parts?name={name}"), &body).refusal();
        assert!(
            !why.contains("panicked") && !why.contains("/etc") && !why.contains("/tmp"),
            "{why}"
        );
    }
    let after = names(workspace.folder.path());
    assert_eq!((after, names(&workspace.path("temporary"))), (before, Vec::new()));
    desk.add("plug.stl", &whole);
}

#[test]
fn too_much_is_refused_before_it_is_read() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let (host, token) = (&desk.host, &desk.token);
    let head = |place: &str, how: &str| {
        format!(
            "POST /{token}/{place} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n{how}\
             Connection: close\r\n\r\n"
        )
    };
    let reported =
        desk.raw(&head("parts?name=huge.stl", "Content-Length: 300000000\r\n"), b"");
    assert_eq!(reported.status, 413, "{}", reported.text());
    assert!(reported.refusal().contains("200 MB at most"));
    // A press file that does not say how long it is.
    let chunk = format!("40000\r\n{}\r\n", "#".repeat(0x40000));
    let body = [chunk.repeat(2).as_bytes(), b"0\r\n\r\n"].concat();
    let reported = desk.raw(&head("presses", "Transfer-Encoding: chunked\r\n"), &body);
    assert_eq!(reported.status, 413, "{}", reported.text());
    assert!(reported.refusal().contains("256 KB at most"));
    let long =
        json!({ "part": 1, "press": null, "chosen": [["pull", "z".repeat(20_000)]] });
    desk.post("runs", long.to_string().as_bytes()).refusal();
}

#[test]
fn only_its_own_page_is_answered() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let (host, token) = (&desk.host, &desk.token);
    assert_eq!(desk.get("", "").status, 200);
    let page = desk.get("", "Sec-Fetch-Site: none\r\n");
    assert!(
        page.head.contains("content-security-policy: default-src 'none'"),
        "{}",
        page.head
    );
    assert!(
        page.head.contains("frame-ancestors 'none'") && page.head.contains("no-store")
    );
    let text = page.text();
    for bad in ["<script>", "onclick", "onload", "javascript:", "style=\"", "http"] {
        assert!(!text.contains(bad), "{bad}");
    }
    let port = host.rsplit(':').next().unwrap();
    for (line, head, status) in [
        (format!("GET /{token}/"), "Host: parts.example\r\n".to_owned(), 403),
        (format!("GET /{token}/"), format!("Host: parts.example:{port}\r\n"), 403),
        (
            format!("GET /{token}/"),
            format!("Host: {host}\r\nSec-Fetch-Site: cross-site\r\n"),
            403,
        ),
        (
            format!("GET /{token}/"),
            format!("Host: {host}\r\nOrigin: http://parts.example\r\n"),
            403,
        ),
        (
            format!("POST /{token}/runs"),
            format!("Host: {host}\r\nContent-Length: 0\r\n"),
            403,
        ),
        (
            format!("POST /{token}/runs"),
            format!("Host: {host}\r\nOrigin: null\r\nContent-Length: 0\r\n"),
            403,
        ),
        ("GET /".to_owned(), format!("Host: {host}\r\n"), 404),
        (format!("GET /{}/", "0".repeat(32)), format!("Host: {host}\r\n"), 404),
        (format!("GET /{token}/../../Cargo.toml"), format!("Host: {host}\r\n"), 404),
        (format!("GET /{token}/parts"), format!("Host: {host}\r\n"), 405),
    ] {
        let reply =
            desk.raw(&format!("{line} HTTP/1.1\r\n{head}Connection: close\r\n\r\n"), b"");
        assert_eq!(reply.status, status, "{line} {head}");
        assert!(!reply.text().contains(token.as_str()));
        assert!(reply.head.contains("x-content-type-options: nosniff"), "{}", reply.head);
    }
}

#[test]
fn what_cannot_be_asked_is_said() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let part = desk.add("plug.stl", &plug());
    let ask = |chosen: Value| {
        desk.post(
            "runs",
            json!({ "part": part, "press": null, "chosen": chosen })
                .to_string()
                .as_bytes(),
        )
    };
    for (chosen, says) in [
        (json!([["pull", "up"]]), "+z, -x"),
        (json!([["plastic", "wood"]]), "wood"),
        (json!([["press", "secret.toml"]]), "cannot be chosen"),
        (json!([["out", "elsewhere"]]), "cannot be chosen"),
        (json!([["gate-depth", "0.8"]]), "no unit"),
        (json!("all"), "cannot be asked"),
    ] {
        let why = ask(chosen).refusal();
        assert!(why.contains(says), "{says} is not in {why}");
    }
    for bad in ["", "{}", "[1]", "\u{0}"] {
        assert!(desk.post("runs", bad.as_bytes()).refusal().contains("cannot be asked"));
    }
    let gone = json!({ "part": 999, "press": null, "chosen": [] });
    assert!(
        desk.post("runs", gone.to_string().as_bytes())
            .refusal()
            .contains("no longer kept")
    );
    assert!(desk.get("runs/999", "").refusal().contains("no longer kept"));
    for place in
        ["runs/999/report.html", "runs/999/../../secret", "runs/999/%2e%2e%2fsecret"]
    {
        assert_eq!(desk.get(place, "").status, 404, "{place}");
    }
    // A part as large as a house is no fault of the question: it is answered.
    let chosen = json!([["no-fill", "on"], ["unit", "m"]]);
    let (run, reported) =
        desk.check(&json!({ "part": part, "press": null, "chosen": chosen }));
    assert_eq!(reported["state"], "done", "{reported}");
    assert_eq!(reported["said"], "Do not cut", "{reported}");
    let page = desk.get(&format!("runs/{run}/report.html"), "").text();
    assert!(page.contains("Do not cut") && page.contains("the clamp holds"));
}

#[test]
#[cfg(unix)]
fn an_interrupt_ends_it_cleanly() {
    let workspace = Workspace::new();
    let mut desk = Desk::open(&workspace);
    let part = desk.add("plug.stl", &plug());
    // In the middle of a check.
    let input = json!({ "part": part, "press": null, "chosen": [] }).to_string();
    assert_eq!(desk.post("runs", input.as_bytes()).status, 200);
    let id = desk.child.id().to_string();
    assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
    assert_eq!(desk.child.wait().unwrap().code(), Some(0));
    let mut said = String::new();
    desk.child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
    assert_eq!(said, "");
    assert_eq!(names(&workspace.path("temporary")), Vec::<String>::new());
}

/// One that runs, stopped in the middle of the filling, says so and makes room for the next.
#[test]
fn a_stopped_check_ends_and_leaves_room_for_the_next() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let part = desk.add("lamp_bracket.stl", &fs::read(model("lamp_bracket")).unwrap());
    let whole = json!({ "part": part, "chosen": [["cells", "60000"]] }).to_string();
    let begin = || desk.post("runs", whole.as_bytes());
    let mut runs: Vec<u64> =
        (0..3).map(|_| begin().json()["run"].as_u64().unwrap()).collect();
    let reported = |run: u64| desk.get(&format!("runs/{run}"), "").json();
    // The third one waits, and is stopped before it begins.
    let third = runs.pop().unwrap();
    assert_eq!(reported(third)["state"], "waiting");
    assert_eq!(desk.post(&format!("runs/{third}/stop"), b"").json()["stopped"], true);
    assert_eq!(reported(third)["state"], "stopped");
    while reported(runs[0])["step"].as_u64().unwrap_or(0) < 5 {
        thread::sleep(Duration::from_millis(20));
    }
    let asked = Instant::now();
    for run in &runs {
        let said = desk.post(&format!("runs/{run}/stop"), b"").json();
        assert_eq!(said["stopped"], true, "{said}");
    }
    for &run in &runs {
        while reported(run)["state"] == "stopping" {
            thread::sleep(Duration::from_millis(20));
        }
        assert_eq!(reported(run)["state"], "stopped");
        assert!(asked.elapsed() < AT_ONCE, "{:?}", asked.elapsed());
        assert_eq!(desk.get(&format!("runs/{run}/report.html"), "").status, 404);
    }
    let quick = json!({ "part": part, "chosen": [["no-fill", "on"], ["no-mill", "on"]] });
    let (run, reported) = desk.check(&quick);
    assert_eq!(reported["state"], "done", "{reported}");
    // What is done cannot be stopped, nor what never was.
    assert_eq!(desk.post(&format!("runs/{run}/stop"), b"").json()["stopped"], false);
    assert!(desk.post("runs/999/stop", b"").refusal().contains("no longer kept"));
}

#[test]
fn own_plastics_and_cutters_are_read_as_on_the_command_line() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let template = |words: &[&str]| workspace.run(words).out;
    let plastics = template(&["plastics", "--template"]);
    let cutters = template(&["cutters", "--template"]);
    workspace.put("mine.toml", plastics.as_bytes());
    workspace.put("ours.toml", cutters.as_bytes());
    let blend = desk.post("plastics?name=..%2Fmine.toml", plastics.as_bytes()).json();
    let first = blend["first"].as_str().unwrap().to_owned();
    assert!(plastics.contains(&format!("[plastic.{first}]")), "{blend}");
    let tools = desk.post("cutters?name=ours.toml", cutters.as_bytes()).json();
    assert!(tools["name"].as_str().unwrap().contains("(ours.toml, "), "{tools}");
    let part = desk.add("cable_clip.stl", &fs::read(model("cable_clip")).unwrap());
    let chosen = json!([["plastic", first], ["pull", "+z"], ["no-fill", "on"]]);
    let input = json!({
        "part": part, "plastics": blend["plastics"], "cutters": tools["cutters"],
        "chosen": chosen,
    });
    let (run, reported) = desk.check(&input);
    assert_eq!(reported["state"], "done", "{reported}");
    let typed = format!(
        "goodshot check cable_clip.stl --plastics mine.toml --tools ours.toml \
         --plastic={first} --pull=+z --no-fill"
    );
    assert!(reported["answer"].as_str().unwrap().contains(&typed), "{reported}");
    let clip = model("cable_clip");
    let words: Vec<&str> = typed.split(' ').skip(3).chain(["--quiet"]).collect();
    workspace.run(&[&["check", &clip], words.as_slice()].concat());
    let served = desk.get(&format!("runs/{run}/report.json"), "").body;
    let written =
        fs::read(workspace.path("goodshot-report/cable_clip/report.json")).unwrap();
    assert_eq!(String::from_utf8(served), String::from_utf8(written));
    // What is wrong with a file is said with its name; what excludes each other too.
    for (place, bad) in [("plastics", "x = 3"), ("cutters", "name = 3"), ("cutters", "")]
    {
        let why = desk.post(&format!("{place}?name=bad.toml"), bad.as_bytes()).refusal();
        assert!(why.starts_with("bad.toml: "), "{why}");
    }
    let both = json!({ "part": part, "cutters": tools["cutters"], "chosen": [["no-mill", "on"]] });
    let why = desk.post("runs", both.to_string().as_bytes()).refusal();
    assert!(why.contains("exclude each other"), "{why}");
    let gone = json!({ "part": part, "plastics": 999, "chosen": [] });
    let why = desk.post("runs", gone.to_string().as_bytes()).refusal();
    assert!(why.contains("plastics file is no longer kept"), "{why}");
}
