//! The house rules that a compiler does not hold: a file says what it is for and stays
//! short, nothing is left half done, and the top level holds what it should.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Lines of a source file at most.
const MOST_LINES: usize = 400;

/// What may stand at the top level, besides dotfiles.
const TOP: [&str; 8] = [
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "src",
    "tests",
    "models",
    "benches",
];

#[test]
fn every_file_keeps_the_house_rules() {
    let mut wrong = Vec::new();
    for file in tracked().iter().filter(|file| file.ends_with(".rs")) {
        let broken = broken_rules(&read(file));
        wrong.extend(broken.iter().map(|rule| format!("{file}: {rule}")));
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn a_broken_house_rule_is_found() {
    let good = "//! Opens the door.\n\nfn main() {}\n";
    assert_eq!(broken_rules(good), Vec::<String>::new());
    let macros =
        ["todo", "unimplemented"].map(|name| format!("{good}fn f() {{ {name}!() }}"));
    let ignored = format!("{good}#[{}]\nfn f() {{}}", "ignore");
    let long = good.to_owned() + &"\n".repeat(MOST_LINES);
    for bad in ["fn main() {}", &macros[0], &macros[1], &ignored, &long] {
        assert_eq!(broken_rules(bad).len(), 1, "{}", bad.trim_end());
    }
}

/// A path of one machine in the project works on no other.
#[test]
fn no_file_names_a_place_on_one_machine() {
    let places = ["work", "tmp", "root", "home"].map(|place| format!("/{place}/"));
    for file in tracked() {
        let text =
            String::from_utf8_lossy(&fs::read(root().join(&file)).unwrap()).into_owned();
        let found = places.iter().find(|place| text.contains(place.as_str()));
        assert_eq!(found, None, "in {file}");
    }
}

#[test]
fn the_top_level_holds_what_was_agreed() {
    for file in tracked() {
        let top = file.split('/').next().unwrap_or_default();
        assert!(top.starts_with('.') || TOP.contains(&top), "{file} has no place");
    }
}

fn broken_rules(text: &str) -> Vec<String> {
    let mut broken = Vec::new();
    if !text.starts_with("//! ") {
        broken.push("does not open with //!".to_owned());
    }
    let lines = text.lines().count();
    if lines > MOST_LINES {
        broken.push(format!("{lines} lines are more than {MOST_LINES}"));
    }
    // Written in two pieces, so that this file keeps its own rule.
    for word in
        [concat!("todo", "!("), concat!("unimplemented", "!("), concat!("#[", "ignore")]
    {
        if text.contains(word) {
            broken.push(format!("holds {word}"));
        }
    }
    broken
}

fn read(file: &str) -> String {
    fs::read_to_string(root().join(file)).unwrap()
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

/// What git tracks or would take in, and is still there.
fn tracked() -> Vec<String> {
    let listed = Command::new("git")
        .args(["ls-files", "--cached", "--others", "--exclude-standard"])
        .current_dir(root())
        .output()
        .unwrap();
    let files: Vec<String> =
        String::from_utf8(listed.stdout).unwrap().lines().map(str::to_owned).collect();
    assert!(files.len() > 50, "git lists {} files", files.len());
    files.into_iter().filter(|file| root().join(file).is_file()).collect()
}
