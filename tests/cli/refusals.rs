//! What cannot be read is refused in one line, and nothing is written.

use std::fs;

use goodshot::geom::Point;
use goodshot::mesh::shapes;

use super::{Shop, binary, model, triangles};

/// Runs the program with `words`: it must not run, say why in one line that holds every
/// one of `says`, and leave the folder as it was.
fn refused(shop: &Shop, words: &[&str], says: &[&str]) {
    let before = shop.names();
    let answer = shop.run(words);
    assert_eq!(answer.code, 2, "{words:?}: {}{}", answer.out, answer.err);
    assert_eq!(answer.out, "", "{words:?}");
    assert_eq!(answer.err.lines().count(), 1, "{words:?}:\n{}", answer.err);
    for text in says {
        assert!(answer.err.contains(text), "{text} is not in {}", answer.err);
    }
    assert!(!answer.err.contains("panicked"), "{}", answer.err);
    assert_eq!(shop.names(), before, "{words:?}");
    assert!(!shop.path("goodshot-report").exists(), "{words:?}");
}

fn plug() -> Vec<[Point; 3]> {
    triangles(&shapes::cup(12.0, 15.0, 3.0, 3.0, 12))
}

fn part(shop: &Shop, bytes: impl AsRef<[u8]>, says: &[&str]) {
    shop.put("part.stl", bytes);
    refused(shop, &["check", "part.stl"], &[&["part.stl: "], says].concat());
}

#[test]
fn a_file_that_is_not_there_or_is_a_folder() {
    let shop = Shop::new();
    refused(&shop, &["check", "plug.stl"], &["plug.stl: no such file"]);
    fs::create_dir(shop.path("parts")).unwrap();
    refused(&shop, &["check", "parts"], &["parts: is a folder"]);
}

#[test]
fn an_empty_or_cut_off_file() {
    let shop = Shop::new();
    part(&shop, b"", &["the file is empty"]);
    let whole = binary(&plug());
    // 84 bytes of header, 50 a facet: the eleventh is cut.
    part(
        &shop,
        &whole[..84 + 50 * 10 + 20],
        &["cut off inside a facet", "10 whole facets"],
    );
    part(&shop, &whole[..60], &["cut off inside its header"]);
    part(&shop, &whole[..84], &["0 whole facets"]);
    let text = "solid plug\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\n";
    part(&shop, text, &["ends inside a facet on line 5", "0 whole facets"]);
}

#[test]
fn numbers_that_are_none() {
    let shop = Shop::new();
    let mut facets = plug();
    facets[3][1].x = f64::NAN;
    part(
        &shop,
        binary(&facets),
        &["1 facets have a corner that is not a finite number", "facet 4"],
    );
}

#[test]
fn no_facet_or_none_with_an_area() {
    let shop = Shop::new();
    part(&shop, binary(&[]), &["no facet"]);
    part(&shop, "solid nothing\nendsolid nothing\n", &["no facet"]);
    let line = [0.0, 1.0, 2.0].map(|x| Point::new(x, 0.0, 0.0));
    part(&shop, binary(&[line; 4]), &["none of the 4 facets has an area"]);
}

#[test]
fn a_file_of_another_kind() {
    let shop = Shop::new();
    part(
        &shop,
        [b"\x89PNG\r\n\x1a\n".as_slice(), &[7; 400]].concat(),
        &["a PNG picture"],
    );
    let text = "solid plug\n  facet normal 0 0 1\n    outer loop\n      vertex 0 0 0\n      \
                vertex 1 zero 0\n";
    part(&shop, text, &["breaks on line 5", "\"zero\""]);
}

#[test]
fn options_that_make_no_sense() {
    let shop = Shop::new();
    let plug = model("bar_end_plug");
    for (option, value, says) in [
        ("--pull", "upwards", &["upwards", "+z, -x or three numbers"][..]),
        ("--pull", "0,0,0", &["0,0,0", "three numbers"]),
        ("--unit", "feet", &["feet", "mm, cm, m or in"]),
        ("--plastic", "abss", &["abss", "abs"]),
        ("--plastic", "unobtainium", &["unobtainium", "known are abs, hdpe"]),
        ("--feed-share", "900 %", &["900 %", "0 % to 200 %"]),
        ("--press", "ours.toml", &["ours.toml: no such file", "--template"]),
        ("--plastics", "ours.toml", &["ours.toml: no such file", "--template"]),
        ("--gate", "1,2", &["1,2", "such as 12,0,4.5"]),
        ("--cells", "fine", &["fine", "0.8 mm"]),
        ("--cells", "0.0001 mm", &["0.0001 mm", "100 to"]),
    ] {
        refused(&shop, &["check", &plug, option, value], says);
    }
    refused(&shop, &["check"], &["PART.stl"]);
    refused(&shop, &["press", "ours.toml"], &["ours.toml: no such file"]);
    refused(&shop, &["plastics", "abss"], &["abss", "abs"]);
    refused(&shop, &["cut"], &["cut"]);
}

#[test]
fn a_press_file_that_is_wrong_is_told_by_line_and_key() {
    let shop = Shop::new();
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
        shop.put("press.toml", &text);
        let says = [&["press.toml: "], says].concat();
        refused(&shop, &["check", &plug, "--press", "press.toml"], &says);
    }
    shop.put("press.toml", [0xff, 0xfe, 0x00]);
    refused(&shop, &["check", &plug, "--press", "press.toml"], &["is not a text file"]);
}

#[test]
fn a_plastics_file_that_is_wrong_is_told_by_line() {
    let shop = Shop::new();
    let plug = model("bar_end_plug");
    shop.put("ours.toml", "[plastic.abs]\nsolid_density = '1.05 stone'\n");
    let words = ["check", &plug, "--plastics", "ours.toml"];
    refused(&shop, &words, &["ours.toml: ", "line 2", "solid_density", "stone"]);
}

#[test]
fn an_out_that_is_a_file() {
    let shop = Shop::new();
    shop.put("report", "mine");
    let words = ["check", &model("bar_end_plug"), "--out", "report"];
    refused(&shop, &words, &["report: is a file, not a folder"]);
    assert_eq!(fs::read(shop.path("report")).unwrap(), b"mine");
}

#[test]
fn two_parts_that_would_share_a_folder() {
    let shop = Shop::new();
    fs::create_dir(shop.path("new")).unwrap();
    let bytes = binary(&plug());
    shop.put("plug.stl", &bytes);
    shop.put("new/plug.stl", &bytes);
    let words = ["check", "plug.stl", "new/plug.stl"];
    refused(&shop, &words, &["plug.stl and new/plug.stl would share", "rename one"]);
}

#[test]
fn what_cannot_be_varied_is_told_before_any_work() {
    let shop = Shop::new();
    shop.put("part.stl", binary(&plug()));
    for (wish, says) in [
        ("speed", "cylinder bore"),
        ("air:", "names no value"),
        ("air: 6", "7 bar"),
        ("plastic: cheese", "cheese"),
        ("bolts: some", "bolts: 4, 6"),
    ] {
        refused(&shop, &["check", "part.stl", "--vary", wish], &["--vary", says]);
    }
    refused(
        &shop,
        &["check", "part.stl", "--shrink-along", "w: 1 %"],
        &["--shrink-along", "x, y or z"],
    );
}

#[test]
fn cutters_that_are_not_understood() {
    let shop = Shop::new();
    shop.put("part.stl", binary(&plug()));
    shop.put("mine.toml", "name = 'mine'\nholder = 20\n");
    refused(
        &shop,
        &["check", "part.stl", "--tools", "mine.toml"],
        &["mine.toml: line 2, holder", "goodshot cutters --template"],
    );
    refused(&shop, &["cutters", "none.toml"], &["none.toml: no such file"]);
    refused(&shop, &["check", "part.stl", "--mill-cell", "0 mm"], &["0.01 mm to 5 mm"]);
    refused(&shop, &["check", "part.stl", "--no-mill", "--as-milled"], &["--no-mill"]);
}
