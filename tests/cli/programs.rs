//! Programs for the mill as a user asks for them.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use goodshot::mesh::shapes;
use serde_json::Value;

use super::{Workspace, number};

fn programs_in(folder: &Path) -> BTreeSet<String> {
    let all = fs::read_dir(folder).unwrap().map(|it| it.unwrap().file_name());
    all.map(|it| it.into_string().unwrap()).filter(|it| it.ends_with(".nc")).collect()
}

/// Files, sheets and table agree; a run without programs leaves none of an older mold behind, and a
/// file of the user's stays.
#[test]
fn programs_come_and_go_with_their_mold() {
    let workspace = Workspace::new();
    workspace.put_part("tray.stl", &shapes::tray([40.0, 30.0, 12.0], 2.5));
    let mut words = vec!["mold", "tray.stl", "--pull", "+z", "--no-fill", "--json"];
    words.push("--gcode");
    let report: Value = serde_json::from_str(&workspace.run(&words).out).unwrap();
    let folder = workspace.path("goodshot-report/tray/mold");
    let programs = report["programs"].as_array().unwrap();
    let named = programs.iter().map(|it| it["file"].as_str().unwrap().to_owned());
    let named: BTreeSet<String> = named.collect();
    assert_eq!(programs_in(&folder), named);
    let steps = report["sheets"].as_array().unwrap().iter();
    let steps = steps.flat_map(|sheet| sheet["steps"].as_array().unwrap());
    let of_steps: BTreeSet<String> =
        steps.filter_map(|step| step["program"].as_str().map(str::to_owned)).collect();
    assert_eq!(of_steps, named);
    let papers = fs::read_to_string(folder.join("mold.md")).unwrap();
    for program in programs {
        let file = program["file"].as_str().unwrap();
        assert!(papers.contains(&file.replace('_', "\\_")) || papers.contains(file));
        assert!(number(&program["rapid_height_mm"]) >= 5.0);
    }
    assert!(papers.contains("run it above the work first"));
    fs::write(folder.join("core_rough.nc"), "(mine)\n").unwrap();
    words.pop();
    let report: Value = serde_json::from_str(&workspace.run(&words).out).unwrap();
    assert!(report["programs"].is_null());
    assert_eq!(programs_in(&folder), BTreeSet::from(["core_rough.nc".to_owned()]));
}
