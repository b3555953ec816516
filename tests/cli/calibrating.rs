//! Shots that teach, as a user logs them.

use goodshot::mesh::shapes;
use serde_json::Value;

use super::{Workspace, number};

/// A strip that is short at a low pressure.
fn strip() -> Workspace {
    let workspace = Workspace::new();
    workspace.put_part("strip.stl", &shapes::cuboid(120.0, 16.0, 2.0));
    workspace.put_part("plug.stl", &shapes::cup(12.0, 15.0, 3.0, 3.0, 96));
    workspace
}

const QUICK: [&str; 5] = ["--pull", "+z", "--no-mill", "--cells", "800"];

fn window(workspace: &Workspace, words: &[&str]) -> [f64; 3] {
    let words = [&["check", "plug.stl", "--json"][..], &QUICK, words].concat();
    let answer = workspace.run(&words);
    assert_eq!(answer.err, "", "{}", answer.out);
    let report: Value = serde_json::from_str(&answer.out).unwrap();
    ["best", "expected", "worst"]
        .map(|end| number(&report["pressure_window"][format!("fills_{end}_mpa")]))
}

/// Half as much again is taken than worked out: the checks that follow ask for more, are surer, and
/// say by what. In another folder, of another plastic, nothing of it counts.
#[test]
fn shots_move_and_narrow_what_later_checks_say() {
    let workspace = strip();
    let before = window(&workspace, &[]);
    // A log whose shots all stopped earlier than the model says.
    workspace.put(
        "shots.csv",
        "part,set [bar],filled [%],remark\nstrip.stl,2.2,19,\nstrip.stl,3,30,\nstrip.stl,4,42,\nstrip.stl,5,53,last\n",
    );
    let words =
        [&["calibrate", "shots.csv", "--date", "2026-11-30"][..], &QUICK].concat();
    let answer = workspace.run(&words);
    assert_eq!((answer.code, answer.err.as_str()), (0, ""), "{}", answer.out);
    for says in [
        "4 of 4 shots say something",
        "The shot that would tell most",
        "cannot tell a thick bag",
    ] {
        assert!(answer.out.contains(says), "{says}: {}", answer.out);
    }
    let after = window(&workspace, &[]);
    let wide = |[best, _, worst]: [f64; 3]| (worst / best).ln();
    assert!(wide(after) < 0.6 * wide(before), "{before:?} {after:?}\n{}", answer.out);
    let report = workspace.fill("plug.stl", &QUICK);
    let assumed = report["assumptions"].to_string();
    assert!(
        assumed.contains("4 shots of PP") && assumed.contains("2026-11-30"),
        "{assumed}"
    );
    // Of another plastic it says nothing, and given for it, it is refused.
    let abs = workspace.fill("plug.stl", &[&QUICK[..], &["--plastic", "abs"]].concat());
    assert!(!abs["assumptions"].to_string().contains("shots of PP"));
    let words =
        ["check", "plug.stl", "--plastic", "abs", "--calibration", "calibration.toml"];
    let refused = workspace.run(&words);
    assert_eq!((refused.code, refused.err.lines().count()), (2, 1), "{}", refused.err);
    assert!(refused.err.contains("holds shots of PP"), "{}", refused.err);
}

/// Three shots that agree and one that filled three times as far as they would.
#[test]
fn a_shot_that_contradicts_is_said_loudly() {
    let workspace = strip();
    workspace.put(
        "shots.toml",
        "shots = [\n  { part = 'strip.stl', set = '3 bar', filled = '30 %' },\n  { part = 'strip.stl', set = '4 bar', filled = '42 %' },\n  { part = 'strip.stl', set = '5 bar', filled = '53 %' },\n  { part = 'strip.stl', set = '2 bar', filled = '95 %' },\n]\n",
    );
    let words = [&["calibrate", "shots.toml", "--out", "ours.toml"][..], &QUICK].concat();
    let answer = workspace.run(&words);
    assert_eq!((answer.code, answer.err.as_str()), (1, ""), "{}", answer.out);
    assert!(
        answer.out.starts_with("LINE 5: THIS SHOT CONTRADICTS THE MODEL"),
        "{}",
        answer.out
    );
    assert!(workspace.path("ours.toml").exists());
}

#[test]
fn a_log_that_cannot_be_read_is_refused_in_one_line() {
    let workspace = strip();
    for (log, says) in [
        ("shots = []", "1 to 200 shots"),
        (
            "shots = [ { part = 'strip.stl', set = '4 bar' } ]",
            "how far it filled is missing",
        ),
        (
            "shots = [ { part = 'none.stl', set = '4 bar', full = true } ]",
            "none.stl: no such file",
        ),
        (
            "shots = [ { part = 'strip.stl', set = '200 N', full = true } ]",
            "line 1, set: ",
        ),
        ("part,set [bar],grams [kN]\nstrip.stl,4,3\n", "line 2, grams"),
    ] {
        workspace.put("log", log);
        let answer = workspace.run(&[&["calibrate", "log"][..], &QUICK].concat());
        assert_eq!((answer.code, answer.out.as_str()), (2, ""), "{log}");
        assert_eq!(answer.err.lines().count(), 1, "{}", answer.err);
        assert!(answer.err.contains(says), "{}", answer.err);
    }
    assert!(!workspace.path("calibration.toml").exists());
}
