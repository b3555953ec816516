//! Molds, comparisons and packages of the page: the same files as those of the commands.

use std::fs;
use std::io::{Cursor, Read};

use goodshot::mesh::shapes;
use serde_json::json;
use zip::ZipArchive;

use super::client::Desk;
use super::{Workspace, binary, plug, triangles};

#[test]
fn a_mold_is_that_of_the_command_line_and_comes_in_one_package() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let tray = binary(&triangles(&shapes::tray([40.0, 30.0, 12.0], 2.5)));
    workspace.put("tray.stl", &tray);
    let part = desk.add("tray.stl", &tray);
    let chosen =
        json!([["plastic", "abs"], ["pull", "+z"], ["no-fill", "on"], ["units", "in"]]);
    let (check, reply) = desk.check(&json!({ "part": part, "chosen": chosen }));
    assert_eq!(reply["state"], "done", "{reply}");
    // What is wrong with a choice of the mold stands at its field.
    let bad = json!({ "run": check, "chosen": [["travel", "200 mm,150 mm"]] });
    let reply = desk.post("molds", bad.to_string().as_bytes());
    assert_eq!((reply.status, &reply.json()["field"]), (400, &json!("travel")));
    let bad = json!({ "run": check, "chosen": [["out", "elsewhere"]] });
    assert!(
        desk.post("molds", bad.to_string().as_bytes())
            .refusal()
            .contains("cannot be chosen")
    );
    let wanted = json!({ "run": check, "chosen": [["no-dowels", "on"], ["vents", "2"]] });
    let (run, made) = desk.run("molds", &wanted);
    assert_eq!(
        (&made["state"], &made["kind"]),
        (&json!("done"), &json!("mold")),
        "{made}"
    );
    let typed = "goodshot mold tray.stl --plastic=abs --pull=+z --no-fill --units=in --no-dowels --vents=2";
    assert!(made["answer"].as_str().unwrap().contains(typed), "{made}");
    let words: Vec<&str> = typed.split(' ').skip(1).chain(["--quiet"]).collect();
    workspace.run(&words);
    let files: Vec<&str> = made["files"]
        .as_array()
        .unwrap()
        .iter()
        .map(|name| name.as_str().unwrap())
        .collect();
    for needed in
        ["cavity.stl", "core.stl", "mold.3mf", "parting.dxf", "drill.csv", "mold.html"]
    {
        assert!(files.contains(&needed), "{needed} is not in {files:?}");
    }
    let packed = desk.get(&format!("runs/{run}/all.zip"), "").body;
    let mut archive = ZipArchive::new(Cursor::new(packed)).unwrap();
    assert_eq!(archive.len(), files.len());
    for name in files {
        let written =
            fs::read(workspace.path(&format!("goodshot-report/tray/mold/{name}")))
                .unwrap();
        assert!(desk.get(&format!("runs/{run}/{name}"), "").body == written, "{name}");
        let mut packed = Vec::new();
        archive.by_name(name).unwrap().read_to_end(&mut packed).unwrap();
        assert!(packed == written, "{name}");
    }
}

#[test]
fn another_part_is_compared_by_its_shape_and_an_own_press_is_used() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let press = workspace.run(&["press", "--template"]).out;
    let added = desk.post("presses?name=..%2Fours.toml", press.as_bytes()).json();
    assert!(added["name"].as_str().unwrap().contains("(ours.toml)"), "{added}");
    let ask = |part: u64| json!({ "part": part, "press": added["press"], "chosen": [["no-fill", "on"], ["pull", "+z"]] });
    desk.check(&ask(desk.add("plug.stl", &plug())));
    let thin = binary(&triangles(&shapes::cup(12.0, 15.0, 2.0, 3.0, 48)));
    let (run, reported) = desk.check(&ask(desk.add("plug.stl", &thin)));
    assert!(
        reported["answer"].as_str().unwrap().contains("Walls that changed"),
        "{reported}"
    );
    assert!(
        reported["answer"].as_str().unwrap().contains("--press ours.toml"),
        "{reported}"
    );
    for name in ["compare.html", "maps/walls.png"] {
        assert_eq!(desk.get(&format!("runs/{run}/{name}"), "").status, 200, "{name}");
    }
    for (bad, says) in [("name = 3", "ours.toml: "), ("", "ours.toml: ")] {
        let why = desk.post("presses?name=ours.toml", bad.as_bytes()).refusal();
        assert!(why.contains(says), "{why}");
    }
    assert!(desk.post("presses", &[0xff, 0xfe]).refusal().contains("not a text file"));
}

#[test]
fn two_checks_that_are_chosen_are_compared() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let part = desk.add("plug.stl", &plug());
    let ask = |part: u64, pull: &str| {
        let chosen = json!([["pull", pull], ["no-fill", "on"], ["no-mill", "on"]]);
        desk.check(&json!({ "part": part, "chosen": chosen })).0
    };
    let first = ask(part, "+z");
    let second = ask(part, "-z");
    let thin = binary(&triangles(&shapes::cup(12.0, 15.0, 2.0, 3.0, 48)));
    let third = ask(desk.add("thin.stl", &thin), "+z");
    let page = |run: u64| desk.get(&format!("runs/{run}/compare.html"), "").text();
    let (run, reply) =
        desk.run("comparisons", &json!({ "before": first, "after": second }));
    assert_eq!(reply["kind"], "comparison", "{reply}");
    assert!(page(run).contains("plug.stl → plug.stl") && page(run).contains(">Pull<"));
    let (run, reply) =
        desk.run("comparisons", &json!({ "before": first, "after": third }));
    assert!(page(run).contains("Walls that changed"), "{reply}");
    let gone = json!({ "before": first, "after": 999 });
    assert!(
        desk.post("comparisons", gone.to_string().as_bytes())
            .refusal()
            .contains("no longer kept")
    );
    // The list has all of them, each with what was chosen otherwise.
    let rows = desk.get("runs", "").json();
    let changed: Vec<&str> = rows["runs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| row["changed"].as_str().unwrap())
        .collect();
    assert_eq!(changed, ["first check", "Mold opens along: -z", "first check", "", ""]);
}

#[test]
fn an_unrelated_part_is_not_compared() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    let ask = |name: &str, bytes: &[u8]| {
        let part = desk.add(name, bytes);
        let chosen = json!([["pull", "+z"], ["no-fill", "on"], ["no-mill", "on"]]);
        let (_, reply) = desk.check(&json!({ "part": part, "chosen": chosen }));
        reply["answer"].as_str().unwrap().contains("What changed")
    };
    let block = |edges: [f64; 3]| binary(&triangles(&shapes::tray(edges, 2.5)));
    assert!(!ask("plug.stl", &plug()));
    // As large as the plug, and quite another shape; and one that is much larger.
    assert!(!ask("tray.stl", &block([30.0, 30.0, 18.0])));
    assert!(!ask("plug.stl", &block([90.0, 80.0, 12.0])));
    // The plug again, a little lower, under another name.
    let lower = binary(&triangles(&shapes::cup(12.0, 14.5, 3.0, 3.0, 48)));
    assert!(ask("plug_v2.stl", &lower));
}

#[test]
fn a_page_that_is_loaded_again_finds_everything() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    assert_eq!(desk.get("session", "").json()["runs"], json!([]));
    let part = desk.add("plug.stl", &plug());
    let press = workspace.run(&["press", "--template"]).out;
    let press =
        desk.post("presses?name=ours.toml", press.as_bytes()).json()["press"].clone();
    let chosen = json!([["plastic", "abs"], ["pull", "+z"], ["no-fill", "on"]]);
    let choices = json!({
        "part": part, "press": press, "plastics": null, "cutters": null, "chosen": chosen
    });
    let (run, _) = desk.check(&choices);
    let later = json!({
        "part": part, "press": null, "plastics": null, "cutters": null,
        "chosen": [["plastic", "pp"]],
    });
    assert_eq!(desk.post("choices", later.to_string().as_bytes()).status, 200);
    assert!(desk.post("choices", b"[1]").refusal().contains("cannot be asked"));
    let reply = desk.get("session", "").json();
    assert_eq!(reply["choices"], later);
    assert_eq!(reply["parts"][0]["name"], "plug.stl");
    assert_eq!(reply["press"][0]["press"], press);
    assert_eq!(
        (&reply["runs"][0]["run"], &reply["runs"][0]["request"]),
        (&json!(run), &choices)
    );
}

#[test]
fn the_page_begins_with_the_files_of_the_working_folder() {
    let workspace = Workspace::new();
    let template = workspace.run(&["press", "--template"]).out;
    workspace.put("press.toml", &template);
    let desk = Desk::open(&workspace);
    let session = desk.get("session", "").json();
    let press = &session["press"][0];
    assert!(press["name"].as_str().unwrap().ends_with("(press.toml)"), "{session}");
    assert!(!press["press"].is_null(), "{session}");
    assert_eq!(session["choices"]["press"], press["press"]);
    assert!(session["choices"]["cutters"].is_null(), "{session}");
}

/// What a check uses is kept, is there at the next start, and is gone when it is erased.
#[test]
fn the_press_of_the_last_check_is_kept_until_it_is_erased() {
    let workspace = Workspace::new();
    let template = workspace.run(&["press", "--template"]).out;
    let ours = workspace.path("ours").display().to_string();
    let choices = {
        let desk = Desk::open_with(&workspace, &[], &ours);
        let press = desk.post("presses?name=bench.toml", template.as_bytes()).json();
        // Only what is used is kept.
        assert_eq!(desk.get("kept", "").json()["files"], json!([]));
        let part = desk.add("plug.stl", &plug());
        let chosen = json!([
            ["plastic", "abs"],
            ["no-fill", "on"],
            ["no-mill", "on"],
            ["pull", "+z"]
        ]);
        desk.check(&json!({ "part": part, "press": press["press"], "chosen": chosen }));
        let kept = desk.get("kept", "").json();
        assert_eq!(kept["files"], json!(["press.toml", "settings.toml"]));
        assert_eq!(kept["problem"], json!(null));
        let settings = r#"{"checks_by_itself":false,"shows_choices":true}"#;
        assert_eq!(desk.post("settings", settings.as_bytes()).status, 200);
        desk.get("session", "").json()["choices"].clone()
    };
    assert_eq!(fs::read_to_string(workspace.path("ours/press.toml")).unwrap(), template);
    let desk = Desk::open_with(&workspace, &[], &ours);
    let session = desk.get("session", "").json();
    assert_eq!(session["settings"]["checks_by_itself"], false, "{session}");
    let name = session["press"][0]["name"].as_str().unwrap();
    assert!(name.contains("ours/press.toml"), "{session}");
    assert_eq!(session["choices"]["press"], session["press"][0]["press"]);
    assert_eq!(session["choices"]["chosen"], json!([["plastic", "abs"]]), "{choices}");
    for (name, status) in [("press.toml", 200), ("../press.toml", 404), ("x", 404)] {
        let body = json!({ "name": name }).to_string();
        assert_eq!(desk.post("kept/erase", body.as_bytes()).status, status, "{name}");
    }
    assert!(!workspace.path("ours/press.toml").exists());
    assert_eq!(desk.get("kept", "").json()["files"], json!(["settings.toml"]));
}

#[test]
fn the_cause_of_a_bad_part_is_that_of_the_command_line() {
    let workspace = Workspace::new();
    let desk = Desk::open(&workspace);
    workspace.put("plug.stl", plug());
    let part = desk.add("plug.stl", &plug());
    let chosen =
        json!([["pull", "+z"], ["cells", "1000"], ["no-mill", "on"], ["melt", "230 C"]]);
    let (check, _) = desk.check(&json!({ "part": part, "chosen": chosen }));
    for (chosen, field) in [
        (json!([["seen", "short"], ["set", "4 apples"]]), "set"),
        (json!([["seen", "short"], ["held", "long"]]), "held"),
        (json!([["seen", "ugly"]]), "seen"),
    ] {
        let bad = json!({ "run": check, "chosen": chosen }).to_string();
        let reply = desk.post("diagnoses", bad.as_bytes());
        assert_eq!(
            (reply.status, &reply.json()["field"]),
            (400, &json!(field)),
            "{chosen}"
        );
    }
    let seen = json!([["seen", "short"], ["set", "4 bar"], ["melt", "215 C"]]);
    let (run, reply) = desk.run("diagnoses", &json!({ "run": check, "chosen": seen }));
    assert_eq!(
        (&reply["state"], &reply["kind"]),
        (&json!("done"), &json!("diagnosis")),
        "{reply}"
    );
    let typed = "goodshot why plug.stl --pull=+z --cells=1000 --no-mill --seen=short '--set=4 bar' '--melt=215 C'";
    let shown = reply["answer"].as_str().unwrap().replace("&#39;", "'");
    assert!(shown.contains(typed), "{shown}");
    let words =
        ["why", "plug.stl", "--pull=+z", "--cells=1000", "--no-mill", "--seen=short"];
    let more = ["--set=4 bar", "--melt=215 C", "--json"];
    let printed = workspace.run(&[words.as_slice(), &more].concat()).out;
    assert_eq!(
        desk.get(&format!("runs/{run}/why.json"), "").text().trim(),
        printed.trim()
    );
    let page = desk.get(&format!("runs/{run}/why.html"), "").text();
    assert!(page.contains("Seen: short shot") && page.contains("Local codes"));
}
