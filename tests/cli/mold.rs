//! The mold as a user asks for it.

use std::fs;

use goodshot::mesh::shapes;
use serde_json::Value;

use super::{Shop, model, number};

const FILES: [&str; 13] = [
    "cavity.stl",
    "core.stl",
    "drill.csv",
    "feed.stl",
    "maps/halves.png",
    "maps/milling.png",
    "maps/plan_cavity.png",
    "maps/plan_core.png",
    "mold.3mf",
    "mold.json",
    "mold.md",
    "part.stl",
    "parting.dxf",
];

fn tray(shop: &Shop) {
    shop.put_part("tray.stl", &shapes::tray([40.0, 30.0, 12.0], 2.5));
}

#[test]
fn a_mold_has_its_files_and_every_check_that_is_known_holds() {
    let shop = Shop::new();
    tray(&shop);
    let words = ["mold", "tray.stl", "--pull", "+z", "--no-fill", "--json"];
    let answer = shop.run(&words);
    let report: Value = serde_json::from_str(&answer.out).unwrap();
    let folder = shop.path("goodshot-report/tray/mold");
    for file in FILES {
        assert!(folder.join(file).is_file(), "{file}");
    }
    let written = fs::read_to_string(folder.join("mold.json")).unwrap();
    assert_eq!(written, answer.out);
    for check in report["checks"].as_array().unwrap() {
        let flash = check["name"].as_str().unwrap().starts_with("gap of the parting");
        assert!(flash || check["ok"] != false, "{check}");
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
    assert!(report["cutters"].is_null() && report["unreached"].is_null());
}

#[test]
fn the_same_part_gives_the_same_bytes() {
    let files = |threads: &str| -> Vec<Vec<u8>> {
        let shop = Shop::new();
        tray(&shop);
        let words = ["mold", "tray.stl", "--pull", "+z", "--no-fill", "--quiet"];
        let mut command = shop.command(&words);
        command.env("RAYON_NUM_THREADS", threads).output().unwrap();
        let folder = shop.path("goodshot-report/tray/mold");
        FILES.iter().map(|file| fs::read(folder.join(file)).unwrap()).collect()
    };
    assert!(files("1") == files("2"), "another number of threads, other bytes");
}

#[test]
fn what_is_switched_off_is_not_cut() {
    let shop = Shop::new();
    tray(&shop);
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
    let answer = shop.run(&words);
    let report: Value = serde_json::from_str(&answer.out).unwrap();
    assert_eq!(report["drill"], Value::Array(Vec::new()));
    assert!(!shop.path("goodshot-report/tray/mold/feed.stl").exists());
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

#[test]
fn a_trapped_part_is_refused_with_its_place() {
    let shop = Shop::new();
    let bracket = model("lamp_bracket");
    let answer = shop.run(&["mold", &bracket, "--no-fill"]);
    assert_eq!((answer.code, answer.err.lines().count()), (2, 1), "{}", answer.err);
    assert!(answer.err.contains("trapped at (") && answer.err.contains("--strip"));
    assert!(!shop.path("goodshot-report").exists());
    let open = shop.run(&["mold", &bracket, "--travel", "200 mm,100 mm"]);
    assert!(open.err.contains("three lengths"), "{}", open.err);
}
