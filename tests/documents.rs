//! What DEVELOPERS.md, README.md and the tables of the rooms name must exist, and every file must
//! stand in its room's table.

use crate::house::{read, tracked};

/// A document that names what is no longer there sends its reader the wrong way.
#[test]
fn the_documents_name_only_what_exists() {
    let files = tracked();
    let mut wrong = Vec::new();
    let mut seen = 0;
    for document in ["DEVELOPERS.md", "README.md"] {
        for name in names(&read(document)) {
            seen += 1;
            if !exists(&name, &files) {
                wrong.push(format!("{document} names {name}"));
            }
        }
    }
    assert!(seen > 100, "{seen} names");
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn a_name_of_nothing_is_found() {
    let files = tracked();
    for (text, right) in [
        ("see `src/lib.rs`, `mesh/heal.rs`, `house.rs`, `tests/cli`", true),
        ("see `cli/desk`, `analysis::run`, `mesh::heal::HealSettings`", true),
        ("see `Press::cautions` and `Settings::stop`, `--out` and `report.json`", true),
        ("```text\n`src/nothing.rs`\n```", true),
        ("see `src/nothing.rs`", false),
        ("see `nothing.rs`", false),
        ("see `mesh/nothing`", false),
        ("see `mesh::nothing`", false),
        ("see `nothing::heal`", false),
        ("see `Press::nothing_of_it`", false),
        ("see `Nothing::new`", false),
    ] {
        let all = names(text).iter().all(|name| exists(name, &files));
        assert_eq!(all, right, "{text}");
    }
}

/// The table at the top of a room's `mod.rs` says which file answers which question.
#[test]
fn every_room_lists_its_files_by_question() {
    let mut wrong = Vec::new();
    let mut rooms = 0;
    for file in tracked() {
        let folders = file.strip_suffix("/mod.rs").and_then(|it| it.strip_prefix("src/"));
        if folders.is_none_or(|folders| folders.contains('/')) {
            continue;
        }
        rooms += 1;
        let missing = files_not_in_table(&read(&file));
        wrong
            .extend(missing.iter().map(|name| format!("{file}: no question for {name}")));
    }
    assert!(rooms > 10, "{rooms} rooms");
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn a_file_without_a_question_is_found() {
    let table = "//! | question | file |\n//! |---|---|\n//! | how thick is the wall | [`walls`] |\n";
    let tests = "#[cfg(test)]\nmod tests;\n";
    for (text, missing) in [
        (format!("{table}\nmod walls;\n{tests}"), Vec::<&str>::new()),
        (format!("{table}\npub mod walls;\npub(crate) mod draft;\n"), vec!["draft"]),
        ("//! About [`walls`].\n\nmod walls;\n".to_owned(), vec!["walls"]),
    ] {
        assert_eq!(files_not_in_table(&text), missing, "{text}");
    }
}

/// The modules that a `mod.rs` lists, but those of unit tests, and no row of its table names.
fn files_not_in_table(text: &str) -> Vec<String> {
    let rows: Vec<String> =
        text.lines().filter(|line| line.starts_with("//! | ")).flat_map(words).collect();
    let before = std::iter::once("").chain(text.lines());
    let listed = text.lines().zip(before).filter_map(|(line, before)| {
        let name = line.strip_suffix(';')?.rsplit_once("mod ")?.1;
        (before != "#[cfg(test)]").then(|| name.to_owned())
    });
    listed.filter(|name| !rows.contains(name)).collect()
}

/// What stands between backticks and is a file, a folder of rooms or a path in the crate.
fn names(text: &str) -> Vec<String> {
    let outside_of_blocks = text.split("```").step_by(2);
    let marked = outside_of_blocks.flat_map(|text| text.split('`').skip(1).step_by(2));
    // What a build writes is there after the build only.
    let kept = marked.filter(|name| !name.starts_with("target/"));
    kept.filter(|name| is_file(name) || is_path(name, "/") || is_path(name, "::"))
        .map(str::to_owned)
        .collect()
}

/// Files that the program writes have other endings, or stand alone in a folder of reports.
fn is_file(name: &str) -> bool {
    let ending = name.rsplit_once('.').map(|(_, ending)| ending);
    name.chars().all(|c| c.is_ascii_alphanumeric() || "_-./".contains(c))
        && matches!(ending, Some("rs" | "js" | "css" | "py"))
        || name.ends_with("-template.toml")
}

fn is_path(name: &str, between: &str) -> bool {
    let is_word = |part: &str| {
        !part.is_empty() && part.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
    };
    name.contains(between) && name.trim_end_matches('/').split(between).all(is_word)
}

fn exists(name: &str, files: &[String]) -> bool {
    if name.contains("::") {
        return item_exists(&name.split("::").collect::<Vec<_>>(), files);
    }
    let name = name.trim_end_matches('/');
    ["", "src/", "tests/"].into_iter().any(|folder| {
        let whole = format!("{folder}{name}");
        let below = format!("{whole}/");
        let is = |file: &String| {
            *file == whole || *file == format!("{whole}.rs") || file.starts_with(&below)
        };
        files.iter().any(is)
    }) || !name.contains('/')
        && files.iter().any(|file| file.ends_with(&format!("/{name}")))
}

/// Whether the modules of a path in the crate exist, and their file has a word for each name
/// that follows; a path that begins with a type is looked for in every file.
fn item_exists(path: &[&str], files: &[String]) -> bool {
    let is_type = |name: &str| name.starts_with(|c: char| c.is_ascii_uppercase());
    if is_type(path[0]) {
        let defines = |words: &[String]| {
            words.windows(2).any(|pair| {
                matches!(pair[0].as_str(), "struct" | "enum") && pair[1] == path[0]
            })
        };
        let code = files.iter().filter(|file| file.ends_with(".rs"));
        let home = code.clone().find(|file| defines(&words(&read(file))));
        // The methods of a type may stand in a file beside it.
        let Some((folder, _)) = home.and_then(|file| file.rsplit_once('/')) else {
            return false;
        };
        let beside: Vec<String> = code
            .filter(|file| file.starts_with(folder))
            .flat_map(|file| words(&read(file)))
            .collect();
        return path.iter().all(|name| beside.iter().any(|word| word == name));
    }
    ["src", "tests"].into_iter().any(|root| {
        let mut module = root.to_owned();
        let mut rest = path;
        while let [name, after @ ..] = rest {
            let inner = format!("{module}/{name}");
            let holds = |file: &String| {
                *file == format!("{inner}.rs") || file.starts_with(&format!("{inner}/"))
            };
            if !files.iter().any(holds) {
                break;
            }
            (module, rest) = (inner, after);
        }
        let Some(file) = [format!("{module}.rs"), format!("{module}/mod.rs")]
            .into_iter()
            .find(|file| files.contains(file))
        else {
            return false;
        };
        let words = words(&read(&file));
        rest.iter().all(|name| words.iter().any(|word| word == name))
    })
}

/// The names in `code`.
fn words(code: &str) -> Vec<String> {
    let apart = code.split(|c: char| !c.is_alphanumeric() && c != '_');
    apart.filter(|word| !word.is_empty()).map(str::to_owned).collect()
}
