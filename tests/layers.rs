//! The `mod` lines are the architecture: a room imports only rooms that `lib.rs` lists
//! before it, and a file only siblings that its `mod.rs` lists before it.
//!
//! A module reads the items of the modules that contain it and of those it contains;
//! unit tests may import what they like. Paths are read from the text, in `use` lines and
//! elsewhere; what a macro builds is not seen.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Modules by their path below the crate, with the modules that each lists, in order.
type House = BTreeMap<Vec<String>, Module>;

#[derive(Default)]
struct Module {
    children: Vec<String>,
    text: String,
}

#[test]
fn every_file_imports_only_what_is_listed_before_it() {
    let mut house = House::new();
    enter(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), "lib.rs", &[], &mut house);
    let seen: usize =
        house.iter().map(|(path, module)| imports(&module.text, path).len()).sum();
    assert!(house.len() > 50 && seen > 300, "{} modules, {seen} imports", house.len());
    let wrong = wrong_imports(&house);
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// Every file below `src` is a module of the house: none is left out of the `mod` lines.
#[test]
fn every_file_is_listed() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut house = House::new();
    enter(&src, "lib.rs", &[], &mut house);
    // The library's root stands for lib.rs; main.rs is the other root; modules of unit
    // tests are files too.
    let in_tests: usize = house.values().map(|module| test_files(&module.text)).sum();
    assert_eq!(count_files(&src), house.len() + 1 + in_tests);
}

#[test]
fn a_wrong_import_is_found() {
    let lib = "pub mod low;\npub mod high;\n";
    let mods = "mod first;\nmod second;\n";
    for (path, text, right) in [
        ("low", "use crate::high::Thing;", false),
        ("low", "fn f() -> crate::high::Thing { g() }", false),
        (
            "low",
            "const B: &str = \"\\\" crate::high //\"; fn f(_: crate::low::A) {}",
            true,
        ),
        ("low", "const B: char = '\"'; fn f(_: crate::high::A) {}", false),
        ("low", "// use crate::high::Thing;\nconst A: &str = \"crate::high\";", true),
        ("low", "#[cfg(test)]\nmod tests {\n    use crate::high::Thing;\n}", true),
        ("high", "use crate::low::Thing;", true),
        ("high", "use first::Thing; use self::second::Other;", true),
        ("high/first", "use crate::low::{Thing, other::{A, B}};", true),
        ("high/first", "use super::second::Thing;", false),
        ("high/first", "use super::{Thing, second};", false),
        ("high/first", "use crate::{low::Thing, high::{self, second::Other}};", false),
        ("high/second", "use super::first::{self, Thing};", true),
        ("high/second", "use crate::high::first::Thing; pub(super) struct S;", true),
        ("high/second", "use super::Thing; use super::super::low;", true),
    ] {
        let mut house = House::new();
        for (path, text) in [
            ("", lib),
            ("low", ""),
            ("high", mods),
            ("high/first", ""),
            ("high/second", ""),
        ] {
            let children = listed(text);
            let text = text.to_owned();
            house.insert(split(path), Module { children, text });
        }
        let module = house.get_mut(&split(path)).unwrap();
        module.text.push_str(text);
        let wrong = wrong_imports(&house);
        assert_eq!(wrong.is_empty(), right, "{path}: {text}\n{wrong:?}");
    }
}

fn split(path: &str) -> Vec<String> {
    path.split('/').filter(|name| !name.is_empty()).map(str::to_owned).collect()
}

/// Reads `file` in `folder` as the module `path`, and all that it lists.
fn enter(folder: &Path, file: &str, path: &[String], house: &mut House) {
    let text = fs::read_to_string(folder.join(file)).unwrap();
    let children = listed(&text);
    for child in &children {
        let below: Vec<String> = path.iter().chain([child]).cloned().collect();
        let inside = folder.join(child);
        if inside.join("mod.rs").exists() {
            enter(&inside, "mod.rs", &below, house);
        } else {
            enter(folder, &format!("{child}.rs"), &below, house);
        }
    }
    house.insert(path.to_vec(), Module { children, text });
}

/// The modules of the `mod` lines, in order, but those of unit tests.
fn listed(text: &str) -> Vec<String> {
    mod_lines(text).filter(|(_, in_tests)| !in_tests).map(|(name, _)| name).collect()
}

fn test_files(text: &str) -> usize {
    mod_lines(text).filter(|(_, in_tests)| *in_tests).count()
}

fn mod_lines(text: &str) -> impl Iterator<Item = (String, bool)> {
    let before = std::iter::once("").chain(text.lines());
    text.lines().zip(before).filter_map(|(line, before)| {
        let line = line.strip_suffix(';')?;
        let name = line.rsplit_once("mod ").filter(|(head, _)| {
            matches!(*head, "" | "pub " | "pub(crate) " | "pub(super) ")
        })?;
        Some((name.1.to_owned(), before == "#[cfg(test)]"))
    })
}

fn count_files(folder: &Path) -> usize {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries
        .map(|path| {
            if path.is_dir() {
                count_files(&path)
            } else {
                usize::from(path.extension().is_some_and(|end| end == "rs"))
            }
        })
        .sum()
}

fn wrong_imports(house: &House) -> Vec<String> {
    let mut wrong = Vec::new();
    for (path, module) in house {
        for target in imports(&module.text, path) {
            // Where the two ways part, order decides.
            let shared = path.iter().zip(&target).take_while(|(a, b)| a == b).count();
            let (Some(own), Some(other)) = (path.get(shared), target.get(shared)) else {
                continue;
            };
            let order = &house[&path[..shared]].children;
            let place = |name: &String| order.iter().position(|child| child == name);
            // What is not listed is an item of the module that contains both.
            if place(other).is_some_and(|other| Some(other) > place(own)) {
                wrong.push(format!("{} imports {}", path.join("::"), target.join("::")));
            }
        }
    }
    wrong
}

/// Every `crate::…` and `super::…` path in `text`, which is the module `path`.
fn imports(text: &str, path: &[String]) -> Vec<Vec<String>> {
    let code = text.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
    let words = words(&plain(code));
    let mut found = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let inside = at > 0 && words[at - 1] == "::";
        let start = match words[at].as_str() {
            "crate" if !inside => Some(Vec::new()),
            "super" if !inside => path.split_last().map(|(_, above)| above.to_vec()),
            _ => None,
        };
        at += 1;
        if let Some(start) = start {
            tail(&words, &mut at, start, &mut found);
        }
    }
    found
}

/// Follows `::name` and `::{…}` from `at` on, and adds each whole path.
fn tail(
    words: &[String],
    at: &mut usize,
    mut path: Vec<String>,
    found: &mut Vec<Vec<String>>,
) {
    while words.get(*at).is_some_and(|word| word == "::") {
        *at += 1;
        let Some(word) = words.get(*at) else { break };
        *at += 1;
        match word.as_str() {
            "{" => {
                while words.get(*at).is_some_and(|word| word != "}") {
                    let mut path = path.clone();
                    if words[*at] != "," && words[*at] != "self" {
                        path.push(words[*at].clone());
                    }
                    *at += 1;
                    tail(words, at, path, found);
                }
                *at += 1;
                return;
            }
            "super" => _ = path.pop(),
            name => path.push(name.to_owned()),
        }
    }
    found.push(path);
}

/// `code` without comments and texts.
fn plain(code: &str) -> String {
    let mut plain = String::new();
    let mut rest = code;
    while let Some(c) = rest.chars().next() {
        let skipped = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("r#\"") {
            rest.find("\"#").map_or(rest.len(), |end| end + 2)
        } else if c == '"' {
            1 + text_end(&rest[1..])
        } else if rest.starts_with("'\"'") || rest.starts_with("'\\") {
            3
        } else {
            plain.push(c);
            c.len_utf8()
        };
        rest = &rest[skipped..];
    }
    plain
}

/// Where the text that `rest` begins with ends, its last quote included.
fn text_end(rest: &str) -> usize {
    let mut escaped = false;
    for (at, c) in rest.char_indices() {
        match c {
            '"' if !escaped => return at + 1,
            _ => escaped = c == '\\' && !escaped,
        }
    }
    rest.len()
}

/// Names, `::`, and other signs one by one.
fn words(code: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut open = false;
    for c in code.chars() {
        let name = c.is_alphanumeric() || c == '_';
        let colon = c == ':' && words.last().is_some_and(|last| last == ":");
        match words.last_mut() {
            Some(last) if name && open => last.push(c),
            Some(last) if colon => last.push(c),
            _ if c.is_whitespace() => {}
            _ => words.push(c.to_string()),
        }
        open = name;
    }
    words
}
