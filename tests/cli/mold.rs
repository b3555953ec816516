//! The mold as a user asks for it.

use std::fs;

use goodshot::mesh::shapes;
use serde_json::Value;

use super::{Workspace, model, number};

const FILES: [&str; 20] = [
    "cavity.step",
    "cavity.stl",
    "cavity_levels.dxf",
    "core.step",
    "core.stl",
    "core_levels.dxf",
    "drill.csv",
    "feed.step",
    "feed.stl",
    "maps/halves.png",
    "maps/milling.png",
    "maps/plan_cavity.png",
    "maps/plan_core.png",
    "mold.3mf",
    "mold.html",
    "mold.json",
    "mold.md",
    "part.step",
    "part.stl",
    "parting.dxf",
];

fn tray(workspace: &Workspace) {
    workspace.put_part("tray.stl", &shapes::tray([40.0, 30.0, 12.0], 2.5));
}

#[test]
fn a_mold_has_its_files_and_every_check_that_is_known_holds() {
    let workspace = Workspace::new();
    tray(&workspace);
    let words = ["mold", "tray.stl", "--pull", "+z", "--no-fill", "--json"];
    let answer = workspace.run(&words);
    let report: Value = serde_json::from_str(&answer.out).unwrap();
    let folder = workspace.path("goodshot-report/tray/mold");
    // Nothing else is taken for the user's when the mold is made again.
    let mut own = goodshot::report::mold::bundle::OWN.to_vec();
    own.retain(|name| !name.contains("_insert"));
    own.sort_unstable();
    assert_eq!(own, FILES);
    for file in FILES {
        assert!(folder.join(file).is_file(), "{file}");
    }
    let written = fs::read_to_string(folder.join("mold.json")).unwrap();
    assert_eq!(written, answer.out);
    for check in report["checks"].as_array().unwrap() {
        let flash = check["name"].as_str().unwrap().starts_with("gap of the parting");
        let corner = check["name"].as_str().unwrap().starts_with("metal in cavity");
        assert!(flash || corner || check["ok"] != false, "{check}");
    }
    let volumes = &report["volumes_mm3"];
    let of = |key: &str| number(&volumes[key]);
    let sum: f64 = ["cavity", "core", "part", "feed", "holes"].map(of).iter().sum();
    assert!((sum / of("block") - 1.0).abs() < 1e-6);
    let scale = number(&report["scale"]);
    let solid = 40.0 * 30.0 * 12.0 - 35.0 * 25.0 * 9.5;
    assert!((of("part") / (solid * scale.powi(3)) - 1.0).abs() < 1e-5);
    // Two rows a bolt and a dowel, with the same y in both halves and opposite x.
    let rows = report["drill"].as_array().unwrap();
    let places = |kind: &str| -> Vec<[f64; 2]> {
        let of_kind = rows.iter().filter(|row| row["kind"] == kind);
        of_kind.map(|row| [number(&row["x_mm"]), number(&row["y_mm"])]).collect()
    };
    let pairs = places("bolt clearance").into_iter().zip(places("bolt thread"));
    let mut count = 0;
    for (free, held) in pairs {
        assert!((free[0] + held[0]).abs() < 1e-9 && (free[1] - held[1]).abs() < 1e-9);
        count += 1;
    }
    assert_eq!(count, 4);
    let lines = fs::read_to_string(folder.join("drill.csv")).unwrap();
    assert_eq!(lines.lines().count(), rows.len() + 1);
    let cutters = report["cutters"].as_array().unwrap();
    assert!(!cutters.is_empty());
    assert!(cutters.iter().all(|it| it["name"].is_string() && it["needed"].is_boolean()));
    assert!(report["unreached"]["cavity_mm3"].is_number());
}

/// One cutter of R = 3 mm leaves R² (1 − π/4) = 1.93142 mm² in each of the four corners of a
/// box, R (√2 − 1) = 1.24264 mm thick, as deep as the grown box is high. Half a cell less of
/// radius and cells beside walls are the grid's.
#[test]
fn what_a_round_cutter_leaves_of_a_box_stands_in_the_mold() {
    let workspace = Workspace::new();
    workspace.put_part("box.stl", &shapes::cuboid(30.0, 20.0, 6.0));
    workspace.put(
        "one.toml",
        "name = 'one'\nholder = '20 mm'\n[[cutter]]\nname = 'flat'\nkind = 'flat'\n\
         diameter = '6 mm'\nflute = '20 mm'\nshank = '6 mm'\nstickout = '30 mm'\n",
    );
    let mut words = vec!["mold", "box.stl", "--pull", "+z", "--no-fill", "--json"];
    words.extend(["--no-feed", "--tools", "one.toml", "--mill-cell", "0.05 mm"]);
    let report: Value = serde_json::from_str(&workspace.run(&words).out).unwrap();
    let unreached = &report["unreached"];
    let deep = 6.0 * number(&report["scale"]);
    let left = number(&unreached["cavity_mm3"]) + number(&unreached["core_mm3"]);
    assert!((left / (4.0 * 1.931_42 * deep) - 1.0).abs() < 0.08, "{left}");
    assert!((number(&unreached["worst_mm"]) - 1.242_64).abs() < 0.06, "{unreached}");
    assert_eq!(unreached["places"].as_array().unwrap().len(), 4);
    let [x, y] = [0, 1].map(|axis| number(&unreached["at_mm"][axis]));
    let off = |at: f64, edge: f64| at.abs().min((edge - at).abs());
    assert!(off(x, 30.0) < 0.5 && off(y, 20.0) < 0.5, "{x} {y}");
    assert_eq!(report["cutters"][0]["needed"], Value::Bool(true));
    let holds = |part: &str| {
        let checks = report["checks"].as_array().unwrap();
        let found = checks.iter().find(|it| it["name"].as_str().unwrap().contains(part));
        found.unwrap()["ok"].clone()
    };
    assert_eq!(holds("metal on the parting"), Value::Bool(true));
    assert_eq!(holds("metal in cavity"), Value::Bool(false));
    words.truncate(7);
    words.push("--no-mill");
    let report: Value = serde_json::from_str(&workspace.run(&words).out).unwrap();
    assert!(report["cutters"].is_null() && report["unreached"].is_null());
    let why = report["assumptions"].to_string();
    assert!(why.contains("--no-mill"), "{why}");
}

/// Shrinkage along each axis, as a data sheet gives it, grows the halves along each axis.
#[test]
fn each_axis_grows_by_its_own_shrinkage() {
    let workspace = Workspace::new();
    workspace.put_part("box.stl", &shapes::cuboid(30.0, 20.0, 6.0));
    let mut words = vec!["mold", "box.stl", "--pull", "+z", "--no-fill", "--json"];
    words.extend([
        "--shrink-along",
        "x: 2.16 %",
        "--shrink-along",
        "y: 2.25 %",
        "--no-mill",
    ]);
    let report: Value = serde_json::from_str(&workspace.run(&words).out).unwrap();
    let [x, y, z] = [0, 1, 2].map(|axis| number(&report["scale_axes"][axis]));
    assert!((x - 1.0 / (1.0 - 0.0216)).abs() < 1e-9 && (y - 1.0 / 0.9775).abs() < 1e-9);
    let volume = number(&report["volumes_mm3"]["part"]);
    assert!((volume / (3600.0 * x * y * z) - 1.0).abs() < 1e-9, "{volume}");
    assert!((number(&report["scale"]).powi(3) / (x * y * z) - 1.0).abs() < 1e-9);
}

#[test]
fn the_same_part_gives_the_same_bytes() {
    let files = |threads: &str| -> Vec<Vec<u8>> {
        let workspace = Workspace::new();
        tray(&workspace);
        let words = ["mold", "tray.stl", "--pull", "+z", "--no-fill", "--quiet"];
        let mut command = workspace.command(&words);
        command.env("RAYON_NUM_THREADS", threads).output().unwrap();
        let folder = workspace.path("goodshot-report/tray/mold");
        FILES.iter().map(|file| fs::read(folder.join(file)).unwrap()).collect()
    };
    assert!(files("1") == files("2"), "another number of threads, other bytes");
}

#[test]
fn what_is_switched_off_is_not_cut() {
    let workspace = Workspace::new();
    tray(&workspace);
    let mut words = vec!["mold", "tray.stl", "--pull", "+z", "--no-fill", "--json"];
    words.extend([
        "--no-bolts",
        "--no-dowels",
        "--no-feed",
        "--no-pins",
        "--no-vents",
        "--no-pry-slots",
        "--opening",
        "40 mm",
        "--travel",
        "300 mm,200 mm,100 mm",
    ]);
    let answer = workspace.run(&words);
    let report: Value = serde_json::from_str(&answer.out).unwrap();
    assert_eq!(report["drill"], Value::Array(Vec::new()));
    assert!(!workspace.path("goodshot-report/tray/mold/feed.stl").exists());
    // Two plates of 25 mm and more do not fit between 40 mm; a mill of 300 mm holds them.
    let holds = |part: &str| {
        let checks = report["checks"].as_array().unwrap();
        let found = checks.iter().find(|it| it["name"].as_str().unwrap().contains(part));
        found.unwrap()["ok"].clone()
    };
    assert_eq!(holds("opening of the press"), Value::Bool(false));
    assert_eq!(holds("longer edge"), Value::Bool(true));
    assert_eq!(answer.code, 1);
}

/// The user's own pins, dowels and vents stand in the drill table, each dowel as deep below the
/// parting face as it says, and the screw holds one and a half times its thread.
#[test]
fn pins_dowels_and_vents_are_the_users() {
    let workspace = Workspace::new();
    tray(&workspace);
    let mut words =
        vec!["mold", "tray.stl", "--pull", "+z", "--no-fill", "--json", "--no-mill"];
    words.extend(["--pin-diameter", "3 mm", "--dowel-diameter", "4 mm", "--vents", "2"]);
    let report: Value = serde_json::from_str(&workspace.run(&words).out).unwrap();
    let rows = report["drill"].as_array().unwrap();
    let of = |kind: &str| -> Vec<&Value> {
        rows.iter().filter(|row| row["kind"] == kind).collect()
    };
    assert_eq!(of("vent").len(), 2);
    assert!(!of("ejector pin").is_empty());
    let is = |value: &Value, wanted: f64| (number(value) - wanted).abs() < 1e-9;
    assert!(of("ejector pin").iter().all(|row| is(&row["width_mm"], 3.0)));
    assert!(!of("dowel, press fit").is_empty());
    assert!(of("dowel, press fit").iter().all(|row| is(&row["width_mm"], 4.0)));
    assert!(of("dowel, press fit").iter().all(|row| is(&row["depth_mm"], 8.0)));
    // M8 in aluminum: 12 mm of thread at least, and a washer of 1.6 mm.
    let bill = report["bill"].as_array().unwrap();
    let screw = bill.iter().find(|it| it["item"].as_str().unwrap().starts_with("screw"));
    let long = screw.unwrap()["size"].as_str().unwrap();
    let long: f64 = long.split(' ').next().unwrap().parse().unwrap();
    let above = number(&report["plates_mm"]["cavity"]) + 1.6;
    assert!(long - above >= 12.0 && long - above < 17.0 + 1e-9, "{long} {above}");
    let tap = of("bolt thread")[0];
    assert!(number(&tap["depth_mm"]) > long - above || tap["through"] == true);
    for wrong in
        [["--vents", "0"], ["--dowel-diameter", "90 mm"], ["--pin-diameter", "3"]]
    {
        let refused = workspace.run(&["mold", "tray.stl", wrong[0], wrong[1]]);
        assert_eq!(refused.code, 2, "{wrong:?} {}", refused.err);
    }
}

#[test]
fn a_trapped_part_is_refused_with_its_place() {
    let workspace = Workspace::new();
    let bracket = model("lamp_bracket");
    let answer = workspace.run(&["mold", &bracket, "--no-fill"]);
    assert_eq!((answer.code, answer.err.lines().count()), (2, 1), "{}", answer.err);
    assert!(answer.err.contains("trapped at (") && answer.err.contains("--strip"));
    assert!(!workspace.path("goodshot-report").exists());
    let open = workspace.run(&["mold", &bracket, "--travel", "200 mm,100 mm"]);
    assert!(open.err.contains("three lengths"), "{}", open.err);
}

fn held(report: &Value, part: &str) -> Value {
    let checks = report["checks"].as_array().unwrap();
    let found = checks.iter().find(|it| it["name"].as_str().unwrap().contains(part));
    found.unwrap_or_else(|| panic!("{part}")).clone()
}

/// A block lies in a pocket and stays in it, whichever half has it; a plate with holes stays on
/// the pegs that form them. There the pins go, the sprue comes through the other half, and the
/// pin below it draws it along.
#[test]
fn pins_are_in_the_half_that_keeps_the_part() {
    let edges = [0.0, 6.0, 14.0, 26.0, 34.0, 40.0];
    let plate = shapes::blocks([&edges, &edges, &[0.0, 3.0]], |i, j, _| {
        !((i == 1 || i == 3) && (j == 1 || j == 3))
    });
    for part in [shapes::cuboid(30.0, 20.0, 6.0), plate] {
        let workspace = Workspace::new();
        workspace.put_part("flat.stl", &part);
        let mut words = vec!["mold", "flat.stl", "--pull", "+z", "--no-fill", "--json"];
        words.extend(["--no-mill", "--anyway"]);
        let report: Value = serde_json::from_str(&workspace.run(&words).out).unwrap();
        let halves = |kind: &str| -> Vec<Value> {
            let rows = report["drill"].as_array().unwrap().iter();
            rows.filter(|row| row["kind"] == kind)
                .map(|row| row["half"].clone())
                .collect()
        };
        let pins = halves("ejector pin");
        assert!(pins.len() >= 2 && pins.iter().all(|half| half == "core"), "{report}");
        assert_eq!(halves("sprue"), ["cavity"]);
        assert_eq!(halves("sprue puller"), ["core"]);
        // The core half has the pocket: it is the one that has lost the part.
        let volumes = &report["volumes_mm3"];
        let [x, y, _] = [0, 1, 2].map(|axis| number(&report["size_mm"][axis]));
        let lost =
            x * y * number(&report["plates_mm"]["core"]) - number(&volumes["core"]);
        assert!(lost > number(&volumes["part"]), "{lost} {volumes}");
        for check in ["stays on the half", "pins that are drawn", "hole of an ejector"] {
            assert_eq!(held(&report, check)["ok"], true, "{check} {report}");
        }
        for check in ["core half enters", "cavity half enters", "enters the other"] {
            assert!(number(&held(&report, check)["value"]) < 1e-6, "{check}");
        }
    }
}

/// What the check forbids is not drawn, and says why; it is drawn when asked, with the reason in
/// the papers. The exit code is that of the check.
#[test]
fn what_is_not_to_be_cut_is_drawn_only_anyway() {
    let workspace = Workspace::new();
    workspace.put_part("plate.stl", &shapes::cuboid(220.0, 180.0, 2.0));
    let words = ["mold", "plate.stl", "--pull", "+z", "--no-mill", "--cells", "1000"];
    let refused = workspace.run(&words);
    assert_eq!(refused.code, 1, "{}", refused.err);
    assert!(refused.out.contains("Do not cut") && refused.out.contains("--anyway"));
    assert!(!workspace.path("goodshot-report/plate").exists());
    let mut words = words.to_vec();
    words.push("--anyway");
    let drawn = workspace.run(&words);
    assert_eq!(drawn.code, 1, "{}", drawn.err);
    let folder = workspace.path("goodshot-report/plate/mold");
    let report: Value =
        serde_json::from_slice(&fs::read(folder.join("mold.json")).unwrap()).unwrap();
    assert_eq!(report["check"]["verdict"], "do_not_cut");
    let why = report["check"]["why"].as_str().unwrap();
    let paper = fs::read_to_string(folder.join("mold.md")).unwrap();
    assert!(paper.contains("**Do not cut**") && paper.contains(&why[..20]), "{paper}");
}

#[test]
fn a_gate_beside_the_part_is_refused_and_one_that_moves_is_said() {
    let workspace = Workspace::new();
    tray(&workspace);
    let off = workspace.run(&["mold", "tray.stl", "--gate", "90,0,0", "--cells", "1000"]);
    assert_eq!((off.code, off.err.lines().count()), (2, 1), "{}", off.err);
    assert!(off.err.contains("50.0 mm from the part") && off.err.contains("--gate"));
    let mut words = vec!["mold", "tray.stl", "--gate", "43,15,6", "--cells", "1000"];
    words.extend(["--pull", "+z", "--no-mill", "--anyway"]);
    let moved = workspace.run(&words);
    assert!(moved.out.contains("The gate was moved by 3 mm"), "{}", moved.out);
    let line = moved.out.lines().find(|line| line.contains("Gate  ")).unwrap();
    assert!(line.contains("from where it was wanted"), "{line}");
}

/// An extrusion that was turned by a hundredth of a degree is parted flat, and that corners were
/// moved is said with how far.
#[test]
fn a_rim_that_is_hardly_askew_is_parted_flat() {
    let workspace = Workspace::new();
    let tilt = nalgebra::Rotation3::from_euler_angles(2e-4, 1e-4, 0.0);
    let straight = shapes::cone(12.0, 12.0, 6.0, 48);
    let points = straight.points().iter().map(|point| tilt * point).collect();
    let part = goodshot::mesh::TriMesh::new(points, straight.facets().to_vec());
    workspace.put_part("disc.stl", &part);
    let mut words = vec!["mold", "disc.stl", "--no-fill", "--json", "--no-mill"];
    words.push("--anyway");
    let report: Value = serde_json::from_str(&workspace.run(&words).out).unwrap();
    assert_eq!(report["parting"]["flat"], true);
    let said = report["assumptions"].to_string();
    assert!(said.contains("parting lines that hardly rise"), "{said}");
    for check in ["core half enters", "cavity half enters"] {
        assert!(number(&held(&report, check)["value"]) < 0.005, "{check}");
    }
}

/// A round block with a ring groove of 1.6 mm in a radius of 9 mm has to give by 18 % or more; PP
/// withstands 10 %, and a groove of 0.4 mm strips off.
#[test]
fn what_would_tear_is_not_stripped_off() {
    let grooved = |deep: f64| {
        let outline = [
            [0.0, 0.0],
            [9.0, 0.0],
            [9.0, 4.0],
            [9.0 - deep, 5.0],
            [9.0 - deep, 6.0],
            [9.0, 7.0],
            [9.0, 11.0],
            [0.0, 11.0],
        ];
        shapes::revolve(&outline, 64)
    };
    let workspace = Workspace::new();
    let mut words = vec!["mold", "knob.stl", "--pull", "+z", "--no-fill", "--no-mill"];
    words.extend(["--plastic", "pp", "--strip", "--anyway", "--quiet"]);
    workspace.put_part("knob.stl", &grooved(1.6));
    let torn = workspace.run(&words);
    assert_eq!((torn.code, torn.err.lines().count()), (2, 1), "{}", torn.err);
    assert!(torn.err.contains("cannot be stripped off") && torn.err.contains("10.0 %"));
    workspace.put_part("knob.stl", &grooved(0.4));
    let whole = workspace.run(&words);
    assert!(!whole.err.contains("cannot be stripped off"), "{}", whole.err);
}
