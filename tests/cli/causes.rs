//! Causes and the first screen: few, the same for any mesh of the same part, and in every form.

use std::fs;

use goodshot::geom::Point;
use goodshot::mesh::TriMesh;
use goodshot::mesh::stl;
use serde_json::Value;

use super::{Workspace, findings, model};
use crate::common::{Noise, direction, turned};

fn causes(report: &Value) -> &Vec<Value> {
    report["causes"].as_array().unwrap()
}

/// Kind and severity of each cause, and how many faces it has where it has faces. What is
/// counted in regions of samples (thin, trapped) may be one region or two from mesh to mesh.
fn shapes_of(report: &Value) -> Vec<String> {
    let one = |cause: &Value| {
        let places = cause["places_mm"].as_array().unwrap().len();
        let places = if cause["id"] == "draft" { places } else { 0 };
        format!("{} {} {places}", cause["id"], cause["severity"])
    };
    let mut all: Vec<String> = causes(report).iter().map(one).collect();
    all.sort();
    all
}

fn mesh_of(name: &str) -> TriMesh {
    let stl = stl::read(&fs::read(model(name)).unwrap()).unwrap();
    let corners: Vec<Point> = stl.scaled(1.0).into_iter().flatten().collect();
    let facets = (0..corners.len() as u32 / 3).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]);
    TriMesh::new(corners, facets.collect())
}

/// Each facet in four, so that no place of a corner remains the only one.
fn split(mesh: &TriMesh) -> TriMesh {
    let mut points = Vec::new();
    for facet in 0..mesh.facets().len() {
        let [a, b, c] = mesh.corners(facet);
        let [ab, bc, ca] =
            [(a, b), (b, c), (c, a)].map(|(a, b)| nalgebra::center(&a, &b));
        points.extend([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca]);
    }
    let facets = (0..points.len() as u32 / 3).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]);
    TriMesh::new(points, facets.collect())
}

fn shuffled(mesh: &TriMesh) -> TriMesh {
    let mut noise = Noise(7);
    let mut facets = mesh.facets().to_vec();
    for last in (1..facets.len()).rev() {
        facets.swap(last, noise.below(last + 1));
    }
    TriMesh::new(mesh.points().to_vec(), facets)
}

/// Every finding has one cause, whose severity is that of its worst finding.
#[test]
fn every_finding_has_one_cause() {
    let workspace = Workspace::new();
    for part in ["lamp_bracket", "cable_clip"] {
        let report = workspace.fill(&model(part), &["--cells", "1500"]);
        let all = report["findings"].as_array().unwrap();
        let members = |cause: &Value| -> Vec<usize> {
            let list = cause["findings"].as_array().unwrap();
            list.iter().map(|it| it.as_u64().unwrap() as usize).collect()
        };
        let mut seen: Vec<usize> = causes(&report).iter().flat_map(members).collect();
        seen.sort_unstable();
        // A line that counts the rest may stand for several causes.
        seen.dedup();
        assert_eq!(seen, (1..=all.len()).collect::<Vec<usize>>());
        for cause in causes(&report) {
            let severities =
                members(cause).into_iter().map(|it| &all[it - 1]["severity"]);
            let rest = members(cause).iter().all(|it| all[it - 1]["at_mm"].is_null());
            let worst = ["stop", "fix", "note"]
                .into_iter()
                .find(|severity| severities.clone().any(|other| other == severity));
            assert!(rest || cause["severity"] == worst.unwrap(), "{cause}");
            for text in ["title", "change"] {
                let words = cause[text].as_str().unwrap();
                assert!(!words.contains(" at ("), "{words}");
            }
        }
        assert!(causes(&report).len() <= 15, "{}", causes(&report).len());
    }
}

/// The bracket as its builder drew it (`models/reference.json`): two holes across the pull, two
/// ribs without draft, one lump behind the ring.
#[test]
fn the_bracket_is_named_as_its_designer_would() {
    let report = Workspace::new().check(&model("lamp_bracket"), &[]);
    let titled = |id: &str, words: &str| {
        causes(&report).iter().any(|cause| {
            cause["id"] == id && cause["title"].as_str().unwrap().starts_with(words)
        })
    };
    assert!(titled("undercut", "2 holes of 4.5 mm"), "{}", report["causes"]);
    assert!(titled("draft", "2 walls of 2.4 mm, up to 24 mm"), "{}", report["causes"]);
    assert!(titled("thick_wall", "1 thick section"), "{}", report["causes"]);
    let first = &report["answer"]["do_first"];
    assert_eq!(first.as_array().unwrap().len(), 3);
    assert!(first[0]["change"].as_str().unwrap().contains("drill 4.5 mm"), "{first}");
}

#[test]
fn causes_stay_the_same_for_any_mesh_of_the_part() {
    let workspace = Workspace::new();
    let mesh = mesh_of("lamp_bracket");
    let before = workspace.check(&model("lamp_bracket"), &["--no-mill"]);
    let before = shapes_of(&before);
    for (name, changed) in [
        ("shuffled.stl", shuffled(&mesh)),
        ("split.stl", split(&mesh)),
        ("turned.stl", turned(&mesh, direction(0.0, 0.0, 1.0), 37.0)),
    ] {
        workspace.put_part(name, &changed);
        let after = workspace.check(name, &["--no-mill"]);
        assert_eq!(shapes_of(&after), before, "{name}");
    }
}

/// Terminal, Markdown and page begin with the same answer.
#[test]
fn the_first_screen_is_the_same_in_every_form() {
    let workspace = Workspace::new();
    let answer = workspace.run(&["check", &model("lamp_bracket"), "--cells", "1500"]);
    let folder = workspace.path("goodshot-report/lamp_bracket");
    let read = |name: &str| fs::read_to_string(folder.join(name)).unwrap();
    let report: Value = serde_json::from_str(&read("report.json")).unwrap();
    let first = &report["answer"];
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let terminal = plain(&answer.out);
    let page = read("report.html");
    let mut bare = String::new();
    let mut inside = false;
    for letter in page.chars() {
        match letter {
            '<' => inside = true,
            '>' => inside = false,
            letter if !inside => bare.push(letter),
            _ => {}
        }
    }
    let (bare, markdown) = (plain(&bare), plain(&read("report.md").replace('\\', "")));
    let mut texts = vec![&first["why"], &first["then"]];
    texts.extend(first["questions"].as_array().unwrap().iter().map(|it| &it["text"]));
    texts.extend(first["do_first"].as_array().unwrap().iter().map(|it| &it["change"]));
    for text in texts {
        let text = text.as_str().unwrap();
        for (form, whole) in
            [("terminal", &terminal), ("page", &bare), ("Markdown", &markdown)]
        {
            assert!(whole.contains(text), "{form}: {text}\n{whole}");
        }
    }
}

/// A part that may be cut is answered on two pages: 1000 words (common practice: 500 a page).
#[test]
fn the_report_of_a_sound_part_is_short() {
    let workspace = Workspace::new();
    workspace.fill(&model("bar_end_plug"), &["--cells", "1500"]);
    let text = workspace.path("goodshot-report/bar_end_plug/report.md");
    let words = fs::read_to_string(text).unwrap().split_whitespace().count();
    assert!(words < 1300, "{words}");
}

/// 25.4 mm are an inch, and 1 MPa is 145.04 psi (NIST Special Publication 811).
#[test]
fn people_read_inches_where_they_ask_for_them_and_programs_do_not() {
    let workspace = Workspace::new();
    let words = ["check", &model("bar_end_plug"), "--units", "in", "--no-fill"];
    let answer = workspace.run(&words);
    assert!(answer.out.contains(" psi") && answer.out.contains(" oz"), "{}", answer.out);
    assert!(
        !answer.out.contains("MPa") && !answer.out.contains(" bar "),
        "{}",
        answer.out
    );
    let report = workspace.path("goodshot-report/bar_end_plug/report.json");
    let report: Value = serde_json::from_slice(&fs::read(report).unwrap()).unwrap();
    assert_eq!(report["shown_units"], "in");
    let metric = workspace.check(&model("bar_end_plug"), &[]);
    assert_eq!(report["part"]["volume_mm3"], metric["part"]["volume_mm3"]);
    assert_eq!(findings(&report, "weld").len(), findings(&metric, "weld").len());
    let words = ["mold", &model("bar_end_plug"), "--units", "in", "--no-fill"];
    let mold = workspace.run(&words);
    let block = mold.out.lines().find(|line| line.contains("  Mold ")).unwrap();
    assert!(block.contains(" in, pins"), "{}", mold.out);
    assert!(mold.out.contains(") in of the grown part"), "{}", mold.out);
    let refused = workspace.run(&["check", &model("bar_end_plug"), "--units", "feet"]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("mm or in"), "{}", refused.err);
}
