//! The house rules that a compiler does not hold: a file says what it is for and stays
//! short, nothing is left half done, functions say by name and parameters what they do,
//! and the top level holds what it should.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use syn::visit::{self, Visit};
use syn::{Block, FnArg, Ident, Signature, Type};

/// Lines of a source file at most.
const MOST_LINES: usize = 400;

/// Lines of code in a function's body at most.
const MOST_BODY_LINES: usize = 60;

/// A tuple of these may be coordinates.
const NUMBERS: [&str; 14] = [
    "f32", "f64", "i8", "i16", "i32", "i64", "i128", "isize", "u8", "u16", "u32", "u64",
    "u128", "usize",
];

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

#[test]
fn a_bad_name_or_signature_is_found() {
    for (code, right) in [
        ("fn of(part: &Part) -> f64 { 0.0 }", false),
        ("impl Part { fn of(part: &Part) -> f64 { 0.0 } }", true),
        ("fn area(of: &Part) -> f64 { 0.0 }", true),
        ("mod inner { fn of() {} }", false),
        ("pub(crate) struct Asked<'a> { part: &'a Part }", false),
        ("enum Asked { Yes, No }", false),
        ("type Asked = f64;", false),
        ("struct Answered; fn f(asked: Answered) {}", true),
        ("fn f((part, pull): (&Part, Direction)) {}", false),
        ("fn f(both: &(Part, Direction)) {}", false),
        ("fn f(both: &mut (f64, &[f64])) {}", false),
        ("fn f(both: (f64, Option<f64>)) {}", false),
        ("fn f(both: (f64, [f64; 2])) {}", false),
        ("impl Part { fn f(&self, (cell, share): (Cell, f64)) {} }", false),
        ("trait Measure { fn f(&self, both: (Cell, f64)); }", false),
        ("fn f((x, y): (f64, f64), at: &(u32, u32), z: [f64; 2]) {}", true),
        ("fn f(all: &[(Cell, f64)], g: impl Fn((Cell, f64))) -> (Cell, f64) {}", true),
        ("fn f() { let g = |(cell, share): (Cell, f64)| share; }", true),
    ] {
        let found = broken_rules(&format!("//! Opens the door.\n\n{code}\n"));
        assert_eq!(found.is_empty(), right, "{code}\n{found:?}");
    }
}

#[test]
fn a_long_body_is_found() {
    let body = |line: &str, count: usize| {
        let lines = format!("    {line}\n").repeat(count);
        let function = format!("fn f() {{\n{lines}}}\n");
        let inside = format!("impl Part {{\n{function}}}\n");
        [function, inside].map(|code| {
            broken_rules(&format!("//! Opens the door.\n\n{code}")).is_empty()
        })
    };
    assert_eq!(body("g();", MOST_BODY_LINES), [true; 2]);
    assert_eq!(body("g();", MOST_BODY_LINES + 1), [false; 2]);
    assert_eq!(body("// g();", MOST_BODY_LINES + 1), [true; 2]);
    assert_eq!(body("", MOST_BODY_LINES + 1), [true; 2]);
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
    let lines: Vec<&str> = text.lines().collect();
    let mut functions = Functions { lines: &lines, broken };
    functions.visit_file(&syn::parse_file(text).unwrap());
    functions.broken
}

/// Collects the broken rules for names, signatures and bodies.
struct Functions<'a> {
    /// The lines of the file.
    lines: &'a [&'a str],
    broken: Vec<String>,
}

impl Functions<'_> {
    fn check_body(&mut self, name: &Ident, body: &Block) {
        let braces = &body.brace_token.span;
        let [open, close] = [braces.open(), braces.close()].map(|it| it.start().line);
        // Lines are counted from 1.
        let inside = self.lines.get(open..close.saturating_sub(1)).unwrap_or_default();
        let is_code = |line: &&&str| {
            !line.trim().is_empty() && !line.trim_start().starts_with("//")
        };
        let count = inside.iter().filter(is_code).count();
        if count > MOST_BODY_LINES {
            self.broken.push(format!("{name} has {count} lines of code"));
        }
    }

    fn check_type_name(&mut self, name: &Ident) {
        if name == "Asked" {
            self.broken.push("a type named Asked does not say what it holds".to_owned());
        }
    }
}

impl<'ast> Visit<'ast> for Functions<'_> {
    fn visit_item_fn(&mut self, function: &'ast syn::ItemFn) {
        if function.sig.ident == "of" {
            self.broken.push("a function named of does not say what it does".to_owned());
        }
        self.check_body(&function.sig.ident, &function.block);
        visit::visit_item_fn(self, function);
    }

    fn visit_impl_item_fn(&mut self, function: &'ast syn::ImplItemFn) {
        self.check_body(&function.sig.ident, &function.block);
        visit::visit_impl_item_fn(self, function);
    }

    fn visit_trait_item_fn(&mut self, function: &'ast syn::TraitItemFn) {
        if let Some(body) = &function.default {
            self.check_body(&function.sig.ident, body);
        }
        visit::visit_trait_item_fn(self, function);
    }

    fn visit_signature(&mut self, signature: &'ast Signature) {
        for input in &signature.inputs {
            if let FnArg::Typed(parameter) = input
                && is_loose_tuple(&parameter.ty)
            {
                self.broken.push(format!("{} takes a tuple", signature.ident));
            }
        }
        visit::visit_signature(self, signature);
    }

    fn visit_item_struct(&mut self, item: &'ast syn::ItemStruct) {
        self.check_type_name(&item.ident);
        visit::visit_item_struct(self, item);
    }

    fn visit_item_enum(&mut self, item: &'ast syn::ItemEnum) {
        self.check_type_name(&item.ident);
        visit::visit_item_enum(self, item);
    }

    fn visit_item_type(&mut self, item: &'ast syn::ItemType) {
        self.check_type_name(&item.ident);
        visit::visit_item_type(self, item);
    }
}

/// Whether `parameter` is a tuple, or a reference to one, that is not coordinates.
fn is_loose_tuple(parameter: &Type) -> bool {
    match parameter {
        Type::Reference(reference) => is_loose_tuple(&reference.elem),
        Type::Paren(inner) => is_loose_tuple(&inner.elem),
        Type::Tuple(tuple) => !tuple.elems.iter().all(is_number),
        _ => false,
    }
}

fn is_number(element: &Type) -> bool {
    let Type::Path(path) = element else { return false };
    path.path.get_ident().is_some_and(|name| NUMBERS.iter().any(|number| name == number))
}

pub(super) fn read(file: &str) -> String {
    fs::read_to_string(root().join(file)).unwrap()
}

pub(super) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

/// What git tracks or would take in, and is still there.
pub(super) fn tracked() -> Vec<String> {
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
