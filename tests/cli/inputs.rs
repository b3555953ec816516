//! Parts as they are found in the wild: open, inside out, in another unit, and a press
//! file that leaves something out.

use goodshot::geom::Point;
use goodshot::mesh::{TriMesh, shapes};

use serde_json::Value;

use super::{Workspace, apart, binary, findings, number, point, triangles};

/// A bar-end plug in its simplest form: outside radius 12 mm at the floor, 15 mm high,
/// walls of 3 mm, drafted by 3°.
fn plug() -> TriMesh {
    shapes::cup(12.0, 15.0, 3.0, 3.0, 48)
}

/// A press that says all but what holds the mold.
const PRESS: &str = "name = 'lever press of the workshop'\n[drive]\nram_force = '900 lbf'\n\
    [ram]\ndiameter = '1 in'\nstroke = '4 in'\n";

#[test]
fn an_open_surface_is_located_and_still_measured() {
    let workspace = Workspace::new();
    let mut facets = triangles(&plug());
    let lost = facets.remove(5);
    workspace.put("open.stl", binary(&facets));
    let report = workspace.check("open.stl", &[]);
    assert_eq!(report["part"]["closed"], false);
    for key in ["volume_mm3", "inertia_mm5"] {
        assert!(report["part"][key].is_null(), "{key}");
    }
    assert!(report["shot"]["part_g"].is_null());
    let finding = findings(&report, "open_surface")[0];
    let at = point(&finding["at_mm"]);
    let middle = [0, 1, 2].map(|axis| lost.iter().map(|p| p[axis]).sum::<f64>() / 3.0);
    assert!(apart(at, middle) < 3.0, "{finding}");
    assert!(finding["title"].as_str().unwrap().contains("hole at ("), "{finding}");
    assert!((number(&report["thickness"]["ball_mm"]["p50"]) - 3.0).abs() < 0.1);
    let assumed = report["assumptions"].to_string();
    assert!(assumed.contains("the surface is open"), "{assumed}");
}

#[test]
fn holes_are_closed_when_asked() {
    let workspace = Workspace::new();
    let whole = shapes::split(&plug(), 2);
    // A facet of the floor: its hole is flat and small.
    let mut facets = triangles(&whole);
    let in_floor = |corners: &[Point; 3]| corners.iter().all(|p| p.z < 1e-9);
    facets.remove(facets.iter().position(in_floor).unwrap());
    workspace.put("open.stl", binary(&facets));
    workspace.put_part("whole.stl", &whole);
    let closed = workspace.check("open.stl", &["--close-holes"]);
    let whole = workspace.check("whole.stl", &[]);
    assert_eq!(closed["part"]["closed"], true);
    let volume = |report: &Value| number(&report["part"]["volume_mm3"]);
    assert!((volume(&closed) / volume(&whole) - 1.0).abs() < 1e-6);
    let repairs = closed["part"]["repairs"].to_string();
    assert!(repairs.contains("close_holes"), "{repairs}");
    assert!(!findings(&closed, "repaired").is_empty());
}

#[test]
fn an_inside_out_file_is_turned_and_said() {
    let workspace = Workspace::new();
    let turned: Vec<_> =
        triangles(&plug()).iter().map(|[a, b, c]| [*c, *b, *a]).collect();
    workspace.put("turned.stl", binary(&turned));
    workspace.put_part("right.stl", &plug());
    let report = workspace.check("turned.stl", &[]);
    let right = workspace.check("right.stl", &[]);
    let volume = |report: &Value| number(&report["part"]["volume_mm3"]);
    assert!((volume(&report) / volume(&right) - 1.0).abs() < 1e-9);
    assert_eq!(report["verdict"], right["verdict"]);
    assert_eq!(report["part"]["repairs"][0]["kind"], "turn_bodies");
    assert_eq!(report["part"]["defects"][0]["kind"], "inside_out_body");
    assert_eq!(findings(&report, "repaired").len(), 1);
    assert!(findings(&right, "repaired").is_empty());
}

/// A part of two inches, saved in inches: read as millimeters it is no larger than a
/// grain of rice.
#[test]
fn a_part_in_inches_is_recognized() {
    let workspace = Workspace::new();
    workspace.put_part("two_inches.stl", &shapes::cuboid(2.0, 1.0, 0.125));
    let guess = workspace.check("two_inches.stl", &[]);
    let finding = findings(&guess, "unit")[0];
    let title = finding["title"].as_str().unwrap();
    for text in ["looks like inches", "2 × 1 × 0.125 mm", " in)"] {
        assert!(title.contains(text), "{title}");
    }
    assert!(
        finding["cure"].as_str().unwrap().contains("run again with --unit in"),
        "{finding}"
    );
    assert_eq!(guess["part"]["unit_given"], false);
    // Nothing that follows from the unit comes before it, and nothing is decided.
    assert_eq!(
        (&guess["verdict"], &guess["findings"][0]["id"]),
        (&"unknown".into(), &"unit".into())
    );

    let reported = workspace.check("two_inches.stl", &["--unit", "in"]);
    assert!(findings(&reported, "unit").is_empty());
    assert_eq!(reported["part"]["unit"], "in");
    let max = |report: &Value| point(&report["part"]["bounding_box_mm"]["max"]);
    for axis in 0..3 {
        assert!((max(&reported)[axis] - 25.4 * max(&guess)[axis]).abs() < 1e-9);
    }
    let volume = number(&reported["part"]["volume_mm3"]);
    assert!((volume / (0.25 * 25.4_f64.powi(3)) - 1.0).abs() < 1e-9, "{volume}");
}

#[test]
fn a_press_without_a_clamp_leaves_the_question_open() {
    let workspace = Workspace::new();
    workspace.put_part("plug.stl", &plug());
    workspace.put("press.toml", PRESS);
    let words = ["check", "plug.stl", "--press", "press.toml", "--cells", "1000"];
    let answer = workspace.run(&words);
    assert_eq!(answer.code, 3, "{}{}", answer.out, answer.err);
    assert!(answer.out.starts_with("plug.stl: ? Cannot tell yet"), "{}", answer.out);
    let report = workspace.check("plug.stl", &["--press", "press.toml"]);
    assert_eq!(report["verdict"], "unknown");
    assert!(report["clamp"]["margin"].is_null());
    let assumed = report["assumptions"].to_string();
    assert!(assumed.contains("holding force not known"), "{assumed}");
    // 900 lbf on a ram of one inch are 900 / 0.7854 psi, 7.90 MPa.
    assert!((number(&report["press"]["melt_pressure_mpa"]) - 7.901).abs() < 0.001);
}

/// What was given is not assumed, and what was assumed is said.
#[test]
fn every_default_is_an_assumption() {
    let workspace = Workspace::new();
    workspace.put_part("plug.stl", &plug());
    workspace.put("ours.toml", PRESS);
    let assumed =
        |words: &[&str]| workspace.check("plug.stl", words)["assumptions"].to_string();
    let (none, all) = (
        assumed(&[]),
        assumed(&[
            "--press",
            "ours.toml",
            "--plastic",
            "abs",
            "--unit",
            "mm",
            "--pull",
            "+z",
        ]),
    );
    for option in ["(--unit)", "(--press)", "(--plastic)", "(--pull)"] {
        assert!(
            none.contains(option) && !all.contains(option),
            "{option}\n{none}\n{all}"
        );
    }
}

#[test]
fn a_given_pull_is_kept() {
    let workspace = Workspace::new();
    workspace.put_part("plug.stl", &plug());
    let upside_down = workspace.check("plug.stl", &["--pull", "-z"]);
    assert!(apart(point(&upside_down["pull"]["direction"]), [0.0, 0.0, -1.0]) < 1e-9);
    assert!(number(&upside_down["undercut"]["area_mm2"]) < 1e-9);
    // Sideways the inside of the cup is trapped.
    let sideways = workspace.check("plug.stl", &["--pull", "1,0,0"]);
    assert!(number(&sideways["undercut"]["area_mm2"]) > 300.0);
    assert_eq!(sideways["verdict"], "do_not_cut");
}
