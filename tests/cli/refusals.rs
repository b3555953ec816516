//! What cannot be read is refused in one line, and nothing is written.

use std::fs;

use goodshot::geom::Point;
use goodshot::mesh::shapes;

use super::{Workspace, binary, model, triangles};

/// Runs the program with `words`: it must not run, say why in one line that holds every
/// one of `says`, and leave the folder as it was.
fn refused(workspace: &Workspace, words: &[&str], says: &[&str]) {
    let before = workspace.names();
    let answer = workspace.run(words);
    assert_eq!(answer.code, 2, "{words:?}: {}{}", answer.out, answer.err);
    assert_eq!(answer.out, "", "{words:?}");
    assert_eq!(answer.err.lines().count(), 1, "{words:?}:\n{}", answer.err);
    for text in says {
        assert!(answer.err.contains(text), "{text} is not in {}", answer.err);
    }
    assert!(!answer.err.contains("panicked"), "{}", answer.err);
    assert_eq!(workspace.names(), before, "{words:?}");
    assert!(!workspace.path("goodshot-report").exists(), "{words:?}");
}

fn plug() -> Vec<[Point; 3]> {
    triangles(&shapes::cup(12.0, 15.0, 3.0, 3.0, 12))
}

fn part(workspace: &Workspace, bytes: impl AsRef<[u8]>, says: &[&str]) {
    workspace.put("part.stl", bytes);
    refused(workspace, &["check", "part.stl"], &[&["part.stl: "], says].concat());
}

#[test]
fn a_file_that_is_not_there_or_is_a_folder() {
    let workspace = Workspace::new();
    refused(&workspace, &["check", "plug.stl"], &["plug.stl: no such file"]);
    fs::create_dir(workspace.path("parts")).unwrap();
    refused(&workspace, &["check", "parts"], &["parts: is a folder"]);
}

/// A hundred megabytes hold no part of a quarter of a million facets.
#[test]
fn a_part_that_takes_more_memory_than_allowed() {
    let workspace = Workspace::new();
    workspace
        .put("ball.stl", binary(&triangles(&shapes::split(&shapes::ball(20.0, 64), 4))));
    let words = ["check", "ball.stl", "--no-fill", "--memory", "100 MB"];
    refused(&workspace, &words, &["GB of memory", "0.1 GB may be taken", "--memory"]);
    for (size, says) in
        [("5", "no unit"), ("1 MB", "at least 100 MB"), ("2 pounds", "GiB")]
    {
        refused(&workspace, &["check", "ball.stl", "--memory", size], &[says]);
    }
}

#[test]
fn an_empty_or_cut_off_file() {
    let workspace = Workspace::new();
    part(&workspace, b"", &["the file is empty"]);
    let whole = binary(&plug());
    // 84 bytes of header, 50 a facet: the eleventh is cut.
    part(
        &workspace,
        &whole[..84 + 50 * 10 + 20],
        &["cut off inside a facet", "10 whole facets"],
    );
    part(&workspace, &whole[..60], &["cut off inside its header"]);
    part(&workspace, &whole[..84], &["0 whole facets"]);
    let text = "solid plug\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\n";
    part(&workspace, text, &["ends inside a facet on line 5", "0 whole facets"]);
}

#[test]
fn numbers_that_are_none() {
    let workspace = Workspace::new();
    let mut facets = plug();
    facets[3][1].x = f64::NAN;
    part(
        &workspace,
        binary(&facets),
        &["1 facets have a corner that is not a finite number", "facet 4"],
    );
}

#[test]
fn no_facet_or_none_with_an_area() {
    let workspace = Workspace::new();
    part(&workspace, binary(&[]), &["no facet"]);
    part(&workspace, "solid nothing\nendsolid nothing\n", &["no facet"]);
    let line = [0.0, 1.0, 2.0].map(|x| Point::new(x, 0.0, 0.0));
    part(&workspace, binary(&[line; 4]), &["none of the 4 facets has an area"]);
}

#[test]
fn a_file_of_another_kind() {
    let workspace = Workspace::new();
    part(
        &workspace,
        [b"\x89PNG\r\n\x1a\n".as_slice(), &[7; 400]].concat(),
        &["a PNG picture"],
    );
    let text = "solid plug\n  facet normal 0 0 1\n    outer loop\n      vertex 0 0 0\n      \
                vertex 1 zero 0\n";
    part(&workspace, text, &["breaks on line 5", "\"zero\""]);
}

#[test]
fn options_that_make_no_sense() {
    let workspace = Workspace::new();
    let plug = model("bar_end_plug");
    for (option, value, says) in [
        ("--pull", "upwards", &["upwards", "+z, -x or three numbers"][..]),
        ("--pull", "0,0,0", &["0,0,0", "three numbers"]),
        ("--unit", "feet", &["feet", "mm, cm, m or in"]),
        ("--plastic", "abss", &["abss", "abs"]),
        (
            "--plastic",
            "unobtainium",
            &["unobtainium", "known are abs, abs_reground, hdpe"],
        ),
        ("--melt", "240", &["240", "220 C"]),
        ("--melt", "120 C", &["a melt of 120 °C does not flow", "PP"]),
        ("--mold", "120 C", &["never gets stiff", "90 °C"]),
        ("--feed-share", "900 %", &["900 %", "0 % to 200 %"]),
        ("--feed-layout", "hot", &["hot", "direct, edge, split"]),
        ("--press", "ours.toml", &["ours.toml: no such file", "--template"]),
        ("--plastics", "ours.toml", &["ours.toml: no such file", "--template"]),
        ("--gate", "1,2", &["1,2", "such as 12,0,4.5"]),
        ("--cells", "fine", &["fine", "0.8 mm"]),
        ("--cells", "0.0001 mm", &["0.0001 mm", "100 to"]),
    ] {
        refused(&workspace, &["check", &plug, option, value], says);
    }
    refused(&workspace, &["check"], &["PART.stl"]);
    refused(&workspace, &["press", "ours.toml"], &["ours.toml: no such file"]);
    refused(&workspace, &["plastics", "abss"], &["abss", "abs"]);
    refused(&workspace, &["cut"], &["cut"]);
}

#[test]
fn a_press_file_that_is_wrong_is_reported_by_line_and_key() {
    let workspace = Workspace::new();
    let plug = model("bar_end_plug");
    let good = "name = 'p'\n[drive]\nram_force = '900 lbf'\n[ram]\ndiameter = '1 in'\n\
                stroke = '4 in'\n";
    for (text, says) in [
        (good.replace("'1 in'", "'1 foot'"), &["line 5", "diameter", "1 foot"][..]),
        (good.replace("'4 in'", "'4 in"), &["line 6"]),
        (good.replace("stroke", "stork"), &["line 6", "stork"]),
        (good.replace("'900 lbf'", "'-900 lbf'"), &["[drive]", "ram_force"]),
        ("\u{0}".to_owned(), &["line 1"]),
    ] {
        workspace.put("press.toml", &text);
        let says = [&["press.toml: "], says].concat();
        refused(&workspace, &["check", &plug, "--press", "press.toml"], &says);
    }
    workspace.put("press.toml", [0xff, 0xfe, 0x00]);
    refused(
        &workspace,
        &["check", &plug, "--press", "press.toml"],
        &["is not a text file"],
    );
}

#[test]
fn a_plastics_file_that_is_wrong_is_reported_by_line() {
    let workspace = Workspace::new();
    let plug = model("bar_end_plug");
    workspace.put("ours.toml", "[plastic.abs]\nsolid_density = '1.05 stone'\n");
    let words = ["check", &plug, "--plastics", "ours.toml"];
    refused(&workspace, &words, &["ours.toml: ", "line 2", "solid_density", "stone"]);
}

#[test]
fn an_out_that_is_a_file() {
    let workspace = Workspace::new();
    workspace.put("report", "mine");
    let words = ["check", &model("bar_end_plug"), "--out", "report"];
    refused(&workspace, &words, &["report: is a file, not a folder"]);
    assert_eq!(fs::read(workspace.path("report")).unwrap(), b"mine");
}

#[test]
fn two_parts_that_would_share_a_folder() {
    let workspace = Workspace::new();
    fs::create_dir(workspace.path("new")).unwrap();
    let bytes = binary(&plug());
    workspace.put("plug.stl", &bytes);
    workspace.put("new/plug.stl", &bytes);
    let words = ["check", "plug.stl", "new/plug.stl"];
    refused(&workspace, &words, &["plug.stl and new/plug.stl would share", "rename one"]);
}

#[test]
fn what_cannot_be_varied_is_reported_before_any_work() {
    let workspace = Workspace::new();
    workspace.put("part.stl", binary(&plug()));
    for (wish, says) in [
        ("speed", "cylinder bore"),
        ("air:", "names no value"),
        ("air: 6", "7 bar"),
        ("plastic: cheese", "cheese"),
        ("bolts: some", "bolts: 4, 6"),
    ] {
        refused(&workspace, &["check", "part.stl", "--vary", wish], &["--vary", says]);
    }
    refused(
        &workspace,
        &["check", "part.stl", "--shrink-along", "w: 1 %"],
        &["--shrink-along", "x, y or z"],
    );
}

#[test]
fn cutters_that_are_not_understood() {
    let workspace = Workspace::new();
    workspace.put("part.stl", binary(&plug()));
    workspace.put("mine.toml", "name = 'mine'\nholder = 20\n");
    refused(
        &workspace,
        &["check", "part.stl", "--tools", "mine.toml"],
        &["mine.toml: line 2, holder", "goodshot cutters --template"],
    );
    refused(&workspace, &["cutters", "none.toml"], &["none.toml: no such file"]);
    refused(
        &workspace,
        &["check", "part.stl", "--mill-cell", "0 mm"],
        &["0.01 mm to 5 mm"],
    );
    refused(
        &workspace,
        &["check", "part.stl", "--no-mill", "--as-milled"],
        &["--no-mill"],
    );
}

#[test]
fn sizes_that_nothing_molded_has() {
    let workspace = Workspace::new();
    workspace.put_part("huge.stl", &shapes::cuboid(2e5, 10.0, 10.0));
    refused(&workspace, &["check", "huge.stl"], &["2.000e5 mm", "--unit"]);
    workspace.put_part("sheet.stl", &shapes::cuboid(30.0, 20.0, 0.001));
    refused(
        &workspace,
        &["mold", "sheet.stl"],
        &["30 x 20 x 0.001 mm", "under 0.1 mm thin"],
    );
    workspace.put_part("bar.stl", &shapes::cuboid(1e4, 1.0, 1.0));
    refused(&workspace, &["mold", "bar.stl"], &["over 1000 mm long"]);
    let cutters = "name = \"far\"\nholder = \"1e30 m\"\n[[cutter]]\nkind = \"flat\"\ndiameter = \"6 mm\"\n\
                   flute = \"2 mm\"\nshank = \"6 mm\"\nstickout = \"30 mm\"\n";
    workspace.put("far.toml", cutters);
    refused(
        &workspace,
        &["check", "bar.stl", "--tools", "far.toml"],
        &["more than 500 mm"],
    );
}

/// A part may be called as it likes: nothing is written outside the folder of reports.
#[test]
fn a_part_of_dots_writes_into_its_folder() {
    let workspace = Workspace::new();
    workspace.put_part("...stl", &shapes::cup(12.0, 15.0, 3.0, 3.0, 12));
    let words =
        ["check", "...stl", "--no-fill", "--no-mill", "--out", "deep/out", "--quiet"];
    let answer = workspace.run(&words);
    assert_eq!(answer.err, "");
    assert!(workspace.path("deep/out/__/report.json").is_file());
    assert_eq!(fs::read_dir(workspace.path("deep")).unwrap().count(), 1);
}
