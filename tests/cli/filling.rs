//! Does it fill, as a user sees it: on the example press, and on one far too weak.

use std::fs;

use serde_json::Value;

use super::{Workspace, apart, findings, model, number, point};

/// A press that a finger could push.
const WEAK: &str = "name = 'weak press'\n[drive]\nram_force = '40 N'\n[ram]\n\
    diameter = '30 mm'\nstroke = '100 mm'\n[clamp]\nforce = '40 kN'\n";

fn places(list: &Value) -> Vec<[f64; 3]> {
    list.as_array().unwrap().iter().map(|it| point(&it["at_mm"])).collect()
}

#[test]
fn the_bar_end_plug_fills_and_says_with_what_to_spare() {
    let workspace = Workspace::new();
    let report = workspace.fill(&model("bar_end_plug"), &["--cells", "3000"]);
    let fill = &report["fill"];
    assert_eq!(fill["fills"], true);
    assert!(number(&fill["filled_fraction"]) > 0.998);
    let needed = number(&fill["pressure_needed_mpa"]);
    let margin = number(&fill["margin"]);
    assert!(
        (needed * margin / number(&fill["pressure_available_mpa"]) - 1.0).abs() < 1e-9
    );
    let band = &fill["margin_band"];
    assert!(number(&band[0]) > 1.0 && number(&band[0]) < margin);
    assert!(number(&band[1]) > margin);
    assert!(findings(&report, "short_shot").is_empty());
    assert!(findings(&report, "fill_margin").is_empty());
    // Every weld line and pocket that is listed is a finding with its place, the worst at
    // least.
    for (list, id) in [("weld_lines", "weld"), ("trapped_air", "trapped_air")] {
        let listed = places(&fill[list]);
        let found = findings(&report, id);
        assert_eq!(found.len(), listed.len().min(6), "{id}");
        for finding in found {
            let at = point(&finding["at_mm"]);
            assert!(listed.iter().any(|other| apart(at, *other) < 1e-9), "{finding}");
        }
    }
    let page = workspace.path("goodshot-report/bar_end_plug/report.md");
    let page = fs::read_to_string(page).unwrap();
    assert!(page.contains("fill.png"));
    let page = workspace.path("goodshot-report/bar_end_plug/report.html");
    assert!(fs::read_to_string(page).unwrap().contains("Way to the hardest corner"));
}

#[test]
fn on_a_weak_press_the_plug_stays_short() {
    let workspace = Workspace::new();
    workspace.put("weak.toml", WEAK);
    let words = ["--press", "weak.toml", "--cells", "2000"];
    let report = workspace.fill(&model("bar_end_plug"), &words);
    let fill = &report["fill"];
    assert_eq!(
        (&fill["fills"], &report["verdict"]),
        (&false.into(), &"do_not_cut".into())
    );
    let share = number(&fill["filled_fraction"]);
    assert!((0.0..0.95).contains(&share), "{share}");
    let finding = findings(&report, "short_shot")[0];
    assert_eq!(finding["severity"], "stop");
    assert!((number(&finding["value"]) - 100.0 * share).abs() < 1e-9);
    assert!(apart(point(&finding["at_mm"]), point(&fill["stuck_at_mm"])) < 1e-9);
    let cure = finding["cure"].as_str().unwrap();
    assert!(
        cure.contains("kN on the ram") && cure.contains("heat the melt to"),
        "{cure}"
    );
    // Each change stands in the report, and the least wall is a change of the same part.
    let cures = fill["cures"].as_array().unwrap();
    assert!(!cures.is_empty());
    for tried in cures {
        let why = tried["why"].as_str().unwrap();
        assert!(tried["change"] == "plastic" || cure.contains(why), "{why} {cure}");
        let needs = &tried["pressure_needed_mpa"];
        let now = &fill["pressure_needed_mpa"];
        assert!(
            needs.is_null() || now.is_null() || number(needs) < number(now),
            "{tried}"
        );
    }
    // A wall of a force that the report asks for fills it.
    let needed = number(&fill["ram_force_needed_n"]);
    workspace.put("enough.toml", WEAK.replace("40 N", &format!("{} N", 1.2 * needed)));
    let words = ["--press", "enough.toml", "--cells", "2000"];
    let enough = workspace.fill(&model("bar_end_plug"), &words);
    assert_eq!(enough["fill"]["fills"], true, "{needed}");
}

#[test]
fn a_gate_that_the_user_names_is_taken() {
    let workspace = Workspace::new();
    let part = model("cable_clip");
    let words = ["--cells", "1000"];
    let chosen = workspace.fill(&part, &words);
    let last = point(&chosen["fill"]["gate_choices"][0]["at_mm"]);
    assert!(apart(point(&chosen["fill"]["gate_mm"]), last) < 1e-9);
    let text = "15,7,0".to_owned();
    let given = workspace.fill(&part, &["--cells", "1000", "--gate", &text]);
    assert_eq!(given["fill"]["gate_given"], true);
    assert!(given["fill"]["gate_choices"].is_null());
    assert!(apart(point(&given["fill"]["gate_mm"]), [15.0, 7.0, 0.0]) < 8.0);
}

#[test]
fn without_the_filling_the_verdict_stays_open() {
    let report = Workspace::new().check(&model("bar_end_plug"), &[]);
    assert!(report["fill"]["fills"].is_null() && report["fill"]["weld_lines"].is_null());
    assert_ne!(report["verdict"], "cut");
    assert!(report["assumptions"].to_string().contains("--no-fill"));
}

/// Beside the picture of when it fills stand those of how; the front moves in a GIF.
#[test]
fn the_pictures_of_the_filling_are_there() {
    let workspace = Workspace::new();
    workspace.fill(&model("bar_end_plug"), &["--cells", "1000"]);
    let page = workspace.path("goodshot-report/bar_end_plug/report.md");
    let page = fs::read_to_string(page).unwrap();
    for name in ["fill.png", "pressure.png", "short_shots.png"] {
        assert!(page.contains(&format!("maps/{name}")), "{name}");
    }
    let moving = workspace.path("goodshot-report/bar_end_plug/maps/front.gif");
    let moving = fs::read(moving).unwrap();
    assert!(moving.starts_with(b"GIF89a") && moving.len() < 1_500_000);
    let html = workspace.path("goodshot-report/bar_end_plug/report.html");
    assert!(fs::read_to_string(html).unwrap().contains("data:image/gif;base64,"));
}

/// Marking the face on which a weld line lies is reported, and weighs on the places for the gate.
#[test]
fn a_face_that_shows_counts_in_the_choice_of_the_gate() {
    let workspace = Workspace::new();
    let part = model("bar_end_plug");
    let plain = workspace.fill(&part, &["--cells", "2000"]);
    assert!(plain["fill"]["gate_choices"][0]["weld_on_shown_mm"].is_null());
    let at = point(&plain["fill"]["weld_lines"][0]["at_mm"]);
    let text = at.map(|c| c.to_string()).join(",");
    let words = ["--cells", "2000", "--show-face", text.as_str()];
    let marked = workspace.fill(&part, &words);
    let places = marked["fill"]["gate_choices"].as_array().unwrap();
    let on_shown: Vec<f64> =
        places.iter().map(|place| number(&place["weld_on_shown_mm"])).collect();
    assert!(!on_shown.is_empty() && on_shown.iter().all(|mm| *mm >= 0.0), "{on_shown:?}");
    let lines = marked["fill"]["weld_lines"].as_array().unwrap();
    let on_face = lines.iter().filter(|line| number(&line["on_shown_mm"]) > 0.0).count();
    let reported = findings(&marked, "weld");
    assert_eq!(
        reported.iter().filter(|it| it["severity"] == "fix").count(),
        on_face.min(6)
    );
}
