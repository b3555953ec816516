//! Each run is a process of its own: whatever ends it ends nothing else.

use std::fs;
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::client::{Desk, goes_on};
use super::{AT_ONCE, Workspace, model, plug};

/// The processes that the server has started and that still run: Linux lists them.
fn children(desk: &Desk) -> Vec<String> {
    let tasks = fs::read_dir(format!("/proc/{}/task", desk.child.id())).unwrap();
    let lists = tasks.map(|task| task.unwrap().path().join("children"));
    let all: Vec<String> =
        lists.filter_map(|list| fs::read_to_string(list).ok()).collect();
    all.iter().flat_map(|list| list.split_whitespace()).map(str::to_owned).collect()
}

fn send(signal: &str, process: &str) {
    assert!(Command::new("kill").args([signal, process]).status().unwrap().success());
}

/// Whether a process still does something.
fn is_alive(process: &str) -> bool {
    let status = fs::read_to_string(format!("/proc/{process}/status"));
    status.is_ok_and(|status| !status.contains("State:\tZ"))
}

/// A check that goes on for minutes.
fn long(part: u64) -> Value {
    json!({ "part": part, "chosen": [["cells", "400000"]] })
}

fn bracket(desk: &Desk) -> u64 {
    desk.add("lamp_bracket.stl", &fs::read(model("lamp_bracket")).unwrap())
}

#[test]
fn a_run_that_is_ended_from_outside_is_one_line_and_the_page_goes_on() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let part = bracket(&desk);
    for signal in ["-KILL", "-ABRT"] {
        let run = desk.begin_run("runs", &long(part));
        desk.wait(run, |reply| reply["step"].as_u64() > Some(1));
        let [child] = <[String; 1]>::try_from(children(&desk)).unwrap();
        send(signal, &child);
        let reply = desk.wait(run, |reply| !goes_on(reply));
        assert_eq!(reply["state"], "failed", "{reply}");
        let why = reply["error"].as_str().unwrap();
        assert!(why.starts_with("lamp_bracket.stl: the run broke off"), "{why}");
        assert!(why.contains("memory") && why.lines().count() == 1, "{why}");
        assert_eq!(desk.get(&format!("runs/{run}/report.html"), "").status, 404);
    }
    let quick = json!({ "part": part, "chosen": [["no-fill", "on"], ["no-mill", "on"]] });
    let (_, reply) = desk.check(&quick);
    assert_eq!(reply["state"], "done", "{reply}");
    // Nothing of the runs is left: a process ends soon after its last word.
    let since = Instant::now();
    while children(&desk).iter().any(|child| is_alive(child)) {
        assert!(since.elapsed() < Duration::from_secs(20), "{:?}", children(&desk));
        thread::sleep(Duration::from_millis(50));
    }
}

#[test]
fn a_stop_is_at_once_in_every_step() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let part = bracket(&desk);
    for step in 0..6 {
        let run = desk.begin_run("runs", &long(part));
        // A step may be over before it is seen.
        desk.wait(run, |reply| reply["step"].as_u64() >= Some(step));
        let asked = Instant::now();
        desk.post(&format!("runs/{run}/stop"), b"");
        let reply = desk.wait(run, |reply| !goes_on(reply));
        assert_eq!(reply["state"], "stopped", "{reply}");
        assert!(asked.elapsed() < AT_ONCE, "step {step}: {:?}", asked.elapsed());
    }
    let check = json!({ "part": part, "chosen": [["no-fill", "on"], ["no-mill", "on"]] });
    let (check, _) = desk.check(&check);
    let mold = desk.begin_run("molds", &json!({ "run": check, "chosen": [] }));
    desk.wait(mold, |reply| reply["step"].as_u64() >= Some(1));
    let asked = Instant::now();
    desk.post(&format!("runs/{mold}/stop"), b"");
    let reply = desk.wait(mold, |reply| !goes_on(reply));
    assert_eq!(reply["state"], "stopped", "{reply}");
    assert!(asked.elapsed() < AT_ONCE, "{:?}", asked.elapsed());
}

/// The server is ended in a way that it cannot answer to: its runs end too.
#[test]
fn no_run_outlives_the_server() {
    let workspace = Workspace::new();
    let mut desk = Desk::open(&workspace);
    let part = bracket(&desk);
    let run = desk.begin_run("runs", &long(part));
    desk.wait(run, |reply| reply["step"].as_u64() > Some(1));
    let [child] = <[String; 1]>::try_from(children(&desk)).unwrap();
    send("-KILL", &desk.child.id().to_string());
    desk.child.wait().unwrap();
    let began = Instant::now();
    while is_alive(&child) {
        assert!(began.elapsed() < Duration::from_secs(10), "{child} goes on");
        thread::sleep(Duration::from_millis(20));
    }
}

/// Of a part that is read its shape is there first.
#[test]
fn the_part_is_shown_before_anything_is_known_of_it() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let run = desk.begin_run("runs", &long(bracket(&desk)));
    let reply = desk.wait(run, |reply| reply["seen"] == true);
    assert!(reply["answered"] == false && reply["page"] == "shape.html", "{reply}");
    let page = desk.get(&format!("runs/{run}/shape.html"), "").text();
    assert!(page.contains("id=\"surface\"") && page.contains("lamp_bracket.stl"));
    assert!(!page.contains("class=\"verdict\""));
}

/// What a person waits for is there before the pictures are.
#[test]
fn the_answer_comes_before_the_pictures() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let part = desk.add("plug.stl", &plug());
    let run =
        desk.begin_run("runs", &json!({ "part": part, "chosen": [["no-fill", "on"]] }));
    let reply = desk.wait(run, |reply| reply["answered"] == true);
    assert!(goes_on(&reply) && reply["page"] == "report.html", "{reply}");
    assert!(reply["seconds"].as_f64().unwrap() > 0.0, "{reply}");
    let early = desk.get(&format!("runs/{run}/report.html"), "").text();
    assert!(early.contains("class=\"verdict\"") && !early.contains("<img"));
    // Files that are not there yet are not promised.
    assert_eq!(reply["files"], json!(["report.html"]));
    let done = desk.wait(run, |reply| !goes_on(reply));
    assert!(done["state"] == "done" && done["seconds"] == reply["seconds"], "{done}");
    let whole = desk.get(&format!("runs/{run}/report.html"), "").text();
    let first = |page: &str| page.split("<nav").next().unwrap().matches("<dt>").count();
    assert!(
        whole.contains("<img") && first(&whole) == first(&early) && first(&early) == 6
    );
}
