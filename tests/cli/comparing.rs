//! `goodshot compare`: what a revision changed, as the user sees it.

use std::fs;

use goodshot::geom::{Point, Vector};
use goodshot::mesh::{TriMesh, shapes};
use serde_json::Value;

use super::{Workspace, model, number};

/// A tray of 60 × 40 × 20 with walls of 2 and a floor of `floor`, a boss on it where `boss`.
fn tray(floor: f64, boss: bool) -> TriMesh {
    let x = [0.0, 2.0, 20.0, 26.0, 58.0, 60.0];
    let y = [0.0, 2.0, 17.0, 23.0, 38.0, 40.0];
    shapes::blocks([&x, &y, &[0.0, floor, 12.0, 20.0]], |i, j, k| {
        let wall = i == 0 || i == 4 || j == 0 || j == 4;
        k == 0 || wall || (boss && k == 1 && (i, j) == (2, 2))
    })
}

fn compared(workspace: &Workspace, words: &[&str]) -> (i32, Value) {
    let words = [&["compare"], words, &["--no-fill", "--pull", "+z", "--json"]].concat();
    let answer = workspace.run(&words);
    assert_eq!(answer.err, "", "{words:?}");
    (answer.code, serde_json::from_str(&answer.out).unwrap())
}

/// Of the solid that the blocks make: 60 × 40 × floor + 2 × 2 (60 + 36) × (20 − floor).
fn volume(floor: f64) -> f64 {
    60.0 * 40.0 * floor + 2.0 * 2.0 * (60.0 + 36.0) * (20.0 - floor)
}

#[test]
fn a_thicker_floor_is_reported_in_cubic_millimeters_grams_and_walls() {
    let workspace = Workspace::new();
    workspace.put_part("old.stl", &tray(2.0, false));
    workspace.put_part("new.stl", &tray(3.0, false));
    let (_, reported) = compared(&workspace, &["old.stl", "new.stl", "--plastic", "abs"]);
    let of = |key: &str| {
        let all = reported["numbers"].as_array().unwrap();
        all.iter().find(|number| number["key"] == key).unwrap().clone()
    };
    let grown = volume(3.0) - volume(2.0);
    assert!((number(&of("part.volume_mm3")["change"]) - grown).abs() < 1e-3);
    // The mass grows as the volume does.
    let grams = of("shot.part_g");
    let share = number(&grams["after"]) / number(&grams["before"]);
    assert!((share - volume(3.0) / volume(2.0)).abs() < 1e-6, "{grams}");
    let shape = &reported["shape"];
    assert!((number(&shape["farthest_mm"]) - 1.0).abs() < 1e-6, "{shape}");
    assert_eq!(shape["shift_mm"], serde_json::json!([0.0, 0.0, 0.0]));
    // The inside of the floor, 56 × 36, moved.
    assert!(
        (number(&shape["moved_area_mm2"]) / (56.0 * 36.0) - 1.0).abs() < 0.02,
        "{shape}"
    );
    let thicker = &shape["thicker"][0];
    assert!((number(&thicker["value_mm"]) - 1.0).abs() < 0.35, "{thicker}");
    assert!(shape["thinner"].as_array().unwrap().is_empty(), "{shape}");
    for name in
        ["compare.json", "compare.md", "compare.html", "maps/walls.png", "maps/moved.png"]
    {
        let file = workspace.path(&format!("goodshot-report/old-to-new/{name}"));
        assert!(fs::metadata(&file).unwrap().len() > 100, "{name}");
    }
}

#[test]
fn a_boss_that_is_gone_is_seen_on_the_old_part() {
    let workspace = Workspace::new();
    workspace.put_part("old.stl", &tray(2.0, true));
    workspace.put_part("new.stl", &tray(2.0, false));
    let (_, reported) = compared(&workspace, &["old.stl", "new.stl"]);
    let shape = &reported["shape"];
    assert!((number(&shape["farthest_mm"]) - 10.0).abs() < 0.1, "{shape}");
    // Its four sides of 6 × 10 and its top of 6 × 6, less the lowest twentieth of a mm.
    let gone = number(&shape["left_area_mm2"]);
    assert!((gone / 276.0 - 1.0).abs() < 0.05, "{gone}");
    // The floor where it was was inside of it.
    assert!((number(&shape["moved_area_mm2"]) / 36.0 - 1.0).abs() < 0.1, "{shape}");
    assert!(workspace.path("goodshot-report/old-to-new/maps/before.png").exists());
}

#[test]
fn the_same_part_has_not_changed_and_is_no_worse() {
    let workspace = Workspace::new();
    let part = model("cable_clip");
    let (code, reported) = compared(&workspace, &[&part, &part]);
    let found = &reported["findings"];
    for list in ["gone", "new", "changed"] {
        assert!(found[list].as_array().unwrap().is_empty(), "{found}");
    }
    assert!(number(&found["same"]) > 0.0);
    assert!(reported["settings"].as_array().unwrap().is_empty());
    assert!(number(&reported["shape"]["farthest_mm"]) < 1e-6);
    assert_eq!((code, reported["outcome"].as_str().unwrap()), (0, "same"));
}

/// A mesh turned about the origin by Rodrigues' formula, then shifted.
fn moved(mesh: &TriMesh, axis: [f64; 3], degrees: f64, shift: [f64; 3]) -> TriMesh {
    let k = Vector::from(axis).normalize();
    let (sin, cos) = degrees.to_radians().sin_cos();
    mesh.map_points(|point| {
        let v = point.coords;
        let turned = v * cos + k.cross(&v) * sin + k * (k.dot(&v) * (1.0 - cos));
        Point::from(turned + Vector::from(shift))
    })
}

/// The same tray with its boss, exported in another pose: nothing has changed but that.
#[test]
fn a_part_that_was_turned_is_turned_back_and_has_not_changed() {
    let workspace = Workspace::new();
    let part = tray(2.0, true);
    workspace.put_part("old.stl", &part);
    workspace
        .put_part("new.stl", &moved(&part, [1.0, 2.0, 3.0], 37.0, [40.0, -25.0, 310.0]));
    // Cells for the cutters lie along the axes of each file.
    let words = ["compare", "old.stl", "new.stl", "--no-fill", "--no-mill", "--json"];
    let answer = workspace.run(&words);
    let reported: Value = serde_json::from_str(&answer.out).unwrap();
    let shape = &reported["shape"];
    let turn = &shape["turn"];
    assert!((number(&turn["angle_deg"]) - 37.0).abs() < 1e-3, "{shape}");
    for (axis, is) in [1.0, 2.0, 3.0].iter().zip(turn["axis"].as_array().unwrap()) {
        assert!((number(is) - axis / 14.0_f64.sqrt()).abs() < 1e-5, "{turn}");
    }
    assert!(shape["is_match"] == true && turn["as_good"] == 0, "{shape}");
    assert!(number(&shape["farthest_mm"]) < 1e-3, "{shape}");
    for list in ["thinner", "thicker"] {
        assert!(shape[list].as_array().unwrap().is_empty(), "{shape}");
    }
    let found = &reported["findings"];
    // Of a wall that is upright all over, or of one thickness, any place is the worst; the
    // plates, and how far they bow, lie along the axes of each file.
    for list in ["gone", "new"] {
        let left = found[list].as_array().unwrap();
        let known = ["draft", "flash", "push_through"];
        let is_known = |it: &Value| known.iter().any(|id| it["id"] == *id);
        assert!(left.iter().all(is_known) && left.len() < 4, "{found}");
    }
    assert!(number(&found["same"]) > 10.0, "{found}");
    assert!(
        reported["settings"].as_array().unwrap().is_empty(),
        "{}",
        reported["settings"]
    );
    let words = ["compare", "old.stl", "new.stl", "--no-fill"];
    let said = workspace.run(&words).out;
    assert!(said.contains("the old part turned by 37° about"), "{said}");
    // Another part altogether is not turned onto it, and that is said.
    workspace.put_part("other.stl", &shapes::cup(12.0, 30.0, 2.0, 2.0, 96));
    let said = workspace.run(&["compare", "old.stl", "other.stl", "--no-fill"]).out;
    assert!(said.contains("no match"), "{said}");
    let page = workspace.path("goodshot-report/old-to-other/compare.md");
    let page = fs::read_to_string(page).unwrap();
    assert!(page.contains("Are these two states of one part?"), "{page}");
}

/// One of the demo parts is good and one was drawn to go wrong (models/README.md).
#[test]
fn worse_is_an_exit_code_and_back_is_better() {
    let workspace = Workspace::new();
    let (good, bad) = (model("bar_end_plug"), model("lamp_bracket"));
    let run =
        |old: &str, new: &str| workspace.run(&["compare", old, new, "--cells", "1000"]);
    let worse = run(&good, &bad);
    assert_eq!((worse.code, worse.err.as_str()), (1, ""), "{}", worse.out);
    let first = "bar_end_plug.stl → lamp_bracket.stl: Worse: Cut it → Do not cut";
    assert!(worse.out.starts_with(first), "{}", worse.out);
    assert!(worse.out.contains("  new "), "{}", worse.out);
    assert!(worse.out.lines().count() <= 25, "{}", worse.out);
    let back = run(&bad, &good);
    assert_eq!(back.code, 0, "{}", back.out);
    assert!(back.out.contains(": Better: Do not cut → Cut it"), "{}", back.out);
    assert!(back.out.contains("  gone "), "{}", back.out);
}

#[test]
fn a_comparison_takes_the_options_of_a_check_and_repeats_to_the_byte() {
    let workspace = Workspace::new();
    workspace.put_part("old.stl", &tray(2.0, false));
    workspace.put_part("new.stl", &tray(2.0, true));
    let words =
        ["compare", "old.stl", "new.stl", "--no-fill", "--unit", "in", "--pull", "-z"];
    let folder = |out: &str| workspace.path(&format!("{out}/old-to-new"));
    for (out, threads) in [("first", "2"), ("again", "1")] {
        let words = [&words[..], &["--quiet", "--out", out]].concat();
        let run =
            workspace.command(&words).env("RAYON_NUM_THREADS", threads).output().unwrap();
        assert!(run.stdout.is_empty() && run.stderr.is_empty());
    }
    for name in ["compare.json", "compare.md", "compare.html", "maps/walls.png"] {
        let [first, again] =
            ["first", "again"].map(|out| fs::read(folder(out).join(name)).unwrap());
        assert!(first == again, "{name}");
    }
    let reported = fs::read_to_string(folder("first").join("compare.json")).unwrap();
    let reported: Value = serde_json::from_str(&reported).unwrap();
    // In inches the boss is 254 mm high.
    assert!((number(&reported["shape"]["farthest_mm"]) - 254.0).abs() < 3.0);
}

#[test]
fn what_cannot_be_compared_is_refused_and_nothing_is_written() {
    let workspace = Workspace::new();
    workspace.put_part("old.stl", &tray(2.0, false));
    workspace.put("cut_off.stl", &fs::read(workspace.path("old.stl")).unwrap()[..200]);
    for (words, says) in [
        (&["compare", "old.stl"][..], "NEW.stl"),
        (&["compare", "old.stl", "none.stl"], "none.stl: no such file"),
        (&["compare", "old.stl", "cut_off.stl", "--no-fill"], "cut_off.stl: "),
        (&["compare", "old.stl", "old.stl", "--plastic", "wood"], "wood"),
        (&["compare", "old.stl", "old.stl", "--out", "old.stl"], "is a file"),
    ] {
        let answer = workspace.run(words);
        assert_eq!((answer.code, answer.out.as_str()), (2, ""), "{words:?}");
        assert_eq!(answer.err.lines().count(), 1, "{}", answer.err);
        assert!(answer.err.contains(says), "{says} is not in {}", answer.err);
        assert_eq!(workspace.names(), ["cut_off.stl", "old.stl"], "{words:?}");
    }
}

#[test]
fn the_schema_names_every_key() {
    let workspace = Workspace::new();
    workspace.put_part("old.stl", &tray(2.0, false));
    let schema = workspace.run(&["compare", "--schema"]);
    let schema: Value = serde_json::from_str(&schema.out).unwrap();
    let (_, reported) = compared(&workspace, &["old.stl", "old.stl"]);
    let known = schema["properties"].as_object().unwrap();
    assert_eq!(known.len(), reported.as_object().unwrap().len());
    assert!(reported.as_object().unwrap().keys().all(|key| known.contains_key(key)));
}
