//! Feed, clamp, cycle and ejection as a user asks for them.

use goodshot::mesh::shapes;
use serde_json::Value;

use super::{Workspace, number};

/// A sound cup, and what is said of it with `words` more.
fn cup(words: &[&str]) -> Value {
    let workspace = Workspace::new();
    workspace.put_part("cup.stl", &shapes::cup(12.0, 15.0, 3.0, 3.0, 48));
    workspace.check("cup.stl", &[&["--pull", "+z"], words].concat())
}

fn length_of(report: &Value, of: &str) -> f64 {
    let sizes = report["shrinkage"]["sizes"].as_array().unwrap();
    number(&sizes.iter().find(|size| size["kind"] == of).unwrap()["first_cut_mm"])
}

#[test]
fn what_the_user_chooses_of_the_feed_is_what_is_cut() {
    let plain = cup(&["--dimension", "10 mm inside"]);
    let chosen = cup(&[
        "--gate-depth",
        "1 mm",
        "--gate-width",
        "4 mm",
        "--gate-land",
        "2 mm",
        "--runner",
        "6 mm",
        "--runner-length",
        "40 mm",
        "--sprue-length",
        "20 mm",
    ]);
    let feed = &chosen["feed"];
    for (key, value) in [
        ("gate_depth_mm", 1.0),
        ("gate_width_mm", 4.0),
        ("gate_land_mm", 2.0),
        ("runner_diameter_mm", 6.0),
        ("runner_length_mm", 40.0),
        ("sprue_length_mm", 20.0),
    ] {
        assert!((number(&feed[key]) - value).abs() < 1e-9, "{key}: {feed}");
    }
    // More feed takes more melt and opens more; a thinner gate freezes sooner.
    let of = |report: &Value, key: &str| number(report.pointer(key).unwrap());
    for key in ["/shot/feed_g", "/clamp/area_mm2"] {
        assert!(of(&chosen, key) > of(&plain, key), "{key}");
    }
    assert!(of(&chosen, "/cooling/hold_s") < of(&plain, "/cooling/hold_s"));
    let area =
        of(&plain, "/pull/projected_area_mm2") + of(&plain, "/feed/projected_area_mm2");
    assert!((of(&plain, "/clamp/area_mm2") / area - 1.0).abs() < 1e-9);
    // An inside length leaves its metal on a core, an outside one in a pocket.
    let scale = of(&plain, "/shrinkage/scale");
    assert!(length_of(&plain, "inside") > 10.0 * scale);
    let outer = number(&plain["shrinkage"]["sizes"][0]["part_mm"]);
    assert!(length_of(&plain, "outside") < outer * scale);
}

#[test]
fn no_runner_cutters_and_a_share_do_what_they_say() {
    let without = cup(&["--no-runner"]);
    assert_eq!(without["feed"]["runner_diameter_mm"], Value::Null);
    let cutters = cup(&["--cutters", "3 mm,6 mm", "--feed-share", "50 %"]);
    // One of the two, whichever suits this press.
    let runner = number(&cutters["feed"]["runner_diameter_mm"]);
    assert!((runner - 3.0).abs() < 1e-9 || (runner - 6.0).abs() < 1e-9, "{runner}");
    let shot = &cutters["shot"];
    // Half of the part, and what stays in the nozzle.
    let share = number(&shot["feed_g"]) / number(&shot["part_g"]);
    assert!((0.5..0.52).contains(&share), "{share}");
}

#[test]
fn what_a_press_file_leaves_out_is_null_and_says_why() {
    let workspace = Workspace::new();
    workspace.put_part("cup.stl", &shapes::cup(12.0, 15.0, 3.0, 3.0, 48));
    workspace.put(
        "press.toml",
        "name = 'p'\ndrive = { ram_force = '4 kN' }\nclamp = { force = '30 kN' }\n\
         [ram]\ndiameter = '25 mm'\nstroke = '100 mm'",
    );
    let input = ["--pull", "+z", "--press", "press.toml", "--no-mill"];
    let report = workspace.check("cup.stl", &input);
    for key in
        ["/clamp/gap_mm", "/clamp/cures", "/clamp/nozzle_push_n", "/press/nozzle_lift_n"]
    {
        assert_eq!(report.pointer(key), Some(&Value::Null), "{key}");
    }
    let reported = report["assumptions"].to_string();
    assert!(reported.contains("contact_force") && reported.contains("seat_diameter"));
    for key in ["/milling/unreached", "/fill/last_points"] {
        assert_eq!(report.pointer(key), Some(&Value::Null), "{key}");
    }
}

/// Melt pressure goes with the air; a step that cannot be says why; what turns is named.
#[test]
fn what_if_is_answered_step_by_step() {
    let report = cup(&["--vary", "air: 3.5 bar, 14 bar", "--vary", "lever"]);
    let air = &report["what_if"][0];
    assert_eq!((&air["vary"], &air["now"]), (&"air".into(), &"7 bar".into()));
    let now = number(&report["press"]["melt_pressure_mpa"]);
    for (step, factor) in air["steps"].as_array().unwrap().iter().zip([0.5, 2.0]) {
        let melt = number(&step["melt_pressure_mpa"]);
        assert!((melt / now / factor - 1.0).abs() < 1e-9, "{step}");
        assert_eq!(step["reason"], Value::Null);
        assert!(step["verdict"].is_string());
    }
    let lever = &report["what_if"][1];
    assert!(lever["reason"].as_str().unwrap().contains("no lever"));
    assert_eq!(lever["steps"].as_array().unwrap().len(), 0);
    assert_eq!(cup(&[])["what_if"].as_array().unwrap().len(), 0);
}

/// A vise beside the middle of the mold holds less; each axis shrinks by what is said of it.
#[test]
fn a_vise_and_each_axis_are_taken_as_given() {
    let report = cup(&["--shrink-along", "x: 2.5 %", "--shrink-along", "y: 1 %"]);
    let axes = report["shrinkage"]["axes"].as_array().unwrap();
    assert!((number(&axes[0]["scale"]) - 1.0 / 0.975).abs() < 1e-12);
    assert!((number(&axes[1]["scale"]) - 1.0 / 0.99).abs() < 1e-12);
    let size = &report["shrinkage"]["sizes"][0];
    let (part, cavity) = (number(&size["part_mm"]), number(&size["cavity_mm"]));
    assert!((cavity - part / 0.975).abs() < 1e-9);
    let workspace = Workspace::new();
    workspace.put_part("cup.stl", &shapes::cup(12.0, 15.0, 3.0, 3.0, 48));
    let press = "name = 'p'\ndrive = { ram_force = '4 kN' }\n[ram]\ndiameter = '25 mm'\n\
                 stroke = '100 mm'\n[clamp]\nvise = '20 kN'\njaw = '40 mm'\n\
                 off_middle = ['10 mm', '0 mm']";
    workspace.put("vise.toml", press);
    let report = workspace.check("cup.stl", &["--pull", "+z", "--press", "vise.toml"]);
    let clamp = &report["clamp"];
    // 1 + 3 · 10 / 20 of the force that opens.
    let margin = number(&clamp["margin"]) / 2.5;
    assert!((number(&clamp["squeeze_margin"]) / margin - 1.0).abs() < 1e-9, "{clamp}");
    assert!((number(&clamp["yaw_mm"]) - 10.0).abs() < 0.1);
}

#[test]
fn a_cutters_file_is_written_read_and_followed() {
    let workspace = Workspace::new();
    workspace.put_part("cup.stl", &shapes::cup(12.0, 15.0, 3.0, 3.0, 48));
    let answer = workspace.run(&["cutters", "--template"]);
    assert_eq!((answer.code, answer.err.as_str()), (0, ""));
    workspace.put("mine.toml", &answer.out);
    let listed = workspace.run(&["cutters", "mine.toml"]);
    assert!(listed.out.contains("our cutters") && listed.out.contains("3 mm ball"));
    assert!(workspace.run(&["cutters"]).out.contains("0.5 mm flat"));
    let edge = ["--pull", "+z", "--feed-layout", "edge", "--tools", "mine.toml"];
    let report = workspace.check("cup.stl", &edge);
    assert_eq!(report.pointer("/milling/cutters_given"), Some(&Value::Bool(true)));
    assert_eq!(report["milling"]["cutters"].as_array().unwrap().len(), 5);
    // The only ball of the list is the only runner there is.
    let runner = report["feed"]["runner_diameter_mm"].as_f64().unwrap();
    assert!((runner - 3.0).abs() < 1e-9, "{runner}");
    let named = [&edge[..], &["--cutters", "6 mm"]].concat();
    let runner = workspace.check("cup.stl", &named)["feed"]["runner_diameter_mm"].clone();
    assert!((runner.as_f64().unwrap() - 6.0).abs() < 1e-9, "{runner}");
}
