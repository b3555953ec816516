//! A test piece: its mold, its shots, and what they teach, as a user does it in a morning.

use std::fs;

use serde_json::Value;

use super::{Workspace, number};

/// The mold of the strip on the built-in press is made by the same pipeline as any other, with its
/// measures beside it; the lengths of its shots then calibrate.
#[test]
fn a_strip_is_cut_shot_and_learned_from() {
    let workspace = Workspace::new();
    let words = [
        "mold",
        "--test-piece",
        "--plastic",
        "pp",
        "--cells",
        "1500",
        "--no-mill",
        "--json",
    ];
    let answer = workspace.run(&words);
    assert_eq!(answer.err, "");
    let report: Value = serde_json::from_str(&answer.out).unwrap();
    let sheet = &report["test_piece"];
    let shots = shots_of(sheet);
    for check in report["checks"].as_array().unwrap() {
        assert!(check["ok"] != false, "{check}");
    }
    assert_eq!(answer.code, 0, "{}", report["check"]);
    let folder = workspace.path("goodshot-report/test-piece/mold");
    for file in
        ["test-piece.stl", "test-piece.toml", "cavity.step", "drill.csv", "mold.md"]
    {
        assert!(folder.join(file).is_file(), "{file}");
    }
    let papers = fs::read_to_string(folder.join("mold.md")).unwrap();
    assert!(papers.contains("Shots to make") && papers.contains("part = \"test piece\""));
    fs::copy(folder.join("test-piece.toml"), workspace.path("test-piece.toml")).unwrap();
    // Every shot stops earlier than the model says: this bag takes more pressure.
    let lines = shots.iter().map(|shot| {
        let set = shot["set_to"].as_str().unwrap();
        let set = &set[..set.find(" at the").unwrap()];
        let reached = 0.8 * number(&shot["reaches_mm"]);
        format!("  {{ part = \"test piece\", set = \"{set}\", reached = \"{reached:.0} mm\" }},\n")
    });
    let log = format!("shots = [\n{}]\n", lines.collect::<String>());
    workspace.put("shots.toml", log);
    let words =
        ["calibrate", "shots.toml", "--plastic", "pp", "--cells", "1500", "--no-mill"];
    let learned = workspace.run(&words);
    assert_eq!((learned.code, learned.err.as_str()), (0, ""), "{}", learned.out);
    assert!(learned.out.contains("shots say something"), "{}", learned.out);
    let written = fs::read_to_string(workspace.path("calibration.toml")).unwrap();
    let factor =
        written.lines().find(|line| line.starts_with("pressure_factor")).unwrap();
    let factor: f64 = factor.rsplit(' ').next().unwrap().parse().unwrap();
    assert!(factor > 1.05, "{factor}\n{}", learned.out);
    workspace.put("test-piece.toml", "width = \"8 kg\"\n");
    let refused = workspace.run(&words);
    assert_eq!((refused.code, refused.err.lines().count()), (2, 1), "{}", refused.err);
    assert!(refused.err.contains("test-piece.toml"), "{}", refused.err);
    fs::remove_file(workspace.path("test-piece.toml")).unwrap();
    let refused = workspace.run(&words);
    assert!(refused.err.contains("--test-piece"), "{}", refused.err);
}

/// The shots of a sound sheet: one a step, rising in pressure as the steps get thinner.
fn shots_of(sheet: &Value) -> &Vec<Value> {
    let steps = sheet["steps"].as_array().unwrap();
    assert!(steps.len() >= 2, "{sheet}");
    for pair in steps.windows(2) {
        assert!(number(&pair[0]["wall_mm"]) > number(&pair[1]["wall_mm"]));
        assert_eq!(pair[0]["to_mm"], pair[1]["from_mm"]);
    }
    assert_eq!(sheet["surely_fills"], true);
    let shots = sheet["shots"].as_array().unwrap();
    assert_eq!(shots.len(), steps.len());
    let pressures: Vec<f64> =
        shots.iter().map(|it| number(&it["pressure_mpa"])).collect();
    assert!(pressures.windows(2).all(|pair| pair[0] < pair[1]), "{pressures:?}");
    shots
}

#[test]
fn a_test_piece_has_no_part() {
    let workspace = Workspace::new();
    for words in [
        &["mold", "--test-piece", "part.stl"][..],
        &["mold"],
        &["mold", "--test-piece", "--pull", "+x"],
    ] {
        let answer = workspace.run(words);
        assert_eq!((answer.code, answer.err.lines().count()), (2, 1), "{}", answer.err);
    }
}
