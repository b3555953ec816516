//! Several parts in one call.

use std::fs;

use serde_json::Value;

use super::{Workspace, model};

#[test]
fn several_parts_are_answered_in_one_call_and_the_worst_counts() {
    let workspace = Workspace::new();
    workspace.put("cut_off.stl", &fs::read(model("cable_clip")).unwrap()[..1000]);
    let (good, bad) = (model("bar_end_plug"), model("cable_clip"));
    let answer = workspace.run(&["check", &good, &bad, "--json", "--no-fill"]);
    assert_eq!(answer.code, 1);
    let list: Value = serde_json::from_str(&answer.out).unwrap();
    assert_eq!(list[0]["part"]["file"], "bar_end_plug.stl");
    assert_eq!(list[1]["part"]["file"], "cable_clip.stl");
    // A part that cannot be read does not hide the others.
    let answer = workspace.run(&["check", "cut_off.stl", &good, "--cells", "1000"]);
    assert_eq!((answer.code, answer.err.lines().count()), (2, 1));
    assert!(answer.out.contains("bar_end_plug.stl: ✓ Cut it\n"), "{}", answer.out);
}

/// Parts are checked side by side and answered in the order in which they were given.
#[test]
fn stages_are_timed_and_answers_stay_in_order() {
    let workspace = Workspace::new();
    let parts = [model("lamp_bracket"), model("cable_clip"), model("bar_end_plug")];
    let [slow, middle, quick] = &parts;
    let words = ["check", slow, middle, quick, "--no-fill", "--no-mill", "--timings"];
    let answer = workspace.run(&words);
    let places: Vec<usize> = ["lamp_bracket", "cable_clip", "bar_end_plug"]
        .map(|name| answer.out.find(&format!("{name}.stl: ")).unwrap())
        .into();
    assert!(places.is_sorted(), "{}", answer.out);
    assert_eq!(answer.err.matches(" s  in all").count(), 3, "{}", answer.err);
    assert_eq!(answer.err.matches(" s  drawing").count(), 3);
    assert!(!answer.out.contains("in all"));
}
