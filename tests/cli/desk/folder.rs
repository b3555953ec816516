//! `goodshot desk FOLDER`: what is exported there is checked.

use std::fs;
use std::thread;
use std::time::{Duration, Instant};

use goodshot::mesh::shapes;
use serde_json::Value;

use super::client::{Desk, goes_on};
use super::{Workspace, binary, plug, triangles};

/// The runs, once there are `count` of them and none goes on.
#[track_caller]
fn runs(desk: &Desk, count: usize) -> Vec<Value> {
    let began = Instant::now();
    loop {
        let reply = desk.get("runs", "").json();
        let rows = reply["runs"].as_array().unwrap().clone();
        if rows.len() >= count && !rows.iter().any(goes_on) {
            assert_eq!(rows.len(), count, "{reply}");
            return rows;
        }
        assert!(began.elapsed() < Duration::from_secs(300), "{reply}");
        thread::sleep(Duration::from_millis(50));
    }
}

#[test]
fn a_part_that_is_exported_is_checked_and_so_is_its_next_state() {
    let workspace = Workspace::new();
    let exports = workspace.path("exports");
    fs::create_dir(&exports).unwrap();
    fs::write(exports.join("notes.txt"), "no part").unwrap();
    let desk = Desk::open_with(&workspace, &["exports"], "");
    let choices =
        r#"{"part":null,"chosen":[["no-fill","on"],["no-mill","on"],["pull","+z"]]}"#;
    assert_eq!(desk.post("choices", choices.as_bytes()).status, 200);
    assert_eq!(runs(&desk, 0), Vec::<Value>::new());
    fs::write(exports.join("plug.STL"), plug()).unwrap();
    let rows = runs(&desk, 1);
    assert_eq!(
        (&rows[0]["part"], &rows[0]["from_folder"]),
        (&"plug.STL".into(), &true.into())
    );
    // Written in two goes, as a slow program does.
    let thin = binary(&triangles(&shapes::cup(12.0, 15.0, 2.0, 3.0, 48)));
    fs::write(exports.join("plug.STL"), &thin[..thin.len() / 2]).unwrap();
    thread::sleep(Duration::from_millis(400));
    fs::write(exports.join("plug.STL"), &thin).unwrap();
    let rows = runs(&desk, 2);
    let second = desk.get(&format!("runs/{}", rows[1]["run"]), "").json();
    assert!(
        second["answer"].as_str().unwrap().contains("Walls that changed"),
        "{second}"
    );
    // One that is no part is said, and does no harm.
    fs::write(exports.join("photo.stl"), b"no part").unwrap();
    let began = Instant::now();
    loop {
        let notice = desk.get("runs", "").json()["notice"].clone();
        if let Some(said) = notice.as_str() {
            assert!(said.starts_with("photo.stl: "), "{said}");
            break;
        }
        assert!(began.elapsed() < Duration::from_secs(30), "{notice}");
        thread::sleep(Duration::from_millis(50));
    }
    runs(&desk, 2);
}

#[test]
fn a_folder_that_is_none_is_said() {
    let workspace = Workspace::new();
    let answer = workspace.run(&["desk", "--no-browser", "nowhere"]);
    assert_eq!(answer.code, 2);
    assert_eq!(
        answer.err,
        "goodshot: nowhere: is no folder: name the one that your CAD program exports to\n"
    );
}
