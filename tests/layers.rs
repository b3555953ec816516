//! The `mod` lines are the architecture: a room imports only rooms that `lib.rs` lists
//! before it, and a file only siblings that its `mod.rs` lists before it.
//!
//! A module reads the items of the modules that contain it and of those it contains;
//! unit tests may import what they like. Paths are read from the syntax tree, in `use`
//! lines, elsewhere and in what is given to a macro; what a macro builds is not seen.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use proc_macro2::{TokenStream, TokenTree};
use syn::visit::{self, Visit};
use syn::{
    Attribute, File, Item, ItemMod, ItemUse, Macro, MetaList, UseTree, Visibility,
};

/// Modules by their path below the crate, with the modules that each lists, in order.
type House = BTreeMap<Vec<String>, Module>;

struct Module {
    children: Vec<String>,
    file: File,
}

#[test]
fn every_file_imports_only_what_is_listed_before_it() {
    let mut house = House::new();
    enter(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), "lib.rs", &[], &mut house);
    let seen: usize =
        house.iter().map(|(path, module)| imports(&module.file, path).len()).sum();
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
    let in_tests: usize = house.values().map(|module| test_files(&module.file)).sum();
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
        ("low", "mod inner {\n    use crate::high::Thing;\n}", false),
        ("low", "fn f() { assert!(g(1, crate::high::A)) }", false),
        ("low", "fn f() { assert!(g(1, crate::low::A)) }", true),
        ("low", "#[arg(default = crate::high::A)]\nstruct S;", false),
        ("low", "fn f(_: Vec<Option<crate::high::A>>) {}", false),
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
            let file = syn::parse_file(text).unwrap();
            house.insert(split(path), Module { children: listed(&file), file });
        }
        let module = house.get_mut(&split(path)).unwrap();
        module.file.items.extend(syn::parse_file(text).unwrap().items);
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
    let file = syn::parse_file(&text).unwrap();
    let children = listed(&file);
    for child in &children {
        let below: Vec<String> = path.iter().chain([child]).cloned().collect();
        let inside = folder.join(child);
        if inside.join("mod.rs").exists() {
            enter(&inside, "mod.rs", &below, house);
        } else {
            enter(folder, &format!("{child}.rs"), &below, house);
        }
    }
    house.insert(path.to_vec(), Module { children, file });
}

/// The modules of the `mod` lines, in order, but those of unit tests.
fn listed(file: &File) -> Vec<String> {
    mod_lines(file)
        .filter(|line| !is_for_tests(&line.attrs))
        .map(|line| line.ident.to_string())
        .collect()
}

fn test_files(file: &File) -> usize {
    mod_lines(file).filter(|line| is_for_tests(&line.attrs)).count()
}

/// The modules in files of their own.
fn mod_lines(file: &File) -> impl Iterator<Item = &ItemMod> {
    file.items.iter().filter_map(|item| match item {
        Item::Mod(module) if module.content.is_none() => Some(module),
        _ => None,
    })
}

fn is_for_tests(attributes: &[Attribute]) -> bool {
    attributes.iter().filter(|attribute| attribute.path().is_ident("cfg")).any(|cfg| {
        cfg.parse_args::<syn::Path>().is_ok_and(|condition| condition.is_ident("test"))
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
        for target in imports(&module.file, path) {
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

/// Every `crate::…` and `super::…` path in `file`, which is the module `path`, as a path
/// below the crate.
fn imports(file: &File, path: &[String]) -> Vec<Vec<String>> {
    let mut imports = Imports { module: path.to_vec(), found: Vec::new() };
    imports.visit_file(file);
    imports.found
}

struct Imports {
    /// The module that is read.
    module: Vec<String>,
    /// Paths below the crate.
    found: Vec<Vec<String>>,
}

impl Imports {
    /// Adds the path that `words` write, when it names its root.
    fn add(&mut self, words: &[String]) {
        let Some((root, rest)) = words.split_first() else { return };
        let above = self.module.split_last().map(|(_, above)| above.to_vec());
        let start = match root.as_str() {
            "crate" => Some(Vec::new()),
            "super" => above,
            _ => None,
        };
        let Some(mut path) = start else { return };
        for word in rest {
            match word.as_str() {
                "super" => _ = path.pop(),
                "self" => {}
                name => path.push(name.to_owned()),
            }
        }
        self.found.push(path);
    }

    /// Adds every path of `tree`, which stands behind `words`.
    fn add_tree(&mut self, tree: &UseTree, words: &[String]) {
        let with = |name: &syn::Ident| [words, [name.to_string()].as_slice()].concat();
        match tree {
            UseTree::Path(path) => self.add_tree(&path.tree, &with(&path.ident)),
            UseTree::Name(name) => self.add(&with(&name.ident)),
            UseTree::Rename(rename) => self.add(&with(&rename.ident)),
            UseTree::Glob(_) => self.add(words),
            UseTree::Group(group) => {
                group.items.iter().for_each(|tree| self.add_tree(tree, words));
            }
        }
    }

    /// Adds every path in code that is not parsed: what is given to a macro.
    fn add_tokens(&mut self, tokens: TokenStream) {
        let mut words: Vec<String> = Vec::new();
        let mut colons = 0;
        for token in tokens {
            match token {
                TokenTree::Ident(name) => {
                    if colons != 2 {
                        self.add(&std::mem::take(&mut words));
                    }
                    words.push(name.to_string());
                    colons = 0;
                }
                TokenTree::Punct(sign) if sign.as_char() == ':' => colons += 1,
                TokenTree::Punct(_) | TokenTree::Literal(_) => colons = 0,
                TokenTree::Group(group) => {
                    self.add_tokens(group.stream());
                    colons = 0;
                }
            }
        }
        self.add(&words);
    }
}

impl<'ast> Visit<'ast> for Imports {
    fn visit_item_mod(&mut self, module: &'ast ItemMod) {
        if !is_for_tests(&module.attrs) {
            self.module.push(module.ident.to_string());
            visit::visit_item_mod(self, module);
            self.module.pop();
        }
    }

    /// `pub(super)` imports nothing.
    fn visit_visibility(&mut self, _: &'ast Visibility) {}

    fn visit_item_use(&mut self, line: &'ast ItemUse) {
        self.add_tree(&line.tree, &[]);
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        let words = path.segments.iter().map(|segment| segment.ident.to_string());
        self.add(&words.collect::<Vec<_>>());
        visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, call: &'ast Macro) {
        visit::visit_macro(self, call);
        self.add_tokens(call.tokens.clone());
    }

    fn visit_meta_list(&mut self, list: &'ast MetaList) {
        visit::visit_meta_list(self, list);
        self.add_tokens(list.tokens.clone());
    }
}
