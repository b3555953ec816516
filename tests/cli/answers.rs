//! Whole answers: verdict, files, summary, the same bytes every time.

use std::fs;
use std::process::{Command, Stdio};

use goodshot::mesh::shapes;
use serde_json::Value;

use super::{Workspace, apart, findings, model, number, point};

/// Of every part that is filled. Maps of draft, cutters and what freezes are written where
/// they have something to show.
const WRITTEN: [&str; 12] = [
    "maps/fill.png",
    "maps/front.gif",
    "maps/halves.png",
    "maps/pressure.png",
    "maps/release.png",
    "maps/short_shots.png",
    "maps/thickness.png",
    "part.ply",
    "parting.dxf",
    "report.html",
    "report.json",
    "report.md",
];

/// Every key that a report promises, by the object it stands in. Of a list, the keys of
/// its members.
const KEYS: [(&str, &str); 51] = [
    (
        "",
        "schema tool part pull thickness draft undercut parting plastic press shot clamp fill \
         cooling shrinkage ejection milling what_if findings verdict assumptions feed vents sheet \
         sources pressure_window first_shots standing_metal answer causes shown_units",
    ),
    ("/answer", "why before_all judged_with questions do_first then"),
    ("/answer/judged_with/0", "what doubt"),
    ("/answer/questions/0", "question severity known text"),
    ("/answer/do_first/0", "cause change"),
    ("/causes/0", "id severity title change places_mm findings"),
    ("/tool", "name version"),
    (
        "/part",
        "file unit unit_given facets bodies closed volume_mm3 area_mm2 centroid_mm \
         bounding_box_mm defects repairs",
    ),
    ("/part/bounding_box_mm", "min max"),
    (
        "/pull",
        "direction given core_side height_mm projected_area_mm2 projected_centroid_mm \
         alternatives",
    ),
    (
        "/pull/alternatives/0",
        "direction undercut_area_mm2 undercut_volume_mm3 undercut_depth_mm short_area_mm2 \
         lowest_draft_deg parting_rise_mm height_mm projected_area_mm2 score tied",
    ),
    (
        "/thickness",
        "samples spacing_mm ray_mm ball_mm limit_low_mm limit_high_mm thin thick",
    ),
    ("/thickness/ray_mm", "p05 p50 p95"),
    ("/thickness/ball_mm", "p05 p50 p95"),
    ("/thickness/thin/0", "area_mm2 value_mm at_mm box_mm"),
    ("/thickness/thin/0/box_mm", "min max"),
    ("/thickness/thick/0", "area_mm2 value_mm at_mm box_mm"),
    (
        "/draft",
        "required_deg cavity_area_mm2 core_area_mm2 upright_area_mm2 short_area_mm2 \
         histogram faces",
    ),
    ("/draft/faces/0", "area_mm2 draft_deg height_mm required_deg side at_mm"),
    (
        "/standing_metal/0",
        "kind at_mm half thickness_mm height_mm length_mm through ends_held filling_mpa in_use_mpa in_use_stress_mpa most_mpa \
         stress_mpa limit_mpa deflection_mm holds_to_mpa steel_mm steel_stress_mpa",
    ),
    ("/undercut", "area_mm2 volume_mm3 depth_mm regions"),
    (
        "/undercut/regions/0",
        "area_mm2 depth_mm volume_mm3 at_mm release_direction ways_out cause",
    ),
    ("/parting", "loops length_mm flat rise_mm height_mm shut_offs"),
    ("/plastic", "name"),
    ("/press", "name melt_pressure_mpa ram_force_n shot_capacity_cm3"),
    ("/shot", "part_g feed_g total_g capacity_g fraction charges"),
    (
        "/clamp",
        "pressure_mpa area_mm2 opening_force_n holding_force_n margin yaw_mm feed_area_mm2 \
         nozzle_push_n worst_bolt_n worst_bolt_margin bolt_torque_nm plate_mm behind_mm bow_mm \
         gap_mm flash_limit_mm cures",
    ),
    (
        "/feed",
        "layout counterbore_mm lost_in_nozzle_mpa goal_mpa bound layouts not_offered \
         sprue_inlet_mm sprue_foot_mm sprue_length_mm runner_diameter_mm runner_length_mm \
         gate_depth_mm gate_width_mm gate_land_mm well_diameter_mm well_length_mm volume_mm3 \
         projected_area_mm2 fill_time_s flow_cm3_s lost_mpa links",
    ),
    ("/feed/links/0", "name size lost_mpa shear_rate_1_s"),
    (
        "/feed/layouts/0",
        "layout chosen sizes mass_g extra_cooling_s trimming lost_mpa needed_mpa bound",
    ),
    ("/vents", "depth_mm most_depth_mm width_mm land_mm relief_mm count"),
    ("/cooling/steps/0", "what time_s mold barrel"),
    (
        "/shrinkage/sizes/0",
        "of kind part_mm cavity_mm first_cut_mm part_if_low_mm part_if_high_mm",
    ),
    (
        "/pressure_window",
        "fills_best_mpa fills_expected_mpa fills_worst_mpa limits has_mpa has_setting most_mpa \
         most_setting begin_mpa begin_setting range advice",
    ),
    ("/pressure_window/limits/0", "by surely_mpa at_most_mpa"),
    (
        "/first_shots",
        "melt_c mold_c mold_start_c cold_shots pressure_mpa setting soaked_setting hold_s cool_s \
         changes",
    ),
    ("/first_shots/changes/0", "seen change"),
    ("/sheet/0", "what value basis"),
    ("/sources/0", "key citation"),
    (
        "/fill",
        "fills filled_fraction time_s pressure_needed_mpa pressure_available_mpa margin \
         margin_band gate_mm last_points weld_lines trapped_air cells cell_mm \
         ram_force_needed_n gate_given gate_choices stuck_at_mm vents_mm flow_length_mm \
         length_over_wall front_mm_s graetz nahme cures vents",
    ),
    (
        "/fill/gate_choices/0",
        "at_mm loss flow_length_mm length_over_wall wall_mm weld_on_shown_mm why",
    ),
    ("/fill/weld_lines/0", "at_mm length_mm angle_deg time_s celsius frozen on_shown_mm"),
    (
        "/fill/vents/0",
        "at_mm air_mm3 opens_to_air depth_mm most_depth_mm width_mm land_mm relief_mm",
    ),
    ("/fill/trapped_air/0", "at_mm volume_mm3 time_s"),
    (
        "/cooling",
        "hold_s cool_s cycle_s parts_per_hour hold_by cool_by ruled_by steps warming mold_end_c \
         in_heat_min heat_limit_min",
    ),
    ("/shrinkage", "low nominal high scale sizes"),
    (
        "/ejection",
        "force_n keeps_to pins force_low_n force_high_n cavity_force_n vacuum_n pin_diameter_mm \
         pin_count pin_rule push_through_mpa push_through_limit_mpa buckling_n stroke_mm \
         off_middle_mm pry_slot_mm",
    ),
    (
        "/milling",
        "unreached smallest_radius_mm deepest_reach_ratio cutters cutters_given cell_mm \
         least_told_mm lost_mm3 as_milled time_min",
    ),
    (
        "/milling/unreached/0",
        "at_mm half left_mm area_mm2 volume_mm3 depth_mm on_parting radius_mm wall_mm cure \
         cure_radius_mm cure_reach_mm",
    ),
    (
        "/milling/cutters/0",
        "name needed finishes_mm2 reach_ratio bend_um step_over_mm rough_min finish_min \
         ridge_mm smooth_min",
    ),
    ("/findings/0", "id severity title value limit unit at_mm basis cure"),
];

#[test]
fn a_sound_part_is_to_be_cut() {
    let workspace = Workspace::new();
    let answer = workspace.run(&["check", &model("bar_end_plug")]);
    assert_eq!((answer.code, answer.err.as_str()), (0, ""));
    assert!(answer.out.starts_with("bar_end_plug.stl: ✓ Cut it\n"), "{}", answer.out);
    let expected = WRITTEN.map(|name| format!("goodshot-report/bar_end_plug/{name}"));
    assert_eq!(workspace.names(), expected);
    let folder = workspace.path("goodshot-report/bar_end_plug");
    for name in WRITTEN.iter().filter(|name| name.ends_with(".png")) {
        let bytes = fs::read(folder.join(name)).unwrap();
        assert!(bytes.starts_with(b"\x89PNG"), "{name}");
    }
    assert!(fs::read(folder.join("part.ply")).unwrap().starts_with(b"ply\n"));
    let page = fs::read_to_string(folder.join("report.html")).unwrap();
    assert!(page.contains("bar_end_plug.stl") && page.contains("<html"));
}

/// Against `models/reference.json`, which the CAD kernel that drew the part wrote.
#[test]
fn a_part_made_to_go_wrong_is_reported_what_and_where() {
    let path = format!("{}/models/reference.json", env!("CARGO_MANIFEST_DIR"));
    let reference: Value =
        serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    let reference = &reference["lamp_bracket"];
    let features = &reference["features"];
    let workspace = Workspace::new();
    let answer = workspace.run(&["check", &model("lamp_bracket"), "--json", "--no-fill"]);
    assert_eq!(answer.code, 1, "{}", answer.err);
    let report: Value = serde_json::from_str(&answer.out).unwrap();
    assert_eq!(report["verdict"], "do_not_cut");
    let volume = number(&reference["brep"]["volume_mm3"]);
    assert!((number(&report["part"]["volume_mm3"]) / volume - 1.0).abs() < 1e-3);
    assert!(apart(point(&report["pull"]["direction"]), point(&features["pull"])) < 1e-9);

    let wall = number(&features["thin_wall"]["wall_mm"]);
    let guard = point(&features["thin_wall"]["at_mm"]);
    let thin = findings(&report, "thin_wall")[0];
    assert!((number(&thin["value"]) - wall).abs() < 0.02, "{thin}");
    // The guard stands across x: the wall is found on one of its two sides.
    assert!((point(&thin["at_mm"])[0] - guard[0]).abs() < wall, "{thin}");

    // The hole goes through along y: what is trapped lies on its wall, on either side of
    // the middle, and an insert along y frees it.
    let hole = point(&features["side_hole"]["at_mm"]);
    let radius = number(&features["side_hole"]["radius_mm"]);
    let trapped = findings(&report, "undercut")[0];
    let at = point(&trapped["at_mm"]);
    let off_axis = (at[0] - hole[0]).hypot(at[2] - hole[2]);
    assert!((off_axis - radius).abs() < 0.05, "{trapped}");
    assert_eq!(trapped["severity"], "stop");
    assert!(trapped["cure"].as_str().unwrap().contains("insert"), "{trapped}");

    let ribs = &features["zero_draft_ribs"];
    let half = number(&ribs["wall_mm"]) / 2.0;
    let sides: Vec<f64> = [-8.0 - half, -8.0 + half, 8.0 - half, 8.0 + half].to_vec();
    let upright: Vec<f64> = report["draft"]["faces"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|face| (number(&face["height_mm"]) - 24.0).abs() < 0.01)
        .map(|face| point(&face["at_mm"])[1])
        .collect();
    for side in sides {
        assert!(upright.iter().any(|y| (y - side).abs() < 1e-3), "{side} in {upright:?}");
    }
    assert!(findings(&report, "draft").iter().any(|f| number(&f["value"]) < 0.01));
}

#[test]
fn printed_json_is_the_written_file() {
    let workspace = Workspace::new();
    let words = ["check", &model("cable_clip"), "--json", "--no-fill", "--out", "here"];
    let answer = workspace.run(&words);
    assert_eq!(
        answer.out,
        fs::read_to_string(workspace.path("here/cable_clip/report.json")).unwrap()
    );
    assert_eq!(answer.err, "");
}

#[test]
fn quiet_prints_nothing_and_writes_all() {
    let workspace = Workspace::new();
    let answer =
        workspace.run(&["check", &model("cable_clip"), "--quiet", "--cells", "1000"]);
    assert_eq!((answer.code, answer.out.as_str(), answer.err.as_str()), (1, "", ""));
    let names = workspace.names();
    for name in WRITTEN.iter().chain(&["maps/draft.png", "maps/milling.png"]) {
        assert!(names.contains(&format!("goodshot-report/cable_clip/{name}")), "{name}");
    }
    // Nothing of it is taken for the user's when the part is checked again.
    for name in &names {
        let name = name.strip_prefix("goodshot-report/cable_clip/").unwrap();
        assert!(goodshot::report::bundle::OWN.contains(&name), "{name}");
    }
}

#[test]
fn the_report_holds_every_promised_key() {
    let report = Workspace::new().fill(&model("lamp_bracket"), &["--cells", "3000"]);
    for (place, keys) in KEYS {
        let object = report.pointer(place).unwrap_or_else(|| panic!("no {place}"));
        for key in keys.split_whitespace() {
            assert!(object.get(key).is_some(), "no {place}/{key}");
        }
    }
    assert_eq!(report["schema"], 1);
}

#[test]
fn the_schema_names_every_key_of_the_report() {
    let workspace = Workspace::new();
    let answer = workspace.run(&["check", "--schema"]);
    assert_eq!((answer.code, answer.err.as_str()), (0, ""));
    let schema: Value = serde_json::from_str(&answer.out).unwrap();
    assert!(schema["$schema"].as_str().unwrap().contains("json-schema.org"));
    let report = workspace.check(&model("cable_clip"), &[]);
    let known = schema["properties"].as_object().unwrap();
    for key in report.as_object().unwrap().keys() {
        assert!(known.contains_key(key), "{key}");
    }
    assert_eq!(known.len(), report.as_object().unwrap().len());
}

#[test]
fn the_summary_fits_a_screen() {
    let workspace = Workspace::new();
    for name in ["bar_end_plug", "cable_clip", "lamp_bracket"] {
        let answer = workspace.run(&["check", &model(name), "--cells", "1000"]);
        assert!(answer.out.lines().count() <= 25, "{}", answer.out);
        // Not even an empty line: there is no progress to watch in a pipe.
        assert_eq!(answer.err, "");
    }
}

#[test]
fn the_same_part_gives_the_same_bytes() {
    let workspace = Workspace::new();
    let part = model("cable_clip");
    for (out, threads) in [("first", "2"), ("again", "2"), ("alone", "1")] {
        let words = ["check", part.as_str(), "--quiet", "--cells", "1000", "--out", out];
        let status = workspace.command(&words).env("RAYON_NUM_THREADS", threads).output();
        assert_eq!(status.unwrap().status.code(), Some(1));
    }
    let bytes = |out: &str, name: &str| {
        fs::read(workspace.path(&format!("{out}/cable_clip/{name}"))).unwrap()
    };
    for name in WRITTEN {
        for out in ["again", "alone"] {
            assert!(bytes("first", name) == bytes(out, name), "{name} of {out}");
        }
    }
}

/// As `goodshot … | head -1` does once it has seen enough.
#[test]
fn a_closed_pipe_is_a_success() {
    let workspace = Workspace::new();
    workspace.put_part("cup.stl", &shapes::cup(12.0, 15.0, 3.0, 3.0, 48));
    for words in [
        &["check", "cup.stl", "--cells", "1000"][..],
        &["plastics"],
        &["press"],
        &["check", "--schema"],
    ] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_goodshot"))
            .env("GOODSHOT_CONFIG", "")
            .current_dir(workspace.folder.path())
            .args(words)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{words:?}");
        assert_eq!(String::from_utf8(output.stderr).unwrap(), "", "{words:?}");
    }
}

#[test]
fn a_press_and_the_plastics_are_shown_on_one_screen() {
    let workspace = Workspace::new();
    for words in [&["press"][..], &["plastics"], &["plastics", "pp"]] {
        let answer = workspace.run(words);
        assert_eq!((answer.code, answer.err.as_str()), (0, ""));
        assert!((10..80).contains(&answer.out.lines().count()), "{}", answer.out);
    }
}

/// What `--template` writes is accepted as it stands.
#[test]
fn the_templates_are_accepted() {
    let workspace = Workspace::new();
    for verb in ["press", "plastics"] {
        let answer = workspace.run(&[verb, "--template"]);
        workspace.put(&format!("{verb}.toml"), answer.out);
    }
    let press = ["check", &model("bar_end_plug"), "--press", "press.toml", "--quiet"];
    let words = [
        &press[..],
        &["--plastics", "plastics.toml", "--plastic", "abs", "--cells", "1000"],
    ]
    .concat();
    let answer = workspace.run(&words);
    assert!(answer.code < 2 && answer.err.is_empty(), "{} {}", answer.code, answer.err);
}
