//! Several equal cavities in one mold, as a user asks for them.

use goodshot::mesh::shapes;
use serde_json::Value;

use super::{Workspace, findings, number};

fn tray() -> Workspace {
    let workspace = Workspace::new();
    workspace.put_part("tray.stl", &shapes::tray([30.0, 20.0, 8.0], 2.0));
    workspace
}

fn mold(workspace: &Workspace, words: &[&str]) -> Value {
    let words = [
        &["mold", "tray.stl", "--pull", "+z", "--no-fill", "--no-mill", "--json"][..],
        words,
    ]
    .concat();
    let answer = workspace.run(&words);
    assert_eq!(answer.err, "", "{}", answer.out);
    serde_json::from_str(&answer.out).unwrap()
}

fn rows<'a>(report: &'a Value, kind: &str) -> Vec<&'a Value> {
    let rows = report["drill"].as_array().unwrap();
    rows.iter().filter(|row| row["kind"] == kind).collect()
}

/// Each number of cavities fills the block to a millionth with so many parts, one gate and as
/// many pins for each, all turned about one sprue; everything that is known of them holds.
#[test]
fn a_mold_has_as_many_cavities_as_wanted() {
    let workspace = tray();
    let one = mold(&workspace, &[]);
    let part = number(&one["volumes_mm3"]["part"]);
    for count in [2_u32, 3, 4] {
        let report = mold(&workspace, &["--cavities", &count.to_string()]);
        assert_eq!(report["cavities"], count);
        let times = f64::from(count);
        let volumes = &report["volumes_mm3"];
        assert!((number(&volumes["part"]) / (times * part) - 1.0).abs() < 1e-9);
        let of = |key: &str| number(&volumes[key]);
        let sum: f64 = ["cavity", "core", "part", "feed", "holes"].map(of).iter().sum();
        assert!((sum / of("block") - 1.0).abs() < 1e-6, "{count}: {volumes}");
        assert_eq!(report["parting"]["loops"], count);
        assert_eq!(rows(&report, "gate").len(), count as usize);
        assert_eq!(rows(&report, "sprue").len(), 1);
        // A round runner stands in both halves.
        assert_eq!(rows(&report, "runner").len(), 2 * count as usize);
        let pins = rows(&one, "ejector pin").len();
        assert_eq!(rows(&report, "ejector pin").len(), pins * count as usize);
        let sprue = rows(&report, "sprue")[0];
        let far = |row: &&Value| {
            let [x, y] =
                ["x_mm", "y_mm"].map(|key| number(&row[key]) - number(&sprue[key]));
            x.hypot(y)
        };
        // The gates are in the other half, or in this one: seen mirrored they are as far.
        let half = &sprue["half"];
        let gates: Vec<f64> = rows(&report, "gate")
            .iter()
            .filter(|row| row["half"] == *half)
            .map(far)
            .collect();
        assert!(gates.iter().all(|it| (it - gates[0]).abs() < 1e-6), "{gates:?}");
        for check in report["checks"].as_array().unwrap() {
            let flash = check["name"].as_str().unwrap().starts_with("gap of the parting");
            assert!(flash || check["ok"] != false, "{count}: {check}");
        }
    }
}

/// By hand: twice the grams of the part and one feed that has two runners; twice the area under
/// the melt; half of what the ram moves into each.
#[test]
fn a_check_counts_all_cavities() {
    let workspace = tray();
    let words = ["--pull", "+z", "--no-mill"];
    let one = workspace.check("tray.stl", &words);
    let two = workspace.check("tray.stl", &[&words[..], &["--cavities", "2"]].concat());
    let grams = |report: &Value| number(&report["shot"]["part_g"]);
    assert!((grams(&two) / (2.0 * grams(&one)) - 1.0).abs() < 1e-9);
    assert_eq!(
        (&one["shot"]["cavities"], &two["shot"]["cavities"]),
        (&1.into(), &2.into())
    );
    let feed = &two["feed"];
    let area = 2.0 * number(&two["pull"]["projected_area_mm2"])
        + number(&feed["projected_area_mm2"]);
    assert!((number(&two["clamp"]["area_mm2"]) - area).abs() < 1e-6);
    let mm = |key: &str| number(&feed[key]);
    let cone = std::f64::consts::PI / 12.0
        * mm("sprue_length_mm")
        * (mm("sprue_inlet_mm").powi(2)
            + mm("sprue_inlet_mm") * mm("sprue_foot_mm")
            + mm("sprue_foot_mm").powi(2));
    let rod = |diameter: &str, length: &str| {
        std::f64::consts::FRAC_PI_4 * mm(diameter).powi(2) * mm(length)
    };
    let each = rod("runner_diameter_mm", "runner_length_mm")
        + mm("gate_depth_mm") * mm("gate_width_mm") * mm("gate_land_mm");
    let by_hand = cone + 2.0 * each + rod("well_diameter_mm", "well_length_mm");
    assert!((mm("volume_mm3") / by_hand - 1.0).abs() < 1e-9);
    assert!(findings(&two, "error").is_empty());
}

/// A trapezoid lies in one half only. By hand for a diameter D of its circle and sides at 10°: D
/// deep, D (1/cos 10° + tan 10°) = 1.1918 D wide at the face; its area (1/cos 10°) D² is 1.0154 D².
#[test]
fn a_trapezoid_is_cut_into_one_half() {
    let workspace = tray();
    let section = ["--runner-section", "trapezoid", "--runner", "4 mm"];
    let report = mold(&workspace, &section);
    let runners = rows(&report, "runner");
    assert_eq!(runners.len(), 1);
    let gate = rows(&report, "gate")[0];
    assert_eq!(runners[0]["half"], gate["half"]);
    assert!((number(&runners[0]["depth_mm"]) - 4.0).abs() < 1e-9);
    assert!((number(&runners[0]["width_mm"]) - 4.0 * 1.191_753).abs() < 1e-4);
    for check in report["checks"].as_array().unwrap() {
        let flash = check["name"].as_str().unwrap().starts_with("gap of the parting");
        assert!(flash || check["ok"] != false, "{check}");
    }
    let words = [&["--pull", "+z", "--no-mill"][..], &section].concat();
    let feed = &workspace.check("tray.stl", &words)["feed"];
    assert_eq!(feed["runner_section"], "trapezoid");
}

#[test]
fn what_cannot_be_is_refused_in_one_line() {
    let workspace = tray();
    for (words, says) in [
        (&["--cavities", "9"][..], "9"),
        (&["--cavities", "2", "--no-feed"], "--no-feed"),
        (&["--runner-section", "square"], "round, trapezoid"),
    ] {
        let all = [&["mold", "tray.stl", "--no-fill", "--no-mill"][..], words].concat();
        let answer = workspace.run(&all);
        assert_eq!(answer.code, 2, "{words:?} {}", answer.out);
        assert_eq!(answer.err.lines().count(), 1, "{}", answer.err);
        assert!(answer.err.contains(says), "{}", answer.err);
    }
    let direct = ["--cavities", "2", "--feed-layout", "direct"];
    let words =
        [&["mold", "tray.stl", "--no-fill", "--no-mill", "--json"][..], &direct].concat();
    let report: Value =
        serde_json::from_str(&workspace.run(&words).out).unwrap_or_default();
    assert!(!report.to_string().contains("\"cavities\":2"));
}

/// A disc is fed in its middle: from its edge the melt has twice as far. A bar is not.
#[test]
fn a_sprue_stands_where_it_shortens_the_way() {
    let workspace = Workspace::new();
    workspace.put_part("disc.stl", &shapes::cone(40.0, 39.9, 2.0, 96));
    workspace.put_part("bar.stl", &shapes::cuboid(12.0, 12.0, 8.0));
    let words = ["--pull", "+z", "--no-mill", "--cells", "1500"];
    let disc = workspace.fill("disc.stl", &words);
    assert_eq!(disc["feed"]["layout"], "direct", "{}", disc["feed"]["layouts"]);
    let gate = [0, 1].map(|axis| number(&disc["fill"]["gate_mm"][axis]));
    assert!(gate[0].hypot(gate[1]) < 2.0, "{gate:?}");
    let asked = workspace.fill("disc.stl", &[&words[..], &["--gate", "40,0,0"]].concat());
    assert_eq!(asked["feed"]["layout"], "edge");
    let bar = workspace.fill("bar.stl", &words);
    assert_eq!(bar["feed"]["layout"], "edge");
}
